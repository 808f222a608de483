"""Does a screw suit its hole? Arithmetic on what the file gives; what it does not give is "cannot say".

Common practice, no source, but for one diameter of engagement in metal, which the tests hold against Machinery's
Handbook. A verdict is never better than the numbers in the file, and never replaces the maker's manual.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum

from boardmaker.model import Bike, Fastener, Hole, Panel
from boardmaker.problems import Problem, error, warning

TOLERANCE = 1e-9  # sums of written decimals may miss by rounding; nobody measures that
LOOSE_SHOULDER = 1.0  # mm of shoulder beyond the stack from which a panel rattles
METAL = ("metal thread", "threaded insert")


class Verdict(IntEnum):
    """From good to bad; the worst finding decides."""

    FITS = 0
    CANNOT_SAY = 1
    DOUBTFUL = 2
    MUST_NOT = 3

    @property
    def words(self) -> str:
        """The verdict as it is printed."""
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True)
class Fit:
    """A verdict with its reason in one sentence."""

    verdict: Verdict
    reason: str


def judge_fit(fastener: Fastener, hole: Hole) -> Fit:
    """Say whether `fastener` suits `hole`: the worst finding, with its reason."""
    findings = [*_findings(fastener, hole)]
    return max(findings, key=lambda fit: fit.verdict) if findings else Fit(Verdict.FITS, "fits by the file's numbers")


def _findings(fastener: Fastener, hole: Hole) -> Iterator[Fit]:
    if fastener.length_assumed and (hole.stack is not None or hole.behind):
        yield Fit(Verdict.CANNOT_SAY, "the screw's length is assumed, not given")
        return
    if fastener.thread is None and hole.room is None:
        return  # a clip or rivet has no thread to judge, and nothing here that it could reach
    if hole.stack is None:
        yield Fit(Verdict.CANNOT_SAY, "the file does not say how thick the stack is")
        return
    yield from _tip_findings(fastener, hole, hole.stack)
    yield from _shoulder_findings(fastener, hole, hole.stack)


def tip_past_joint(fastener: Fastener, stack: float) -> float:
    """Return how far the tip reaches past the joint face, mm: length less the larger of stack and shoulder."""
    return fastener.length - max(stack, fastener.shoulder.length if fastener.shoulder else 0.0)


def _tip_findings(fastener: Fastener, hole: Hole, stack: float) -> Iterator[Fit]:
    reach = tip_past_joint(fastener, stack)
    if hole.room is not None and reach > hole.room + TOLERANCE:
        what = f"the {hole.behind}" if hole.behind else "what is behind"
        yield Fit(
            Verdict.MUST_NOT, f"the tip reaches {reach:.4g} mm past the joint and {what} is at {hole.room:.4g} mm"
        )
    if hole.room is None and hole.behind:
        yield Fit(Verdict.CANNOT_SAY, f"the file does not say how far away the {hole.behind} is")
    if fastener.thread is None:
        return  # engagement is a matter of threads
    if reach <= TOLERANCE:
        yield Fit(Verdict.DOUBTFUL, "the screw does not reach past the stack, so no thread holds it")
    elif hole.into in METAL:
        yield from _engagement_findings(fastener, hole, reach)
    elif hole.depth is None and hole.into != "through":
        yield Fit(Verdict.CANNOT_SAY, "the file does not say how deep the thread is")


def _engagement_findings(fastener: Fastener, hole: Hole, reach: float) -> Iterator[Fit]:
    if hole.depth is None:
        yield Fit(Verdict.CANNOT_SAY, "the file does not say how deep the thread is")
    elif min(reach, hole.depth) < fastener.diameter - TOLERANCE:
        held = min(reach, hole.depth)
        yield Fit(
            Verdict.DOUBTFUL, f"only {held:.4g} mm of thread hold, under one diameter ({fastener.diameter:.4g} mm)"
        )


def _shoulder_findings(fastener: Fastener, hole: Hole, stack: float) -> Iterator[Fit]:
    if fastener.shoulder is None:
        return
    spare = fastener.shoulder.length - stack
    if spare < -TOLERANCE:
        harm = "crushes it" if hole.into in METAL else "leaves no grip or crushes it"
        yield Fit(
            Verdict.MUST_NOT,
            f"the {fastener.shoulder.length:.4g} mm shoulder does not clear the {stack:.4g} mm stack: {harm}",
        )
    elif spare > LOOSE_SHOULDER + TOLERANCE:
        yield Fit(
            Verdict.DOUBTFUL,
            f"the panel is not held and rattles: the shoulder is {spare:.4g} mm longer than what it clamps",
        )


def bottoms_out(fastener: Fastener, hole: Hole) -> Fit | None:
    """Say that a screw runs out of thread in metal before it clamps, if the hole is blind; None where it does not.

    `judge_fit` leaves this open, because a hole without `room` may go through. Common practice, no source.
    """
    if hole.into != "metal thread" or hole.room is not None or hole.stack is None or hole.depth is None:
        return None
    reach = tip_past_joint(fastener, hole.stack)
    if fastener.thread is None or fastener.length_assumed or reach <= hole.depth + TOLERANCE:
        return None
    return Fit(
        Verdict.DOUBTFUL,
        f"the tip reaches {reach:.4g} mm past the joint and the thread is {hole.depth:.4g} mm deep: "
        "in a blind hole the screw is tight before the panel is",
    )


def longer_than_own(length: float, own: Fastener, hole: Hole, longest: float) -> Fit | None:
    """Say that a screw is longer than the one that belongs into a hole with something behind it; None where it is not.

    Whatever room the arithmetic leaves: a number in the file may be wrong, and what is behind may have moved. `longest`
    is the length in mm up to which it counts as no longer. Common practice, no source.
    """
    if not hole.behind or own.length_assumed or length <= longest + TOLERANCE:
        return None
    return Fit(
        Verdict.DOUBTFUL,
        f"it is {length - own.length:.4g} mm longer than the one that belongs here, and the {hole.behind} is behind it",
    )


def misfits(bike: Bike) -> tuple[Problem, ...]:
    """Return a problem for every screw of the file that must not go into its hole or is doubtful there.

    An error where the tip would reach what is `behind`, a warning otherwise; "cannot say" is a warning where something
    is `behind`, else no problem. A screw that may bottom out is doubtful.
    """
    return tuple(
        _misfit(panel, hole, fit)
        for panel in bike.panels
        for hole in panel.holes
        for screw in [bike.fastener(hole.fastener)]
        for fit in [_worse(judge_fit(screw, hole), bottoms_out(screw, hole))]
        if fit.verdict >= Verdict.DOUBTFUL or (fit.verdict is Verdict.CANNOT_SAY and hole.behind)
    )


def _worse(fit: Fit, other: Fit | None) -> Fit:
    return other if other and other.verdict > fit.verdict else fit


def _misfit(panel: Panel, hole: Hole, fit: Fit) -> Problem:
    message = f"{panel.key}/{hole.id}: screw {hole.fastener} {_VERB[fit.verdict]}: {fit.reason}"
    if fit.verdict is Verdict.MUST_NOT and hole.behind:
        return error(
            message, hole.where, f"use a shorter screw here, or correct stack, room and length; mind the {hole.behind}"
        )
    if fit.verdict is Verdict.CANNOT_SAY:
        return warning(message, hole.where, f"give length, stack, depth and room, so that the {hole.behind} is safe")
    return warning(message, hole.where, "measure stack, depth and screw again; or another screw belongs here")


_VERB = {
    Verdict.CANNOT_SAY: "cannot be judged here",
    Verdict.DOUBTFUL: "is doubtful here",
    Verdict.MUST_NOT: "must not go into this hole",
}
