"""An outline as a drawing of its own, in the form that a bike file's `outline: { file: … }` reads.

In: a curve in the panel's frame, mm. Out: an SVG file in mm whose viewBox has its lower left at that frame's origin.
The numbers are written to a thousandth of a millimetre, the same bytes for the same curve.
"""

from __future__ import annotations

import math
from xml.sax.saxutils import escape

from shapely import Polygon
from shapely.geometry.polygon import orient

from boardmaker.geometry import Ring, bounds
from boardmaker.inputs.simple_rings import MOST_POINTS
from boardmaker.tracing.curve import Curve, curve_path, curve_ring

FINENESS = (0.005, 0.01, 0.015, 0.02, 0.05)  # mm; the first by which few enough points are left
AIR = 1.0  # mm of paper behind the right and upper edge


def plain_ring(ring: Ring) -> Ring:
    """Return the ring with no more points than a bike file's outline keeps, at most 0.05 mm off."""
    polygon = Polygon(ring)
    for fineness in FINENESS:
        if len(polygon.exterior.coords) - 1 <= MOST_POINTS:
            break
        polygon = Polygon(ring).simplify(fineness)
    points = list(orient(polygon).exterior.coords)[:-1]
    return tuple((round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in points)


def outline_svg(name: str, curve: Curve) -> bytes:
    """Return the drawing of a curve; parts of it left of or below the origin lie outside of the page, as they must."""
    _, _, x1, y1 = bounds(curve_ring(curve))
    width, height = (max(1.0, math.ceil(one + AIR)) for one in (x1, y1))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" overflow="visible">\n'
        f"  <title>{escape(name)}</title>\n"
        f'  <path d="{curve_path(curve, height)}" fill="none" stroke="black" stroke-width="0.5"/>\n'
        "</svg>\n"
    ).encode()
