"""The heights of type on a board, which is read at arm's length: larger than on a page in the hand.

Heights of capitals in mm, of the ISO 3098 series. What is set in columns grows with its type: `wide` says how wide.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

LARGE = 1.5  # times as large, for reading glasses


@dataclass(frozen=True)
class TypeSizes:
    """From the smallest: remarks, what must be read while working, names, headings."""

    small: float = 2.5
    text: float = 3.5
    name: float = 5.0
    heading: float = 7.0
    times: float = 1.0  # as large as usual

    def grown(self, times: float) -> TypeSizes:
        """Return the same, so many times as large."""
        larger = {part: times * getattr(self, part) for part in ("small", "text", "name", "heading", "times")}
        return replace(self, **larger)

    def shrunk(self, times: float) -> TypeSizes:
        """Return smaller type for crowded places, in which nothing becomes smaller than a remark."""
        smaller = {part: max(self.small, times * getattr(self, part)) for part in ("text", "name", "heading")}
        return replace(self, **smaller)

    def wide(self, width: float) -> float:
        """Return the width in mm of a column that is `width` wide in the usual type."""
        return width * self.times


BOARD_TYPE = TypeSizes()


def board_type(large: bool) -> TypeSizes:
    """Return the type of a board, `large` or as usual."""
    return BOARD_TYPE.grown(LARGE) if large else BOARD_TYPE
