"""The holes of a panel from the drawing of its outline: `holes: from outline`.

In: the outline as written, the folder of the bike file, the fasteners' keys. Out: holes as if they were written in the
file. Their ids are the numbers of their names (`A-3`) where each has one of its own, else their place in the list.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from boardmaker.geometry import Point
from boardmaker.inputs.bike.amounts import MOST_HOLES, REMEDY
from boardmaker.inputs.outlines import marks_of_svg
from boardmaker.inputs.schema import HoleShape, OutlineFile
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.inputs.svg.hole_marks import HoleMark
from boardmaker.inputs.svg.reader import folded_name

MOST_LISTED = 8  # places in a message


def drawn_holes(
    outline: object, folder: Path, fasteners: Collection[str], key: str, panels: Collection[str]
) -> list[HoleShape]:
    """Return the holes of a panel in a drawing, which may show other `panels` too, each in a group of its key.

    Raises OutlineError where there is none, or a circle says no fastener.
    """
    if not isinstance(outline, OutlineFile):
        message = "`from outline` takes them from a drawing, and this panel's outline is in none"
        raise OutlineError(message, "write outline: { file: outlines/name.svg } here, or a list of holes")
    own, others = folded_name(key), {folded_name(one) for one in panels} - {folded_name(one) for one in fasteners}
    found = marks_of_svg(folder, outline.file, fasteners)
    marks = [mark for mark in found if own in mark.groups or not others & mark.groups]
    _check(outline.file, marks, fasteners)
    numbers = [mark.number for mark in marks]
    by_number = None not in numbers and len({*numbers}) == len(numbers)
    return [
        HoleShape.model_validate(
            {"id": str(mark.number if by_number else place), "at": [*mark.at], "fastener": mark.fastener}
        )
        for place, mark in enumerate(marks, 1)
    ]


def _check(name: str, marks: Sequence[HoleMark], fasteners: Collection[str]) -> None:
    if not marks:
        raise OutlineError(
            f'"{name}" has no circles', "draw each hole as a circle whose id or label is its fastener: A-3"
        )
    if len(marks) > MOST_HOLES:
        raise OutlineError(f'"{name}" has {len(marks)} circles, more than {MOST_HOLES}', REMEDY)
    if without := [mark.at for mark in marks if mark.fastener is None]:
        keys = ", ".join([*fasteners][:12]) or "none is described yet"
        message = f'circles of "{name}" do not say their fastener: {_listed(without)}'
        raise OutlineError(message, f"give each an id or label such as A or A-3; fasteners here: {keys}")
    if odd := [mark for mark in marks if mark.not_round]:
        message = f'"{name}" has a hole that is not round: {odd[0].not_round} at {_shown(odd[0].at)}'
        raise OutlineError(message, "draw it as a circle, or take its name away")


def _listed(places: Sequence[Point]) -> str:
    more = f" and {len(places) - MOST_LISTED} more" if len(places) > MOST_LISTED else ""
    return ", ".join(_shown(at) for at in places[:MOST_LISTED]) + more


def _shown(at: Point) -> str:
    return f"[{at[0]:.1f}, {at[1]:.1f}]"
