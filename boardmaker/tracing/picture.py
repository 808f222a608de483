"""A traced panel as a picture: from outside, with every hole, and with what the bike file had before.

In: a merged panel. Out: one page of the display list, in mm. Who looks at it sees at once whether the drawing was read
as it was meant: the outline, its size, the letter at each hole, what is new, what moved from where, what is missing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from shapely import LineString, Polygon

from boardmaker.display_list import Circle, DisplayItem, Page, Path, Text
from boardmaker.figures.labels import LabelPlace, Surroundings, WantedLabel, place_labels
from boardmaker.figures.side_tag import side_tag_marks, tag_size
from boardmaker.figures.style import NO_TINT
from boardmaker.fonts import shown_text, text_width
from boardmaker.geometry import Point, Ring, bounds, distance, shift_point, shift_ring
from boardmaker.inputs.outlines import outline_around
from boardmaker.tracing.merge import HoleState, MergedHole, MergedPanel
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import label_items, lines_size
from boardmaker.units import counted

ROOM = (240.0, 170.0)  # mm of the page for the panel at most
LEAST_WIDTH = 150.0  # mm of the page, for title and legend
MARGIN = 12.0
LABELS = 12.0  # mm from the panel to its dimension lines
AIR = 11.0  # mm between heading, panel and legend; a photo goes 12 mm beyond the panel, marks 4
REDUCTIONS = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
MARK = 1.9  # mm: a hole's mark on the page, half across
MOST_APART = 45  # labels that are kept clear of each other: of 100 close holes that takes 20 s; a large panel has 30
LABEL = 3.0  # mm: capitals at a hole
SMALL = 2.2
GREY, PALE = 0.45, 0.6
DASH = (1.6, 1.2)
LINE = 5.0  # mm from one line of the legend to the next
LONGEST_LINE = 110  # letters
DOUBTFUL, DOUBTFUL_WIDTH = (1.0, 0.6, 0.0), 2.2  # orange, mm
_Mark = HoleState | Literal["ignored", "outline", "around", "doubtful"]
_SEEN = {
    "left": "as seen from the left, front on the left",
    "right": "as seen from the right, front on the right",
    "top": "as seen from above, front up",
    "front": "as seen from the front",
    "rear": "as seen from the rear",
}
_SAID: dict[HoleState, str] = {
    "as it was": "as the bike file had it",
    "moved": "moved so far: the dashed ring is where it was",
    "new": "new",
    "not found": "not found in the drawing; it stays in the bike file",
    "taken out": "not found in the drawing; taken out of the bike file",
    "by distances": "given by distances; it stays",
    "proposed": "proposed: a round spot that two photos show; not in the bike file",
}


@dataclass(frozen=True)
class PageFrame:
    """From the panel's frame to the page: so many mm of the panel are one of the page."""

    reduction: float
    origin: Point  # of the panel's frame, on the page

    def at(self, point: Point) -> Point:
        """Return where a point of the panel is on the page, mm."""
        return self.origin[0] + point[0] / self.reduction, self.origin[1] + point[1] / self.reduction

    def ring(self, ring: Ring) -> tuple[Point, ...]:
        """Return where a ring of the panel is on the page."""
        return tuple(map(self.at, ring))


@dataclass(frozen=True)
class _Composed:
    """The page as it is laid out: the panel's frame on it, what was moved, the words, the size."""

    frame: PageFrame
    by: Point
    labels: list[tuple[Words, LabelPlace]]
    title: Words
    lines: list[str]
    legend: list[tuple[_Mark, str]]
    size: Point


def doubt_words(panel: MergedPanel) -> str:
    """Return why stretches of the outline are to be looked at; "" where none is."""
    apart = max((one.off for one in panel.doubtful if one.why == "apart"), default=0.0)
    narrow = [one for one in panel.doubtful if one.why == "narrow"]
    said = [f"the photos are up to {apart:g} mm apart"] if apart else []
    said += [f"{counted(len(narrow), 'notch or tip', 'notches or tips')} too narrow for a panel"] if narrow else []
    return ", ".join(said)


def panel_on_page(panel: MergedPanel, scale_said: str) -> PageFrame:
    """Return where the panel's frame is on the page that `picture_page` returns."""
    return _composed(panel, scale_said).frame


def picture_page(panel: MergedPanel, scale_said: str) -> Page:
    """Return the picture; `scale_said` is a line about the drawing's own scale."""
    made = _composed(panel, scale_said)
    items = [
        *_title(panel, made.title, made.lines, made.size[1]),
        *_doubtful_stretches(panel, made.frame),
        *_outlines(panel, made.frame),
        *_sizes(panel, made.frame),
        *_origin(panel, made.frame),
        *_hole_marks(panel, made.frame),
        *_ignored_marks(panel, made.frame),
        *(item for words, spot in made.labels for item in _label(words, spot, made.by)),
        *_legend_items(made.legend),
    ]
    return Page(*made.size, tuple(items), label=panel.key)


