"""The outline as a bike file wants it: few points, as near to what was seen as it is exact.

In: a closed line with a place about every mm. Out: at most 120 points, at most 0.5 mm off where so few can do that.
"""

from __future__ import annotations

import numpy as np
from shapely import Polygon

from boardmaker.photo.known_mat import Floats

MOST_POINTS = 120
TOLERANCES = (0.08, 0.12, 0.16, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.0)  # mm; the first that is enough
SMOOTHING = 1.0  # places along the line, standard deviation: noise of the edge, no corner of a panel


def simplified(line: Floats) -> Floats:
    """Return the line's points, counter-clockwise; a line that crosses itself becomes its largest part."""
    reach = 4
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / SMOOTHING) ** 2)
    padded = np.vstack([line[-reach:], line, line[:reach]])
    smooth = np.column_stack([np.convolve(padded[:, k], kernel / kernel.sum(), "valid") for k in (0, 1)])
    shape = Polygon(smooth).buffer(0)
    if shape.geom_type != "Polygon":
        shape = max(shape.geoms, key=lambda part: part.area)
    shape = Polygon(shape.exterior)
    fewer = next((f for t in TOLERANCES if len((f := shape.simplify(t)).exterior.coords) <= MOST_POINTS + 1), shape)
    points = np.array(fewer.exterior.coords)[:-1]
    x, y = points.T
    return points if np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) > 0 else points[::-1]
