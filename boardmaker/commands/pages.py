"""`torque` and `testpage`: pages without a board."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from boardmaker.commands.common import load_setup, load_work, say_warnings, write_and_say
from boardmaker.commands.options import length_option
from boardmaker.commands.requests import TestpageRequest, TorqueRequest, WrenchChoice
from boardmaker.model import Setup
from boardmaker.problems import ProblemsFound, WrongUsage, error
from boardmaker.render.pdf import render_pdf
from boardmaker.service import Work
from boardmaker.service.torque.adapter import Adapter
from boardmaker.sheets import adapter_note, lay_testpage, lay_torque_strip
from boardmaker.units import counted, read_torque_unit
from boardmaker.wording.numbers import decimal
from boardmaker.wording.torques import TorqueStyle, torque_line, torque_set_lines

LEAST_SHARE = 0.25  # of the true torque; beyond it a slip of the hand on the grip outweighs the wrench's accuracy
TOO_LONG = "take an adapter shorter than the wrench, or put it square to the wrench (--adapter-angle 90)"


def make_torque_strip(request: TorqueRequest) -> None:
    """Write `torque.pdf` and say what to set on a wrench with an adapter."""
    card_width = length_option("--width", request.width) if request.width else None
    style = TorqueStyle(_unit(request.units), in_words=True, adapter=_adapter(request.wrench))
    work, warnings = load_work(request.work)
    owned, setup_warnings = load_setup(request.setup)
    say_warnings((*warnings, *setup_warnings))
    pages = lay_torque_strip(work, owned, card_width, style)
    if not pages:
        raise ProblemsFound(
            [error(f"{work.bike.file} has no torque rows for these jobs", hint="add rows under `torques`")]
        )
    content = render_pdf(pages, title=f"{work.bike.name}: torque strip", printer_scale=owned.printer.scale)
    write_and_say("torque", {"torque.pdf": content}, _torque_lines(work, style.adapter), request.output)


def _torque_lines(work: Work, adapter: Adapter | None) -> Iterator[str]:
    rows = sum(len(card.rows) for card in work.cards)
    yield f"{counted(rows, 'torque row')} on {counted(len(work.cards), 'card')}; the maker's manual comes first"
    if adapter:
        yield from _set_table(work, adapter)


def _unit(text: str | None) -> str:
    """The second unit: "" for the handier of lbf·in and lbf·ft, "none" for no other than N·m."""
    if text is None or text.strip().casefold() == "none":
        return "none" if text else ""
    try:
        unit = read_torque_unit(text)
    except ValueError as wrong:
        raise WrongUsage([error(f"--units: {wrong}", hint="or none, for N·m alone")]) from None
    return "none" if unit == "N·m" else unit


def _adapter(choice: WrenchChoice) -> Adapter | None:
    wrench, adapter, angle_deg = choice.wrench, choice.adapter, choice.adapter_angle
    if wrench is None and adapter is None and not angle_deg:
        return None
    if wrench is None or adapter is None:
        hint = "--wrench: middle of the square drive to the middle of the grip; --adapter: drive to the nut"
        raise WrongUsage([error("--wrench and --adapter go together: both lengths are needed", hint=hint)])
    if math.isnan(angle_deg):  # it passes click's range
        raise WrongUsage([error("--adapter-angle: this is not a number that can be measured")])
    fitted = Adapter(length_option("--wrench", wrench), length_option("--adapter", adapter), angle_deg)
    try:
        share = fitted.share
    except ValueError as wrong:
        raise WrongUsage([error(f"--adapter: {wrong}")]) from None
    if not LEAST_SHARE <= share <= 1.0 / LEAST_SHARE:
        raise WrongUsage([error(f"--adapter: {decimal(fitted.length)} mm is too long for this wrench", hint=TOO_LONG)])
    return fitted


def _set_table(work: Work, adapter: Adapter) -> Iterator[str]:
    """A line a row: the true torque and what to set, for each row once."""
    rows = tuple(dict.fromkeys(row for card in work.cards for row in card.rows))
    what = max(len(row.what) for row in rows)
    true = max(len(torque_line(row.torque)) for row in rows)
    for row in rows:
        to_set = ", ".join(torque_set_lines(row.torque, adapter))
        yield f"  {row.what:{what}}  {torque_line(row.torque):{true}}  {to_set}"
    yield from textwrap.wrap(adapter_note(adapter), 100)


def _paper(setup: Setup) -> str:
    paper = setup.paper
    return (
        f"{paper.name}, {paper.width:g} mm wide"
        if paper.roll
        else f"{paper.name}, {paper.width:g} × {paper.height:g} mm"
    )


def make_testpage(request: TestpageRequest) -> None:
    """Write `testpage.pdf`, uncalibrated unless it is for a check."""
    owned, warnings = load_setup(request.setup)
    say_warnings(warnings)
    check = request.check
    scale = owned.printer.scale if check else (1.0, 1.0)
    drawn = f"drawn with the printer's scale {scale[0]:g} × {scale[1]:g}" if check else "drawn without calibration"
    pages = lay_testpage(owned, f"Paper {_paper(owned)}, {drawn}.", calibrated=check)
    files = {"testpage.pdf": render_pdf(pages, title="Scale test page", printer_scale=scale)}
    lines = ["print at 100 % (“actual size”), then measure both bars"]
    write_and_say("testpage", files, lines, request.output)
