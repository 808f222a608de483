"""Problems for the packing benchmark: files, random ones, and the judge of results.

A problem file is `{"name", "board": [[x, y], ...], "keepouts": [ring, ...], "margin", "clearance", "items": [{"id",
"type", "outline": [[x, y], ...] in panel mm, "rotations": [0, 90, ...]}]}`; board, margin and clearance in mm. A result
is `{"scale": s, "placements": {"id": [turn, x, y]}}` and means `s * turned(outline) + (x, y)`. The judge is shapely on
these exact outlines and shares nothing with the engine.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import shapely

Ring = tuple[tuple[float, float], ...]

TOLERANCE = 1e-6  # mm


@dataclass(frozen=True)
class Outline:
    """One item: its outline in panel mm and the turns (degrees) that it may take."""

    key: str
    ring: Ring
    turns: tuple[int, ...]


@dataclass(frozen=True)
class Problem:
    """Boards (all with the same margin; keep-outs belong to the first), the clearance and the outlines."""

    name: str
    boards: tuple[Ring, ...]
    keep_outs: tuple[Ring, ...]
    margin: float
    clearance: float
    outlines: tuple[Outline, ...]

    def inner(self) -> list[shapely.Geometry]:
        """Where outlines may lie, by board."""
        free = [shapely.Polygon(board).buffer(-self.margin, join_style="mitre") for board in self.boards]
        for ring in self.keep_outs:
            free[0] = free[0].difference(shapely.Polygon(ring).buffer(self.margin, quad_segs=64))
        return free

    def area_bound(self) -> float:
        """The scale at which the outlines would fill the boards less their margins."""
        outlines = sum(shapely.Polygon(outline.ring).area for outline in self.outlines)
        return math.sqrt(sum(free.area for free in self.inner()) / outlines)


@dataclass(frozen=True)
class Result:
    """A scale, and for each key the board, turn and place."""

    scale: float
    places: dict[str, tuple[int, int, float, float]]

    def as_file(self) -> dict[str, Any]:
        """The form of a result file; the board's number comes last where it is not the first."""
        places = {key: [turn, x, y, *([board] if board else [])] for key, (board, turn, x, y) in self.places.items()}
        return {"scale": self.scale, "placements": places}


def read_problem(path: Path) -> Problem:
    """Read a problem file."""
    data: dict[str, Any] = json.loads(path.read_text())
    outlines = tuple(Outline(item["id"], ring_of(item["outline"]), tuple(item["rotations"])) for item in data["items"])
    keep_outs = tuple(ring_of(ring) for ring in data["keepouts"])
    return Problem(data["name"], (ring_of(data["board"]),), keep_outs, data["margin"], data["clearance"], outlines)


def ring_of(points: Sequence[Sequence[float]]) -> Ring:
    """Points as a ring."""
    return tuple((float(x), float(y)) for x, y in points)


