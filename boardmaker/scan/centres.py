"""The centre of a disc to a fraction of a pixel, from the greys of its edge.

Ink spread, blur and a lens that makes things darker act alike all around a disc: its centre of weight stays.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from boardmaker.scan.fit import Floats
from boardmaker.scan.picture import Picture
from boardmaker.scan.search import ROUND, measure_blob

WINDOW = 0.9  # half of the window's side, in diameters
BLUR = 1 / 12  # diameters; closes the dots of a grey print and leaves the centre of weight where it is
LEAST_CONTRAST = 25.0  # grey levels between ink and paper
COVERED = 0.7  # share of a disc's inside that is dark, for it to be there


def measure_centre(picture: Picture, place: complex, diameter: float) -> complex:
    """Return the centre of weight of the disc near `place`, mm of the picture; NaN where it is spoilt.

    Weight is darkness between paper (0) and ink (1) over all that hangs together with the disc, a little beyond its
    edge; dust beside it does not count. A disc that hangs together with a pen mark is no longer round: spoilt.
    """
    window, row, column = _window(picture, place, diameter)
    middle = _disc_in(window)
    if middle is None:
        return complex(np.nan)
    roundness, size, _ = measure_blob(middle, picture.pixels_per_mm)
    if roundness < ROUND or not 0.7 * diameter < size < 1.35 * diameter:
        return complex(np.nan)
    weights = _darkness(window, middle, picture, diameter)
    rows, columns = np.indices(weights.shape)
    whole = weights.sum()
    return picture.place(row + float((weights * rows).sum() / whole), column + float((weights * columns).sum() / whole))


def is_covered(picture: Picture, place: complex, diameter: float, ink: float) -> bool:
    """Say whether a disc of that diameter lies at `place`: most of its inside is darker than `ink`."""
    window, row, column = _window(picture, place, diameter)
    rows, columns = np.indices(window.shape)
    middle_row, middle_column = picture.pixel(place)
    across = (columns + column - middle_column) / picture.pixels_per_mm[0]
    down = (rows + row - middle_row) / picture.pixels_per_mm[1]
    inside = np.hypot(across, down) < 0.4 * diameter
    return bool(inside.any()) and bool((window[inside] < ink).mean() > COVERED)


def middle_grey(picture: Picture, place: complex, diameter: float) -> float:
    """Return the grey halfway between the ink and the paper of the disc at `place`."""
    window, _, _ = _window(picture, place, diameter)
    return _halfway(window)


def _window(picture: Picture, place: complex, diameter: float) -> tuple[Floats, int, int]:
    """Cut a square around a place out of the picture, smoothed a little; and the row and column where it starts."""
    row, column = picture.pixel(place)
    across, down = picture.pixels_per_mm
    top, left = (max(0, round(at - WINDOW * diameter * fine)) for at, fine in ((row, down), (column, across)))
    low, right = (max(0, round(at + WINDOW * diameter * fine) + 1) for at, fine in ((row, down), (column, across)))
    window = picture.grey[top:low, left:right].astype(np.float64)
    return ndimage.gaussian_filter(window, (BLUR * diameter * down, BLUR * diameter * across)), top, left


def _halfway(window: Floats) -> float:
    """A disc covers a quarter of its window, so both tenths are what they are called; darker things may lie beside."""
    ink, paper = np.percentile(window, (10, 80))
    return float(ink + paper) / 2


def _disc_in(window: Floats) -> NDArray[np.bool_] | None:
    """The dark thing in the middle of the window, which must not reach its edge; None where there is none."""
    if min(window.shape) < 5:
        return None
    labels, _ = ndimage.label(window < _halfway(window))
    number = labels[window.shape[0] // 2, window.shape[1] // 2]
    middle = labels == number
    edge = middle[0].any() or middle[-1].any() or middle[:, 0].any() or middle[:, -1].any()
    return None if number == 0 or edge else middle


def _darkness(window: Floats, middle: NDArray[np.bool_], picture: Picture, diameter: float) -> Floats:
    """Weight of each pixel: 0 paper to 1 ink, and 0 away from the disc."""
    reach = 2.5 * BLUR * diameter
    sampling = (1 / picture.pixels_per_mm[1], 1 / picture.pixels_per_mm[0])
    outside = ndimage.distance_transform_edt(~middle, sampling=sampling)
    inside = ndimage.distance_transform_edt(middle, sampling=sampling)
    around = (outside > reach) & (outside < 2 * reach)
    ink = np.median(window[inside > 0.25 * diameter])
    paper = np.percentile(window[around], 60) if around.any() else window.max()
    weights: Floats = ((paper - window) / max(float(paper - ink), 1.0)).clip(0.0, 1.0)
    weights[outside > reach] = 0.0
    return weights
