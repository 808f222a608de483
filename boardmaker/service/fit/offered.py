"""What is known of the fastener that is offered to a hole: one kind of the bike file, or one in the hand.

In: a `Fastener`, or a `Measured` with the fastener that belongs into the hole. Out: an `Offered`. Apart because the
judgement must not care where its numbers come from: a list, a file or a calliper. What is not known is None or "".
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from boardmaker.model import Fastener, Shoulder
from boardmaker.service.fit.recognition import Measured, compare
from boardmaker.standards import Thread
from boardmaker.standards.deviations import SHARP, length_limits

COARSEST = 1.0  # mm, a ruler: what is measured worse agrees with too many kinds


@dataclass(frozen=True)
class Offered:
    """A fastener as far as it is known; lengths in mm.

    `tolerance` is how much longer it may be than said; `outside` the diameter of a thread whose pitch is not known,
    good to `measuring`; `proper`: it is the one that belongs into the hole. `shoulder` is None for none, and for not
    known where `shoulder_known` is not set. `standard` is that of its part, for the length of its thread.
    """

    kind: str = ""
    thread: Thread | None = None
    threadless: bool = False
    outside: float | None = None
    measuring: float = 0.0
    length: float | None = None
    tolerance: float = 0.0
    shoulder: Shoulder | None = None
    shoulder_known: bool = True
    head: float | None = None
    head_shape: str = ""
    property_class: str = ""
    clip_hole: float | None = None
    standard: str = ""
    proper: bool = False
    in_hand: bool = False

    @property
    def is_threaded(self) -> bool:
        """Whether it surely has a thread."""
        return self.thread is not None or self.outside is not None


def offered_of(fastener: Fastener, own: Fastener) -> Offered:
    """Return what the bike file knows of a fastener, offered to a hole of `own`; what was assumed is not known."""
    head = fastener.head
    return Offered(
        kind=fastener.kind,
        thread=fastener.thread,
        threadless=fastener.thread is None,
        length=None if fastener.length_assumed else fastener.length,
        tolerance=length_tolerance(fastener.length, fastener.thread, fastener.standard),
        shoulder=fastener.shoulder,
        shoulder_known=fastener.shoulder is not None or fastener.kind != "shoulder screw",
        head=None if head.diameter_assumed else head.diameter,
        head_shape="" if head.shape_assumed else head.shape,
        property_class=fastener.property_class,
        clip_hole=fastener.hole,
        standard=fastener.standard,
        proper=fastener == own,
    )


def offered_in_hand(measured: Measured, own: Fastener) -> Offered:
    """Return what is known of the fastener in the hand.

    One that agrees with `own` in thread, length, head and drive, as far as the file gives them and none left out, is
    taken for it; so it must in a shoulder, in being countersunk (its length runs over everything), and in whatever else
    was measured. It keeps the longer of the two tips, and
    what was measured and the file does not give.
    """
    if not taken_for(measured, own):
        return _as_measured(measured)
    proper, length = offered_of(own, own), measured.length
    proper = replace(proper, property_class=measured.property_class or proper.property_class)
    if length is None:
        return proper
    if proper.length is None:
        return replace(proper, length=length, tolerance=measured.tolerance)
    longest = max(proper.length + proper.tolerance, length + measured.tolerance)
    return replace(proper, tolerance=longest - proper.length)


def taken_for(measured: Measured, own: Fastener) -> bool:
    """Whether the fastener in the hand is surely enough the one of the file; a clip by its kind and hole besides."""
    compared = {one.what: one for one in compare(measured, own)}
    asked = {
        "thread": True,
        "length": not own.length_assumed,
        "head": not own.head.diameter_assumed,
        "drive": bool(own.drive),
        "shoulder": own.shoulder is not None,
        "hole of the clip": own.hole is not None,
        "kind": own.thread is None,
        "head shape": own.head.shape in SHARP and not own.head.shape_assumed,
    }
    known = (measured.thread is not None or measured.threadless) and measured.tolerance <= COARSEST
    measured_all = all(what in compared for what, given in asked.items() if given)
    shape = compared.get("head shape")
    seen_alike = (
        shape is None or shape.off is not None
    )  # a head that was seen and is not in the file speaks for nothing
    return known and measured_all and seen_alike and all(one.agrees for one in compared.values())


def length_tolerance(length: float, thread: Thread | None, standard: str = "") -> float:
    """Return how much longer than nominal a fastener of this length in mm may be, by its standard."""
    return length_limits(length, thread=thread, standard=standard)[1] - length


def _as_measured(measured: Measured) -> Offered:
    """A screw in the hand stands for its kind: its tolerance is no less than that of the file's screws of its length.

    So `screw` never says better of one than `tally` and `check` say of the same.
    """
    length = measured.length
    shoulder = measured.shoulder
    return Offered(
        kind=measured.kind,
        thread=measured.thread,
        threadless=measured.threadless,
        outside=measured.diameter if measured.thread is None else None,
        measuring=measured.tolerance,
        length=length,
        tolerance=max(measured.tolerance, length_tolerance(length, measured.thread)) if length else 0.0,
        shoulder=Shoulder(shoulder, measured.shoulder_diameter or 0.0) if shoulder else None,
        shoulder_known=shoulder is not None,
        head=measured.head,
        head_shape=measured.head_shape,
        property_class=measured.property_class,
        clip_hole=measured.clip_hole,
        in_hand=True,
    )
