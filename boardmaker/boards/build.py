"""The flow on one screen: bike and setup in, boards out.

Each stage is called once, in order; only the scale search calls `figures` again, at every scale that it tries.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Literal

from boardmaker.boards.board_file.reading import KeptShape
from boardmaker.boards.cutouts import spread_on_pages
from boardmaker.boards.former import Former, former_places
from boardmaker.boards.no_room import Asked, no_room
from boardmaker.boards.poses import item_of, placed_at
from boardmaker.boards.relations import relations_of
from boardmaker.case import (
    Blank,
    Layer,
    Span,
    cut_triangle,
    layer_of,
    shape_boards,
    stack_heights,
    stack_problem,
    still_fits,
)
from boardmaker.drawing import CutLine, Drawing, Placed, draw_board, place_figure
from boardmaker.figures import Figure, draw_board_mark, draw_figures
from boardmaker.geometry import bounds
from boardmaker.model import Fastener, Setup
from boardmaker.packing import arrange, drawn_home, largest_scale, pack, read_packing, violations
from boardmaker.packing.problem import Effort, Item, Packing, Progress, Region, Relations
from boardmaker.packing.reading import Reading
from boardmaker.problems import Problem, ProblemsFound
from boardmaker.service import Work
from boardmaker.sheets import BoardInCase, BoardOnPaper, Sheets, lay_sheets, picture_size
from boardmaker.standards import standard_scales
from boardmaker.wording.numbers import length_text

Report = Callable[[str, Progress], None]  # what is being done, how far it is

PrintAs = Literal["tiles", "cutouts", "whole"]

LARGEST_SCALE = 1.0
SMALLEST_SCALE = 0.02
CUT_SHORT = "Search interrupted: a longer one may find a larger drawing."
GOOD_SCALE = 1 / 6  # as few boards as keep the scale at 1:6 or larger
MOST_BOARDS = 4
LOOKS_AT_HEIGHTS = 3  # in a case whose walls lean in, before the boards are made for the lowest heights there can be
MOST_GIVEN_UP = 0.02  # of the scale, for boards that read better


@dataclass(frozen=True)
class BoardOptions:
    """What the user asked for: `scale` is "auto", "standard" or a fixed number; `boards` at most.

    `arrange` is the share of the scale (0 to 0.02) to give up for boards that read better.
    """

    scale: float | str = "auto"
    boards: int = MOST_BOARDS
    effort: Effort = "normal"
    seed: int = 0
    print_as: PrintAs = "tiles"
    arrange: float = 0.0


@dataclass(frozen=True)
class Board:
    """One finished board: its shape, where it lies in the case, what is on it, its drawing."""

    shape: Blank
    placed: tuple[Placed, ...]
    drawing: Drawing


@dataclass(frozen=True)
class BoardSet:
    """All boards of one bike at their common scale, how well they read, and their sheets.

    `cut_short`: the search was stopped by Ctrl-C, and this is the best that it had.
    """

    work: Work
    setup: Setup
    scale: float
    boards: tuple[Board, ...]
    reading: Reading
    sheets: Sheets
    cut_short: bool = False


def build_boards(work: Work, setup: Setup, options: BoardOptions, report: Report) -> BoardSet:
    """Return the boards for this work. Raises ProblemsFound where they cannot be made."""
    layout = _Layout(work, setup, options, report)
    count, packing = layout.search()
    packing = layout.arranged(count, packing)
    boards = _finish(layout, count, packing)
    sheets = _lay_sheets(layout, boards, packing)
    return BoardSet(work, setup, packing.scale, boards, layout.read(count, packing), sheets, packing.cut_short)


def _lay_sheets(layout: _Layout, boards: Sequence[Board], packing: Packing) -> Sheets:
    on_paper = tuple(BoardOnPaper(board.drawing, board.shape.outline, board.placed) for board in boards)
    print_as = layout.options.print_as
    cutouts: tuple[BoardOnPaper, ...] = ()
    if print_as == "cutouts":
        picture = picture_size(layout.setup)
        cutouts = spread_on_pages(layout.figures_at(packing.scale), picture, layout.options.seed)
    layers = _layers(layout, [board.placed for board in boards])
    thickness = layout.setup.board.thickness
    return lay_sheets(
        on_paper,
        layout.work,
        packing.scale,
        layout.setup,
        whole=print_as == "whole",
        cutouts=cutouts,
        remark=CUT_SHORT if packing.cut_short else "",
        in_case=[BoardInCase(board.shape, layer, thickness) for board, layer in zip(boards, layers, strict=True)],
    )


def repack_boards(
    work: Work,
    setup: Setup,
    options: BoardOptions,
    kept: Sequence[KeptShape],
    scale: float,
    kept_on: int,
    report: Report,
) -> BoardSet:
    """Return boards of another setup that keep `scale` if it fits, and everything near its old place and turn.

    `options.scale` "auto" keeps the scale where that goes on `kept_on` boards; anything else asks for another one.
    Raises ProblemsFound as `build_boards`.
    """
    layout = _Layout(work, setup, options, report)
    layout.keep(kept, scale)
    count, packing = layout.drawn_home(*layout.search_near(kept_on))
    boards = _finish(layout, count, packing)
    sheets = _lay_sheets(layout, boards, packing)
    return BoardSet(work, setup, packing.scale, boards, layout.read(count, packing), sheets, packing.cut_short)


class _Layout:
    """The search for scale and number of boards: figures and packing asked in turn."""

    def __init__(self, work: Work, setup: Setup, options: BoardOptions, report: Report) -> None:
        self.work, self.setup, self.options, self.report = work, setup, options, report
        self.clearance = max(setup.board.clearance, setup.board.finger_room)
        self._spans: dict[int, tuple[Span, ...]] = {}
        self._kept: Former | None = None
        self.figures_at = lru_cache(maxsize=None)(self._figures_at)

    def _figures_at(self, scale: float) -> tuple[tuple[Figure, ...], ...]:
        return draw_figures(self.work, scale, self.setup.board)

    def items_at(self, scale: float) -> tuple[Item, ...]:
        """The figures as the packing engine sees them: zones in all their poses."""
        items = tuple(item_of(str(index), alternatives) for index, alternatives in enumerate(self.figures_at(scale)))
        return self._kept.wishing(items) if self._kept else items

    def keep(self, kept: Sequence[KeptShape], scale: float) -> None:
        """Let everything wish to lie where it lay on earlier boards of this scale."""
        names = [(figures[0].kind, figures[0].key) for figures in self.figures_at(scale)]
        self._kept = former_places(kept, scale, names)

    def search_near(self, kept_on: int) -> tuple[int, Packing]:
        """The earlier packing, slid as little as will do; where its scale cannot be kept, a new search from there."""
        assert self._kept is not None
        if self.options.scale == "auto":
            for count in range(min(len(self._kept.boards), kept_on), kept_on + 1):
                found = self._at_its_heights(count, partial(self._same_scale, count))
                if found and (found.cut_short or not _stack_problem(self, _place_all(self, count, found))):
                    return count, found
        return self.search()

    def drawn_home(self, count: int, packing: Packing) -> tuple[int, Packing]:
        """The packing with everything as near to its old place and turn as there is room."""
        assert self._kept is not None
        stocks = [shape.stock for shape in self.shapes(count)]
        homes = self._kept.homes(self.items_at(packing.scale), stocks)
        items, regions = self.items_at(packing.scale), self.regions(count)
        placements = drawn_home(items, regions, packing.placements, homes, self.clearance)
        nearer = replace(packing, placements=placements)
        return count, packing if self._too_low(count, nearer) else nearer

    def _same_scale(self, count: int) -> Packing | None:
        assert self._kept is not None
        scale = self._kept.scale
        items, regions = self.items_at(scale), self.regions(count)
        for placements in self._kept.as_they_were(items, [shape.stock for shape in self.shapes(count)]):
            if not violations(items, placements, regions, self.clearance):
                return Packing(scale, placements)
        return self._at_scale(count, scale, self._start_near(count, scale))

    def _start_near(self, count: int, scale: float) -> Packing | None:
        if self._kept is None:
            return None
        stocks = [shape.stock for shape in self.shapes(count)]
        return Packing(scale, self._kept.in_proportion(self.items_at(scale), stocks))

    def shapes(self, count: int) -> tuple[Blank, ...]:
        """The boards as large as the case allows at the heights at which they are taken to lie."""
        if count not in self._spans:
            kinds = {freed.fastener.key: freed.fastener for freed in self.work.freed}
            highest = layer_of(tuple(kinds.values()), self.setup.board.thickness)
            self._spans[count] = self._spans_of([highest] * count)
        return shape_boards(self.setup, self._spans[count])

    def _spans_of(self, layers: Sequence[Layer]) -> tuple[Span, ...]:
        thickness = self.setup.board.thickness
        heights = stack_heights(layers, thickness)
        return tuple(Span(low, low + thickness + one.above) for low, one in zip(heights, layers, strict=True))

    def _too_low(self, count: int, packing: Packing) -> tuple[Span, ...] | None:
        """Where the boards really lie, if that is lower than was taken and walls are in their way; else None.

        How high a board lies depends on what is on the boards below it, and that is known only once they are packed.
        """
        case = self.setup.case
        if case is None or case.floor is None:
            return None
        spans = self._spans_of(_layers(self, _place_all(self, count, packing)))
        fits = (still_fits(shape, case, span) for shape, span in zip(self.shapes(count), spans, strict=True))
        return None if all(fits) else spans

    def regions(self, count: int) -> tuple[Region, ...]:
        margin = self.setup.board.margin
        return tuple(
            Region(shape.outline, margin, tuple(mark.figure.zone for mark in self.marks(shape, index, count)))
            for index, shape in enumerate(self.shapes(count))
        )

    def marks(self, shape: Blank, index: int, count: int) -> tuple[Placed, ...]:
        """What tells one board of several from the others; a lone board needs nothing."""
        if count == 1:
            return ()
        return (_place_board_mark(draw_board_mark(self.work, index + 1, count), shape, self.setup.board.margin),)

    def search(self) -> tuple[int, Packing]:
        """The fewest boards that keep a good scale, else the largest scale that the most boards give.

        A number of boards that would stand too high in the case is passed over, and so is every larger one.
        """
        most = self.options.boards
        for count, lowest in [(count, GOOD_SCALE) for count in range(1, most)] + [(most, SMALLEST_SCALE)]:
            if (found := self._at_its_heights(count, partial(self._search_on, count, lowest))) is not None:
                if found.cut_short:
                    return count, found
                too_high = _stack_problem(self, _place_all(self, count, found))
                return (count, found) if too_high is None else self._at_any_scale(count - 1, too_high)
        raise ProblemsFound([self._nothing_fits()])

    def _at_any_scale(self, most: int, too_high: Problem) -> tuple[int, Packing]:
        """The most boards that the case can hold, however small the drawing."""
        for count in range(most, 0, -1):
            found = self._at_its_heights(count, partial(self._search_on, count, SMALLEST_SCALE))
            if found and not _stack_problem(self, _place_all(self, count, found)):
                return count, found
        raise ProblemsFound([too_high])

    def _at_its_heights(self, count: int, look: Callable[[], Packing | None]) -> Packing | None:
        """A packing whose boards lie in the case where their own screws hold them up.

        The heights are guessed, then lowered to what came out; the last guess is lower than any screws can make them.
        """
        for attempt in range(LOOKS_AT_HEIGHTS + 1):
            found = look()
            if found is None or (real := self._too_low(count, found)) is None:
                return found
            taken = self._spans[count]
            self._spans[count] = tuple(Span(min(one.low, new.low), None) for one, new in zip(taken, real, strict=True))
            if attempt == LOOKS_AT_HEIGHTS - 1 or found.cut_short:
                bare = self._spans_of([Layer(0.0, 0.0)] * count)
                self._spans[count] = tuple(Span(one.low, None) for one in bare)
        raise AssertionError("no board lies lower than a stack without any screws")

    def _search_on(self, count: int, lowest: float) -> Packing | None:
        if isinstance(self.options.scale, float):
            return self._at_scale(count, self.options.scale)
        start = self._start_near(count, self._kept.scale) if self._kept else None
        found = self._largest(count, lowest, LARGEST_SCALE, self.options.effort, _packing_on(count), start)
        if found is not None and found.cut_short:
            return found
        if found is not None and self.options.scale != "auto":
            found = self._at_standard_scale(count, found)
        return found if found and found.scale >= lowest else None

    def _at_standard_scale(self, count: int, found: Packing) -> Packing | None:
        for scale in standard_scales():
            if SMALLEST_SCALE <= scale <= found.scale and (packing := self._at_scale(count, scale, found)):
                return packing
        return None

    def _at_scale(self, count: int, scale: float, start: Packing | None = None) -> Packing | None:
        placements = pack(
            self.items_at(scale),
            self.regions(count),
            clearance=self.clearance,
            effort=self.options.effort,
            seed=self.options.seed,
            start=start.placements if start else None,
            report=lambda progress: self.report(_packing_on(count), progress),
        )
        return Packing(scale, placements) if placements else None

    def arranged(self, count: int, packing: Packing) -> Packing:
        """The packing made to read better, unless the boards would then lie too low in the case."""
        better = self._arrange(count, packing)
        return packing if self._too_low(count, better) else better

    def _arrange(self, count: int, packing: Packing) -> Packing:
        """The packing made to read better, on at most so much smaller a scale as the user gives up for it."""
        if packing.cut_short:
            return packing
        given_up = self._given_up(count, packing)
        start = given_up or packing
        return arrange(
            self.items_at(start.scale),
            self.regions(count),
            start,
            self._relations(start.scale),
            clearance=self.clearance,
            # At the largest scale little gives; the search pays where there is room.
            effort=self.options.effort if given_up or self.options.scale != "auto" else "quick",
            seed=self.options.seed,
            report=lambda progress: self.report("arranging", progress),
        )

    def _given_up(self, count: int, packing: Packing) -> Packing | None:
        """The same packing at the smaller scale, None where there is none to give up or it does not go in there."""
        if self.options.scale != "auto" or self.options.arrange <= 0.0:
            return None
        return self._at_scale(count, packing.scale * (1.0 - self.options.arrange), packing)

    def read(self, count: int, packing: Packing) -> Reading:
        """How well the boards read."""
        items, relations = self.items_at(packing.scale), self._relations(packing.scale)
        return read_packing(items, self.regions(count), packing.placements, relations)

    def _relations(self, scale: float) -> Relations:
        figures = enumerate(self.figures_at(scale))
        return relations_of(self.work, {one[0].key: str(index) for index, one in figures if one[0].kind == "panel"})

    def _nothing_fits(self) -> Problem:
        """The error; where the user chose the scale, with the one that would fit."""
        chosen = isinstance(self.options.scale, float)
        scale = self.options.scale if isinstance(self.options.scale, float) else SMALLEST_SCALE
        asked = Asked(scale, chosen, self.setup.inches, self._fitting_below(scale))
        figures, regions = self.figures_at(scale), self.regions(self.options.boards)
        return no_room(figures, self.items_at(scale), regions, self.clearance, asked)

    def _fitting_below(self, scale: float) -> float | None:
        """A scale below one at which nothing fits, that fits on as many boards: a short search."""
        if scale <= SMALLEST_SCALE:
            return None
        found = self._largest(self.options.boards, SMALLEST_SCALE, scale, "quick", "looking for a scale that fits")
        return found.scale if found else None

    def _largest(
        self, count: int, lowest: float, highest: float, effort: Effort, what: str, start: Packing | None = None
    ) -> Packing | None:
        """The largest scale that the search finds on so many boards; `what` is said of its progress."""
        return largest_scale(
            self.items_at,
            self.regions(count),
            clearance=self.clearance,
            lowest=lowest,
            highest=highest,
            effort=effort,
            seed=self.options.seed,
            report=lambda progress: self.report(what, progress),
            start=start,
        )


def _packing_on(count: int) -> str:
    return "packing on 1 board" if count == 1 else f"packing on {count} boards"


def _place_board_mark(mark: Figure, shape: Blank, margin: float) -> Placed:
    """The board's mark in its lower right corner, clear of a corner that is cut."""
    _, y0, x1, _ = bounds(mark.zone)
    cut = max((one.along_x for one in shape.corner_cuts if one.corner == "lower right"), default=0.0)
    return place_figure(mark, (shape.stock[0] - margin - cut - x1, margin - y0), 0)


