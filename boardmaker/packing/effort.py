"""How much work a search may do, how much it has done, and telling so.

Apart because work is counted, never timed: the same call gives the same layout on a slow machine and on a fast one. A
unit of work is one cell of a cost map looked at, a few nanoseconds.
"""

from __future__ import annotations

from boardmaker.packing.problem import Effort, Progress, Report

WORK: dict[Effort, float] = {"quick": 6e9, "normal": 2.5e10, "thorough": 4e10}
STEP_WORK = 5000  # of handling one table, whatever its size
MAP_WORK = 15_000  # of one cost map, whatever is added up in it
TABLE_WORK = 20  # of making one cell of a table
SQUEEZE_WORK = 5e6  # of one squeeze
PIECE_WORK = 1e5  # of squeezing one convex piece

_REPORT_EVERY = 1e8  # about a quarter of a second


class Meter:
    """Counts work up to a limit and reports on the way."""

    def __init__(self, effort: Effort | float, report: Report | None = None) -> None:
        self.limit, self.used = _work_of(effort), 0.0
        self.best_scale: float | None = None
        self._report, self._next_report = report, 0.0

    def spend(self, work: float) -> None:
        """Count work that was done."""
        self.used += work
        if self._report is not None and self.used >= self._next_report:
            self._next_report = self.used + _REPORT_EVERY
            self.tell()

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


def _work_of(effort: Effort | float) -> float:
    if isinstance(effort, str):
        if effort not in WORK:
            raise ValueError(f"effort is {effort!r}; it can be {', '.join(WORK)}, or an amount of work")
        return WORK[effort]
    if not effort > 0:
        raise ValueError(f"effort is {effort:g}; an amount of work must be above 0")
    return effort
