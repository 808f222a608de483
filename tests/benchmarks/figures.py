"""How long figures take to lay out, and how good the places of pockets are.

    python tests/benchmarks/figures.py [--against FOLDER] [--only bike|tourer|tables|places]

Four measures: `bike`, a random bike of 40 panels with 361 crowded holes, its panels' pockets at the 24 scales of a
search; `tourer`, all figures of a bundled bike at 12 scales; `tables`, those of each bundled bike in the sizes of type
that are tried on a board; `places`, pockets of random panels, alike in every run.
The code beside this file is measured, and with `--against` that in another checkout too, on the same input in the same
run. Each checkout runs in a process of its own. Seconds are those of the processor.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

import shapely
from shapely import Polygon

from boardmaker.boards.growing import STEPS
from boardmaker.commands.common import demo_folder
from boardmaker.figures import TABLES, FigureKind, Things, draw_figures, draw_panels, draw_tables
from boardmaker.figures.pockets import WantedPocket, leader_faults, spread_pockets
from boardmaker.figures.zones import rough_shape
from boardmaker.geometry import Ring, scale_ring
from boardmaker.inputs import read_bike
from boardmaker.model import BoardSetup, Setup
from boardmaker.service import Work, plan_work

ROOT = Path(__file__).parents[2]
FINGER_ROOM = 4.0  # mm
RADII = (4.0, 5.0, 7.0, 9.0)  # mm
PANELS = 40
SEED = 4  # at which the bike has 361 holes
BIKE_SCALES = tuple(1 / (4 + 4 * i / 23) for i in range(24))
TOURER_SCALES = tuple(1 / (3 + 3 * i / 11) for i in range(12))
PLACE_SCALES = (1 / 3, 1 / 4.5, 1 / 6, 1 / 8)
# kind of panel: least and greatest width on the bike in mm, least and greatest number of holes, panels of the kind
KINDS = {
    "small, few": (120, 300, 2, 5, 60),
    "small, crowded": (120, 300, 6, 14, 60),
    "large, few": (400, 900, 4, 12, 60),
    "large, crowded": (400, 900, 20, 40, 12),
}


def main(arguments: Sequence[str]) -> int:
    """Measure this checkout, and another if one is given, and print what came of it."""
    parser = argparse.ArgumentParser(description="Time figures and judge the places of pockets.")
    parser.add_argument("--against", type=Path)
    parser.add_argument("--only", choices=sorted(MEASURES))
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args(arguments)
    chosen = [options.only] if options.only else list(MEASURES)
    if options.here:
        print(json.dumps([row for name in chosen for row in MEASURES[name]()]))
        return 0
    new = _measured(ROOT, chosen)
    old = _measured(options.against.resolve(), chosen) if options.against else []
    for number, (what, value) in enumerate(new):
        print(f"{what:44} {_beside(old[number][1], value) if old else f'{value:10.3f}'}")
    return 0


def _beside(old: float, new: float) -> str:
    return f"{old:10.3f} {new:10.3f}" + (f"   x {old / new:.2f}" if new else "")


def _measured(checkout: Path, chosen: Sequence[str]) -> list[tuple[str, float]]:
    """What a process of its own says of a checkout: names and values."""
    paths = os.pathsep.join([str(checkout), str(ROOT / "tests")])
    rows: list[tuple[str, float]] = []
    for name in chosen:
        command = [sys.executable, __file__, "--here", "--only", name]
        run = subprocess.run(command, env={**os.environ, "PYTHONPATH": paths}, check=True, stdout=subprocess.PIPE)
        rows += json.loads(run.stdout)
    return rows


def crowded_bike_text(seed: int = SEED) -> str:
    """A bike of 40 panels with 2 to 16 holes each, most of them near an edge."""
    from bikes import bike_text  # noqa: PLC0415 -- on the path of the processes that measure

    dice = random.Random(seed)
    lines = []
    for number in range(PANELS):
        outline = _wavy_outline(dice, dice.uniform(150, 600), dice.uniform(100, 300))
        lines.append(f"  panel-{number}:\n    name: Panel number {number}\n    side: {dice.choice(['left', 'right'])}")
        lines.append(f"    outline: {[list(point) for point in outline]}\n    holes:")
        for _ in range(dice.randint(2, 16)):
            x, y = _inside(dice, outline)
            lines.append(f"      - {{ at: [{x:.1f}, {y:.1f}], fastener: {dice.choice('ABCP')} }}")
    return bike_text("\n".join(lines))


def _wavy_outline(dice: random.Random, width: float, height: float) -> Ring:
    corners = dice.randint(5, 14)
    turns = [2 * math.pi * corner / corners for corner in range(corners)]
    reaches = [dice.uniform(0.55, 1.0) for _ in turns]
    return tuple(
        (round(width / 2 * (1 + reach * math.cos(turn)), 1), round(height / 2 * (1 + reach * math.sin(turn)), 1))
        for turn, reach in zip(turns, reaches, strict=True)
    )


def _inside(dice: random.Random, outline: Ring) -> tuple[float, float]:
    """A place inside a star-shaped outline, nearer to its edge than to its middle."""
    x, y = dice.choice(outline)
    middle = shapely.Polygon(outline).centroid
    share = math.sqrt(dice.uniform(0.05, 0.9))
    return middle.x + share * (x - middle.x), middle.y + share * (y - middle.y)


def _read(text: str) -> object:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bike.yaml"
        path.write_text(text, encoding="utf-8")
        return read_bike(path)[0]


def measure_bike() -> Iterator[tuple[str, float]]:
    """Seconds for the pockets and for all figures of the crowded bike at all scales."""
    work, board = plan_work(_read(crowded_bike_text())), Setup().board
    panels = [(panel.outline, work.freed_of(panel.key)) for panel in work.bike.panels]
    yield "crowded bike: holes", len(work.freed)
    jobs = [
        (
            [
                WantedPocket(at, one.fastener.head.diameter / 2)
                for at, one in zip(scale_ring((one.hole.at for one in freed), scale), freed, strict=True)
            ],
            rough_shape(scale_ring(outline, scale)),
        )
        for scale in BIKE_SCALES
        for outline, freed in panels
    ]
    yield "crowded bike: pockets, s", _seconds(lambda: [spread_pockets(s, board.finger_room, o) for s, o in jobs])
    yield "crowded bike: all figures, s", _seconds(lambda: [draw_figures(work, scale, board) for scale in BIKE_SCALES])


def measure_tourer() -> Iterator[tuple[str, float]]:
    """Milliseconds a scale for all figures of the tourer, asked once before (fonts are read then)."""
    work, board = plan_work(read_bike(demo_folder() / "fjellvik-820-tourer.yaml")[0]), Setup().board
    draw_figures(work, 0.1, board)
    taken = _seconds(lambda: [draw_figures(work, scale, board) for scale in TOURER_SCALES])
    yield "tourer: all figures, ms a scale", 1000 * taken / len(TOURER_SCALES)


def measure_tables() -> Iterator[tuple[str, float]]:
    """Seconds for all tables in all sizes of type, those of each kind drawn for the first time."""
    board = Setup().board
    for path in sorted(demo_folder().glob("*.yaml")):
        work = plan_work(read_bike(path)[0])
        panels = draw_panels(work, 0.25, board)
        for kind in TABLES:
            taken = _seconds(partial(_draw_tables_of, kind, work, board, panels))
            yield f"{path.stem}: {kind}, s", taken


def _draw_tables_of(kind: FigureKind, work: Work, board: BoardSetup, panels: Things) -> None:
    for times in (1.0, *STEPS):
        draw_tables(work, 0.25, board, panels, times, (kind,))


def _seconds(action: Callable[[], object]) -> float:
    begun = time.process_time()
    action()
    return time.process_time() - begun


def measure_places() -> Iterator[tuple[str, float]]:
    """How far pockets moved, and what is wrong with their places, kind by kind."""
    for kind, (least, most, fewest, greatest, panels) in KINDS.items():
        dice = random.Random(kind)
        sums: Counter[str] = Counter()
        for _ in range(panels):
            width = dice.uniform(least, most)
            outline = _wavy_outline(dice, width, width * dice.uniform(0.35, 0.8))
            holes = [(_inside(dice, outline), dice.choice(RADII)) for _ in range(dice.randint(fewest, greatest))]
            for scale in PLACE_SCALES:
                _judge(outline, holes, scale, sums)
        yield f"{kind}: pockets", sums["pockets"]
        yield f"{kind}: pockets moved", sums["moved"]
        yield f"{kind}: mean displacement, mm", sums["way"] / sums["pockets"]
        yield f"{kind}: mean of largest displacement, mm", sums["largest"] / panels / len(PLACE_SCALES)
        yield f"{kind}: greatest displacement, mm", sums["greatest"]
        for fault in ("leader faults", "panels with such", "pockets outside", "heads too near"):
            yield f"{kind}: {fault}", sums[fault]
        yield f"{kind}: ms a panel", 1000 * sums["seconds"] / panels / len(PLACE_SCALES)


def _judge(outline: Ring, holes: Sequence[tuple[tuple[float, float], float]], scale: float, sums: Counter[str]) -> None:
    """Spread the pockets of one panel and add up what can be said of the places."""
    spots = [WantedPocket((at[0] * scale, at[1] * scale), radius) for at, radius in holes]
    shape = rough_shape(scale_ring(outline, scale))
    places: list[tuple[float, float]] = []
    sums["seconds"] += _seconds(lambda: places.extend(spread_pockets(spots, FINGER_ROOM, shape)))
    ways = [math.dist(spot.true_at, place) for spot, place in zip(spots, places, strict=True)]
    sums["pockets"] += len(spots)
    sums["moved"] += sum(way > 0.0 for way in ways)
    sums["way"] += sum(ways)
    sums["largest"] += max(ways)
    sums["greatest"] = max(sums["greatest"], *ways)
    sums["leader faults"] += (faults := leader_faults(spots, places))
    sums["panels with such"] += faults > 0
    sums["pockets outside"] += _outside(shape, places)
    sums["heads too near"] += sum(
        math.dist(places[i], places[j]) - spots[i].radius - spots[j].radius < FINGER_ROOM
        for i in range(len(spots))
        for j in range(i)
    )


def _outside(shape: Polygon, places: Sequence[tuple[float, float]]) -> int:
    """How many places lie more than a hair outside."""
    return int((shapely.distance(shape, shapely.points(places)) > 0.05).sum())


MEASURES = {"bike": measure_bike, "tourer": measure_tourer, "tables": measure_tables, "places": measure_places}

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
