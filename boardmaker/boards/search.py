"""The search for scale and number of boards: figures and the packing engine asked in turn.

In: the work, the setup, what the user asked for. Out: a `Candidate`. A search only answers; it keeps nothing between
two answers, so that the order in which it is asked does not matter.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from boardmaker.boards.candidate import Candidate, gains_by_stock, takes_any
from boardmaker.boards.figure_items import FigureItems
from boardmaker.boards.former import Former
from boardmaker.boards.no_room import Asked, Ways, no_room, stands_too_high
from boardmaker.boards.options import BoardOptions, Report
from boardmaker.boards.poses import placed_at
from boardmaker.boards.stack import BoardStack, highest_stack, layers_of, lowered
from boardmaker.fixed_order import settled
from boardmaker.model import Setup
from boardmaker.packing import crowding, items_too_large, largest_scale, pack
from boardmaker.packing.effort import WORK_OF
from boardmaker.packing.problem import Effort, Packing, Placement, Progress
from boardmaker.problems import Problem, ProblemsFound
from boardmaker.service import Work
from boardmaker.standards import standard_scales
from boardmaker.units import counted

LARGEST_SCALE = 1.0
SMALLEST_SCALE = 0.02
GOOD_SCALE = 1 / 5  # as few boards as keep the scale at 1:5 or larger
# Share of all work for the largest scale that there is; the rest for boards that read like the bike. A short search
# needs more of its own to come near.
PROBE: dict[Effort, float] = {"quick": 0.7, "normal": 0.18, "thorough": 0.28}
# Few panels are soon arranged, and the larger the drawing is, the more of it a short search may miss. By trial.
PROBE_OF_FEW: dict[Effort, float] = {"quick": 0.7, "normal": 0.22, "thorough": 0.35}
FEW = 16  # panels
SHORT = 1.5e9  # of work, where an answer need not be the best,
SHORT_SHARE = 0.25  # and at most so much of all work
ESTIMATE = 4e8  # of work, where it is only told
EASY = 0.8  # of the boards' area that is covered: more may go or not, and only a long search would tell
WORTH_A_BOARD = 1.03  # times the scale: a smaller gain is not worth telling
LOOKS_AT_CROWDING = 2
# Power of the area that figures take up with which the scale grows: heads and words do not. 0.58 to 0.7 on 13 bikes.
GROWTH_WITH_AREA = 0.625
LESS_CROWDED = 0.935  # times that scale: larger figures leave more between them; by trial on the demo bikes
SURE = 0.94  # times what is told: at that a short look has to find that it fits
LOOKS_AT_MORE = 4  # boards, where fewer hold nothing, for one that helps
MOST_ASKED_FOR = 20  # boards, by `--boards`
LOOKS_AT_HEIGHTS = 3  # in a case whose walls lean in, before the boards are made for the lowest heights there can be

Look = Callable[[BoardStack], Packing | None]  # a packing on these boards, if one is found


@dataclass(frozen=True)
class BoardSearch:
    """What is searched for: the figures of a work on boards of a setup; `former` are boards to begin from."""

    work: Work
    setup: Setup
    options: BoardOptions
    report: Report
    figures: FigureItems
    former: Former | None = None

    @property
    def clearance(self) -> float:
        """Room between two zones, mm: heads of neighbours need fingers between them too."""
        return max(self.setup.board.clearance, self.setup.board.finger_room)

    @property
    def probing(self) -> float:
        """Work for the largest drawing: all of it, or what leaves enough for one that reads like the bike."""
        share = (PROBE_OF_FEW if self.has_few_panels else PROBE)[self.options.effort]
        return WORK_OF[self.options.effort] * (1.0 if self.options.arrange == 0.0 else share)

    @property
    def has_few_panels(self) -> bool:
        """Whether panels are so few that they are soon arranged."""
        return len({freed.panel.key for freed in self.work.freed}) <= FEW

    def largest(self) -> Candidate:
        """Return so many boards as were asked for; else the fewest that keep a good scale, or the most there may be.

        A number of boards that would stand too high in the case is passed over, and so is every larger one. Raises
        ProblemsFound where nothing fits.
        """
        self._refuse_what_no_case_takes()
        asked = self.options.boards
        if asked is not None and not isinstance(self.options.scale, float):
            return self._on_so_many(asked)
        most = asked or self.options.most
        for count, lowest in [(count, GOOD_SCALE) for count in range(1, most)] + [(most, SMALLEST_SCALE)]:
            found = self.at_own_heights(count, self._above(lowest))
            if found is None:
                continue
            return found if found.cut_short or found.too_high() is None else self._on_fewer(count, found)
        raise ProblemsFound([self._nothing_fits(most)])

    def _refuse_what_no_case_takes(self) -> None:
        """Raise where the case is too low for one board with all screws: more boards only stand higher."""
        one = highest_stack(self.work, self.setup, 1)
        if takes_any(self.setup, one):
            return
        scale = self.options.scale if isinstance(self.options.scale, float) else SMALLEST_SCALE
        nowhere = tuple(Placement(item.key, 0, 0, (0.0, 0.0)) for item in self.figures.items_at(scale))
        raise ProblemsFound([self._stands_too_high(self.candidate(one, Packing(scale, nowhere)))])

    def on_one_more(self, found: Candidate) -> float | None:
        """Return about the scale that one board more than the candidate's would give, by a short search.

        None where the drawing is at its largest, nothing larger was found, or the case does not take one more.
        """
        if found.scale >= LARGEST_SCALE or found.cut_short:
            return None
        stack = highest_stack(self.work, self.setup, len(found.stack.spans) + 1)
        if not takes_any(self.setup, stack):  # by a whole search the screws may lie otherwise than by a short one
            return None
        likely = self._as_crowded(found, stack)
        sure = likely * SURE
        if sure < found.scale * WORTH_A_BOARD:
            return None
        packing = self._short(stack, sure, sure, "one board more", ESTIMATE)
        return likely if packing is not None and self.candidate(stack, packing).goes_in() else None

    def _as_crowded(self, found: Candidate, stack: BoardStack) -> float:
        """Return about the scale at which figures crowd this stack nearly as much as the candidate's do theirs."""
        wanted = crowding(self.figures.items_at(found.scale), found.stack.regions, self.clearance)
        scale = found.scale
        for _ in range(LOOKS_AT_CROWDING):
            crowded = crowding(self.figures.items_at(scale), stack.regions, self.clearance)
            scale = min(LARGEST_SCALE, settled(scale * (wanted / crowded) ** GROWTH_WITH_AREA))
        return scale * LESS_CROWDED

    def more_that_keep(self, scale: float, found: Candidate) -> int | None:
        """Return how many boards more than the candidate's hold everything at a larger scale; None for none known."""
        return None if found.cut_short else self._more_that_hold(scale, found.stack)

    def _on_so_many(self, count: int) -> Candidate:
        """So many boards, but for those that do not make the drawing larger."""
        found = self.at_own_heights(count, self._above(SMALLEST_SCALE))
        if found is None:
            raise ProblemsFound([self._nothing_fits(count)])
        if found.cut_short:
            return found
        if found.too_high() is not None:
            return self._on_fewer(count, found)
        fewer = (self.at_own_heights(less, self._as_large_as(found.scale)) for less in range(1, count))
        return next((one for one in fewer if one and not one.too_high()), found)

    def _as_large_as(self, scale: float) -> Look:
        """A packing at this scale where there is plenty of room for one: a short look."""

        def look(stack: BoardStack) -> Packing | None:
            if crowding(self.figures.items_at(scale), stack.regions, self.clearance) > EASY:
                return None
            return self._short(stack, scale, scale, _packing_on(stack))

        return look

    def _short(
        self, stack: BoardStack, lowest: float, highest: float, what: str, work: float | None = None
    ) -> Packing | None:
        return largest_scale(
            self.figures.items_at,
            stack.regions,
            clearance=self.clearance,
            lowest=lowest,
            highest=highest,
            effort=min(work or SHORT, SHORT_SHARE * WORK_OF[self.options.effort]),
            seed=self.options.seed,
            report=self.reporting(what),
        )

    def _on_fewer(self, count: int, highest: Candidate) -> Candidate:
        """The most boards below `count` that the case can hold, however small the drawing."""
        lowest = highest
        for fewer in range(count - 1, 0, -1):
            found = self.at_own_heights(fewer, self._above(SMALLEST_SCALE))
            if found and not found.too_high():
                return found
            lowest = found or lowest
        raise ProblemsFound([self._stands_too_high(lowest)])

    def at_own_heights(self, count: int, look: Look) -> Candidate | None:
        """Return what is found on so many boards that lie where their own screws hold them up; None for nothing.

        The heights are guessed, then lowered to what came out; the last guess is lower than any screws can make them.
        """
        stack = highest_stack(self.work, self.setup, count)
        for attempt in range(LOOKS_AT_HEIGHTS + 1):
            packing = look(stack)
            if packing is None:
                return None
            found = self.candidate(stack, packing)
            if (real := found.lower_than_taken()) is None:
                return found
            last = attempt == LOOKS_AT_HEIGHTS - 1 or found.cut_short
            stack = lowered(self.work, self.setup, stack, real, to_the_floor=last)
        raise AssertionError("no board lies lower than a stack without any screws")

    def candidate(self, stack: BoardStack, packing: Packing) -> Candidate:
        """Return a packing on boards as a candidate: with the figures where it puts them."""
        figures = self.figures.figures_at(packing.scale)
        placed = tuple(
            (
                *(
                    placed_at(alternatives, placement)
                    for alternatives, placement in zip(figures, packing.placements, strict=True)
                    if placement.region == index
                ),
                *marks,
            )
            for index, marks in enumerate(stack.marks)
        )
        layers = tuple(layers_of(self.work, placed, self.setup.board.thickness))
        return Candidate(self.setup, stack, packing, placed, layers)

    def at_scale(self, stack: BoardStack, scale: float, start: Packing | None = None) -> Packing | None:
        """Return a packing at exactly this scale, begun from another one; None where none is found."""
        placements = pack(
            self.figures.items_at(scale),
            stack.regions,
            clearance=self.clearance,
            effort=self.options.effort,
            seed=self.options.seed,
            start=start.placements if start else None,
            report=self.reporting(_packing_on(stack)),
        )
        return Packing(scale, placements) if placements else None

    def beginning(self, stack: BoardStack, scale: float) -> Packing | None:
        """Return the former boards drawn together onto these; None where there are none."""
        if self.former is None:
            return None
        return Packing(scale, self.former.in_proportion(self.figures.items_at(scale), stack.stocks))

    def reporting(self, what: str) -> Callable[[Progress], None]:
        """Return a report of the packing engine's progress under these words."""
        return lambda progress: self.report(what, progress)

    def _above(self, lowest: float) -> Look:
        """What the user asked for, if it is at least so large."""
        return lambda stack: self._asked_for(stack, lowest)

    def _asked_for(self, stack: BoardStack, lowest: float) -> Packing | None:
        if isinstance(self.options.scale, float):
            return self.at_scale(stack, self.options.scale)
        found = largest_scale(
            self.figures.items_at,
            stack.regions,
            clearance=self.clearance,
            lowest=lowest,
            highest=LARGEST_SCALE,
            effort=self.probing,
            seed=self.options.seed,
            report=self.reporting(_packing_on(stack)),
            start=self.beginning(stack, self.former.scale) if self.former else None,
        )
        if found is not None and not found.cut_short and self.options.scale != "auto":
            found = self._at_standard_scale(stack, found)
        return found if found and (found.cut_short or found.scale >= lowest) else None

    def _at_standard_scale(self, stack: BoardStack, found: Packing) -> Packing | None:
        for scale in standard_scales():
            if SMALLEST_SCALE <= scale <= found.scale and (packing := self.at_scale(stack, scale, found)):
                return packing
        return None

    def _nothing_fits(self, count: int) -> Problem:
        """The error for so many boards, with what would help."""
        stack = highest_stack(self.work, self.setup, count)
        chosen = self.options.scale if isinstance(self.options.scale, float) else None
        scale = chosen or SMALLEST_SCALE
        figures, items = self.figures.figures_at(scale), self.figures.items_at(scale)
        ways = Ways(
            scale=self._fitting_below(scale, stack) if takes_any(self.setup, stack) else None,
            boards=self._more_that_hold(scale, stack),
            stock=gains_by_stock(self.setup, stack),
            jobs=self._has_fewer_jobs(),
            longer=self.options.effort != "thorough",
        )
        asked = Asked(scale, chosen is not None, self.setup.inches, ways)
        return no_room(figures, items, stack.regions, self.clearance, asked)

    def _stands_too_high(self, found: Candidate) -> Problem:
        """The error for boards that stand too high in their case, with what would help."""
        problem, ways = found.too_high(), self._ways_below(found)
        assert problem is not None
        return stands_too_high(
            problem, found.height_needed(), found.thinner(self.work), ways, self.setup.cuts_in_inches
        )

    def _ways_below(self, found: Candidate) -> Ways:
        """What helps where boards stand too high: fewer, with a drawing of another scale than the user chose."""
        for fewer in range(len(found.stack.spans) - 1, 0, -1):
            stack = highest_stack(self.work, self.setup, fewer)
            scale = self._fitting_below(found.scale, stack)
            if scale is not None and takes_any(self.setup, stack):
                return Ways(scale, fewer, jobs=self._has_fewer_jobs())
        return Ways(jobs=self._has_fewer_jobs())

    def _has_fewer_jobs(self) -> bool:
        """Whether there are fewer jobs to choose than all, or than those that were chosen."""
        return len(self.work.jobs) > 1 or (not self.work.jobs and bool(self.work.bike.jobs))

    def _more_that_hold(self, scale: float, stack: BoardStack) -> int | None:
        """How many boards more than these hold everything at a scale and go into the case, by short searches."""
        items, count = self.figures.items_at(scale), len(stack.spans)
        if items_too_large(items, stack.regions):
            return None
        least = max(count + 1, math.ceil(crowding(items, stack.regions, self.clearance) * count))
        for more in range(least, min(least + LOOKS_AT_MORE, MOST_ASKED_FOR + 1)):
            taller = highest_stack(self.work, self.setup, more)
            packing = self._short(taller, scale, scale, "looking for what would help")
            if packing is None:
                continue
            # At a scale that is given a whole search ends like a short one; else screws may come to lie elsewhere.
            as_found = isinstance(self.options.scale, float) and self.candidate(taller, packing).goes_in()
            return more if as_found or takes_any(self.setup, taller) else None
        return None

    def _fitting_below(self, scale: float, stack: BoardStack) -> float | None:
        """A scale below one at which nothing fits, that fits on these boards: a short search."""
        if scale <= SMALLEST_SCALE:
            return None
        found = self._short(stack, SMALLEST_SCALE, scale, "looking for a scale that fits")
        return found.scale if found else None


def _packing_on(stack: BoardStack) -> str:
    return f"packing on {counted(len(stack.spans), 'board')}"
