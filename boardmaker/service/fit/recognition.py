"""Which of the file's fasteners is the one in the hand? What was measured, held against what the file gives.

In: a `Measured`, a `Bike`. Out: a `Match` for every kind, the best first. Apart from the arithmetic of screw and hole
because knowing a screw and knowing whether it suits a hole are two questions. What the file does not give, or what the
program assumed, is unknown: it speaks neither for nor against a kind.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from boardmaker.model import Bike, Fastener
from boardmaker.standards import Thread
from boardmaker.standards.deviations import (
    Limits,
    head_height_limits,
    head_limits,
    length_limits,
    major_diameter,
    shoulder_limits,
)

WORN = 0.2  # mm that paint adds to a head or wear takes from it; common practice, no source
WRONG_THREAD = 10.0  # mm that another thread counts for: the nearest kind is rather one that goes into the same hole
FILE_HEAD = 0.3  # mm; a head whose size somebody measured, not a standard's maximum; common practice, no source


@dataclass(frozen=True)
class Measured:
    """What is known of the fastener in the hand; None and "" where nothing is. Lengths in mm.

    `diameter` is the outside of a thread whose pitch was not measured; `threadless` is a clip or a rivet, `clip_hole`
    the hole that it goes into. A `shoulder` of 0 says that there is none. `kind`, `head_shape` and `property_class` are
    words of the bike file. `tolerance` is how far off each measurement may be.
    """

    thread: Thread | None = None
    diameter: float | None = None
    threadless: bool = False
    length: float | None = None
    shoulder: float | None = None
    shoulder_diameter: float | None = None
    head: float | None = None
    head_height: float | None = None
    drive: str = ""
    kind: str = ""
    head_shape: str = ""
    property_class: str = ""
    clip_hole: float | None = None
    tolerance: float = 0.2


@dataclass(frozen=True)
class Comparison:
    """One thing that was measured, beside what the file says: `off` in mm, also for a word; None: unknown.

    `agrees` allows for the measuring tolerance and for what the standard lets pass.
    """

    what: str
    measured: str
    filed: str
    off: float | None
    agrees: bool


@dataclass(frozen=True)
class Match:
    """One kind of fastener with every comparison."""

    fastener: Fastener
    comparisons: tuple[Comparison, ...]

    @property
    def agreeing(self) -> tuple[Comparison, ...]:
        """What speaks for this kind."""
        return tuple(one for one in self.comparisons if one.off is not None and one.agrees)

    @property
    def differing(self) -> tuple[Comparison, ...]:
        """What speaks against it."""
        return tuple(one for one in self.comparisons if not one.agrees)

    @property
    def unknown(self) -> tuple[Comparison, ...]:
        """What the file does not say."""
        return tuple(one for one in self.comparisons if one.off is None)

    @property
    def off(self) -> float:
        """How far the measurements are from the file's values together."""
        return sum(one.off for one in self.comparisons if one.off is not None)


def recognise(measured: Measured, bike: Bike) -> tuple[Match, ...]:
    """Return every kind of the file: fewest differences first, then most agreements, then the nearest numbers."""
    matches = [Match(fastener, compare(measured, fastener)) for fastener in bike.fasteners]
    return tuple(sorted(matches, key=lambda match: (len(match.differing), -len(match.agreeing), match.off)))


def compare(measured: Measured, fastener: Fastener) -> tuple[Comparison, ...]:
    """Hold everything that was measured against what the file gives of one kind."""
    return tuple(_comparisons(measured, fastener))


def _comparisons(measured: Measured, fastener: Fastener) -> Iterator[Comparison]:
    yield from _thread(measured, fastener)
    if measured.length is not None:
        limits = None if fastener.length_assumed else _length_limits(fastener)
        yield _size("length", measured.length, fastener.length, limits, measured.tolerance)
    yield from _shoulder(measured, fastener)
    yield from _head(measured, fastener)
    yield from _words(measured, fastener)


def _length_limits(fastener: Fastener) -> Limits:
    return length_limits(fastener.length, thread=fastener.thread, standard=fastener.standard)


