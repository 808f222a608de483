"""How well boards read like the bike, what that costs of the scale, and how long it takes.

    python tests/benchmarks/arrangement.py [--effort quick|normal|thorough] [--random N] [--seed N]

For each bundled bike and N random ones (10 if not said otherwise, from 8 to 26 panels): the largest drawing that there
is (`--arrange 0`) and the boards as made by default, in one run with the same effort. `given` is the share of the scale
that was given up, `may be` what the default may give up; `time` the processor's time of the second over the first. It
ends with status 1 where a mean is below what is asked for, or more is given up than may be.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence

from measured_bikes import measured_bikes

from boardmaker.boards.arranging import arranged, read
from boardmaker.boards.candidate import Candidate
from boardmaker.boards.figure_items import figure_items
from boardmaker.boards.options import BoardOptions, share_given_up
from boardmaker.boards.search import BoardSearch
from boardmaker.model import Setup
from boardmaker.packing.reading import Reading
from boardmaker.service import Work

ASKED = {"fjellvik-820-tourer": 0.85}
ASKED_OF_OTHERS = 0.8


def main(arguments: Sequence[str]) -> int:
    """Measure, print a line for each bike, and say by the status whether all is as asked for."""
    parser = argparse.ArgumentParser(description="Judge how boards read like the bike.")
    parser.add_argument("--effort", choices=("quick", "normal", "thorough"), default="normal")
    parser.add_argument("--random", type=int, default=10)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args(arguments)
    print("bike                 largest  scale   given  may be  side height ends  twins upright  mean  time")
    good = [_line(name, work, asked.effort, asked.seed) for name, work in measured_bikes(asked.random)]
    return 0 if all(good) else 1


def _line(name: str, work: Work, effort: str, seed: int) -> bool:
    largest, _, first = _made(work, effort, seed, 0.0)
    found, reading, second = _made(work, effort, seed, None)
    given = 1.0 - found.scale / largest.scale
    may_be = share_given_up(BoardOptions(), largest.scale)
    shares = " ".join(f"{share:5.2f}" if share is not None else "    -" for share in vars(reading).values())
    line = f"{name:20} {largest.scale:7.4f} {found.scale:7.4f} {given:6.1%} {may_be:6.1%} {shares} {reading.total:6.3f}"
    print(f"{line} {second / first:5.2f}", flush=True)
    return reading.total >= ASKED.get(name, ASKED_OF_OTHERS) and given <= may_be


def _made(work: Work, effort: str, seed: int, arrange: float | None) -> tuple[Candidate, Reading, float]:
    options = BoardOptions(effort=effort, seed=seed, arrange=arrange)  # type: ignore[arg-type]
    began = time.process_time()
    search = BoardSearch(work, Setup(), options, lambda *_: None, figure_items(work, Setup().board))
    found = arranged(search, search.largest())
    return found, read(search, found), time.process_time() - began


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
