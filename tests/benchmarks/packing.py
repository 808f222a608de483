"""How well the packing engine does, alone and beside other people's packers.

    python tests/benchmarks/packing.py PROBLEM.json [--seconds N | --effort quick|normal|thorough] [--seed N]
                                       [--out RESULT.json] [--peers]
    python tests/benchmarks/packing.py --random smooth:20:cut+ ...
    python tests/benchmarks/packing.py --growth

Prints scale, scale / area bound (`sqrt(inner board area / sum of outline areas)`), seconds, peak memory and the judge's
verdict; with `--peers` also what rectpack and spyrrow reach on the same problem in the same time, on one core each.
`--random kind:count:board` takes a random problem instead of a file (see packing_problems.py). `--growth` packs 10 to
80 random smooth outlines and prints what it took to reach a like density.

Needs the extra `benchmark`: pip install boardmaker[benchmark].
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from packing_problems import Problem, Result, faults, random_problem, read_problem, scaled, turned

from boardmaker.packing import largest_scale
from boardmaker.packing.problem import Effort, Enough, Item, Packing, Pose, Progress, Region

GROWTH_GOAL = 0.8  # of the area bound
GROWTH_LIMIT = 120.0  # s
NO_END = 1e15  # of work: the clock ends the search


def main(arguments: Sequence[str]) -> int:
    """Run one problem, or the table of growth, and print what came of it."""
    options = _parser().parse_args(arguments)
    if options.growth:
        return print_growth(options.seed)
    if options.problem is None and options.random is None:
        _parser().error("give a problem file, --random or --growth")
    problem = read_problem(options.problem) if options.problem else _random(options.random, options.seed)
    result = _run(problem, options.effort, options.seconds, options.seed)
    if result is None:
        print(f"{problem.name}: nothing found")
        return 1
    if options.out:
        options.out.write_text(json.dumps(result.as_file(), indent=1) + "\n")
    wrong = faults(problem, result)
    print("\n".join(wrong) or "judge: sound")
    if options.peers:
        print_peers(problem, result, options.seconds, options.seed)
    return 1 if wrong else 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description="Pack one problem and compare.")
    parser.add_argument("problem", type=Path, nargs="?")
    parser.add_argument("--random", metavar="KIND:COUNT:BOARD")
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--seconds", type=float, default=None)
    parser.add_argument("--effort", choices=("quick", "normal", "thorough"), default="normal")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--out", type=Path)
    parser.add_argument("--peers", action="store_true")
    return parser


def _random(text: str, seed: int) -> Problem:
    kind, count, board = text.split(":")
    return random_problem(kind, int(count), board, seed)


def _run(problem: Problem, effort: Effort, seconds: float | None, seed: int) -> Result | None:
    """The engine's answer, and a line about it."""
    before, begun = _peak_memory(), time.perf_counter()
    packing = pack_problem(problem, effort if seconds is None else NO_END, seed, seconds)
    took, memory = time.perf_counter() - begun, _peak_memory() - before
    if packing is None:
        return None
    share = packing.scale / problem.area_bound()
    print(f"{problem.name}: scale {packing.scale:.5f}, {share:.4f} of the area bound", end="; ")
    print(f"{took:.1f} s, {memory:.0f} MB more than before")
    return result_of(problem, packing)


def pack_problem(
    problem: Problem, effort: Effort | float, seed: int, seconds: float | None = None, goal: float = math.inf
) -> Packing | None:
    """The engine's answer for scales up to the goal or the area bound; with `seconds` the best that it has by then."""
    bound, end = problem.area_bound(), time.perf_counter() + (seconds or float("inf"))

    def stop_in_time(_: Progress) -> None:
        if time.perf_counter() >= end:
            raise Enough

    try:
        return largest_scale(
            lambda scale: items_at(problem, scale),
            regions_of(problem),
            clearance=problem.clearance,
            lowest=0.1 * bound,
            highest=min(goal, bound),
            effort=effort,
            seed=seed,
            report=stop_in_time,
        )
    except Enough:
        return None


def items_at(problem: Problem, scale: float) -> tuple[Item, ...]:
    """All outlines at a scale, in all their turns."""
    return tuple(
        Item(one.key, tuple(Pose(turn, scaled(turned(one.ring, turn), scale)) for turn in one.turns))
        for one in problem.outlines
    )


def regions_of(problem: Problem) -> tuple[Region, ...]:
    """The boards as the engine knows them."""
    return tuple(
        Region(board, problem.margin, () if number else problem.keep_outs)
        for number, board in enumerate(problem.boards)
    )


def result_of(problem: Problem, packing: Packing) -> Result:
    """A packing in the terms of a result file."""
    turns = {one.key: one.turns for one in problem.outlines}
    places = {one.key: (one.region, turns[one.key][one.pose], *one.at) for one in packing.placements}
    return Result(packing.scale, places)


def print_peers(problem: Problem, own: Result, seconds: float | None, seed: int) -> None:
    """A line for each other packer."""
    from packing_peers import rectpack_result, spyrrow_result  # noqa: PLC0415 - only `--peers` needs the extra

    for name, found in (
        ("rectpack", rectpack_result(problem, seconds or 60)),
        ("spyrrow", spyrrow_result(problem, seconds or 60, seed)),
    ):
        if found is None:
            print(f"{name}: nothing found")
            continue
        share, ratio = found.scale / problem.area_bound(), own.scale / found.scale
        print(f"{name}: scale {found.scale:.5f}, {share:.4f} of the area bound; own/{name} {ratio:.4f}")


def print_growth(seed: int) -> int:
    """Seconds and memory to reach a like density for 10 to 80 outlines; a power below 2 is a growth below n²."""
    took: list[tuple[int, float]] = []
    for count in (10, 20, 40, 80):
        problem = random_problem("smooth", count, "rectangle", seed)
        problem = replace(problem, clearance=problem.clearance * (10 / count) ** 0.5)  # in step with the outlines
        begun, goal = time.perf_counter(), GROWTH_GOAL * problem.area_bound()
        packing = pack_problem(problem, NO_END, seed, GROWTH_LIMIT, goal)
        took.append((count, time.perf_counter() - begun))
        share = packing.scale / problem.area_bound() if packing else 0.0
        print(f"{count} outlines: {took[-1][1]:.1f} s to {share:.3f} of the area bound, peak {_peak_memory():.0f} MB")
    (first, least), (last, most) = took[0], took[-1]
    print(f"growth: n to the power of {math.log(most / least) / math.log(last / first):.2f}")
    return 0


def _peak_memory() -> float:
    """MB; Linux counts KB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
