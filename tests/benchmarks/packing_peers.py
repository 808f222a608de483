"""Other people's packers on the problems of the packing benchmark.

rectpack packs bounding boxes, spyrrow packs outlines into a strip; both find the largest scale by bisection. Where the
board is no rectangle, or has keep-outs, they get the largest rectangle in it: it is all they know. spyrrow works in a
process of its own, because it can panic in a way that passes `except Exception`, and is granted only what shapely
finds sound.
"""

from __future__ import annotations

import math
import multiprocessing
import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import rectpack
import shapely
import spyrrow
from packing_problems import Problem, Result, faults, scaled, turned

_UNITS = 1000  # rectpack counts in whole numbers: micrometres
_FINE = 5e-4  # of the scale: rectpack's last bisection
_RUNS = 6  # of the strip engine in its time
_SHORTEST_RUN = 3  # s; the strip engine counts in whole seconds
_ROUNDING = 0.0015  # mm more room than asked for: the strip engine works in single precision

Rectangle = tuple[float, float, float, float]  # left, bottom, right, top


def largest_rectangle(free: shapely.Geometry) -> Rectangle:
    """The largest upright rectangle in an area, between its corners and 24 even stations each way."""
    corners, cover = shapely.get_coordinates(free), free.buffer(1e-6)
    shapely.prepare(cover)
    spans = []
    for axis in (0, 1):
        places = corners[:, axis]
        stations = sorted({*places.tolist(), *np.linspace(places.min(), places.max(), 24).tolist()})
        spans.append([(low, high) for low in stations for high in stations if low < high])
    boxes = [(x0, y0, x1, y1) for (x0, x1), (y0, y1) in product(*spans)]
    for box in sorted(boxes, key=lambda box: (box[0] - box[2]) * (box[3] - box[1])):
        if cover.covers(shapely.box(*box)):
            return box
    raise ValueError("the area holds no rectangle")


# --- bounding boxes ---------------------------------------------------------------------------------------------------


def rectpack_result(problem: Problem, seconds: float) -> Result | None:
    """The largest scale at which rectpack places all bounding boxes, by bisection."""
    end, low, high, best = time.perf_counter() + seconds, 0.0, problem.area_bound(), None
    bins = [largest_rectangle(free) for free in problem.inner()]
    while high - low > _FINE * high and time.perf_counter() < end:
        scale = (low + high) / 2
        found = next((result for result in _box_layouts(problem, scale, bins) if not faults(problem, result)), None)
        best, low, high = (found, scale, high) if found else (best, low, scale)
    return best


def _box_layouts(problem: Problem, scale: float, bins: list[Rectangle]) -> Iterator[Result]:
    """What rectpack finds by its best algorithms and orders, with each box turned one way beforehand.

    It can turn boxes itself only if all may turn, so a box is laid long, laid high, or left as it is drawn.
    """
    lain = [dict(_lay(problem, scale, way)) for way in ("as drawn", "long", "high")]
    algorithms = (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.MaxRectsBl, rectpack.SkylineBlWm)
    orders = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI)
    for turns, algorithm, order, rotation in product(lain, algorithms, orders, (False, True)):
        packer = rectpack.newPacker(pack_algo=algorithm, sort_algo=order, rotation=rotation)
        sizes = {key: _box_size(problem, key, turn, scale) for key, turn in turns.items()}
        for key, (width, height) in sizes.items():
            packer.add_rect(width, height, key)
        for number, (left, bottom, right, top) in enumerate(bins):
            grown = [math.floor(_UNITS * (side + problem.clearance)) for side in (right - left, top - bottom)]
            packer.add_bin(*grown, bid=number)
        packer.pack()
        if len(packer.rect_list()) == len(sizes) and (places := _unboxed(problem, scale, bins, packer, turns, sizes)):
            yield Result(scale, places)


def _lay(problem: Problem, scale: float, way: str) -> Iterator[tuple[str, int]]:
    """A turn for each outline."""
    for outline in problem.outlines:
        sizes = {turn: _box_size(problem, outline.key, turn, scale) for turn in outline.turns}
        chosen = outline.turns[0]
        if way != "as drawn":
            chosen = max(outline.turns, key=lambda turn: sizes[turn][0 if way == "long" else 1])
        yield outline.key, chosen


