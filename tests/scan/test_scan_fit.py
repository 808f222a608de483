"""The fit of the page to the disc centres, apart from pictures: its numbers against chance and against arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scan_samples import A4, marks_for

from boardmaker.scan.fit import PageFit, fit_page

DRAWN = np.array([complex(*place) for place in marks_for(A4).places])


def laid(scale, turn_deg, corner=0j):
    """Where the drawn discs lie on the picture: plain arithmetic."""
    return corner + (DRAWN.real * scale[0] + 1j * DRAWN.imag * scale[1]) * np.exp(1j * np.radians(turn_deg))


@given(
    st.tuples(st.floats(0.9, 1.1), st.floats(0.9, 1.1)),
    st.floats(-179, 179),
    st.complex_numbers(max_magnitude=1000),
)
def test_a_page_without_errors_comes_back_exactly(scale, turn, corner):
    """Whatever stretch, turn and place."""
    fit = fit_page(DRAWN, laid(scale, turn, corner), 0.0, 0.2)
    assert fit.scale == pytest.approx(scale, abs=1e-9)
    assert fit.turn_deg == pytest.approx(turn, abs=1e-6)
    assert fit.skew_deg == pytest.approx(0, abs=1e-6)
    assert fit.largest_residual < 1e-6


@pytest.mark.parametrize(("across", "down"), [(0.05, 0.05), (0.1, 0.01), (0.01, 0.1)])
@pytest.mark.parametrize("missing", [None, 2])
def test_95_of_100_ranges_hold_the_true_scale(across, down, missing):
    """With normal errors of the centres, also where they differ across and down the picture; 1500 cases each."""
    chance = np.random.default_rng(3)
    drawn = DRAWN if missing is None else np.delete(DRAWN, missing)
    seen = laid((1.01, 0.98), 1.0)
    seen = seen if missing is None else np.delete(seen, missing)
    held = np.zeros(2)
    for _ in range(1500):
        errors = chance.normal(0, across, len(drawn)) + 1j * chance.normal(0, down, len(drawn))
        fit = PageFit(drawn, seen + errors, 0.0)
        held += [
            abs(scale - true) <= within
            for scale, true, within in zip(fit.scale, (1.01, 0.98), fit.uncertainty, strict=True)
        ]
    assert held / 1500 == pytest.approx([0.95, 0.95], abs=0.02)


def test_the_uncertainty_has_a_floor():
    """Centres that fit by luck say no more than pixels can: Student's t 2.776 for 4 degrees (tables, from memory)."""
    fit = PageFit(DRAWN, laid((1.0, 1.0), 0.0), 0.01)
    spread = np.sqrt(((DRAWN.real - DRAWN.real.mean()) ** 2).sum())
    assert fit.uncertainty[0] >= 2.776 * 0.01 / spread * 0.999
    assert fit.uncertainty[0] == pytest.approx(2.776 * 0.01 / spread, rel=0.1)


@pytest.mark.parametrize("number", range(7))
def test_the_disc_that_is_out_of_place_is_the_one_left_out(number):
    """Whichever it is."""
    seen = laid((1.01, 0.98), 20.0)
    seen[number] += 0.8 - 0.5j
    fit = fit_page(DRAWN, seen, 0.0, 0.2)
    assert set(range(7)) - {int(abs(DRAWN - one).argmin()) for one in fit.drawn} == {number}
    assert fit.scale == pytest.approx((1.01, 0.98), abs=1e-9)


def test_two_discs_out_of_place_are_not_smoothed_over():
    """Then the page was not flat, and its residuals say so."""
    seen = laid((1.0, 1.0), 0.0)
    seen[0] += 0.8
    seen[3] += 0.8
    fit = fit_page(DRAWN, seen, 0.0, 0.2)
    assert len(fit.drawn) == 7
    assert fit.largest_residual > 0.2


def test_none_is_left_out_where_one_is_missing_already():
    """Six discs with one out of place are not five good ones."""
    seen = laid((1.0, 1.0), 0.0)
    seen[0] += 1.0
    seen[3] = np.nan
    assert len(fit_page(DRAWN, seen, 0.0, 0.2).drawn) == 6
