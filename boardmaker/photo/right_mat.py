"""Whether the photos show the mat that they are read by: its codes must come out as large as they were printed.

In: tags as seen, cameras and mat as fitted. Out: nothing, or the reason to refuse. The fit would bend lens and scale
towards sheets of another paper, whose codes have the same numbers and stand at other distances, and the outline would
be some per cent off; the size of a code tells it, because on every sheet codes are equally large. And what is said of
the mat's scale.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from boardmaker.photo.asked import AskedOfPhotos
from boardmaker.photo.camera import Geometry, SeenPhoto
from boardmaker.photo.known_mat import Floats
from boardmaker.problems import ProblemsFound, error

SMALLEST, LARGEST = 0.92, 1.03  # of a code's side, as it comes out of the photos; blur and glare make it smaller
TRUE_ENOUGH = 0.005  # of a length, by which a printer may be off unsaid
SKEWEST = 0.03  # by which its width may differ from its height


def refuse_other_mat(photos: Sequence[SeenPhoto], geometry: Geometry) -> None:
    """Raise ProblemsFound where the codes say that these are sheets of another mat."""
    across, along = code_sides(photos, geometry)
    if min(across, along) >= SMALLEST and max(across, along) <= LARGEST and abs(across / along - 1.0) <= SKEWEST:
        return
    message = (
        "the photos show another mat than the one that they are read by: "
        f"its codes come out at {across:.0%} x {along:.0%} of their size"
    )
    hint = "--mat FILE: the mat.json of the mat that you printed; without it, --paper and --setup as they were then"
    raise ProblemsFound([error(message, hint=hint)])


def scale_said(geometry: Geometry, asked: AskedOfPhotos) -> str:
    """Return in words how the mat's scale is known; of a printer that is off, that boards want that put right first."""
    if not asked.measured:
        return "the mat taken as true to scale: sizes may be 2 % off without --measured"
    x, y = geometry.mat.scale
    off = max(abs(x - 1.0), abs(y - 1.0)) > TRUE_ENOUGH
    mend = ": it counts here, but run `boardmaker calibrate` before you print a board" if off else ""
    return f"the bars as measured (printed at {x:.2%} x {y:.2%}{mend})"


def code_sides(photos: Sequence[SeenPhoto], geometry: Geometry) -> tuple[float, float]:
    """Return how wide and high the codes come out, in parts of what they are: the median of all."""
    shares = []
    for photo, camera in zip(photos, geometry.cameras, strict=True):
        for number, corners in photo.tags.items():
            size = geometry.mat.mat.tags[number].size
            shares.append(_sides(camera.ground(corners)) / size / geometry.mat.scale)
    across, along = np.median(shares, axis=0)
    return float(across), float(along)


def _sides(corners: Floats) -> Floats:
    """Width and height of a code, from its corners clockwise from the upper left."""
    upper_left, upper_right, lower_right, lower_left = corners
    across = np.hypot(*(upper_right - upper_left)) + np.hypot(*(lower_right - lower_left))
    along = np.hypot(*(upper_left - lower_left)) + np.hypot(*(upper_right - lower_right))
    return np.array([across / 2, along / 2])
