"""What the seams between tiles cut, and how many pages that takes.

    python tests/benchmarks/seams.py [--random N] [--paper A4 --paper letter] [--seed N]

For each bundled bike as boards are made by default, and N random ones (20 if not said otherwise, from 8 to 26 panels)
at their largest scale (`--arrange 0`), both with `--effort quick`: pages with tiles and with patches; tables that a
page holds but a seam cuts; rows cut of tables that no page holds; pockets (heads), panels' tags with their names and
pockets over a danger with their words on seams; how many of all but plain pockets have a patch. It ends with status 1
where one of these has none.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator, Sequence

from measured_bikes import DEMOS, measured_bikes

from boardmaker.boards.board_set import BoardSet
from boardmaker.boards.build import build_boards
from boardmaker.boards.options import BoardOptions
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.sheets import picture_size
from boardmaker.sheets.board.patches import patch_pages, pieces_cut
from boardmaker.sheets.board.tiling import cut_into_tiles
from boardmaker.sheets.board.wholes import wholes_of

WITH_PATCH = ("table", "row", "name", "danger")
SHOWN = ("pages", "patch pages", "table", "row", "pocket", "name", "danger", "patched")
HEAD = "bike                   paper   pages  patch pages  tables cut  rows  pockets  names  dangers  patched"


def main(arguments: Sequence[str]) -> int:
    """Measure, print a line for each bike and paper, and say by the status whether all tables come whole."""
    parser = argparse.ArgumentParser(description="Count what the seams between tiles cut.")
    parser.add_argument("--random", type=int, default=20)
    parser.add_argument("--paper", action="append")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args(arguments)
    print(HEAD)
    sums: dict[str, Counter[str]] = {paper: Counter() for paper in asked.paper or ("A4", "letter")}
    for name, made in _made(asked.random, asked.seed):
        for paper, counted in sums.items():
            found = _counted(made, override_setup(Setup(), board=None, case=None, paper=paper))
            counted.update(found)
            _say(name, paper, found)
    for paper, counted in sums.items():
        _say("all", paper, counted)
    return 0 if all(sum(counted[kind] for kind in WITH_PATCH) <= counted["patched"] for counted in sums.values()) else 1


def _say(name: str, paper: str, found: Counter[str]) -> None:
    widths = (6, 12, 11, 5, 8, 6, 8, 8)
    numbers = " ".join(f"{found[key]:{width}}" for key, width in zip(SHOWN, widths, strict=True))
    print(f"{name:22} {paper:6} {numbers}", flush=True)


def _made(count: int, seed: int) -> Iterator[tuple[str, BoardSet]]:
    for name, work in measured_bikes(count):
        options = BoardOptions(effort="quick", seed=seed, arrange=None if name in DEMOS else 0.0)
        yield name, build_boards(work, Setup(), options, lambda *_: None)


def _counted(made: BoardSet, setup: Setup) -> Counter[str]:
    """What the seams of all boards cut on this paper: a thing is whole where it lies in what one tile shows unglued."""
    found: Counter[str] = Counter()
    size = picture_size(setup)
    for board in made.boards:
        wholes = wholes_of(board.placed, size)
        tiles = cut_into_tiles(board.drawing, size, [one.figure.zone for one in board.placed], wholes)
        parts = [tile.trim for tile in tiles]
        cut = [one for one in wholes if not any(one.within(part) for part in parts)]
        pages = patch_pages([piece.window for piece in pieces_cut(wholes, parts, size)], size)
        windows = [patch.window for page in pages for patch in page]
        found.update({"pages": len(tiles), "patch pages": len(pages)})
        found.update(one.kind for one in cut)
        found["patched"] += sum(one.kind in WITH_PATCH and any(map(one.within, windows)) for one in cut)
    return found


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
