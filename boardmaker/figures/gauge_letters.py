"""Where letters stand above a rule: each on an upright line from its own length, in as few rows as that takes.

In: lengths with their letters, how far letters may reach. Out: the row and the place of each. The line of a letter
touches it from below and passes all rows under it between other letters, so that none is ever followed sideways; two
lengths that are nearly the same lean apart by a few tenths of a millimetre. Apart from `gauge`, which draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from boardmaker.fonts import text_width

TYPE = 2.5  # mm, height of the letters (ISO 3098)
SHOULDER_ROOM = 0.8  # mm more for the frame around the letter of a shoulder
APART = 0.5  # mm between two letters of a row
LINE_OFF = 0.4  # mm between a line and the letters that it passes; a J reaches beyond its box by half of it
LINES_APART = (0.41, 0.8, 1.2, 1.4, 1.5, 1.55, 1.6)  # mm between two lines, as tried; a letter may end at its own
LEAN = 2.1  # mm at most, from the foot of a line to its upper end
FEW_ROWS = 3
MOST_ROWS = 5
SWEEPS = 200  # over all lines until none is too near to another


@dataclass(frozen=True)
class Flag:
    """What stands for one length: the letters, whether their shoulders end there, and its line, left end and row."""

    at: float
    text: str
    shoulder: bool
    line: float
    left: float = 0.0
    row: int = 1

    @cached_property
    def width(self) -> float:
        """Of the letters and what is around them, mm."""
        return text_width(self.text, TYPE, bold=True) + (SHOULDER_ROOM if self.shoulder else 0.0)

    @property
    def right(self) -> float:
        """Where the letters end, mm."""
        return self.left + self.width


def set_letters(flags: Sequence[Flag], high: float) -> tuple[Flag, ...]:
    """Return the letters by their lengths, at their places from 0 to `high` mm; those without a place are left out.

    Lines lean apart as little as gives all letters a place in few rows.
    """
    inside = [flag for flag in sorted(flags, key=lambda flag: (flag.at, flag.shoulder)) if flag.width <= high]
    tried = [_in_rows(_lines_apart(inside, least, high), high) for least in LINES_APART]
    fewest = min(tried, key=lambda found: (-len(found), max(0, _rows(found) - FEW_ROWS)), default=())
    return tuple(sorted(fewest, key=lambda flag: flag.line))


def _rows(flags: Sequence[Flag]) -> int:
    return max((flag.row for flag in flags), default=1)


def _in_rows(flags: Sequence[Flag], high: float) -> list[Flag]:
    """Letters row by row from the lowest, as many in each as it holds."""
    left, found = list(flags), []
    for row in range(1, MOST_ROWS + 1):
        placed = _row(left, high) if left else []
        found += [replace(flag, row=row) for flag in placed]
        lines = {flag.line for flag in placed}
        left = [flag for flag in left if flag.line not in lines]
    return found


def _lines_apart(flags: Sequence[Flag], least: float, high: float) -> list[Flag]:
    """The lines pushed off each other, at least so many mm where that takes none further than lines may lean."""
    lines = [flag.at for flag in flags]
    for _ in range(SWEEPS):
        before = list(lines)
        for i in range(len(lines) - 1):
            push = max(0.0, least - (lines[i + 1] - lines[i])) / 2
            lines[i], lines[i + 1] = lines[i] - push, lines[i + 1] + push
        if lines == before:
            break
    pairs = zip(flags, lines, strict=True)
    return [replace(flag, line=line) for flag, line in pairs if 0.0 < line <= high and abs(line - flag.at) <= LEAN]


@dataclass(frozen=True)
class _Begun:
    """A row up to some line: where its next letters may begin, and those that stand in it, as far left as can be."""

    free_from: float
    placed: tuple[Flag, ...] = ()
    ends: float = -1.0  # of the last letters


def _row(flags: Sequence[Flag], high: float) -> list[Flag]:
    """As many letters as one row holds, the lines of all others passing between them."""
    best: dict[tuple[int, bool], _Begun] = {(0, False): _Begun(APART)}
    for flag in flags:
        after: dict[tuple[int, bool], _Begun] = {}
        for begun in best.values():
            for key, one in _goes_on(begun, flag, high):
                if key not in after or one.free_from < after[key].free_from:
                    after[key] = one
        best = after
    most = max(best.values(), key=lambda begun: (len(begun.placed), -begun.free_from), default=_Begun(0.0))
    return _centred(most.placed, flags, high)


def _goes_on(begun: _Begun, flag: Flag, high: float) -> list[tuple[tuple[int, bool], _Begun]]:
    """The row with and without these letters, as far as each can be."""
    count, found = len(begun.placed), []
    if begun.ends <= flag.line - LINE_OFF:
        found.append(((count, False), _Begun(max(begun.free_from, flag.line + LINE_OFF), begun.placed)))
    left = max(begun.free_from, flag.line - flag.width)
    if left <= flag.line and left + flag.width <= high:
        set_here = replace(flag, left=left)
        found.append(((count + 1, True), _Begun(set_here.right + APART, (*begun.placed, set_here), set_here.right)))
    return found


def _centred(placed: Sequence[Flag], flags: Sequence[Flag], high: float) -> list[Flag]:
    """Letters moved from the left to the middle of their lines, as far as others and other lines let them."""
    passing = [flag.line for flag in flags if all(flag.line != one.line for one in placed)]
    found: list[Flag] = []
    for flag in reversed(placed):
        ends = [line - LINE_OFF for line in passing if line > flag.line]
        end = min([high, *ends, *(one.left - APART for one in found[-1:])])
        wanted = min(flag.line - flag.width / 2, end - flag.width)
        found.append(replace(flag, left=max(flag.left, wanted)))
    return found
