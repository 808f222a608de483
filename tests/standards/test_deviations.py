"""What the standards let pass: outside of a thread, length of a screw, heads."""

from __future__ import annotations

import pytest

from boardmaker.standards import parse_thread
from boardmaker.standards.deviations import head_height_limits, head_limits, length_limits, major_diameter


@pytest.mark.parametrize(
    ("thread", "smallest", "largest"),
    [("M4", 3.838, 3.978), ("M5", 4.826, 4.976), ("M6", 5.794, 5.974), ("M8", 7.760, 7.972), ("M10", 9.732, 9.968)],
)
def test_the_outside_of_a_thread_is_that_of_6g(thread, smallest, largest):
    """d min and d max, 6g, from a maker of parts (apporo.com); the standard rounds its tolerances to R40 numbers."""
    assert major_diameter(parse_thread(thread)) == pytest.approx((smallest, largest), abs=0.007)


def test_an_inch_thread_is_near_class_2a():
    """1/4-20 UNC 2A: 6.116 to 6.322 mm (0.2408 to 0.2489 in; from memory)."""
    assert major_diameter(parse_thread("1/4-20")) == pytest.approx((6.116, 6.322), abs=0.02)


def test_a_tapping_thread_is_at_most_its_size():
    """ISO 1478 gives d1 max as the size (from memory: 4.8 to 4.62 for ST4.8)."""
    assert major_diameter(parse_thread("ST4.8")) == pytest.approx((4.6, 4.8))


@pytest.mark.parametrize(("length", "half"), [(6, 0.24), (10, 0.29), (16, 0.35), (20, 0.42), (30, 0.42), (85, 0.7)])
def test_a_length_is_js15(length, half):
    """Half of IT15 of ISO 286-1, as ISO 4759-1 wants it of a screw's length (both from memory)."""
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
