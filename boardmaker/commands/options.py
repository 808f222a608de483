"""What stands in an option as text, read: a length, a scale, a list of pages.

In: the text as typed. Out: a value, or a complaint that names the option. Apart from the commands, because several ask
for the same.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from boardmaker.display_list import Page
from boardmaker.problems import ProblemsFound, WrongUsage, error
from boardmaker.units import decimal_point, parse_length

LONGEST = 10_000.0  # mm; nothing on a motorcycle, and no board, is longer
SMALLEST_SCALE = 0.001  # a motorcycle is 2 mm long then
SHOWN = 40  # letters of what was typed, in a complaint about it


def length_option(option: str, text: str) -> float:
    """Return a length from the command line in mm: a bare number is in mm. Raises WrongUsage."""
    try:
        length = parse_length(_plain_number(text))
    except ValueError as wrong:
        raise WrongUsage([error(f"{option}: {wrong}")]) from None
    if length <= 0.0:
        raise WrongUsage([error(f"{option}: {_short(text)} is no length")])
    if length > LONGEST:
        raise WrongUsage([error(f"{option}: {_short(text)} is more than {LONGEST / 1000:g} m")])
    return length


def _plain_number(text: str) -> float | str:
    """A number, also with a decimal comma; the text itself where it is none. ValueError for 1,500: it could be two."""
    number = decimal_point(text)
    try:
        return float(number)
    except ValueError:
        return text


def choose_pages(pages: Sequence[Page], wanted: str | None) -> tuple[Page, ...]:
    """Return the pages of a list such as `3,5-6`; all where none is given. Raises ProblemsFound for others."""
    if wanted is None:
        return tuple(pages)
    ranges = page_ranges(wanted)
    last = max(one[-1] for one in ranges)
    if last > len(pages):
        raise ProblemsFound([error(f"--pages {last}: there are only {len(pages)} pages", hint="for example 3,5-6")])
    return tuple(pages[number - 1] for number in dict.fromkeys(number for one in ranges for number in one))


def page_ranges(wanted: str | None) -> tuple[range, ...]:
    """Return the ranges of a list of pages, none where none is given. Raises WrongUsage for what is no such list."""
    return () if wanted is None else tuple(map(_page_range, wanted.split(",")))


def _page_range(part: str) -> range:
    match = re.fullmatch(r"\s*([0-9]{1,6})\s*(?:-\s*([0-9]{1,6})\s*)?", part)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last:
        raise WrongUsage([error(f'--pages "{_short(part.strip())}" is no list of pages', hint="for example 3,5-6")])
    return range(first, last + 1)


def _short(text: str) -> str:
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"


def read_scale(text: str) -> float | str:
    """Return "auto", "standard" or a number from `1:4` or `0.25`. Raises WrongUsage for anything else."""
    word = text.strip().casefold()
    if word in ("auto", "standard"):
        return word
    match = re.fullmatch(r"(?:(\d+(?:\.\d+)?)\s*:\s*)?(\d+(?:\.\d+)?)", word)
    if match and float(match[2]) > 0.0:
        scale = float(match[1]) / float(match[2]) if match[1] else float(match[2])
        if SMALLEST_SCALE <= scale <= 1.0:
            return scale
    raise WrongUsage(
        [error(f'--scale "{_short(text)}" is no scale', hint="auto, standard, or a reduction such as 1:4 or 0.25")]
    )
