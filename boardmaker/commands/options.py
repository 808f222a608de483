"""What stands in an option as text, read: a length, a scale, a list of pages.

In: the text as typed. Out: a value, or a complaint that names the option. Apart from the commands, because several ask
for the same.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from boardmaker.display_list import Page
from boardmaker.problems import ProblemsFound, WrongUsage, error
from boardmaker.units import parse_length

LONGEST = 10_000.0  # mm; nothing on a motorcycle, and no board, is longer


def length_option(option: str, text: str) -> float:
    """Return a length from the command line in mm: a bare number is in mm. Raises WrongUsage."""
    try:
        length = parse_length(_plain_number(text))
    except ValueError as wrong:
        raise WrongUsage([error(f"{option}: {wrong}")]) from None
    if length <= 0.0:
        raise WrongUsage([error(f"{option}: {text} is no length")])
    if length > LONGEST:
        raise WrongUsage([error(f"{option}: {text} is more than {LONGEST / 1000:g} m")])
    return length


def _plain_number(text: str) -> float | str:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text


def choose_pages(pages: Sequence[Page], wanted: str | None) -> tuple[Page, ...]:
    """Return the pages of a list such as `3,5-6`; all where none is given. Raises ProblemsFound for others."""
    if wanted is None:
        return tuple(pages)
    numbers = [number for part in wanted.split(",") for number in _page_range(part, len(pages))]
    return tuple(pages[number - 1] for number in dict.fromkeys(numbers))


def _page_range(part: str, count: int) -> range:
    match = re.fullmatch(r"\s*(\d+)\s*(?:-\s*(\d+)\s*)?", part)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last:
        raise WrongUsage([error(f'--pages "{part.strip()}" is no list of pages', hint="for example 3,5-6")])
    if last > count:
        raise ProblemsFound([error(f"--pages {part.strip()}: there are only {count} pages", hint="for example 3,5-6")])
    return range(first, last + 1)


def read_scale(text: str) -> float | str:
    """Return "auto", "standard" or a number from `1:4` or `0.25`. Raises WrongUsage for anything else."""
    word = text.strip().casefold()
    if word in ("auto", "standard"):
        return word
    match = re.fullmatch(r"(?:(\d+(?:\.\d+)?)\s*:\s*)?(\d+(?:\.\d+)?)", word)
    if match and float(match[2]) > 0.0:
        scale = float(match[1]) / float(match[2]) if match[1] else float(match[2])
        if 0.0 < scale <= 1.0:
            return scale
    raise WrongUsage(
        [error(f'--scale "{text}" is no scale', hint="auto, standard, or a reduction such as 1:4 or 0.25")]
    )
