"""What stands in an option as text, read: a length, a scale, a list of pages.

In: the text as typed. Out: a value, or a complaint that names the option. Apart from the commands, because several ask
for the same.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from boardmaker.display_list import Page
from boardmaker.problems import ProblemsFound, WrongUsage, error
from boardmaker.sheets import Sheets
from boardmaker.units import counted, decimal_point, parse_length

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


def choose_pages(sheets: Sheets, wanted: str | None) -> tuple[Page, ...]:
    """Return the pages of a list such as `3,5-6`, all where none is given; a page may also be called by its name.

    That is what stands on it (`map`, `sheet 3`), or a tile or patch of the board file (`A2`, of every board).
    Raises ProblemsFound for pages that are not there.
    """
    if wanted is None:
        return tuple(sheets.pages)
    numbers = [number for part in page_list(wanted) for number in _numbers(part, sheets)]
    return tuple(sheets.pages[number - 1] for number in dict.fromkeys(numbers))


def _numbers(part: range | str, sheets: Sheets) -> Sequence[int]:
    """The numbers, from 1, of the pages that a part of a list means."""
    there = len(sheets.pages)
    if isinstance(part, range):
        if part[-1] > there:
            message = f"--pages {part[-1]}: there {'is' if there == 1 else 'are'} only {counted(there, 'page')}"
            raise ProblemsFound([error(message, hint="for example 3,5-6")])
        return part
    named = [*((page.label, number) for number, page in enumerate(sheets.pages, start=1))]
    named += [(sheet.tile, sheet.page) for sheet in (*sheets.tiles, *sheets.patches)]
    found = sorted({number for name, number in named if name.casefold() == part})
    if not found:
        names = ", ".join(dict.fromkeys(name for name, _ in named if name))
        raise ProblemsFound([error(f'--pages: there is no page "{_short(part)}"', hint=f"there are: {names}")])
    return found


def page_list(wanted: str | None) -> tuple[range | str, ...]:
    """Return the ranges and names of a list of pages, none where none is given. Raises WrongUsage for another text."""
    return () if wanted is None else tuple(map(_page_part, wanted.split(",")))


def _page_part(part: str) -> range | str:
    if re.fullmatch(r"\s*[a-z]\w*(?: \w+)*\s*", part, re.IGNORECASE):
        return part.strip().casefold()
    match = re.fullmatch(r"\s*([0-9]{1,6})\s*(?:-\s*([0-9]{1,6})\s*)?", part)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last:
        hint = "for example 3,5-6, or the names of tiles: A2,B1"
        raise WrongUsage([error(f'--pages "{_short(part.strip())}" is no list of pages', hint=hint)])
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
