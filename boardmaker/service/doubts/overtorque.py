"""Torques that are too much: for the thread and its class, or for the plastic that the screw goes into.

In: a bike. Out: problems. A torque is said to be doubtful, never corrected. Where no class is given the strongest that
there is stands for it: what even that cannot bear is wrong in any case. Threadlocker where it harms the plastic is told
here too, because it is found by the same look at what a screw goes into.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from boardmaker.model import Bike, Fastener, Hole, Panel, Torque, TorqueRow
from boardmaker.problems import Place, Problem, error, warning
from boardmaker.service.torque.preload import (
    DRY,
    NUT_FACTORS,
    OIL,
    REDUCED_HEAD,
    REDUCED_SHAPES,
    THREADLOCKER,
    WARNED_SHARE,
    WARNED_SHARE_WET,
    aimed_nm,
    highest_nm,
    judged_class,
    screw_loads,
    tapping_torque_nm,
    tension,
)
from boardmaker.standards import Thread

# N·m for each mm³ of diameter cubed, somewhat above what makers print for panels: ST4.8 into a boss 2.8 N·m, M5 in a
# well nut 2.0 N·m, M6 in a clip nut 7.8 N·m, M5 in an insert 5.0 N·m. Common practice, no source.
SOFT = {"plastic boss": 0.025, "well nut": 0.016, "clip nut": 0.036, "threaded insert": 0.04}
# What a threadlocker runs over on its way in. Anaerobic ones do not harden without metal and make thermoplastics crack
# under stress (Adhesives Magazine, 10 August 2018, on threadlockers for screws in plastics; makers' data sheets: "not
# for plastic parts, particularly thermoplastic materials where stress cracking could result").
CRACKED = ("plastic boss", "threaded insert", "clip nut", "well nut")


@dataclass(frozen=True)
class _Tightened:
    """Something that is tightened: a fastener or a torque row, with what is known of its screw."""

    name: str
    torque: Torque
    thread: Thread
    property_class: str
    head: str
    wet: str  # what is on the thread: a key of NUT_FACTORS
    where: Place | None
    holes: tuple[str, ...] = ()  # a fastener's

    @property
    def judged_class(self) -> str:
        """The class that it is held against."""
        return judged_class(self.thread, self.property_class)

    @property
    def factor(self) -> float:
        """K of T = K F d."""
        return NUT_FACTORS[self.wet]

    def share(self, torque_nm: float, bears: float) -> float:
        """Return the pull of a torque in N·m over what the screw bears in N."""
        return tension(torque_nm, self.thread.diameter, self.factor) / bears


def overtorqued(bike: Bike) -> tuple[Problem, ...]:
    """Return a problem for each fastener and torque row that is tightened beyond what it bears.

    An error above the proof load, a warning above 75 % of it (a range is judged by its middle, and by its upper end
    for the error), a warning for a torque that strips plastic and thin nuts, and one for threadlocker in plastic.
    """
    judged = (_judged(one) for one in (*_fasteners(bike), *_rows(bike)))
    return (*(problem for problem in judged if problem), *_soft(bike), *_cracked(bike))


def _fasteners(bike: Bike) -> Iterator[_Tightened]:
    for one in bike.fasteners:
        if one.torque and one.thread:
            head = "" if one.head.shape_assumed else one.head.shape  # only what the file says is held against it
            wet = DRY if one.threadlocker == "none" else THREADLOCKER
            name = f'fastener "{one.key}"'
            holes = tuple(f"{panel.key}/{hole.id}" for panel, hole in _places(bike, one))
            yield _Tightened(name, one.torque, one.thread, one.property_class, head, wet, one.where, holes)


def _rows(bike: Bike) -> Iterator[_Tightened]:
    for row in bike.torques:
        if row.thread:
            name = f'torque row "{row.key}"'
            yield _Tightened(name, row.torque, row.thread, row.property_class, "", _wet(row), row.where)


def _wet(row: TorqueRow) -> str:
    """What is on the thread: a lubricant that is asked for may well get there, whatever it is meant for."""
    return OIL if row.lubricate else DRY if row.threadlocker == "none" else THREADLOCKER


def _judged(one: _Tightened) -> Problem | None:
    breaks = tapping_torque_nm(one.thread)
    return _pulled(one) if breaks is None else _twisted(one, breaks)


def _twisted(one: _Tightened, breaks: float) -> Problem | None:
    """A tapping screw, which has no class: against the torque in N·m from which it may break.

    In use is half of it at most (mastik.pt, page 703 of a catalogue); what it goes into mostly bears less.
    """
    highest = highest_nm(one.torque)
    if highest <= breaks:
        return None
    screw = f"{one.name}: {highest:.4g} N·m for {one.thread.designation}{_in_holes(one)}"
    hint = "compare torque and thread with the maker's manual: in use is half of that at most"
    return error(f"{screw}: a tapping screw may break from {breaks:g} N·m", one.where, hint)


def _pulled(one: _Tightened) -> Problem | None:
    bears = screw_loads(one.thread, one.judged_class, one.head)
    if bears is None:
        return None
    highest, aimed = highest_nm(one.torque), aimed_nm(one.torque)
    if (share := one.share(highest, bears.proof)) > 1.0:
        message = f"{one.name}: {highest:.4g} N·m is {share:.0%} of the proof load of {_screw(one)}"
        pull = tension(highest, one.thread.diameter, one.factor)
        return error(f"{message}{_in_holes(one)}: it {bears.passed_words(pull)}", one.where, _hint(one))
    if (share := one.share(aimed, bears.proof)) > (WARNED_SHARE_WET if one.wet else WARNED_SHARE):
        message = f"{one.name}: {aimed:.4g} N·m is {share:.0%} of the proof load of {_screw(one)}"
        return warning(message, one.where, _hint(one))
    return None


def _in_holes(one: _Tightened) -> str:
    return f" ({_first(list(one.holes))})" if one.holes else ""


def _screw(one: _Tightened) -> str:
    """The screw, and the share that its head carries, so that the number can be worked out again."""
    own = one.judged_class == one.property_class
    name = f"class {one.property_class}" if own else f"even class {one.judged_class}, the strongest there is"
    head = f" with a {one.head} head, {REDUCED_HEAD:.0%} of the thread's" if one.head in REDUCED_SHAPES else ""
    return f"{one.thread.designation} of {name}{head}"


def _hint(one: _Tightened) -> str:
    state = f"a thread with {one.wet} on it" if one.wet else "a clean, dry steel thread"
    return (
        "compare torque, thread and class with the maker's manual "
        f"(tension F by T = K F d; the nut factor K = {one.factor:.2f} is for {state})"
    )


def _soft(bike: Bike) -> Iterator[Problem]:
    for fastener in bike.fasteners:
        for into, per_cube in SOFT.items():
            holes = _holes(bike, fastener, into)
            limit = per_cube * fastener.diameter**3 if fastener.thread else float("inf")
            if holes and fastener.torque and highest_nm(fastener.torque) > limit:
                yield _too_much_for(fastener, highest_nm(fastener.torque), limit, into, holes)


def _holes(bike: Bike, fastener: Fastener, into: str) -> list[str]:
    return [f"{panel.key}/{hole.id}" for panel, hole in _places(bike, fastener) if hole.into == into]


def _places(bike: Bike, fastener: Fastener) -> Iterator[tuple[Panel, Hole]]:
    for panel in bike.panels:
        yield from ((panel, hole) for hole in panel.holes if hole.fastener == fastener.key)


def _too_much_for(fastener: Fastener, torque_nm: float, limit: float, into: str, holes: list[str]) -> Problem:
    size = fastener.thread.designation if fastener.thread else ""
    return warning(
        f'fastener "{fastener.key}": {torque_nm:.4g} N·m is much for {size} in a {into} ({_first(holes)}); '
        f"in use is less than {limit:.3g} N·m",
        fastener.where,
        f"compare the torque with the maker's manual: a {into} strips, or turns in its seat",
    )


def _cracked(bike: Bike) -> Iterator[Problem]:
    for fastener in bike.fasteners:
        if fastener.threadlocker == "none":
            continue
        for into in CRACKED:
            if holes := _holes(bike, fastener, into):
                yield warning(
                    f'fastener "{fastener.key}": {fastener.threadlocker} threadlocker into a {into} ({_first(holes)}): '
                    "anaerobic threadlocker cracks thermoplastics",
                    fastener.where,
                    "where it sits in plastic, leave it off, or use what the maker's manual names; keep it off panels",
                )


def _first(holes: list[str]) -> str:
    return f"{holes[0]} and {len(holes) - 1} more" if len(holes) > 1 else holes[0]
