"""Every hole of the bike as the mechanic finds it: its number on the board and the jobs in which its screw comes out.

In: a bike, the chosen jobs, the equipment. Out: a `HoleOnBoard` a hole. Apart from `work` because a screw in the hand
may belong into any hole, also into one whose screw stays in.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from boardmaker.model import Bike, Hole, Panel
from boardmaker.service.removal.work import Work, plan_work


@dataclass(frozen=True)
class HoleOnBoard:
    """A hole; `number` is None where its screw comes out in no job, and `jobs` are the keys of those that free it."""

    panel: Panel
    hole: Hole
    number: int | None
    jobs: tuple[str, ...]

    @property
    def key(self) -> str:
        """`panel/hole`, as the board file writes it."""
        return f"{self.panel.key}/{self.hole.id}"

    @property
    def mark(self) -> str:
        """What the board shows: the panel's tag and the number; the key where the board has no such pocket."""
        return f"{self.panel.tag} {self.number}" if self.number and self.panel.tag else self.key


def holes_on_board(
    bike: Bike, jobs: Collection[str] = (), with_: Collection[str] = (), without: Collection[str] = ()
) -> tuple[HoleOnBoard, ...]:
    """Return every hole of the equipped bike, by panel in the file's order, then by number.

    The numbers are those of the board for `jobs` (none: all panels); a hole that this board lacks has the number of
    the first job that frees it. Raises ProblemsFound for an unknown job or equipment.
    """
    board = plan_work(bike, jobs, with_, without)
    each = {job.key: plan_work(bike, (job.key,), with_, without) for job in board.jobs or board.bike.jobs}
    numbers = _numbers((board, *each.values()))
    freed = {key: {one.hole_key for one in work.freed} for key, work in each.items()}
    holes = [
        HoleOnBoard(panel, hole, numbers.get(name), tuple(key for key, out in freed.items() if name in out))
        for panel in board.bike.panels
        for hole in panel.holes
        for name in [f"{panel.key}/{hole.id}"]
    ]
    order = {panel.key: index for index, panel in enumerate(board.bike.panels)}
    return tuple(sorted(holes, key=lambda one: (order[one.panel.key], one.number or len(holes))))


def _numbers(works: Collection[Work]) -> dict[str, int]:
    numbers: dict[str, int] = {}
    for work in works:
        for one in work.freed:
            numbers.setdefault(one.hole_key, one.number)
    return numbers
