"""Screws of a bike file that do not suit their own holes, and what has to be measured before anybody can say.

In: a bike. Out: problems. A screw whose tip reaches what is behind its hole is an error; everything else that is wrong
or doubtful is a warning at its hole. What is only not known is told once for each measurement, unless something is
behind the hole: then it is a warning of its own. That a screw does not bear its own torque is no matter of its hole:
`overtorque` tells it once, with the holes.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Bike, Hole, Panel
from boardmaker.problems import Problem, error, warning
from boardmaker.service.fit.suitability import judge_fit
from boardmaker.service.fit.verdict import Fit, Verdict
from boardmaker.units import counted

NAMED = 3  # holes that a summary names; the others are counted

_Judged = tuple[Panel, Hole, Fit]


def misfits(bike: Bike) -> tuple[Problem, ...]:
    """Return a problem for every screw of the file that must not go into its hole, is doubtful, or may reach something.

    One for a hole and its mirror image: they stand in one line of the file.
    """
    told: dict[tuple[object, ...], list[_Judged]] = {}
    for panel, hole, fit in _judged(bike):
        if fit.verdict >= Verdict.DOUBTFUL or (fit.verdict is Verdict.CANNOT_SAY and hole.behind):
            told.setdefault((hole.where, hole.fastener, fit), []).append((panel, hole, fit))
    return tuple(_misfit(alike) for alike in told.values())


def unsettled(bike: Bike) -> tuple[str, ...]:
    """Return a sentence for each measurement whose want leaves screws unjudged, with the holes that it concerns."""
    wanting: dict[str, list[str]] = {}
    for panel, hole, fit in _judged(bike):
        for settle in fit.to_settle if fit.verdict is Verdict.CANNOT_SAY and not hole.behind else ():
            wanting.setdefault(settle, []).append(f"{panel.key}/{hole.id}")
    return tuple(_sentence(settle, holes) for settle, holes in wanting.items())


def _judged(bike: Bike) -> Iterator[_Judged]:
    for panel in bike.panels:
        for hole in panel.holes:
            yield panel, hole, _less_strength(judge_fit(bike.fastener(hole.fastener), hole))


def _less_strength(fit: Fit) -> Fit:
    return Fit(tuple(one for one in fit.findings if one.about != "strength"))


def _sentence(settle: str, holes: list[str]) -> str:
    more = f" and {len(holes) - NAMED} more" if len(holes) > NAMED else ""
    return f"{counted(len(holes), 'screw')} cannot be judged without {settle}: {', '.join(holes[:NAMED])}{more}"


def _misfit(alike: list[_Judged]) -> Problem:
    _, hole, fit = alike[0]
    holes = " and ".join(f"{panel.key}/{one.id}" for panel, one, _ in alike)
    message = f"{holes}: screw {hole.fastener} {_VERB[fit.verdict]}: {fit.reason}"
    if hole.behind and fit.worst_about("tip") is Verdict.MUST_NOT:
        hint = f"use a shorter screw here, or correct stack, room and length; mind the {hole.behind}"
        return error(message, hole.where, hint)
    if fit.verdict is Verdict.CANNOT_SAY:
        return warning(message, hole.where, f"give {', '.join(fit.to_settle)}, so that the {hole.behind} is safe")
    hint = "measure stack, depth and screw again; or another screw belongs here"
    if hole.behind and fit.to_settle:
        hint += f"; give {', '.join(fit.to_settle)} too, so that the {hole.behind} is safe"
    return warning(message, hole.where, hint)


_VERB = {
    Verdict.CANNOT_SAY: "cannot be judged here",
    Verdict.DOUBTFUL: "is doubtful here",
    Verdict.MUST_NOT: "must not go into this hole",
}
