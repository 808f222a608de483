"""What the standards let pass: outside of a thread, length of a screw, heads."""

from __future__ import annotations

import pytest

from boardmaker.standards import parse_thread
from boardmaker.standards.deviations import (
    head_height_limits,
    head_limits,
    length_limits,
    major_diameter,
    shoulder_limits,
)


@pytest.mark.parametrize(
    ("thread", "smallest", "largest"),
    [("M4", 3.838, 3.978), ("M5", 4.826, 4.976), ("M6", 5.794, 5.974), ("M8", 7.760, 7.972), ("M10", 9.732, 9.968)],
)
def test_the_outside_of_a_thread_is_that_of_6g(thread, smallest, largest):
    """d min and d max, 6g, from a maker of parts (apporo.com); the standard rounds its tolerances to R40 numbers."""
    assert major_diameter(parse_thread(thread)) == pytest.approx((smallest, largest), abs=0.007)


@pytest.mark.parametrize(
    ("thread", "smallest", "largest"), [("M1.6", 1.496, 1.581), ("M6", 5.794, 5.974), ("M24", 23.577, 23.952)]
)
def test_small_and_large_threads_are_within_what_the_standard_rounds(thread, smallest, largest):
    """6g of ISO 965-2 (from memory): the upper limit to a micrometre, the lower to 3 of its rounded tolerance."""
    low, high = major_diameter(parse_thread(thread))
    assert high == pytest.approx(largest, abs=0.0005)
    assert low == pytest.approx(smallest, abs=0.0032)


def test_an_inch_thread_is_near_class_2a():
    """1/4-20 UNC 2A: 6.116 to 6.322 mm (0.2408 to 0.2489 in; from memory)."""
    assert major_diameter(parse_thread("1/4-20")) == pytest.approx((6.116, 6.322), abs=0.02)


def test_a_tapping_thread_is_at_most_its_size():
    """ISO 1478 gives d1 max as the size (from memory: 4.8 to 4.62 for ST4.8)."""
    assert major_diameter(parse_thread("ST4.8")) == pytest.approx((4.6, 4.8))


# IT15 of ISO 286-1 in mm: up to 3 mm 0.40, then up to 6, 10, 18, 30, 50, 80, 120, 180, 250 mm; each at both its ends
JS15 = [(2.9, 3, 0.40), (3.1, 6, 0.48), (6.1, 10, 0.58), (10.1, 18, 0.70), (18.1, 30, 0.84), (30.1, 50, 1.00),
        (50.1, 80, 1.20), (80.1, 120, 1.40), (120.1, 180, 1.60), (180.1, 250, 1.85)]  # fmt: skip


@pytest.mark.parametrize(("length", "half"), [(end, it15 / 2) for *ends, it15 in JS15 for end in ends])
def test_a_length_is_js15(length, half):
    """Half of IT15, as ISO 4759-1 wants it of a screw's length (both from memory)."""
    assert length_limits(length) == pytest.approx((length - half, length + half))


@pytest.mark.parametrize(
    ("shape", "largest", "smallest"),
    [
        ("flanged button", 9.4, 8.82),  # ISO 7380-2 M4, h15; from memory
        ("flanged button", 13.6, 12.9),  # M6, the same
        ("button", 10.5, 10.07),  # ISO 7380-1 M6, omdl 17bc90f
        ("pan", 8.0, 7.64),  # ISO 7045 M4, fullerfasteners.com
        ("cylinder", 10.0, 9.78),  # ISO 4762 M6, omdl 17bc90f
        ("countersunk", 8.96, 7.53),  # ISO 10642 M4, the theoretical head against the smallest real one; from memory
        ("countersunk", 13.44, 11.34),  # M6, the same
    ],
)
def test_a_real_head_lies_within_its_limits(shape, largest, smallest):
    """The largest as in `standards/tables`; where the smallest was read stands beside it."""
    low, high = head_limits(shape, largest)
    assert low <= smallest < largest <= high
    assert low > smallest - 0.5  # and not much wider


@pytest.mark.parametrize(("largest", "smallest"), [(3.3, 3.0), (4.4, 4.1), (2.2, 1.95), (8.0, 7.64), (3.65, 3.35)])
def test_a_real_head_is_as_high_as_its_limits_say(largest, smallest):
    """k max and min of ISO 7380, 4762 and 4014, M4 to M8, from omdl 17bc90f."""
    assert head_height_limits(largest)[0] <= smallest


def test_a_shoulder_and_the_height_of_a_head_have_one_tolerance_for_all_sizes():
    """A quarter of a millimetre either way (ISO 7379; from memory); 0.4 mm under the standard's maximum."""
    assert shoulder_limits(11.0) == pytest.approx((10.75, 11.25))
    assert head_height_limits(3.3) == pytest.approx((2.9, 3.3))
