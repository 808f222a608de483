"""How much work a search may do, how much it has done, and telling so.

Apart because work is counted, never timed: the same call gives the same layout on a slow machine and on a fast one.
What a step counts as is in `settings.WORK`.
"""

from __future__ import annotations

from boardmaker.packing.problem import Effort, Progress, Report
from boardmaker.packing.settings import WORK

WORK_OF: dict[Effort, float] = {"quick": WORK.quick, "normal": WORK.normal, "thorough": WORK.thorough}


class Meter:
    """Counts work up to a limit and reports on the way.

    `refined` is the work of compactions on true zones. It stands beside the limit, because how many there are follows
    from what the counted work finds, and efforts were chosen without it: about 4 % of the work on the tourer.
    """

    def __init__(self, effort: Effort | float, report: Report | None = None) -> None:
        self.limit, self.used, self.refined = _work_of(effort), 0.0, 0.0
        self.best_scale: float | None = None
        self._report, self._next_report = report, 0.0

    def spend(self, work: float) -> None:
        """Count work that was done."""
        self.used += work
        if self._report is not None and self.used >= self._next_report:
            self._next_report = self.used + WORK.report
            self.tell()

    def spend_compaction(self, pieces: int) -> None:
        """Count the compaction of so many convex pieces."""
        self.spend(_compaction_work(pieces))

    def spend_refinement(self, pieces: int) -> None:
        """Count the compaction of so many convex pieces of true zones."""
        self.refined += _compaction_work(pieces)

    def tell(self) -> None:
        """Report now."""
        if self._report is not None:
            self._report(Progress(self.done, self.best_scale))

    def finish(self) -> None:
        """Report that there is nothing more to do."""
        self.used = max(self.used, self.limit)
        self.tell()

    @property
    def done(self) -> float:
        """The share of the work that is done, 0 to 1."""
        return min(1.0, self.used / self.limit)


def _compaction_work(pieces: int) -> float:
    return WORK.compaction + WORK.piece * pieces


def _work_of(effort: Effort | float) -> float:
    if isinstance(effort, str):
        if effort not in WORK_OF:
            raise ValueError(f"effort is {effort!r}; it can be {', '.join(WORK_OF)}, or an amount of work")
        return WORK_OF[effort]
    if not effort > 0:
        raise ValueError(f"effort is {effort:g}; an amount of work must be above 0")
    return effort