def _composed(panel: MergedPanel, scale_said: str) -> _Composed:
    frame, labels = _laid_out(panel)
    x0, y0, x1, y1 = _extent(panel, frame, labels)
    legend = list(_legend(panel))
    heading = [f"{panel.key}, {seen_words(panel)}, {_scale_text(frame.reduction)}; mm", *_parts(scale_said)]
    lines = [_short(shown_text(line)) for line in heading]
    title = Words(shown_text(panel.name), 4.5, bold=True)
    words = max(text_width(line, SMALL) for line in [*lines, *(said for _, said in legend)])
    width = max(LEAST_WIDTH, x1 - x0, tag_size(title)[0], words + 8.0) + 2 * MARGIN
    foot = MARGIN + LINE * len(legend) + AIR
    height = foot + (y1 - y0) + AIR + tag_size(title)[1] + LINE * len(lines) + MARGIN
    by = ((width - (x0 + x1)) / 2, foot - y0)
    frame = PageFrame(frame.reduction, shift_point(frame.origin, by))
    return _Composed(frame, by, labels, title, lines, legend, (width, height))


def _parts(said: str) -> list[str]:
    """What is said of the scale, in lines where it is too long for one."""
    if len(said) <= LONGEST_LINE:
        return [said]
    lines = [""]
    for part in said.split("; "):
        longer = f"{lines[-1]}; {part}" if lines[-1] else part
        if len(longer) <= LONGEST_LINE or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(part)
    return lines


def _laid_out(panel: MergedPanel) -> tuple[PageFrame, list[tuple[Words, LabelPlace]]]:
    """The scale, and the labels where the panel's frame begins at [0, 0] of the page."""
    x0, y0, x1, y1 = bounds(_all_points(panel))
    frame = PageFrame(_reduction(x1 - x0, y1 - y0), (0.0, 0.0))
    return frame, _labels(panel, frame)


def _extent(panel: MergedPanel, frame: PageFrame, labels: Sequence[tuple[Words, LabelPlace]]) -> Box:
    """All that the panel takes on the page: with marks, labels and, where it has an outline, its sizes."""
    x0, y0, x1, y1 = bounds(frame.ring(tuple(_all_points(panel))))
    sizes = LABELS + 5.0 if panel.outline else 2 * MARK
    boxes = [spot.box for _, spot in labels]
    return (
        min([x0 - sizes, *(box[0] for box in boxes)]),
        min([y0 - sizes, *(box[1] for box in boxes)]),
        max([x1 + 2 * MARK, *(box[2] for box in boxes)]),
        max([y1 + 2 * MARK, *(box[3] for box in boxes)]),
    )


def _all_points(panel: MergedPanel) -> list[Point]:
    points = [*panel.outline, *panel.was, *_around_holes(panel), *(hole.at for hole in panel.shown_holes)]
    points += [hole.was for hole in panel.holes if hole.was] + [one.at for one in panel.ignored if one.at]
    return points or [(0.0, 0.0)]


def _reduction(across: float, up: float) -> float:
    least = max(across / ROOM[0], up / ROOM[1])
    return next((one for one in REDUCTIONS if one >= least), least)


def _scale_text(reduction: float) -> str:
    return f"1:{reduction:g}" if reduction >= 1.0 else f"{1.0 / reduction:g}:1"


def seen_words(panel: MergedPanel) -> str:
    """Return from where the panel is seen: `as seen from the left, front on the left`."""
    return _SEEN[panel.view if panel.side == "centre" and panel.view in _SEEN else panel.side]


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_LINE else f"{text[:LONGEST_LINE]}…"


def _title(panel: MergedPanel, title: Words, lines: Sequence[str], height: float) -> Iterator[DisplayItem]:
    """The name in the shape of its side, and the lines below; without a tint, the picture is one of greys.

    A palette for colours takes longer than all the rest, and a drawing may have forty panels.
    """
    across, up = tag_size(title)
    top = height - MARGIN
    tag = Label((title,), (MARGIN, top - up, MARGIN + across, top))
    yield from side_tag_marks(tag, panel.side, NO_TINT)
    yield from label_items(tag, 0)
    for number, line in enumerate(lines, 1):
        yield Text((MARGIN, top - up - LINE * number), line, SMALL)


def _outlines(panel: MergedPanel, frame: PageFrame) -> Iterator[DisplayItem]:
    if panel.was and panel.new_outline:
        yield Path(frame.ring(panel.was), closed=True, line_width=0.25, ink=PALE, dash=DASH)
    if panel.outline:
        yield Path(frame.ring(panel.outline), closed=True, line_width=0.5)
    elif around := _around_holes(panel):
        yield Path(frame.ring(around), closed=True, line_width=0.25, dash=DASH)