def turned(ring: Ring, turn_deg: int) -> Ring:
    """A ring turned by a multiple of 90 degrees, without rounding."""
    cosine, sine = ((1, 0), (0, 1), (-1, 0), (0, -1))[turn_deg // 90 % 4]
    return tuple((cosine * x - sine * y, sine * x + cosine * y) for x, y in ring)


def scaled(ring: Ring, scale: float) -> Ring:
    """A ring times a scale."""
    return tuple((scale * x, scale * y) for x, y in ring)


# --- the judge --------------------------------------------------------------------------------------------------------


def faults(problem: Problem, result: Result) -> list[str]:
    """Everything that is wrong with a result, each in a sentence."""
    zones, wrong = {}, []
    for outline in problem.outlines:
        if outline.key not in result.places:
            wrong.append(f"{outline.key} is not placed")
            continue
        board, turn, x, y = result.places[outline.key]
        if turn not in outline.turns:
            wrong.append(f"{outline.key} is turned by {turn}")
        zone = np.array(scaled(turned(outline.ring, turn), result.scale)) + np.array([x, y])
        zones[outline.key] = board, shapely.Polygon(zone)
    return wrong + _strays(problem, zones) + _collisions(problem, zones)


def _strays(problem: Problem, zones: dict[str, tuple[int, shapely.Polygon]]) -> list[str]:
    boards, wrong = [shapely.Polygon(board) for board in problem.boards], []
    for key, (board, zone) in zones.items():
        if not boards[board].buffer(TOLERANCE).covers(zone):
            wrong.append(f"{key} is beyond the board")
        if (gap := boards[board].exterior.distance(zone)) < problem.margin - TOLERANCE:
            wrong.append(f"{key} is {gap:.5f} from the edge")
        gaps = [shapely.Polygon(ring).distance(zone) for ring in problem.keep_outs] if board == 0 else []
        wrong += [f"{key} is {gap:.5f} from a keep-out" for gap in gaps if gap < problem.margin - TOLERANCE]
    return wrong


def _collisions(problem: Problem, zones: dict[str, tuple[int, shapely.Polygon]]) -> list[str]:
    return [
        f"{one} and {other} are {zone.distance(other_zone):.5f} apart"
        for (one, (board, zone)), (other, (other_board, other_zone)) in combinations(zones.items(), 2)
        if board == other_board and zone.distance(other_zone) < problem.clearance - TOLERANCE
    ]


# --- random problems --------------------------------------------------------------------------------------------------

BOARDS: dict[str, tuple[Ring, ...]] = {
    "rectangle": (((0, 0), (762, 0), (762, 508), (0, 508)),),
    "cut": (((80, 0), (682, 0), (762, 80), (762, 428), (682, 508), (80, 508), (0, 428), (0, 80)),),
    "notched": (((0, 0), (762, 0), (762, 330), (520, 330), (520, 508), (0, 508)),),
    "two": (((0, 0), (500, 0), (500, 400), (0, 400)), ((40, 0), (400, 0), (400, 350), (0, 350), (0, 40))),
}
KEEP_OUT: Ring = ((300, 200), (380, 190), (400, 260), (320, 280))


def random_problem(kind: str, count: int, board: str, seed: int) -> Problem:
    """So many `smooth` outlines, `rectangles` or `stars` on a board; with "+" after its name it has a keep-out."""
    random = np.random.default_rng([seed, count])
    draw = {"smooth": _smooth, "rectangles": _rectangle, "stars": _star}[kind]
    turns = ((0, 90, 180, 270), (0, 90, 270), (0,))
    outlines = tuple(
        Outline(f"{kind}-{number}", draw(random, random.uniform(120, 500)), turns[number % 3 % (1 + number % 4)])
        for number in range(count)
    )
    keep_outs = (KEEP_OUT,) if board.endswith("+") else ()
    return Problem(f"{kind}-{count}-{board}-{seed}", BOARDS[board.rstrip("+")], keep_outs, 8.0, 6.0, outlines)


def _star(random: np.random.Generator, size: float) -> Ring:
    corners = int(random.integers(5, 18))
    angles = np.arange(corners) * 2 * np.pi / corners
    radii = size * random.uniform(0.35, 1.0, corners)
    return ring_of(np.stack([radii * np.cos(angles), random.uniform(0.5, 1) * radii * np.sin(angles)], axis=1))


def _smooth(random: np.random.Generator, size: float) -> Ring:
    rounded = shapely.Polygon(_star(random, size)).buffer(size / 4).buffer(-size / 3).buffer(size / 8)
    whole = max(shapely.get_parts(rounded), key=lambda part: part.area)
    return ring_of(shapely.get_coordinates(whole.simplify(0.3).exterior)[:-1])


def _rectangle(random: np.random.Generator, size: float) -> Ring:
    width, height = 1.5 * size * random.uniform(0.3, 1.0, 2)
    return ring_of(((0, 0), (width, 0), (width, height), (0, height)))