def _words(measured: Measured, fastener: Fastener) -> Iterator[Comparison]:
    """What is seen or read and not measured; a word that differs counts for 1 mm."""
    shape = "" if fastener.head.shape_assumed else fastener.head.shape
    for what, seen, filed in (
        ("drive", measured.drive, fastener.drive),
        ("kind", measured.kind, fastener.kind),
        ("head shape", measured.head_shape, shape),
        ("class", measured.property_class, fastener.property_class),
    ):
        if seen:
            differs = bool(filed) and _as_seen(seen) != _as_seen(filed)
            yield Comparison(what, seen, filed, float(differs) if filed else None, not differs)
    if measured.clip_hole is not None:
        own = fastener.hole
        limits = None if own is None else (own, own)
        yield _size("hole of the clip", measured.clip_hole, own or 0.0, limits, measured.tolerance)


def _as_seen(word: str) -> str:
    """The two crosses of drives look alike to whoever does not know both (common practice, no source)."""
    return word.replace("JIS ", "PH")


def _thread(measured: Measured, fastener: Fastener) -> Iterator[Comparison]:
    own = fastener.thread
    filed = own.designation if own else "no thread"
    if measured.threadless:
        yield Comparison("thread", "none", filed, WRONG_THREAD * (own is not None), own is None)
    elif measured.thread is not None:
        same = own is not None and own.designation == measured.thread.designation
        yield Comparison("thread", measured.thread.designation, filed, WRONG_THREAD * (not same), same)
    elif measured.diameter is not None and own is None:
        yield Comparison("thread", f"{measured.diameter:.4g} mm", filed, WRONG_THREAD, False)
    elif measured.diameter is not None and own is not None:
        yield compare_outside(measured.diameter, measured.tolerance, own)


def compare_outside(diameter: float, tolerance: float, own: Thread) -> Comparison:
    """Hold a measured outside diameter against a thread: its own limits (6g), its nominal size, and the tolerance."""
    low, _ = major_diameter(own)
    # a mechanic who types 6 means the nominal size, which a real thread never quite has
    return _size("thread", diameter, own.diameter, (low, own.diameter), tolerance, own.designation)


def _shoulder(measured: Measured, fastener: Fastener) -> Iterator[Comparison]:
    """No shoulder in the file is none on the screw, unless its kind says that there must be one."""
    own = fastener.shoulder
    unsaid = own is None and fastener.kind == "shoulder screw"
    if measured.shoulder is not None:
        length = own.length if own else 0.0
        limits = None if unsaid else shoulder_limits(length) if own else (0.0, 0.0)
        yield _size("shoulder", measured.shoulder, length, limits, measured.tolerance, "" if own else "no shoulder")
    if measured.shoulder_diameter is not None:
        across = own.diameter if own else 0.0
        limits = None if unsaid else shoulder_limits(across) if own else (0.0, 0.0)
        name = "" if own else "no shoulder"
        yield _size("shoulder diameter", measured.shoulder_diameter, across, limits, measured.tolerance, name)


def _head(measured: Measured, fastener: Fastener) -> Iterator[Comparison]:
    head = fastener.head
    allowed = measured.tolerance + WORN
    if measured.head is not None:
        by_standard = head_limits(head.shape, head.diameter)
        by_hand = head.diameter - FILE_HEAD, head.diameter + FILE_HEAD
        limits = None if head.diameter_assumed else by_standard if fastener.part else by_hand
        yield _size("head", measured.head, head.diameter, limits, allowed)
    if measured.head_height is not None:
        by_hand = head.height - FILE_HEAD, head.height + FILE_HEAD
        known = head_height_limits(head.height) if fastener.part else by_hand
        limits = None if head.height_assumed else known
        yield _size("head height", measured.head_height, head.height, limits, allowed)


def _size(
    what: str, measured: float, filed: float, limits: Limits | None, tolerance: float, name: str = ""
) -> Comparison:
    said = f"{measured:.4g} mm"
    if limits is None:
        return Comparison(what, said, "", None, True)
    agrees = limits[0] - tolerance - 1e-9 <= measured <= limits[1] + tolerance + 1e-9
    return Comparison(what, said, name or f"{filed:.4g} mm", abs(measured - filed), agrees)
