"""A file of every kind that the program writes, in the folder where this is run."""

from __future__ import annotations

from pathlib import Path

from rimfea.ask.sweep import DECIDED, Point, Sweep
from rimfea.cli.main import commands
from rimfea.cli.printing import save
from rimfea.files.mesh_vtu import write_vtu
from rimfea.files.ring_vtu import write_ring_vtu
from rimfea.files.section import WRITERS
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet, write_sheet
from rimfea.files.sweep_csv import recorded
from rimfea.picture.figures import verdict_figure
from rimfea.profile.build import outline
from rimfea.report.page import as_html, rim_report
from rimfea.report.pdf import as_pdf
from rimfea.study.outcome import OUTCOMES
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End
from rimfea.vary.axis import axes
from rimfea.words.data import as_json
from rimfea.words.numbers import USUAL

COARSE = 3.0
TYPED = (
    "new blank.toml",
    "new unsawn.toml --unsawn",
    "new own.toml --kind set-up",
    "inspect ouzel --picture section.svg --table tables.csv",
)


def write_all() -> None:
    """Of one rim: as commands do it, and, once the rim is solved, as these have it done."""
    for typed in TYPED:
        commands(typed.split(), standalone_mode=False)
    sheet, usual = read_sheet("ouzel"), read_setup("gravel")
    write_sheet("sheet.toml", sheet, "As it was")
    for ending, write in WRITERS.items():
        write(f"outline{ending}", outline(sheet))
    sweep = Sweep(sheet, usual, End.REAR, axes(["sidewall_mm=1.0:1.4:3"]))
    numbers, walls = {each.key: 1 / 3 for each in OUTCOMES}, dict.fromkeys(DECIDED, "flank")
    _ = [*recorded("sweep.csv", sweep, [Point(place, numbers, walls) for place in sweep.places])]
    rode = ride(wheel_of(sheet, usual, End.REAR, coarseness=COARSE), usual, End.REAR)
    analysis = rode.analysis
    for kind in ("png", "pdf", "svg"):
        save(verdict_figure(analysis, USUAL, [rode]), Path(f"picture.{kind}"))
    write_vtu("mesh.vtu", analysis, analysis.governing)
    write_ring_vtu("ring.vtu", analysis, analysis.governing)
    Path("answers.json").write_text(as_json([analysis], [rode]), encoding="utf-8")
    report = rim_report(analysis, [rode], USUAL)
    Path("report.html").write_text(as_html(report), encoding="utf-8")
    Path("report.pdf").write_bytes(as_pdf(report))


if __name__ == "__main__":
    write_all()
