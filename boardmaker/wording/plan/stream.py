"""A plan as a stream of lines, in the order in which a person needs them beside the bike.

In: `Plan`, names. Out: `PlanLines`. What is said when is decided in this room and nowhere else; sheets and Markdown
only give each kind of line its form.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from boardmaker.service import Plan
from boardmaker.wording.cautions import BEFORE_THE_RIDE
from boardmaker.wording.plan.line import Line, ticked, under_heading
from boardmaker.wording.plan.ready import ready_lines
from boardmaker.wording.plan.service import service_lines
from boardmaker.wording.plan.way import refit_lines, removal_lines
from boardmaker.wording.preparation import ride_checks
from boardmaker.wording.steps import Names


@dataclass(frozen=True)
class PlanLines:
    """The lines of each part of the work; a part without work has none."""

    ready: tuple[Line, ...]
    removal: tuple[Line, ...]
    service: tuple[Line, ...]
    refit: tuple[Line, ...]
    last_look: tuple[Line, ...]

    def __iter__(self) -> Iterator[Line]:
        """Yield all lines in working order."""
        for part in (self.ready, self.removal, self.service, self.refit, self.last_look):
            yield from part


def plan_lines(plan: Plan, names: Names) -> PlanLines:
    """Return what the plan says; `names` gives names as the reader can be shown them."""
    return PlanLines(
        ready=tuple(ready_lines(plan, names)),
        removal=tuple(removal_lines(plan, names)),
        service=tuple(service_lines(plan, names)),
        refit=tuple(refit_lines(plan, names)),
        last_look=tuple(under_heading("Before you ride", _last_look(plan))),
    )


def _last_look(plan: Plan) -> Iterator[Line]:
    yield Line("how", (BEFORE_THE_RIDE,), weight="quiet")
    yield from (ticked("check", text) for text in ride_checks(plan))
