"""How far up a screw its thread runs, and so how long the plain shank below its head is.

In: a thread, a length in mm and the standard of the part, if one is known. Out: mm of thread from the tip, or None
where it runs up to the head. Apart because only a screw that clamps something asks: no head, no drive goes with it.

Table: `thread_lengths`, which rule a standard follows. *bolt*, ISO 888: b = 2d + 6 mm up to a length of 125 mm,
2d + 12 up to 200, 2d + 25 above. *cap*, socket screws: 2d + 12 mm. *recessed*: at least 25 mm up to M3, 38 mm above.
*full*: up to the head. A screw too short for a shank is threaded up to the head in all of them.
"""

from __future__ import annotations

from boardmaker.standards.heads import part_standards
from boardmaker.standards.reading import read_table
from boardmaker.standards.threads import MM_PER_INCH, Thread

RUNOUT = 5.0  # pitches that the thread may end sooner than b says: ls = lg - 5P, as in the tables of ISO 4014 and 4762
LEAST_SHANK = 0.5  # thread diameters; a shorter shank is left out (ISO 888: andrewsfasteners.uk, in other words)
SMALL_RECESSED = 3.0  # mm of thread diameter up to which a recessed screw has the shorter thread
# Longest recessed screw that is threaded up to the head, for small ones, others, other countersunk ones (from memory)
FULL_RECESSED = (30.0, 40.0, 45.0)
SUNK = ("countersunk", "raised countersunk")


def thread_length(thread: Thread, length: float, standard: str = "") -> float | None:
    """Return the mm of thread from the tip of a screw of this nominal length in mm, or None: up to the head.

    `length` less this is the most that is not threaded (a countersunk head counts in it, as in the length). `standard`
    as in `Part.standard`; without one, or with one that is not in the table, the thread is that of a bolt of ISO 888,
    so ask for bolts only. Inch bolts: ASME B18.2.1. No errors.
    """
    rule = {row["standard"]: row["rule"] for row in read_table("thread_lengths")}.get(standard, "bolt")
    if rule == "full" or thread.system == "tapping":
        return None
    sunk = part_standards()[standard]["head_shape"] in SUNK if standard in part_standards() else False
    if rule == "recessed":
        return _recessed(thread.diameter, length, sunk=sunk)
    threaded = 2 * thread.diameter + (12.0 if rule == "cap" else _added(thread, length))
    shank = length - threaded - RUNOUT * thread.pitch - (_head_height(standard, thread.diameter) if sunk else 0.0)
    return threaded if shank >= LEAST_SHANK * thread.diameter else None


def _added(thread: Thread, length: float) -> float:
    """How much longer than 2 d a thread is: ISO 888, or ASME B18.2.1 (1/4 in up to 6 in, then 1/2: from memory)."""
    if thread.system == "inch":
        return MM_PER_INCH / (4.0 if length <= 6 * MM_PER_INCH else 2.0)
    return 6.0 if length <= 125.0 else 12.0 if length <= 200.0 else 25.0


def _recessed(diameter: float, length: float, *, sunk: bool) -> float | None:
    small, other, other_sunk = FULL_RECESSED
    if diameter <= SMALL_RECESSED:
        return 25.0 if length > small else None
    return 38.0 if length > (other_sunk if sunk else other) else None


def _head_height(standard: str, diameter: float) -> float:
    """Height of a standard's head at this thread in mm, 0 where the table does not have the size."""
    rows = read_table(part_standards()[standard]["table"])
    return next((float(row["k_max"]) for row in rows if float(row["d"]) == diameter), 0.0)