def _doubtful_stretches(panel: MergedPanel, frame: PageFrame) -> Iterator[DisplayItem]:
    for one in panel.doubtful:
        yield Path(tuple(map(frame.at, one.line)), line_width=DOUBTFUL_WIDTH, ink=DOUBTFUL)


def _around_holes(panel: MergedPanel) -> Ring:
    """The outline that the program draws where there is none; nothing without holes."""
    holes = [hole.at for hole in panel.holes if hole.state != "taken out"]
    return outline_around(holes) if holes and not panel.outline else ()


def _sizes(panel: MergedPanel, frame: PageFrame) -> Iterator[DisplayItem]:
    """Width below and height on the left, as on a drawing: line, ticks, words."""
    if not panel.outline:
        return
    x0, y0, x1, y1 = bounds(panel.outline)
    (left, low), (right, high) = frame.at((x0, y0)), frame.at((x1, y1))
    below, beside = low - LABELS, left - LABELS
    for x in (left, right):
        yield Path(((x, low - 1.5), (x, below - 1.5)), line_width=0.18, ink=GREY)
    for y in (low, high):
        yield Path(((left - 1.5, y), (beside - 1.5, y)), line_width=0.18, ink=GREY)
    yield from _arrows((left, below), (right, below))
    yield from _arrows((beside, low), (beside, high))
    yield Text(((left + right) / 2, below + 1.2), _length(x1 - x0), 2.5, "middle")
    yield Text((beside - 1.2, (low + high) / 2), _length(y1 - y0), 2.5, "middle", 90)


def _arrows(start: Point, end: Point) -> Iterator[DisplayItem]:
    yield Path((start, end), line_width=0.18)
    upright = start[0] == end[0]
    for at, way in ((start, 1.0), (end, -1.0)):
        back, half = 2.2 * way, 0.5
        ends = (
            ((at[0] - half, at[1] + back), (at[0] + half, at[1] + back))
            if upright
            else ((at[0] + back, at[1] - half), (at[0] + back, at[1] + half))
        )
        yield Path((at, *ends), closed=True, line_width=0.0, fill=0.0)


