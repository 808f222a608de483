"""`torque` and `testpage`: pages without a board."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from boardmaker.commands.common import length_option, load_setup, load_work, say, say_files, say_warnings
from boardmaker.inputs.model import Setup
from boardmaker.output import write_set
from boardmaker.problems import ProblemsFound, error
from boardmaker.render.pdf import render_pdf
from boardmaker.sheets import lay_testpage, lay_torque_strip


def make_torque_strip(
    bike: Path | None,
    jobs: Sequence[str],
    with_: Sequence[str],
    without: Sequence[str],
    setup: Path | None,
    paper: str | None,
    width: str | None,
    out: Path,
    force: bool,
    quiet: bool,
) -> None:
    """Write `torque.pdf`; `width` is that of a card, a length with its unit."""
    card_width = length_option("--width", width) if width else None
    work, warnings = load_work(bike, jobs, with_, without)
    owned, setup_warnings = load_setup(setup, paper)
    say_warnings((*warnings, *setup_warnings))
    pages = lay_torque_strip(work, owned, card_width)
    if not pages:
        raise ProblemsFound(
            [error(f"{work.bike.file} has no torque rows for these jobs", hint="add rows under `torques`")]
        )
    content = render_pdf(pages, title=f"{work.bike.name}: torque strip", printer_scale=owned.printer.scale)
    write_set(out, "torque", {"torque.pdf": content}, force)
    rows = sum(len(card.rows) for card in work.cards)
    say(f"{rows} torque rows on {len(work.cards)} card(s); the maker's manual comes first", quiet)
    say_files(out, ["torque.pdf"], quiet)


def _paper(setup: Setup) -> str:
    paper = setup.paper
    return (
        f"{paper.name}, {paper.width:g} mm wide"
        if paper.roll
        else f"{paper.name}, {paper.width:g} × {paper.height:g} mm"
    )


def make_testpage(setup: Path | None, paper: str | None, check: bool, out: Path, force: bool, quiet: bool) -> None:
    """Write `testpage.pdf`, uncalibrated unless `check`."""
    owned, warnings = load_setup(setup, paper)
    say_warnings(warnings)
    scale = owned.printer.scale if check else (1.0, 1.0)
    drawn = f"drawn with the printer's scale {scale[0]:g} × {scale[1]:g}" if check else "drawn without calibration"
    pages = lay_testpage(owned, f"Paper {_paper(owned)}, {drawn}.", calibrated=check)
    write_set(out, "testpage", {"testpage.pdf": render_pdf(pages, title="Scale test page", printer_scale=scale)}, force)
    say("print at 100 % (“actual size”), then measure both bars", quiet)
    say_files(out, ["testpage.pdf"], quiet)
