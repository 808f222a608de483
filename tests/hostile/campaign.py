"""Thousands of spoilt files through the real commands; every one must be read or refused, in time, with a reason.

    python tests/hostile/campaign.py [--count 5000] [--seed 1] [--kind NAME] [--only NUMBER]
                                       [--fresh 50] [--keep FOLDER]

The cases go round the kinds in turn. Every so many (`--fresh`) run as a new `python -m boardmaker`, the others as forks
of one process. What falls is printed with its kind and number, which make it again (`--kind K --only N`), and kept with
`--keep`. Exit code 1 where anything fell.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from kinds import Case, kinds, lay_out, make_case, make_good_files
from one_run import Ended, changes, contents, faults, run_apart

from boardmaker.packing.effort import WORK_OF


def main() -> int:
    """Run as many cases as the command line says."""
    options = _options()
    WORK_OF["quick"] /= 50  # the search is not what is tried here
    fallen = 0
    with tempfile.TemporaryDirectory(prefix="hostile-") as made:
        good = Path(made) / "good"
        good.mkdir()
        make_good_files(good)
        chosen = [kind for kind in kinds(good) if options.kind in (None, kind.name)]
        tried, refused, slowest, largest, took = (Counter() for _ in range(5))
        first = options.only or 0
        for number in range(first, first + (1 if options.only is not None else -(-options.count // len(chosen)))):
            if number % 25 == 0:
                print(f"round {number}", file=sys.stderr, flush=True)
            for kind in (one for one in chosen if number % one.every == 0 or options.kind):
                case = make_case(kind, good, options.seed, number)
                fresh = bool(options.fresh) and number % options.fresh == 0
                ended, found = try_case(case, good, Path(made) / "case", fresh)
                tried[kind.name] += 1
                refused[kind.name] += ended.code != 0
                took[kind.name] += ended.seconds
                slowest[kind.name] = max(slowest[kind.name], ended.seconds)
                largest[kind.name] = max(largest[kind.name], ended.megabytes)
                if found:
                    fallen += 1
                    _tell(kind.name, number, case, found, ended)
                    if options.keep:
                        shutil.copytree(
                            Path(made) / "case",
                            options.keep / f"{kind.name.replace('/', '-')}-{number}",
                            dirs_exist_ok=True,
                        )
                elif options.only is not None:
                    print(case.arguments, case.how, ended)
        for name in tried:
            print(
                f"{name}: {tried[name]} tried, {refused[name]} refused; "
                f"{took[name] / tried[name]:.2f} s, at most {slowest[name]:.1f} s and {largest[name]:.0f} MB"
            )
    print(f"{sum(tried.values())} tried, {fallen} fell, in {time.process_time():.0f} s of this process")
    return 1 if fallen else 0


def try_case(case: Case, good: Path, folder: Path, fresh: bool = False) -> tuple[Ended, list[str]]:
    """Run a case in a folder that is emptied first; return how it ended and what is wrong with that."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    lay_out(case, good, folder)
    before = contents(folder)
    ended = run_apart(case.arguments, folder, fresh)
    found = [*faults(ended, folder / "out", Path(case.name).name, "--strict" in case.arguments)]
    return ended, [*found, *changes(ended, before, contents(folder))]


def _tell(name: str, number: int, case: Case, found: Sequence[str], ended: Ended) -> None:
    print(f"FELL {name} {number} ({case.how}; {' '.join(map(ascii, case.arguments))}): {'; '.join(found)}")
    for line in (ended.complained or ended.said).splitlines()[-6:]:
        print(f"    {line[:200]!a}")
    sys.stdout.flush()


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind")
    parser.add_argument("--only", type=int)
    parser.add_argument("--fresh", type=int, default=50)
    parser.add_argument("--keep", type=Path)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