def _length(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _origin(panel: MergedPanel, frame: PageFrame) -> Iterator[DisplayItem]:
    """Where the panel's frame has [0, 0], and which way x and y go."""
    x, y = frame.at((0.0, 0.0))
    x0, y0, x1, y1 = bounds(frame.ring(tuple(_all_points(panel))))
    if not (x0 - LABELS <= x <= x1 + LABELS and y0 - LABELS <= y <= y1 + LABELS):
        return
    for tip, barbs, name, at in (
        ((x + 8.0, y), ((x + 6.4, y + 0.6), (x + 6.4, y - 0.6)), "x", (x + 9.0, y - 0.8)),
        ((x, y + 8.0), ((x + 0.6, y + 6.4), (x - 0.6, y + 6.4)), "y", (x - 0.8, y + 9.2)),
    ):
        yield Path(((x, y), tip), line_width=0.25, ink=GREY)
        yield Path((tip, *barbs), closed=True, line_width=0.0, fill=GREY)
        yield Text(at, name, SMALL, ink=GREY)
    yield Circle((x, y), 1.0, line_width=0.0, fill=GREY)


def _hole_marks(panel: MergedPanel, frame: PageFrame) -> Iterator[DisplayItem]:
    """The marks, and over them where holes were: most move by less than a mark is wide."""
    for hole in panel.shown_holes:
        yield from _mark(hole.state, frame.at(hole.at))
    for hole in panel.holes:
        if hole.state == "moved" and hole.was:
            was = frame.at(hole.was)
            yield Path((was, frame.at(hole.at)), line_width=0.25, ink=GREY)
            yield Circle(was, 2 * MARK, 0.25, ink=GREY, dash=(0.9, 0.7))


def _mark(state: HoleState, at: Point) -> Iterator[DisplayItem]:
    """The mark of a hole: what is in the bike file afterwards has a whole ring, what is new is black."""
    x, y = at
    if state == "new":
        yield Circle(at, 2 * MARK, 0.0, fill=0.0)
        yield Circle(at, 1.0, 0.0, fill=1.0)
    elif state == "proposed":
        yield Circle(at, 2 * MARK, 0.5, fill=1.0, dash=(0.9, 0.7))
    elif state in ("not found", "taken out"):
        yield Circle(at, 2 * MARK, 0.3, ink=GREY, fill=1.0, dash=(0.9, 0.7))
        arm = MARK * (0.7 if state == "not found" else 1.5)
        ink = GREY if state == "not found" else 0.0
        yield Path(((x - arm, y - arm), (x + arm, y + arm)), line_width=0.35, ink=ink)
        yield Path(((x - arm, y + arm), (x + arm, y - arm)), line_width=0.35, ink=ink)
    else:
        yield Circle(at, 2 * MARK, 0.6 if state == "moved" else 0.35, fill=1.0)
        if state == "by distances":
            yield Path(((x - MARK, y), (x + MARK, y)), line_width=0.35)
        else:
            yield Circle(at, 0.8, 0.0, fill=0.0)


def _ignored_marks(panel: MergedPanel, frame: PageFrame) -> Iterator[DisplayItem]:
    for one in panel.ignored:
        if one.at:
            yield from _ignored_mark(frame.at(one.at))


def _ignored_mark(at: Point) -> Iterator[DisplayItem]:
    x, y = at
    ring = ((x - 1.4, y), (x, y - 1.4), (x + 1.4, y), (x, y + 1.4))
    yield Path(ring, closed=True, line_width=0.25, ink=GREY)


def _labels(panel: MergedPanel, frame: PageFrame) -> list[tuple[Words, LabelPlace]]:
    """Id and letter beside each hole, clear of marks, of each other and, where there is room, of the outline."""
    lines = [_label_words(hole) for hole in panel.shown_holes]
    ats = [frame.at(hole.at) for hole in panel.shown_holes]
    wanted = [WantedLabel(at, MARK, lines_size([words])) for at, words in zip(ats, lines, strict=True)]
    if len(wanted) > MOST_APART:
        return list(zip(lines, map(_right_beside, wanted), strict=True))
    ghosts = [(frame.at(hole.was), MARK) for hole in panel.holes if hole.state == "moved" and hole.was]
    outline = frame.ring(panel.outline or _around_holes(panel))
    around = Surroundings(
        circles=[*((at, MARK) for at in ats), *ghosts],
        points=[frame.at(one.at) for one in panel.ignored if one.at],
        outline=LineString([*outline, outline[0]]) if outline else LineString(),
        inside=Polygon(outline) if outline else Polygon(),
    )
    return list(zip(lines, place_labels(wanted, around) if wanted else (), strict=True))


def _right_beside(wanted: WantedLabel) -> LabelPlace:
    (x, y), (width, height) = wanted.at, wanted.size
    return LabelPlace((x + MARK, y + MARK, x + MARK + width, y + MARK + height), (), 0.0)


def _label_words(hole: MergedHole) -> Words:
    gone = hole.state in ("not found", "taken out")
    way = f", {distance(hole.at, hole.was):.1f} mm" if hole.state == "moved" and hole.was else ""
    letter = f"{hole.fastener or '?'}{f' (was {hole.fastener_was})' if hole.fastener_was else ''}"
    return Words(shown_text(f"{hole.id} {letter}{way}"), LABEL, bold=not gone, ink=GREY if gone else 0.0)


def _label(words: Words, spot: LabelPlace, by: Point) -> Iterator[DisplayItem]:
    if spot.leader:
        yield Path(shift_ring(spot.leader, by), line_width=0.18)
    x0, y0, x1, y1 = spot.box
    yield from label_items(Label((words,), (x0 + by[0], y0 + by[1], x1 + by[0], y1 + by[1])), 0)


def _legend(panel: MergedPanel) -> Iterator[tuple[_Mark, str]]:
    """The marks that occur, from the top down, each with what it means."""
    for state, said in _SAID.items():
        if count := sum(hole.state == state for hole in panel.shown_holes):
            yield state, f"{said} ({count})"
    if panel.ignored:
        yield "ignored", f"passed over in the drawing ({len(panel.ignored)})"
    if panel.was and panel.new_outline:
        yield "outline", "the outline that the bike file had"
    if panel.doubtful:
        yield "doubtful", f"is the outline on the edge? {doubt_words(panel)}"
    if not panel.outline:
        yield "around", "no outline was drawn: the program takes one around the holes"


def _legend_items(legend: Sequence[tuple[_Mark, str]]) -> Iterator[DisplayItem]:
    for number, (what, said) in enumerate(reversed(legend)):
        at = (MARGIN + 3.0, MARGIN + LINE * number + 1.0)
        if what == "ignored":
            yield from _ignored_mark(at)
        elif what == "outline":
            yield _dashes(at, PALE)
        elif what == "doubtful":
            yield Path(((at[0] - 3.0, at[1]), (at[0] + 3.0, at[1])), line_width=DOUBTFUL_WIDTH, ink=DOUBTFUL)
        elif what == "around":
            yield _dashes(at, 0.0)
        else:
            yield from _mark(what, at)
        yield Text((MARGIN + 8.0, at[1] - SMALL / 2), said, SMALL)


def _dashes(at: Point, ink: float) -> Path:
    return Path(((at[0] - 3.0, at[1]), (at[0] + 3.0, at[1])), line_width=0.25, ink=ink, dash=DASH)
