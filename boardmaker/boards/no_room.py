"""What to say where the figures do not fit: which ones, how much is missing, and what would help.

In: figures and the packing engine's items, the boards, what was asked for. Out: the problem. Apart because
the engine knows no panels and the figures know no engine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from boardmaker.figures import Figure
from boardmaker.packing import TooLarge, crowding, items_too_large
from boardmaker.packing.problem import Item, Region
from boardmaker.problems import Problem, error
from boardmaker.units import counted
from boardmaker.wording.numbers import length_text, scale_text

ROUNDING = 1e-9  # mm
_NAMED = 4  # of the figures that are too large; the rest are counted


@dataclass(frozen=True)
class Ways:
    """What was found to help, by trying: nothing is said that would end in another error.

    `scale`: the largest that fits on so many boards as were asked for. `boards`: how many hold everything, and go into
    the case. `stock`: whether boards of larger stock would be larger, which a case may not let them. `jobs`: whether
    there are jobs to choose fewer of. `longer`: whether a search can be longer.
    """

    scale: float | None = None
    boards: int | None = None
    stock: bool = True
    jobs: bool = True
    longer: bool = True


@dataclass(frozen=True)
class Asked:
    """What could not be done: a scale, of the user's choice or the smallest that is tried; lengths in inches or mm.

    `ways` are what was found to help instead.
    """

    scale: float
    chosen: bool
    inches: bool
    ways: Ways


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
        return error(f"{what}; {missing}", hint=_more(asked))
    taken = f"there may be an arrangement, they cover {round(100 * crowded)} % of the boards, but none was found"
    longer = ["a longer search (--effort thorough)"] if asked.ways.longer else []
    return error(f"{what}; {taken}", hint=_more(asked, *longer))


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
    board = f"a board of at least {_size((long, short), asked.inches)} (--board)"
    case = "" if asked.ways.stock else " in a case that holds it (--case)"
    return _joined([board + case, *_fewer_jobs(asked.ways), *_smaller(asked)])


def _more(asked: Asked, *first: str) -> str:
    larger = "larger stock (--board)" if asked.ways.stock else "a larger case (--case)"
    boards = [f"more boards (--boards {asked.ways.boards} or more)"] if asked.ways.boards is not None else []
    return _joined([*first, larger, *boards, *_fewer_jobs(asked.ways), *_smaller(asked)])


def _fewer_jobs(ways: Ways) -> list[str]:
    return ["fewer jobs (--job)"] if ways.jobs else []


def _smaller(asked: Asked) -> list[str]:
    """A smaller drawing that fits, where the user chose the scale."""
    if asked.ways.scale is None:
        return []
    return [f"{scale_text(asked.ways.scale)}, which fits on these boards (--scale auto)"]


def stands_too_high(problem: Problem, height: float, thinner: float | None, ways: Ways, inches: bool) -> Problem:
    """Return the error for boards that stand too high in their case with what was found to help.

    `height`: of a case that takes them, mm, said in `inches` or mm. `thinner`: the thickness of stock with which they
    go in, None where that does not help. `ways.scale` is the largest that fits on `ways.boards` boards, which go in.
    """
    helps = [f"a case at least {_up(height - ROUNDING, inches)} high"]
    if ways.scale is not None and ways.boards is not None:
        on = counted(ways.boards, "board")
        helps.insert(0, f"a drawing at {scale_text(ways.scale)} on {on} (--scale auto --boards {ways.boards})")
    if thinner is not None:
        helps.append(f"stock of {thinner:g} mm (thickness in the setup file)")
    return replace(problem, hint=_joined([*helps, *_fewer_jobs(ways)]))


def _joined(helps: Sequence[str]) -> str:
    return ", or ".join([", ".join(helps[:-1]), helps[-1]] if len(helps) > 1 else helps)
