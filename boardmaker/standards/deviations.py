"""How far a real fastener may be from its nominal sizes: thread, length, shoulder and head as they come off the shelf.

In: a thread or a nominal size in mm. Out: the smallest and the largest size in mm that the standard lets pass. Apart
because only a fastener that is measured asks for them; what is drawn and judged goes by the nominal size.
"""

from __future__ import annotations

from bisect import bisect_left

from boardmaker.standards.threads import Thread

TAPPING_BELOW = 0.2  # mm that a tapping thread may be thinner than its size (ISO 1478; from memory)
SHOULDER = 0.25  # mm, of a shoulder's length or diameter (the length of ISO 7379; from memory)
HEAD_HEIGHT = 0.4  # mm below the maximum; the largest of ISO 7045, 7380-1, 7380-2 and 4762 up to M8 is 0.36
HEAD = 0.065  # of a head's largest diameter: ISO 7380-2 M4 is 9.4 to 8.82 mm, 6.2 %; the other round heads have less
SHARP_HEAD = 0.165  # the same of a countersunk head, tabled with a sharp edge: ISO 10642 M4 is 8.96 to 7.53 mm
SHARP = ("countersunk", "raised countersunk")

# Standard tolerances IT15, IT16 and IT17 up to each size in mm (ISO 286-1; from memory, and as far as 200 mm in the
# tables of lengths of the FreeCAD Fasteners workbench); a length lies within half of it either way: js15, js16, js17.
_SIZES = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0)
_TOLERANCES = {
    15: (0.40, 0.48, 0.58, 0.70, 0.84, 1.00, 1.20, 1.40, 1.60, 1.85, 2.10, 2.30, 2.50, 2.80, 3.20, 3.60),
    16: (0.60, 0.75, 0.90, 1.10, 1.30, 1.60, 1.90, 2.20, 2.50, 2.90, 3.20, 3.60, 4.00, 4.40, 5.00, 5.60),
    17: (1.00, 1.20, 1.50, 1.80, 2.10, 2.50, 3.00, 3.50, 4.00, 4.60, 5.20, 5.70, 6.30, 7.00, 8.00, 9.00),
}
FINE_LENGTH = 50.0  # mm up to which every standard of a screw here has js15
GRADE_A_LENGTH = 150.0  # mm, and 10 d: a longer hexagon bolt is of product grade B (ISO 4014, bigboltnut.com)
GRADE_A_DIAMETERS = 10.0
SOCKET = ("ISO 4762", "ISO 7380-1", "ISO 7380-2", "ISO 10642", "ISO 14581")  # js15 at every length
HEXAGON = (  # js15 in grade A, js17 in grade B
    "ISO 4014", "ISO 4017", "ISO 4162", "EN 1662", "EN 1665", "ISO 15071", "JIS B 1189", "JIS B 1180 small",
)  # fmt: skip
# A tapping screw: up to each length in mm, how much shorter (a flat point) and longer (a cone point) it may be
# (ISO 7049: FreeCAD Fasteners workbench 703a495b).
TAPPING_LENGTHS = ((19.0, 0.8, 0.8), (25.0, 1.3, 0.8), (38.0, 1.3, 1.3), (float("inf"), 1.5, 1.3))

Limits = tuple[float, float]


def major_diameter(thread: Thread) -> Limits:
    """Return the smallest and largest outside diameter in mm of a screw with this thread.

    Metric by ISO 965-1, 6g: es = -(15 + 11 P) and Td = 180 P^(2/3) - 3.15/√P in micrometres. Inch threads too: for
    them class 2A of ASME B1.1 is within 0.02 mm of it (1/4-20 is 6.116 to 6.322 mm; from memory).
    """
    if thread.system == "tapping":
        return thread.diameter - TAPPING_BELOW, thread.diameter
    pitch = thread.pitch
    largest = thread.diameter - (15.0 + 11.0 * pitch) / 1000.0
    return largest - (180.0 * pitch ** (2 / 3) - 3.15 / pitch**0.5) / 1000.0, largest


def length_limits(length: float, *, thread: Thread | None = None, standard: str = "") -> Limits:
    """Return the shortest and longest that a screw of this nominal length in mm may be (ISO 4759-1).

    `standard` as in `Part.standard`. Socket screws: js15. Hexagon bolts: js15, but js17 where they are of product grade
    B, longer than 150 mm or 10 d. Recessed screws: js15 up to 50 mm, js16 above. Without a standard the widest of these
    that does not ask for the thread: js15 up to 50 mm, js16 up to 150 mm, js17 above. A tapping thread has its own.
    """
    if thread is not None and thread.system == "tapping":
        _, shorter, longer = next(limit for limit in TAPPING_LENGTHS if length <= limit[0])
        return length - shorter, length + longer
    half = _TOLERANCES[_length_grade(length, thread, standard)][bisect_left(_SIZES, length)] / 2
    return length - half, length + half


def _length_grade(length: float, thread: Thread | None, standard: str) -> int:
    if standard in HEXAGON:
        grade_b = thread is not None and length > GRADE_A_DIAMETERS * thread.diameter
        return 17 if grade_b or length > GRADE_A_LENGTH else 15
    if length <= FINE_LENGTH or standard in SOCKET:
        return 15
    return 17 if not standard and length > GRADE_A_LENGTH else 16


def shoulder_limits(size: float) -> Limits:
    """Return the smallest and largest that a shoulder's length or diameter of nominally `size` mm may be."""
    return size - SHOULDER, size + SHOULDER


def head_limits(shape: str, diameter: float) -> Limits:
    """Return the smallest and largest that a head may be whose standard tables `diameter` mm, its maximum."""
    return diameter * (1.0 - (SHARP_HEAD if shape in SHARP else HEAD)), diameter


def head_height_limits(height: float) -> Limits:
    """Return the smallest and largest that a head may be whose standard tables `height` mm, its maximum."""
    return height - HEAD_HEIGHT, height
