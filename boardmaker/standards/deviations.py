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

# Half of the standard tolerance IT15 up to each size in mm: ISO 4759-1 gives the length of a screw js15 (from memory).
_JS15_SIZES = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0)
_JS15 = (0.20, 0.24, 0.29, 0.35, 0.42, 0.50, 0.60, 0.70, 0.80, 0.925)

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


def length_limits(length: float) -> Limits:
    """Return the shortest and longest that a screw of this nominal length in mm may be: js15 (ISO 4759-1)."""
    half = _JS15[bisect_left(_JS15_SIZES, length)]
    return length - half, length + half


def shoulder_limits(size: float) -> Limits:
    """Return the smallest and largest that a shoulder's length or diameter of nominally `size` mm may be."""
    return size - SHOULDER, size + SHOULDER


def head_limits(shape: str, diameter: float) -> Limits:
    """Return the smallest and largest that a head may be whose standard tables `diameter` mm, its maximum."""
    return diameter * (1.0 - (SHARP_HEAD if shape in SHARP else HEAD)), diameter


def head_height_limits(height: float) -> Limits:
    """Return the smallest and largest that a head may be whose standard tables `height` mm, its maximum."""
    return height - HEAD_HEIGHT, height
