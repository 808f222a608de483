"""How well the packing engine does on one problem file, beside a packer that knows bounding boxes only.

    python tests/benchmarks/packing.py PROBLEM.json [--effort quick|normal|thorough] [--seed N] [--out RESULT.json]

In: `{"name", "board": [[x, y], ...], "keepouts": [ring, ...], "margin", "clearance", "items": [{"id", "type", "outline":
[[x, y], ...] in panel mm, "rotations": [0, 90, ...]}]}`; board, margin and clearance in mm. Out: scale, scale / area bound
(`sqrt(inner board area / sum of outline areas)`), seconds, peak memory, the judge's verdict, the bounding boxes' scale.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from boardmaker.packing import largest_scale, violations
from boardmaker.packing.problem import Effort, Item, Packing, Point, Pose, Region, Ring


@dataclass(frozen=True)
class Problem:
    """A problem file: its one region and its outlines in panel mm."""

    name: str
    region: Region
    clearance: float
    outlines: tuple[tuple[str, Ring, tuple[int, ...]], ...]

    def items_at(self, scale: float) -> tuple[Item, ...]:
        """All outlines at a scale, in all their turns."""
        return tuple(
            Item(key, tuple(Pose(turn, scaled(turned(outline, turn), scale)) for turn in turns))
            for key, outline, turns in self.outlines
        )

    def area_bound(self) -> float:
        """The scale at which the outlines would fill the board less its margin."""
        inner = shapely.Polygon(self.region.outline).buffer(-self.region.margin, join_style="mitre")
        for ring in self.region.keep_outs:
            inner = inner.difference(shapely.Polygon(ring).buffer(self.region.margin))
        return math.sqrt(inner.area / sum(shapely.Polygon(outline).area for _, outline, _ in self.outlines))


def read_problem(path: Path) -> Problem:
    """Read a problem file."""
    data: dict[str, Any] = json.loads(path.read_text())
    region = Region(ring_of(data["board"]), data["margin"], tuple(ring_of(ring) for ring in data["keepouts"]))
    outlines = tuple((item["id"], ring_of(item["outline"]), tuple(item["rotations"])) for item in data["items"])
    return Problem(data["name"], region, data["clearance"], outlines)


def ring_of(points: Sequence[Sequence[float]]) -> Ring:
    """Points of a file as a ring."""
    return tuple((float(x), float(y)) for x, y in points)


def turned(ring: Ring, turn_deg: int) -> Ring:
    """A ring turned by a multiple of 90 degrees, without rounding."""
    cosine, sine = ((1, 0), (0, 1), (-1, 0), (0, -1))[turn_deg // 90 % 4]
    return tuple((cosine * x - sine * y, sine * x + cosine * y) for x, y in ring)


def scaled(ring: Ring, scale: float) -> Ring:
    """A ring times a scale."""
    return tuple((scale * x, scale * y) for x, y in ring)


# --- bounding boxes ---------------------------------------------------------------------------------------------------


def bounding_box_scale(problem: Problem) -> float:
    """The largest scale at which bounding boxes fit by the maximal rectangles method, best short side fit.

    Boxes may turn if their item may; several orders are tried. Where the board is no rectangle, the boxes have to fit
    into the largest rectangles of its free cells. Jylänki, "A thousand ways to pack the bin" (2010).
    """
    low, high = 0.0, problem.area_bound()
    while high - low > 1e-4 * high:
        scale = (low + high) / 2
        low, high = (scale, high) if boxes_fit(problem, scale) else (low, scale)
    return low


def boxes_fit(problem: Problem, scale: float) -> bool:
    """Whether one of some usual orders places all boxes."""
    boxes = []
    for _, outline, turns in problem.outlines:
        width, height = (np.ptp(np.array(outline), axis=0) * scale + problem.clearance).tolist()
        boxes.append((width, height, any(turn % 180 for turn in turns) and any(turn % 180 == 0 for turn in turns)))
    orders = (lambda b: -b[0] * b[1], lambda b: -max(b[0], b[1]), lambda b: -min(b[0], b[1]), lambda b: -(b[0] + b[1]))
    return any(_place_all(sorted(boxes, key=order), _free_rectangles(problem)) for order in orders)


Rectangle = tuple[float, float, float, float]


def _free_rectangles(problem: Problem) -> list[Rectangle]:
    """The largest rectangles inside the outline less margin; half the clearance is added all around, as on the boxes."""
    inner = shapely.Polygon(problem.region.outline).buffer(-problem.region.margin, join_style="mitre")
    for ring in problem.region.keep_outs:
        inner = inner.difference(shapely.Polygon(ring).buffer(problem.region.margin, join_style="mitre"))
    corners = shapely.get_coordinates(inner)
    xs, ys = (sorted({*corners[:, axis], *np.linspace(*np.ptp_range(corners[:, axis]), 12)}) for axis in (0, 1))
    grown = problem.clearance / 2
    return [
        (x0 - grown, y0 - grown, x1 + grown, y1 + grown)
        for x0 in xs
        for x1 in xs
        for y0 in ys
        for y1 in ys
        if x0 < x1 and y0 < y1 and inner.buffer(1e-6).covers(shapely.box(x0, y0, x1, y1))
    ]