def _place_all(layout: _Layout, count: int, packing: Packing) -> tuple[tuple[Placed, ...], ...]:
    """What lies on each board."""
    figures = layout.figures_at(packing.scale)
    boards = []
    for index, shape in enumerate(layout.shapes(count)):
        placed = tuple(
            placed_at(alternatives, placement)
            for alternatives, placement in zip(figures, packing.placements, strict=True)
            if placement.region == index
        )
        boards.append((*placed, *layout.marks(shape, index, count)))
    return tuple(boards)


def _finish(layout: _Layout, count: int, packing: Packing) -> tuple[Board, ...]:
    placed = _place_all(layout, count, packing)
    boards = tuple(
        Board(shape, on_board, draw_board(on_board, shape.outline, shape.stock, _cut_lines(shape, layout.setup)))
        for shape, on_board in zip(layout.shapes(count), placed, strict=True)
    )
    if layout.setup.case is None:
        return boards
    heights = stack_heights(_layers(layout, placed), layout.setup.board.thickness)
    return tuple(_at_height(board, height) for board, height in zip(boards, heights, strict=True))


def _cut_lines(shape: Blank, setup: Setup) -> list[CutLine]:
    lines = []
    for cut in shape.corner_cuts:
        corner, on_x, on_y = cut_triangle(shape.stock, cut)
        lengths = (length_text(leg, setup.inches) for leg in (cut.along_x, cut.along_y))
        lines.append(CutLine(corner, on_x, on_y, *lengths))
    return lines


def _layers(layout: _Layout, boards: Sequence[Sequence[Placed]]) -> list[Layer]:
    thickness = layout.setup.board.thickness
    return [layer_of(_fasteners_on(placed, layout.work), thickness) for placed in boards]


def _stack_problem(layout: _Layout, boards: Sequence[Sequence[Placed]]) -> Problem | None:
    """An error where the boards stand too high in the case; None where they go in, or there is no case."""
    case = layout.setup.case
    return stack_problem(case, _layers(layout, boards), layout.setup.board.thickness) if case else None


def _at_height(board: Board, height: float) -> Board:
    in_case = board.shape.in_case
    assert in_case is not None  # every board of a setup with a case lies in it
    return replace(board, shape=replace(board.shape, in_case=replace(in_case, floor_height=height)))


def _fasteners_on(placed: Sequence[Placed], work: Work) -> list[Fastener]:
    keys = {pocket.fastener for one in placed for pocket in one.figure.pockets if pocket.hole}
    return [fastener for fastener in work.bike.fasteners if fastener.key in keys]
