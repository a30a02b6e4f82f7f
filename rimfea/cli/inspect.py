"""rimfea inspect: what was understood of a sheet."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options


@click.command("inspect")
@options.sheet
@options.outputs
@options.details
def command(
    sheet: Path, *, as_data: bool, picture: Path | None, details: bool, overwrite: bool
) -> None:
    """Say what was understood of SHEET: every number and where it comes from, the section
    with its walls named, its properties, and the computed against the weighed mass.
    """
    from rimfea.cli.printing import close, console, free, save, show_data, show_table, working
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.analysis import inspect
    from rimfea.vary.known import known
    from rimfea.words.analyse import diameter_words, mass_words, tones_words, weighing
    from rimfea.words.data import as_json
    from rimfea.words.tables import (
        assumed_words,
        evidence_table,
        metal_words,
        round_words,
        scales_table,
        section_table,
        sheet_table,
    )

    free(picture, overwrite=overwrite)
    rim = read_sheet(sheet)
    with working(rim.name):
        analysis = inspect(rim)
    if as_data:
        show_data(as_json([analysis]))
    else:
        out = console()
        out.say(f"{analysis.sheet.name}: {analysis.sheet.family}", style="bold")
        rim = analysis.sheet
        own = (*tones_words(rim), *diameter_words(rim), *round_words(rim))
        for line in (assumed_words(rim), mass_words(analysis), metal_words(rim), *own):
            out.say(line)
        show_table(out, sheet_table(analysis.sheet))
        scales = weighing(analysis)
        if details:
            if (scales and scales.agrees) or known(rim).hears:
                show_table(out, scales_table(analysis.sheet))
            show_table(out, section_table(analysis))
            show_table(out, evidence_table(analysis))
        close(out)
    if picture:
        from rimfea.picture.figures import section_figure

        save(section_figure(analysis), picture)
