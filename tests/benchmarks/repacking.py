"""How near to their old places everything lies on boards that are packed again, and what that costs.

    python tests/benchmarks/repacking.py BOARD.json ... [--effort quick|normal|thorough] [--seed N] [--only WORD]

Each board file is packed again for a smaller stock, for another shape, for a case with round corners and for another
number of boards. `scale` is the new one over the old; `off` how far the panels' middles lie from where they were, in
shares of the board's width and height, as a mean of those that are still on their board; `turned`, `board`: panels that
have another turn, that are on another board; `tables`: how far those are off; `reading` as of `board`; `seconds` of
the processor.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from boardmaker.boards import BoardOptions, BoardSet, repack_boards
from boardmaker.boards.board_file.form import BoardFile, ItemEntry
from boardmaker.boards.board_file.reading import read_board_file
from boardmaker.boards.former import former_places, middle
from boardmaker.drawing import Placed
from boardmaker.geometry import bounds
from boardmaker.model import CaseSetup, Setup
from boardmaker.service import plan_work


def main(arguments: Sequence[str]) -> int:
    """Measure and print a line for each board file and setup."""
    parser = argparse.ArgumentParser(description="Judge how near repacked boards are to the old ones.")
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--effort", choices=("quick", "normal", "thorough"), default="normal")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", default="")
    asked = parser.parse_args(arguments)
    print("boards, packed again for             scale boards   off turned board tables reading  seconds")
    for path in asked.files:
        kept = read_board_file(path)
        for what, setup, boards in _setups(kept):
            if asked.only in what:
                _line(f"{path.parent.name}, {what}", kept, setup, boards, asked)
    return 0


def _setups(kept: BoardFile) -> Iterator[tuple[str, Setup, int]]:
    stock, count = kept.setup.board, len(kept.boards)
    width, height = stock.size
    yield "smaller stock", replace(kept.setup, board=replace(stock, size=(width * 26 / 30, height))), count
    yield "another shape", replace(kept.setup, board=replace(stock, size=(width * 1.25, height * 0.75))), count
    yield "round corners", replace(kept.setup, case=CaseSetup((width * 0.75, height * 0.75), corner_radius=90.0)), count
    if count == 1:
        yield "two boards", replace(kept.setup, board=replace(stock, size=(width / 2, height))), 2
    else:
        yield "one board", kept.setup, 1


def _line(what: str, kept: BoardFile, setup: Setup, boards: int, asked: argparse.Namespace) -> None:
    assert kept.bike.model is not None
    off = [key for key, _ in kept.bike.model.equipment if key not in kept.bike.equipment]
    work = plan_work(kept.bike.model, kept.bike.jobs, (), off)
    options = BoardOptions("auto", boards, asked.effort, asked.seed)
    began = time.process_time()
    built = repack_boards(work, setup, options, kept.boards, kept.scale, boards, lambda *_: None)
    seconds = time.process_time() - began
    panels, tables = (list(_ways(built, kept, alike)) for alike in (True, False))
    there = [way for way in panels if way[1]]
    print(
        f"{what:36} {built.scale / kept.scale:5.3f} {len(built.boards):6} {_mean(there):5.3f}"
        f" {sum(not one[2] for one in panels):3}/{len(panels):2} {sum(not one[1] for one in panels):5}"
        f" {_mean(tables):6.3f} {built.reading.total:7.3f} {seconds:8.1f}",
        flush=True,
    )


Way = tuple[float, bool, bool]  # how far off, whether on its board, whether in its turn


def _mean(ways: Sequence[Way]) -> float:
    return math.fsum(one[0] for one in ways) / max(1, len(ways))


def _ways(built: BoardSet, kept: BoardFile, panels: bool) -> Iterator[Way]:
    placed = [(number, board, one) for number, board in enumerate(built.boards) for one in board.placed]
    names = [(one.figure.kind, one.figure.key) for _, _, one in placed]
    former = former_places(kept.boards, kept.scale, names)
    for index, (number, board, one) in enumerate(placed):
        if str(index) in former.places and (one.figure.kind == "panel") == panels:
            old_board, thing = former.places[str(index)]
            old, new = _share(thing, kept.boards[old_board].stock), _share_now(one, board.shape.stock)
            yield math.dist(old, new), old_board == number, thing.turn == one.turn_deg


def _share(thing: ItemEntry, stock: tuple[float, float]) -> tuple[float, float]:
    x, y = middle(thing.outline or thing.zone)
    return x / stock[0], y / stock[1]


def _share_now(one: Placed, stock: tuple[float, float]) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(one.figure.outline or one.figure.zone)
    return (x0 + x1) / 2 / stock[0], (y0 + y1) / 2 / stock[1]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
