"""What stands in a bike file and leads nowhere, or says one thing twice.

In: a bike. Out: warnings. Apart from `inputs` because nothing here is wrong by itself: only the whole file shows it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import islice

from boardmaker.model import Bike, Hole, Panel, TorqueRow
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.doubled import can_be_together, why_doubled
from boardmaker.service.doubts.geometry.limits import ONE_SPOT


def loose_ends(bike: Bike) -> tuple[Problem, ...]:
    """Return a warning for each thing that is not used, holds nothing, does nothing, or is given twice.

    Of a file without panels that alone: all the rest waits for them.
    """
    if not bike.panels:
        return (warning(f"{bike.file} has no panels yet, so no board can be made", hint=FIRST_PANEL),)
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


def _no_riders(bike: Bike) -> Iterator[Problem]:
    for job in bike.jobs:
        for key in job.apart:
            if not bike.panel(key).rides_on:
                message = f'job "{job.key}" takes "{key}" apart, but that panel rides on nothing'
                hint = "name it under `remove`, or say at the panel what it `rides_on`"
                yield warning(message, job.where, hint)


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
    """One problem a hole: of many on one spot, each with each would be a multitude."""
    for panel in bike.panels:
        for index, second in enumerate(panel.holes):
            if first := next((one for one in islice(panel.holes, index) if _on_one_spot(one, second)), None):
                yield _one_spot(panel, first, second)


def _on_one_spot(first: Hole, second: Hole) -> bool:
    near = abs(first.at[0] - second.at[0]) < ONE_SPOT and math.dist(first.at, second.at) < ONE_SPOT
    return near and can_be_together(first.equipment, second.equipment)


def _one_spot(panel: Panel, first: Hole, second: Hole) -> Problem:
    message = f"{panel.key}/{second.id} lies on {panel.key}/{first.id}, {math.dist(first.at, second.at):.1g} mm away"
    return warning(message, second.where, why_doubled(panel, second))


def _rows_twice(bike: Bike) -> Iterator[Problem]:
    named: dict[tuple[str, str], list[TorqueRow]] = {}
    for second in bike.torques:
        rows = named.setdefault((second.what.casefold(), second.where_on_bike.casefold()), [])
        if first := next((row for row in rows if row.torque != second.torque and _same_thing(row, second)), None):
            yield warning(
                f'torque rows "{first.key}" and "{second.key}" give different torques for {second.what}',
                second.where,
                "keep the one that the maker's manual gives, or say under `where` or `what` how they differ",
            )
        rows.append(second)


def _same_thing(first: TorqueRow, second: TorqueRow) -> bool:
    threads = {row.thread.designation for row in (first, second) if row.thread}
    return len(threads) < 2 and can_be_together(first.equipment, second.equipment)


FIRST_PANEL = "write the first one under `panels`: its name, its side, its holes"
CHECKS = (_unused_fasteners, _idle_jobs, _no_riders, _idle_panels, _same_spots, _rows_twice)
