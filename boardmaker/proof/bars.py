"""The test bars of a page, found as a person finds them: words that begin with a length, and the bar beside them.

A bar is a straight line with a short line across it at both ends. Pictures of boards are full of other lines, so the
words come first: only lines along the words and close to them are looked at.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from boardmaker.proof.marks import PageMarks, Segment, WordsOnPage
from boardmaker.proof.report import Point

_STATED = re.compile(r"\s*(\d{1,5}(?:[.,]\d+)?)\s?mm\s*(?:$|[=(])")
# All in what the page itself shows, so that a page shrunk or blown up is read like any other:
NEAR = 3.5  # heights of the letters between the words and their bar
SHORTEST = 2.5  # heights of the letters; a shorter line is no bar
END_LINE = 0.25  # of the bar's length, at most, is an end line long
TOUCHING = 0.006  # of the bar's length, at most, between the bar's end and its end line
SLOPE = 0.02  # sine of the angle at which a line still runs along another, or across it


@dataclass(frozen=True)
class FoundBar:
    """A test bar in mm on the page: where it runs from end line to end line, and the length in its words."""

    stated: float
    start: Point
    end: Point
    end_lines: tuple[Segment, Segment]
    words: WordsOnPage

    @property
    def upright(self) -> bool:
        """Whether it runs up the page rather than across it."""
        return abs(self.end[1] - self.start[1]) > abs(self.end[0] - self.start[0])


def find_bars(marks: PageMarks) -> tuple[FoundBar, ...]:
    """Return every test bar whose length is written at it, each once, in the order of the words.

    Of several words that could name a bar the nearest do: lengths of cuts may end up not far from a bar.
    """
    found: dict[Segment, tuple[float, FoundBar]] = {}
    for words in marks.words:
        if (match := _STATED.match(words.text)) and (near := _nearest_bar(words, match[1], marks.segments)):
            key = near[1].start, near[1].end
            if key not in found or near[0] < found[key][0]:
                found[key] = near
    return tuple(bar for _, bar in found.values())


def _nearest_bar(words: WordsOnPage, stated: str, segments: Sequence[Segment]) -> tuple[float, FoundBar] | None:
    """The bar that the words may name, and how far it is from them in mm."""
    near = sorted((_gap(words, one), one) for one in segments if _may_name(words, one))
    for gap, segment in near:
        ends = _end_lines(segment, segments) if gap <= NEAR * words.height else None
        if ends:
            start, end = (_crossing(segment, end_line) for end_line in ends)
            return gap, FoundBar(float(stated.replace(",", ".")), start, end, ends, words)
    return None


def _may_name(words: WordsOnPage, segment: Segment) -> bool:
    length = math.dist(*segment)
    return length > SHORTEST * words.height and abs(_cross(words.direction, _direction(segment))) <= SLOPE


def _end_lines(segment: Segment, segments: Sequence[Segment]) -> tuple[Segment, Segment] | None:
    """The short line across each end of a line, None where an end has none."""
    ends = [next(_lines_at(end, segment, segments), None) for end in segment]
    return (ends[0], ends[1]) if ends[0] and ends[1] else None


def _lines_at(end: Point, bar: Segment, segments: Sequence[Segment]) -> Iterator[Segment]:
    direction, length = _direction(bar), math.dist(*bar)
    for one in segments:
        short = 0.0 < math.dist(*one) <= END_LINE * length
        if short and _off(end, one) <= TOUCHING * length and abs(_dot(direction, _direction(one))) <= SLOPE:
            yield one


def _crossing(bar: Segment, end_line: Segment) -> Point:
    """The point of the bar's line where its end line crosses it: that is where a rule is laid."""
    (x, y), (along_x, along_y) = bar[0], _direction(bar)
    middle = (end_line[0][0] + end_line[1][0]) / 2 - x, (end_line[0][1] + end_line[1][1]) / 2 - y
    way = _dot(middle, (along_x, along_y))
    return x + along_x * way, y + along_y * way


def _gap(words: WordsOnPage, segment: Segment) -> float:
    """How far apart the words' base line and a line along them are, in mm; 0 where they cover each other."""
    ends = (words.start, words.end)
    return min(*(_off(point, segment) for point in ends), *(_off(point, ends) for point in segment))


def _off(point: Point, segment: Segment) -> float:
    """Distance in mm of a point from a straight line between two points."""
    start, end = segment
    length = math.dist(start, end)
    if length == 0.0:
        return math.dist(point, start)
    along = _direction(segment)
    way = min(max(_dot((point[0] - start[0], point[1] - start[1]), along), 0.0), length)
    return math.dist(point, (start[0] + along[0] * way, start[1] + along[1] * way))


def _direction(segment: Segment) -> Point:
    (x0, y0), (x1, y1) = segment
    length = math.dist(*segment) or 1.0
    return (x1 - x0) / length, (y1 - y0) / length


def _dot(one: Point, other: Point) -> float:
    return one[0] * other[0] + one[1] * other[1]


def _cross(one: Point, other: Point) -> float:
    return one[0] * other[1] - one[1] * other[0]
