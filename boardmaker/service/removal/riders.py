"""Riders that stay on their carrier while every panel comes off, though some job may take them off it.

In: `Work` without a chosen job. Out: warnings, and why a board has fewer pockets than the file has fasteners.
Apart from the removal because nothing here is wrong: whoever makes one board for everything must hear that it lacks
the pockets of those screws.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Bike, Panel
from boardmaker.problems import Problem, warning
from boardmaker.service.removal.work import Work
from boardmaker.units import counted


def staying_riders(work: Work) -> Iterator[Problem]:
    """Yield a warning for each rider whose screws stay in although a job's `apart` names it; none with a chosen job."""
    if work.jobs:
        return
    out = {freed.hole_key for freed in work.freed}
    for step in work.steps:
        for rider in step.riders:
            jobs = [job.key for job in work.bike.jobs if rider.key in job.apart]
            staying = [hole for hole in rider.holes if f"{rider.key}/{hole.id}" not in out]
            if jobs and staying:
                clips = any(work.bike.fastener(hole.fastener).thread is None for hole in staying)
                yield _stays(rider, step.carrier, jobs, len(staying), "fastener" if clips else "screw")


def uncounted(work: Work, bike: Bike) -> Iterator[str]:
    """Yield why fewer fasteners come out than the bike's file has: riders that stay on, and equipment.

    `work` takes every panel off; `bike` is the whole file, with the equipment that is not on.
    """
    out = {freed.hole_key for freed in work.freed}
    for step in work.steps:
        for rider in step.riders:
            staying = sum(f"{rider.key}/{hole.id}" not in out for hole in rider.holes)
            if staying:
                stay = counted(staying, "fastener stays in and has", "fasteners stay in and have")
                yield f"{stay} no pocket: {rider.name} leaves the bike on {step.carrier.name} (`rides_on`)"
    here = {f"{panel.key}/{hole.id}" for panel in work.bike.panels for hole in panel.holes}
    off = sum(f"{panel.key}/{hole.id}" not in here for panel in bike.panels for hole in panel.holes)
    if off:
        yield f"{counted(off, 'fastener is', 'fasteners are')} not counted: only with other equipment"


def _stays(rider: Panel, carrier: Panel, jobs: list[str], count: int, what: str) -> Problem:
    quoted = " and ".join(f'"{job}"' for job in jobs)
    takes = f"job {quoted} takes" if len(jobs) == 1 else f"jobs {quoted} take"
    pockets = f"{what} has a pocket" if count == 1 else f"{count} {what}s have pockets"
    options = " or ".join(f"--job {job}" for job in jobs)
    return warning(
        f"{rider.tag} {rider.name} stays on {carrier.name} here; {takes} it off: its {pockets} only on boards made "
        f"with {options}",
        rider.where,
    )
