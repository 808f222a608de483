"""What to set on a torque wrench with an adapter on, against published examples."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardmaker.service.torque.adapter import Adapter

BOUNDED = settings(max_examples=200, deadline=None, derandomize=True, database=None)


@pytest.mark.parametrize(
    ("true", "wrench", "adapter", "angle", "published"),
    [
        (20.0, 12.0, 3.0, 0.0, 16.0),  # azmanual.top 699226 page 2, a tool maker's manual
        (50.0, 16.0, 2.0, 0.0, 44.44),  # Performance Tool M199, manual page 7
        (50.0, 16.0, 2.0, 90.0, 50.0),  # the same page: square to the wrench nothing changes
        (30.0, 12.0, 6.0, 0.0, 20.0),  # torqwrench.com extens.php, a dealer of torque wrenches
    ],
)
def test_published_examples(true, wrench, adapter, angle, published):
    """T L / (L + E cos a), in any unit of length and torque."""
    assert true * Adapter(wrench, adapter, angle).share == pytest.approx(published, abs=0.05)


def test_an_adapter_that_points_back_asks_for_more():
    """By the lever: the hand pulls at 240 mm from the nut, the wrench measures at 300 mm."""
    assert Adapter(300.0, 60.0, 180.0).share == pytest.approx(300 / 240)
    with pytest.raises(ValueError, match="beyond the grip"):
        _ = Adapter(300.0, 300.0, 180.0).share


def test_straight_on_is_what_an_adapter_does_where_no_angle_is_given():
    """12 / (12 + 3), the first of the published examples."""
    assert Adapter(12.0, 3.0).share == pytest.approx(0.8)


@pytest.mark.parametrize("angle", [90.0, 270.0, -90.0])
def test_square_to_either_side_changes_nothing_at_all(angle):
    """Exactly 1, so that nothing is printed as changed; a short wrench with a long adapter would show a rest."""
    assert Adapter(10.0, 900.0, angle).share == 1.0


def test_any_lever_above_nothing_has_a_setting():
    """Half a millimetre of lever: 300 / 0.5."""
    assert Adapter(300.0, 299.5, 180.0).share == pytest.approx(600.0)


lengths = st.floats(10.0, 900.0)


@BOUNDED
@given(lengths, lengths, st.floats(0.0, 89.0))
def test_moments_balance(wrench, adapter, angle):
    """The hand pulls square to the wrench until it clicks: the moment of that about the nut is the true torque."""
    drive, hand = 0j, complex(-wrench, 0.0)
    nut = drive + cmath.rect(adapter, math.radians(angle))
    force = complex(0.0, Adapter(wrench, adapter, angle).share / wrench)  # for 1 N·m at the nut
    arm = hand - nut
    assert abs(arm.real * force.imag - arm.imag * force.real) == pytest.approx(1.0)


@BOUNDED
@given(lengths, lengths)
def test_a_longer_adapter_asks_for_less(wrench, adapter):
    """And none, or one square to the wrench, for no change."""
    assert Adapter(wrench, adapter * 1.1).share < Adapter(wrench, adapter).share < 1.0
    assert Adapter(wrench, adapter, 90.0).share == 1.0
