"""How well the packing engine does on one problem file, beside a packer that knows bounding boxes only.

    python tests/benchmarks/packing.py PROBLEM.json [--effort quick|normal|thorough] [--seed N] [--out RESULT.json]

In: `{"name", "board": [[x, y], ...], "keepouts": [ring, ...], "margin", "clearance", "items": [{"id", "type",
"outline": [[x, y], ...] in panel mm, "rotations": [0, 90, ...]}]}`; board, margin and clearance in mm. Out: scale,
scale / area bound (`sqrt(inner board area / sum of outline areas)`), seconds, peak memory, the judge's verdict, and the
scale that bounding boxes reach.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from boardmaker.packing import largest_scale, violations
from boardmaker.packing.problem import Effort, Item, Packing, Pose, Region, Ring
from boardmaker.packing.shapes import Floats


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


Box = tuple[float, float, bool]  # width, height, may turn
Rectangle = tuple[float, float, float, float]  # left, bottom, right, top

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
    boxes: list[Box] = []
    for _, outline, turns in problem.outlines:
        width, height = (np.ptp(np.array(outline), axis=0) * scale + problem.clearance).tolist()
        boxes.append((width, height, any(turn % 180 for turn in turns) and any(turn % 180 == 0 for turn in turns)))
    free = _free_rectangles(problem)
    sizes: tuple[Callable[[Box], float], ...] = (
        lambda box: box[0] * box[1],
        lambda box: max(box[0], box[1]),
        lambda box: min(box[0], box[1]),
        lambda box: box[0] + box[1],
    )
    return any(_place_all(sorted(boxes, key=size, reverse=True), free) for size in sizes)


def _free_rectangles(problem: Problem) -> list[Rectangle]:
    """The largest rectangles of the board less its margin; half the clearance is added all around, as on the boxes."""
    inner = shapely.Polygon(problem.region.outline).buffer(-problem.region.margin, join_style="mitre")
    for ring in problem.region.keep_outs:
        inner = inner.difference(shapely.Polygon(ring).buffer(problem.region.margin, join_style="mitre"))
    corners, covering = shapely.get_coordinates(inner), inner.buffer(1e-6)
    shapely.prepare(covering)
    xs, ys = (_stations(corners[:, axis]) for axis in (0, 1))
    spans = (
        [(low, high) for low in xs for high in xs if low < high],
        [(low, high) for low in ys for high in ys if low < high],
    )
    boxes = [(x0, y0, x1, y1) for x0, x1 in spans[0] for y0, y1 in spans[1]]
    inside = [box for box in boxes if covering.covers(shapely.box(*box))]
    grown = problem.clearance / 2
    largest = [box for box in inside if not any(box != other and _holds(other, box) for other in inside)]
    return [(x0 - grown, y0 - grown, x1 + grown, y1 + grown) for x0, y0, x1, y1 in largest]


def _stations(places: Floats) -> list[float]:
    return sorted({*places.tolist(), *np.linspace(places.min(), places.max(), 10).tolist()})


def _holds(outer: Rectangle, inner: Rectangle) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def _place_all(boxes: Sequence[Box], free: list[Rectangle]) -> bool:
    for width, height, may_turn in boxes:
        turns = ((width, height), (height, width)) if may_turn else ((width, height),)
        fits = [
            (min(x1 - x0 - w, y1 - y0 - h), x0, y0, w, h)
            for x0, y0, x1, y1 in free
            for w, h in turns
            if w <= x1 - x0 and h <= y1 - y0
        ]
        if not fits:
            return False
        _, x, y, w, h = min(fits)
        free = _without(free, (x, y, x + w, y + h))
    return True


def _without(free: list[Rectangle], taken: Rectangle) -> list[Rectangle]:
    """The largest free rectangles that remain when one is taken."""
    left, bottom, right, top = taken
    parts = []
    for x0, y0, x1, y1 in free:
        if left >= x1 or right <= x0 or bottom >= y1 or top <= y0:
            parts.append((x0, y0, x1, y1))
            continue
        around = ((x0, y0, left, y1), (right, y0, x1, y1), (x0, y0, x1, bottom), (x0, top, x1, y1))
        parts += [part for part in around if part[0] < part[2] and part[1] < part[3]]
    parts = sorted(set(parts))
    return [part for part in parts if not any(part != other and _holds(other, part) for other in parts)]


# --- the command ------------------------------------------------------------------------------------------------------


def main(arguments: Sequence[str]) -> int:
    """Run one problem and print what came of it."""
    parser = argparse.ArgumentParser(description="Pack one problem and compare with bounding boxes.")
    parser.add_argument("problem", type=Path)
    parser.add_argument("--effort", choices=("quick", "normal", "thorough"), default="normal")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--out", type=Path)
    options = parser.parse_args(arguments)
    problem = read_problem(options.problem)
    before, begun = _peak_memory(), time.perf_counter()
    packing = pack_problem(problem, options.effort, options.seed)
    seconds, memory = time.perf_counter() - begun, _peak_memory() - before
    if packing is None:
        print(f"{problem.name}: nothing fits")
        return 1
    _print_result(problem, packing, seconds, memory)
    if options.out:
        options.out.write_text(json.dumps(result_of(problem, packing), indent=1) + "\n")
    faults = violations(problem.items_at(packing.scale), packing.placements, [problem.region], problem.clearance)
    print("\n".join(faults) or "judge: sound")
    return 1 if faults else 0


def pack_problem(problem: Problem, effort: Effort, seed: int) -> Packing | None:
    """The engine's answer; scales up to the area bound."""
    bound = problem.area_bound()
    return largest_scale(
        problem.items_at,
        [problem.region],
        clearance=problem.clearance,
        lowest=0.1 * bound,
        highest=bound,
        effort=effort,
        seed=seed,
    )


def result_of(problem: Problem, packing: Packing) -> dict[str, Any]:
    """A result as the problem file's format has it: scale * turned outline + (x, y)."""
    turns = {key: turns for key, _, turns in problem.outlines}
    placed = {place.key: [turns[place.key][place.pose], *place.at] for place in packing.placements}
    return {"scale": packing.scale, "placements": placed}


def _print_result(problem: Problem, packing: Packing, seconds: float, memory: float) -> None:
    bound, boxes = problem.area_bound(), bounding_box_scale(problem)
    print(f"{problem.name}: scale {packing.scale:.5f}, {packing.scale / bound:.4f} of the area bound")
    print(f"bounding boxes: scale {boxes:.5f}, {boxes / bound:.4f}; we are {packing.scale / boxes - 1:+.1%}")
    print(f"{seconds:.1f} s, {memory:.0f} MB more than before")


def _peak_memory() -> float:
    """MB; Linux counts KB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
