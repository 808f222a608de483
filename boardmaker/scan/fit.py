"""The page as it lies in the picture: the affine map that takes the drawn discs to the seen ones, least squares.

Places are complex numbers, real part across, imaginary part up; a map is three of them: where the page's corner is and
where one mm along its x and its y leads.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import special

from boardmaker.geometry import Point

Places = NDArray[np.complex128]
Floats = NDArray[np.float64]

COVERAGE = 0.95
LEAST_DISCS = 5


@dataclass(frozen=True)
class PageFit:
    """The fitted map, the places that it was fitted to, and how well a pixel can be told (`grain`, mm, one sigma)."""

    drawn: Places
    seen: Places
    grain: float

    @cached_property
    def columns(self) -> Places:
        """Corner, x and y of the page on the picture."""
        return fit_columns(self.drawn, self.seen)

    @property
    def scale(self) -> Point:
        """Seen length by drawn length, across and along the page."""
        return float(abs(self.columns[1])), float(abs(self.columns[2]))

    @property
    def mean_scale(self) -> float:
        """One scale for both directions."""
        return math.sqrt(self.scale[0] * self.scale[1])

    @property
    def turn_deg(self) -> float:
        """How the page's x lies on the picture, counter-clockwise."""
        return math.degrees(np.angle(self.columns[1]))

    @property
    def skew_deg(self) -> float:
        """By how much the page's x and y are not square to each other."""
        return math.degrees(np.angle(self.columns[2] / self.columns[1])) - 90.0

    @property
    def residuals(self) -> Places:
        """From where the map has each disc to where it was seen, mm on the page."""
        return (self.seen - page_design(self.drawn) @ self.columns) / self.mean_scale

    @property
    def largest_residual(self) -> float:
        """Mm on the page."""
        return float(abs(self.residuals).max())

    @property
    def uncertainty(self) -> Point:
        """Half of the range of each `scale` that holds the true one in 95 of 100 cases (the case k = 2).

        Across and down the picture apart, because a scanner's lamp and its carriage err differently: the residuals'
        squares by the degrees of freedom (discs less 3) give a variance of one centre, to which the square of `grain`
        is added as a floor, because few residuals can be small by luck. It goes through the least squares into each
        column's components and from there, by the column's direction, into its length. Few degrees of freedom need a
        factor of more than 2: Student's. A scanner's own error of length moves all discs in step and cannot be seen.
        """
        freedom = len(self.drawn) - 3
        residuals = self.residuals * self.mean_scale
        across, down = (float(part @ part) / freedom + self.grain**2 for part in (residuals.real, residuals.imag))
        design = page_design(self.drawn)
        factors = np.diag(np.linalg.inv(design.T @ design))
        student = float(special.stdtrit(freedom, (1 + COVERAGE) / 2))
        directions = self.columns / abs(self.columns)
        variances = factors * (directions.real**2 * across + directions.imag**2 * down)
        return student * math.sqrt(variances[1]), student * math.sqrt(variances[2])


def fit_page(drawn: Places, seen: Places, grain: float, worst: float) -> PageFit:
    """Return the fit to all discs that were seen (not NaN).

    Where all were seen and one lies more than `worst` mm (on the page) off, and leaving out one mends that, it is left
    out. At least 5 discs must be left then, as one that is out of place among fewer would not show.
    """
    known = ~np.isnan(seen)
    whole = PageFit(drawn[known], seen[known], grain)
    if whole.largest_residual <= worst or not known.all() or len(drawn) <= LEAST_DISCS:
        return whole
    fewer = [PageFit(np.delete(drawn, number), np.delete(seen, number), grain) for number in range(len(drawn))]
    best = min(fewer, key=lambda fit: fit.largest_residual)
    return best if best.largest_residual <= worst else whole


def page_design(drawn: Places) -> Floats:
    """Return the rows by which a map's columns are multiplied to give places."""
    return np.column_stack([np.ones(len(drawn)), drawn.real, drawn.imag])


def fit_columns(drawn: Places, seen: Places) -> Places:
    """Return the map that takes `drawn` to `seen` best."""
    design = page_design(drawn).astype(np.complex128)
    return np.asarray(np.linalg.lstsq(design, seen, rcond=None)[0], dtype=np.complex128)