def _box_size(problem: Problem, key: str, turn: int, scale: float) -> tuple[int, int]:
    outline = next(one for one in problem.outlines if one.key == key)
    sides = np.ptp(np.array(scaled(turned(outline.ring, turn), scale)), axis=0) + problem.clearance
    return math.ceil(_UNITS * sides[0]), math.ceil(_UNITS * sides[1])


def _unboxed(
    problem: Problem, scale: float, bins: list[Rectangle], packer: object, turns: dict[str, int], sizes: dict
) -> dict[str, tuple[int, int, float, float]] | None:
    """Places of the outlines in their boxes; None if a box was turned whose outline may not."""
    places = {}
    for number, x, y, width, height, key in packer.rect_list():  # type: ignore[attr-defined]
        turn = turns[key]
        outline = next(one for one in problem.outlines if one.key == key)
        if (width, height) != sizes[key]:
            turn = next((other for other in outline.turns if (other - turn) % 180 == 90), -1)
        if turn < 0:
            return None
        low = np.array(scaled(turned(outline.ring, turn), scale)).min(axis=0)
        left, bottom = bins[number][:2]
        places[key] = (number, turn, left + x / _UNITS - low[0], bottom + y / _UNITS - low[1])
    return places


# --- strip engine -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Strip:
    """What the strip engine found at a scale: the length it needs, and the places."""

    length: float
    places: tuple[tuple[str, int, float, float], ...]


def spyrrow_result(problem: Problem, seconds: float, seed: int) -> Result | None:
    """The largest scale at which the strip that spyrrow needs, as high as the board, is no longer than the board.

    Bisection in some six runs; where the strip's length tells a better next scale than the middle, that one is tried.
    Knows one board only.
    """
    end, best = time.perf_counter() + seconds, None
    left, bottom, right, top = largest_rectangle(problem.inner()[0])
    low, high, scale = 0.0, problem.area_bound(), 0.85 * problem.area_bound()
    run = max(_SHORTEST_RUN, round(seconds / _RUNS))
    while (remains := end - time.perf_counter()) >= _SHORTEST_RUN - 1:
        strip = _solved(problem, scale, top - bottom, min(run, max(1, round(remains))), seed)
        if strip is None:
            high, scale = scale, (low + scale) / 2
            continue
        if strip.length <= right - left:
            low = scale
            best = _granted(problem, scale, strip, (left, bottom)) or best
        else:
            high = scale
        hoped = scale * math.sqrt((right - left) / strip.length) * 0.9995
        scale = hoped if low < hoped < high else (low + high) / 2
        seed += 1
    return best


def _granted(problem: Problem, scale: float, strip: _Strip, corner: tuple[float, float]) -> Result | None:
    places = {key: (0, turn, corner[0] + x, corner[1] + y) for key, turn, x, y in strip.places}
    wrong = faults(problem, Result(scale, places))
    if wrong:
        print(f"  spyrrow at {scale:.5f}: {wrong[0]}")
    return None if wrong else Result(scale, places)


def _solved(problem: Problem, scale: float, height: float, seconds: int, seed: int) -> _Strip | None:
    """One run in a process of its own; None if it died."""
    context = multiprocessing.get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    process = context.Process(target=_solve, args=(sender, problem, scale, height, seconds, seed))
    process.start()
    sender.close()
    try:
        found: _Strip | None = receiver.recv() if receiver.poll(2 * seconds + 20) else None
    except EOFError:
        found = None
    process.kill()
    process.join()
    return found


def _solve(sender: object, problem: Problem, scale: float, height: float, seconds: int, seed: int) -> None:
    """The engine keeps its separation from the strip's border too: the strip is that much higher and longer."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # a panic prints its whole stack
    gap = problem.clearance + _ROUNDING
    items = [
        spyrrow.Item(outline.key, scaled(outline.ring, scale), 1, [float(turn) for turn in outline.turns])
        for outline in problem.outlines
    ]
    strip = spyrrow.StripPackingInstance(problem.name, height + 2 * gap - _ROUNDING, items)
    config = spyrrow.StripPackingConfig(
        total_computation_time=seconds, min_items_separation=gap, num_workers=1, seed=seed, early_termination=False
    )
    found = strip.solve(config)
    places = tuple(
        (one.id, round(one.rotation) % 360, one.translation[0] - gap, one.translation[1] - gap)
        for one in found.placed_items
    )
    sender.send(_Strip(found.width - 2 * gap, places))  # type: ignore[attr-defined]
