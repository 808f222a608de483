"""What to say where the figures do not fit: which ones, how much is missing, and what would help.

In: figures and the packing engine's items, the boards, what was asked for. Out: the problem. Apart because
the engine knows no panels and the figures know no engine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from boardmaker.figures import Figure
from boardmaker.packing import TooLarge, crowding, items_too_large
from boardmaker.packing.problem import Item, Region
from boardmaker.problems import Problem, error
from boardmaker.units import counted
from boardmaker.wording.numbers import length_text, scale_text

_NAMED = 4  # of the figures that are too large; the rest are counted


@dataclass(frozen=True)
class Asked:
    """What could not be done: a scale, of the user's choice or the smallest that is tried; lengths in inches or mm.

    `largest` is the largest scale that was found to fit on these boards instead, if it was looked for and found.
    """

    scale: float
    chosen: bool
    inches: bool
    largest: float | None = None


def no_room(
    figures: Sequence[Sequence[Figure]],
    items: Sequence[Item],
    regions: Sequence[Region],
    clearance: float,
    asked: Asked,
) -> Problem:
    """Return the error for figures, as items of one scale, that do not fit on boards."""
    named = {item.key: _name(alternatives[0]) for item, alternatives in zip(items, figures, strict=True)}
    panels = sum(alternatives[0].kind == "panel" for alternatives in figures)
    boards = counted(len(regions), "board")
    at = scale_text(asked.scale) + ("" if asked.chosen else ", the smallest drawing that is tried")
    what = f"{counted(panels, 'panel')} and {counted(len(items) - panels, 'table')} do not fit on {boards} at {at}"
    too_large, crowded = items_too_large(items, regions), crowding(items, regions, clearance)
    if too_large:
        return error(f"{what}; {_too_large(too_large, named, asked)}", hint=_larger(too_large, regions, asked))
    if crowded > 1:
        missing = f"at least {math.ceil(100 * (crowded - 1))} % more board area is missing"
        return error(f"{what}; {missing}", hint=_more(math.ceil(crowded * len(regions)), asked))
    taken = f"there may be an arrangement, they cover {round(100 * crowded)} % of the boards, but none was found"
    return error(f"{what}; {taken}", hint=_more(len(regions) + 1, asked, "a longer search (--effort thorough)"))


def _name(figure: Figure) -> str:
    """What a mechanic can find in the bike file or on the board."""
    kinds = {"panel": "panel", "title": "title block", "parking": "parking pockets"}
    kind = kinds.get(figure.kind, figure.kind)
    return f"{kind} {figure.key}" if figure.kind in ("panel", "torque card") else f"the {kind}"


def _too_large(lacking: Sequence[TooLarge], named: dict[str, str], asked: Asked) -> str:
    """Which are too large even alone, with their sizes; those that lack most come first."""
    worst = sorted(lacking, key=lambda one: -one.missing)
    said = [
        f"{named[one.key]} ({_size(one.size, asked.inches)}) lacks {_up(one.missing, asked.inches)}"
        for one in worst[:_NAMED]
    ]
    more = [f"{len(worst) - _NAMED} more"] if len(worst) > _NAMED else []
    return "too large even alone: " + ", ".join([*said, *more])


def _up(length: float, inches: bool) -> str:
    """A length rounded up, so that nobody buys a board that is a hair too small: never 0."""
    step = 25.4 / 16 if inches else 1.0
    return length_text(math.ceil(length / step) * step, inches)


def _size(sides: tuple[float, float], inches: bool) -> str:
    width, height = (_up(side, inches) for side in sides)
    return f"{width.removesuffix(' in').removesuffix(' mm')} x {height}"


def _larger(lacking: Sequence[TooLarge], regions: Sequence[Region], asked: Asked) -> str:
    """A board that holds each of them by width and height, lying or upright."""
    margin = max(region.margin for region in regions)
    sides = [sorted(one.size) for one in lacking]
    long, short = (max(side[which] for side in sides) + 2 * margin for which in (1, 0))
    return _joined([f"a board of at least {_size((long, short), asked.inches)} (--board)", *_smaller(asked)])


def _more(boards: int, asked: Asked, *first: str) -> str:
    helps = [*first, "larger stock (--board)", f"more boards (--boards {boards} or more)", "fewer jobs (--job)"]
    return _joined([*helps, *_smaller(asked)])


def _smaller(asked: Asked) -> list[str]:
    """A smaller drawing, where the user chose the scale."""
    if asked.largest is not None:
        return [f"{scale_text(asked.largest)}, which fits on these boards (--scale auto)"]
    return ["a smaller drawing (--scale auto)"] if asked.chosen else []


def _joined(helps: Sequence[str]) -> str:
    return ", or ".join([", ".join(helps[:-1]), helps[-1]] if len(helps) > 1 else helps)
