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


# l min and l max in mm, read in the FreeCAD Fasteners workbench (FsData): iso4762def.csv at e589bcb8
SOCKET = {3: (2.8, 3.2), 6: (5.76, 6.24), 10: (9.71, 10.29), 16: (15.65, 16.35), 30: (29.58, 30.42), 50: (49.5, 50.5),
          55: (54.4, 55.6), 80: (79.4, 80.6), 120: (119.3, 120.7), 160: (159.2, 160.8),
          200: (199.1, 200.9)}  # fmt: skip
# iso1207def.csv at e589bcb8 (ISO 1207 and 14580; the same in its tables of ISO 2009, 7045 and 7046)
RECESSED = {4: (3.76, 4.24), 20: (19.58, 20.42), 50: (49.5, 50.5), 55: (54.05, 55.95), 80: (79.05, 80.95)}
# iso4014length.csv at 918dc6a0: the two lengths that it has in grade B; EN 14399-4 on bigboltnut.com has js17 too
GRADE_B = {240: (237.7, 242.3), 500: (496.85, 503.15)}
# iso7049length.csv at 703a495b: cone point and flat point; here the wider of both
TAPPING = {4.5: (3.7, 5.3), 9.5: (8.7, 10.3), 13: (12.2, 13.8), 19: (18.2, 19.8), 22: (20.7, 22.8), 25: (23.7, 25.8),
           32: (30.7, 33.3), 38: (36.7, 39.3), 45: (43.5, 46.3), 50: (48.5, 51.3)}  # fmt: skip


@pytest.mark.parametrize("length", sorted(SOCKET))
def test_a_socket_screw_is_js15_at_every_length(length):
    """The tables round 199.075 to 199.1."""
    assert length_limits(length, standard="ISO 4762") == pytest.approx(SOCKET[length], abs=0.026)


@pytest.mark.parametrize("length", sorted(RECESSED))
def test_a_recessed_screw_is_js16_above_50_mm(length):
    """Also one whose standard is not known, up to 150 mm."""
    assert length_limits(length, standard="ISO 7045") == pytest.approx(RECESSED[length])
    assert length_limits(length) == pytest.approx(RECESSED[length])


@pytest.mark.parametrize("length", sorted(GRADE_B))
def test_a_long_bolt_is_js17(length):
    """Product grade B; the same where no standard is known."""
    assert length_limits(length, standard="ISO 4014") == pytest.approx(GRADE_B[length])
    assert length_limits(length) == pytest.approx(GRADE_B[length])


def test_a_bolt_is_of_grade_a_up_to_ten_diameters_and_150_mm():
    """ISO 4014 (studbolts.com on AS 1110 part 1): grade B over 10 d or 150 mm, whichever is shorter."""
    assert length_limits(60, thread=parse_thread("M6"), standard="ISO 4014") == pytest.approx((59.4, 60.6))
    assert length_limits(61, thread=parse_thread("M6"), standard="ISO 4014") == pytest.approx((59.5, 62.5))
    assert length_limits(150, thread=parse_thread("M20"), standard="ISO 4017") == pytest.approx((149.2, 150.8))
    assert length_limits(151, thread=parse_thread("M20"), standard="ISO 4017") == pytest.approx((149.0, 153.0))


@pytest.mark.parametrize("length", sorted(TAPPING))
def test_a_tapping_screw_has_limits_of_its_own(length):
    """ISO 7049, whatever its point."""
    assert length_limits(length, thread=parse_thread("ST4.2")) == pytest.approx(TAPPING[length])


def test_no_length_is_too_long_to_be_asked():
    """Parts may be up to 1000 mm long."""
    assert length_limits(999) == pytest.approx((994.5, 1003.5))


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
