"""Whether a board that is made already has the pockets that a plan speaks of, under the same numbers.

In: `Work` and what the board was made for. Out: `BoardCheck`. Numbers count what comes out, so that other equipment,
other jobs or another bike file may give other numbers; apart from the plan, which is the same with any board or none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from boardmaker.service.removal.work import Freed, Work


@dataclass(frozen=True)
class BoardPocket:
    """A pocket as the board has it: `panel/hole`, its number and fastener, on which board of the set (from 1).

    `square`: where on that board, as its grid has it; "" without one.
    """

    hole_key: str
    number: int
    fastener: str
    board: int
    square: str = ""


@dataclass(frozen=True)
class BoardMade:
    """A set of boards: its file's name, the bike file's version, chosen jobs (none: all), equipment on, pockets."""

    name: str
    sha256: str
    jobs: tuple[str, ...]
    equipment: tuple[str, ...]
    boards: int
    pockets: tuple[BoardPocket, ...]

    def boards_with(self, hole_keys: set[str]) -> tuple[int, ...]:
        """On which boards these holes have their pockets."""
        return tuple(sorted({pocket.board for pocket in self.pockets if pocket.hole_key in hole_keys}))


@dataclass(frozen=True)
class BoardCheck:
    """The board beside the work: fasteners with another pocket, those without any, and what was chosen otherwise.

    `same` are the pockets under the work's own numbers, by `panel/hole`; `only_board` and `only_work` is equipment that
    is on there alone, by its key.
    """

    board: BoardMade
    same: Mapping[str, BoardPocket]
    other: tuple[tuple[Freed, BoardPocket], ...]
    missing: tuple[Freed, ...]
    only_board: tuple[str, ...]
    only_work: tuple[str, ...]
    other_jobs: bool
    other_file: bool

    @property
    def agrees(self) -> bool:
        """Whether every fastener of the work has its pocket under the number that the work gives it."""
        return not self.other and not self.missing


def check_board(work: Work, board: BoardMade) -> BoardCheck:
    """Hold the work against the board. Pockets that the work does not need are no matter."""
    pockets = {pocket.hole_key: pocket for pocket in board.pockets}
    found = [(freed, pockets[freed.hole_key]) for freed in work.freed if freed.hole_key in pockets]
    other = [(one, there) for one, there in found if (one.number, one.fastener.key) != (there.number, there.fastener)]
    differs = {one.hole_key for one, _ in other}
    return BoardCheck(
        board,
        {one.hole_key: there for one, there in found if one.hole_key not in differs},
        tuple(other),
        tuple(freed for freed in work.freed if freed.hole_key not in pockets),
        tuple(key for key in board.equipment if key not in work.equipment),
        tuple(key for key in work.equipment if key not in board.equipment),
        {job.key for job in work.jobs} != set(board.jobs),
        work.bike.sha256 != board.sha256,
    )
