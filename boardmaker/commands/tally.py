"""`tally`: how many of each fastener, per panel and in all, what to renew, what to carry as spares."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from boardmaker.commands.common import load_work, say, say_files, say_warnings
from boardmaker.output import write_set
from boardmaker.service import Work
from boardmaker.service.tally import SPARE_RULE, Tally, count_work
from boardmaker.tally_files import renew_words, renewal_words, short_words, tally_csv

SCREEN = 110  # letters in a line of running text


def make_tally(
    bike: Path | None,
    jobs: Sequence[str],
    with_: Sequence[str],
    without: Sequence[str],
    out: Path,
    force: bool,
    quiet: bool,
) -> None:
    """Write `tally.csv` into `out` and show the count."""
    work, warnings = load_work(bike, jobs, with_, without)
    say_warnings(warnings)
    tally = count_work(work)
    files = {"tally.csv": tally_csv(tally)}
    write_set(out, "tally", files, force)
    for line in _tally_lines(tally):
        say(line, quiet)
    say_files(out, files, quiet)


def _tally_lines(tally: Tally) -> Iterator[str]:
    yield _heading(tally)
    yield ""
    yield from table_lines(("panel", "name", "count", "of which"), _panel_rows(tally))
    yield ""
    yield from table_lines(("key", "what", "count", "spares", "why so many spares"), _kind_rows(tally))
    yield from _companion_lines(tally)
    yield from _renewal_lines(tally)
    yield ""
    yield from textwrap.wrap(f"spares: {SPARE_RULE}", SCREEN)


def _heading(tally: Tally) -> str:
    work = tally.work
    panels = len({share.panel.key for share in tally.shares})
    kinds = len(tally.kinds)
    return f"{work.bike.name}, {jobs_words(work)}: {len(work.freed)} fasteners of {kinds} kinds on {panels} panels"


def jobs_words(work: Work) -> str:
    """Return which jobs the work is for."""
    return ", ".join(job.name for job in work.jobs) if work.jobs else "every panel off"


def _panel_rows(tally: Tally) -> Iterator[tuple[str | int, ...]]:
    for key in dict.fromkeys(share.panel.key for share in tally.shares):
        freed = tally.work.freed_of(key)
        kinds = Counter(one.fastener.key for one in freed)
        parts = ", ".join(f"{count} {fastener}" for fastener, count in sorted(kinds.items()))
        yield freed[0].panel.tag, freed[0].panel.name, len(freed), parts


def _kind_rows(tally: Tally) -> Iterator[tuple[str | int, ...]]:
    for kind in tally.kinds:
        yield kind.fastener.key, short_words(kind.fastener), kind.count, kind.spares.count, kind.spares.reason


def _companion_lines(tally: Tally) -> Iterator[str]:
    companions = [one for kind in tally.kinds for one in kind.companions]
    for item in dict.fromkeys(one.item for one in companions):
        ones = [one for one in companions if one.item == item]
        parts = ", ".join(f"{one.count} with {one.fastener.key}" for one in ones)
        yield f"kept with them: {sum(one.count for one in ones)} {item}: {parts}"


def _renewal_lines(tally: Tally) -> Iterator[str]:
    for kind in tally.to_renew:
        yield f"renew: {kind.count} {kind.fastener.key}: {renew_words(kind.fastener.renew)}"
    for one in tally.renewals:
        yield f"renew: {renewal_words(one)}"


def table_lines(columns: Sequence[str], rows: Iterable[Sequence[str | int]]) -> Iterator[str]:
    """Yield a table for the screen: numbers to the right, words to the left."""
    cells = [columns, *rows]
    widths = [max(len(str(row[place])) for row in cells) for place in range(len(columns))]
    numbers = [all(isinstance(row[place], int) for row in cells[1:]) for place in range(len(columns))]
    for row in cells:
        yield "  ".join(
            f"{cell:>{width}}" if number else f"{cell:<{width}}"
            for cell, width, number in zip(row, widths, numbers, strict=True)
        ).rstrip()
