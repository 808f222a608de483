"""What stands in a bike file and leads nowhere, or says one thing twice.

In: a bike. Out: warnings. Apart from `inputs` because nothing here is wrong by itself: only the whole file shows it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from boardmaker.inputs.model import Bike, Equipment, Panel, TorqueRow
from boardmaker.problems import Problem, warning

ONE_SPOT = 1.0  # mm; two holes cannot be nearer, and nobody measures better


def loose_ends(bike: Bike) -> tuple[Problem, ...]:
    """Return a warning for each thing that is not used, holds nothing, does nothing, or is given twice."""
    return tuple(problem for find in CHECKS for problem in find(bike))


def _unused_fasteners(bike: Bike) -> Iterator[Problem]:
    used = {hole.fastener for panel in bike.panels for hole in panel.holes}
    for fastener in bike.fasteners:
        if fastener.key not in used:
            hint = "name it at a hole, or take it out"
            yield warning(f'fastener "{fastener.key}" is in no hole', fastener.where, hint)


def _idle_jobs(bike: Bike) -> Iterator[Problem]:
    with_rows = {key for row in bike.torques for key in row.jobs}
    for job in bike.jobs:
        if not job.remove and not job.apart and job.key not in with_rows:
            hint = "add `remove` or `torques`, or take the job out"
            yield warning(f'job "{job.key}" takes nothing off and has no torques', job.where, hint)


def _idle_panels(bike: Bike) -> Iterator[Problem]:
    """Panels that nothing holds and nobody asks for: in no plan would a mechanic learn anything of them."""
    asked = {key for panel in bike.panels for key in (*panel.after, panel.rides_on)}
    asked |= {key for panel in bike.panels for hole in panel.holes for key in hole.also_holds}
    asked |= {key for job in bike.jobs for key in (*job.remove, *job.apart)}
    for panel in bike.panels:
        if not (panel.holes or panel.fixings or panel.after or panel.rides_on or panel.key in asked):
            yield warning(
                f'panel "{panel.key}" has no holes and no fixings, and no panel waits for it',
                panel.where,
                "say under `fixings` what holds it, or name it in the `after` of the panels under it",
            )


def _same_spots(bike: Bike) -> Iterator[Problem]:
    for panel in bike.panels:
        for first, second in combinations(panel.holes, 2):
            apart = math.dist(first.at, second.at)
            if apart < ONE_SPOT and _can_be_together(first.equipment, second.equipment):
                message = f"{_named(panel, second.id)} lies on {_named(panel, first.id)}, {apart:.1g} mm away"
                yield warning(message, second.where, "one of them is written twice or measured wrongly")


def _named(panel: Panel, hole: str) -> str:
    return f"{panel.key}/{hole}"


def _can_be_together(first: Equipment, second: Equipment) -> bool:
    return not (set(first.present) & set(second.absent) or set(second.present) & set(first.absent))


def _rows_twice(bike: Bike) -> Iterator[Problem]:
    for first, second in combinations(bike.torques, 2):
        if _same_place(first, second) and first.torque != second.torque:
            yield warning(
                f'torque rows "{first.key}" and "{second.key}" give different torques for {second.what}',
                second.where,
                "keep the one that the maker's manual gives, or say under `where` or `what` how they differ",
            )


def _same_place(first: TorqueRow, second: TorqueRow) -> bool:
    def place(row: TorqueRow) -> tuple[str, str]:
        return row.what.casefold(), row.where_on_bike.casefold()

    threads = {row.thread.designation for row in (first, second) if row.thread}
    return place(first) == place(second) and len(threads) < 2 and _can_be_together(first.equipment, second.equipment)


CHECKS = (_unused_fasteners, _idle_jobs, _idle_panels, _same_spots, _rows_twice)
