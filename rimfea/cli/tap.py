"""rimfea tap: the tones of a bare rim, and whether its sheet agrees with those that were heard."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.tapped.recording import Recording
    from rimfea.vary.tap import Tap


WAV = ".wav"


@click.command("tap")
@options.sheet
@click.argument("heard", nargs=-1, metavar="[HERTZ... | FILE.wav]")
@options.details
@options.outputs
def command(
    sheet: Path,
    *,
    heard: tuple[str, ...],
    details: bool,
    as_data: bool,
    picture: Path | None,
    overwrite: bool,
) -> None:
    """At which tones the bare rim of SHEET should ring when it hangs on a string and is tapped;
    with the tones that you heard, in HERTZ, or a recording of some taps in FILE.wav, whether the
    sheet is right.
    """
    from rimfea.ask.tap import tap
    from rimfea.cli.printing import free, save, show_data, working
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.words.asked import tap_json

    free(picture, overwrite=overwrite)
    tones, rim = _heard(heard), read_sheet(sheet)
    with working(rim.name):
        found = tap(rim, tones)
    if as_data:
        show_data(tap_json(found))
    else:
        _print(found, details=details)
    if picture:
        from rimfea.picture.tap import tap_figure

        save(tap_figure(found), picture)


def _heard(typed: tuple[str, ...]) -> list[float] | Recording:
    """Tones as they were typed, or the recording."""
    recordings = [each for each in typed if Path(each).suffix.lower() == WAV]
    if not recordings:
        return [_hertz(each) for each in typed]
    if len(typed) > 1:
        told = f"give one recording ({WAV}) alone, or tones in Hz"
        raise click.BadParameter(f"{' '.join(typed)}: {told}")
    from rimfea.files.recording_wav import read_recording

    return read_recording(recordings[0])


def _hertz(typed: str) -> float:
    try:
        return float(typed)
    except ValueError:
        told = (
            f"{typed}: give tones in Hz, with a point and a blank in between, such as 128.5 151, "
            f"or one recording ({WAV})"
        )
        raise click.BadParameter(told) from None


def _print(found: Tap, *, details: bool) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import tap as report

    out = console()
    out.say(report.tap_headline(found), style="bold")
    for line in report.tap_lines(found):
        out.say(f"  {line}")
    show_table(out, report.tones_table(found))
    if details and found.heard:
        show_table(out, report.hints_table(found))
    out.say(report.TAP_ASSUMES)
    close(out)
