"""What a stranger would miss in a bike file: nothing is wrong, but somebody with the same bike could not trust it yet.

In: a bike. Out: gaps, grouped as the file is. Apart from the doubts because a file of one's own garage may leave all of
this out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from boardmaker.model import Bike, Fastener, Hole, Job, Panel, TorqueRow
from boardmaker.problems import Place
from boardmaker.service.removal.work import is_threaded

# Words by which a source says how the numbers came about.
_MEASURED = re.compile(r"measur|trac|calliper|caliper|rule|tape|scan|photo|drawing|manual|parts list", re.IGNORECASE)
_TIPS = ("metal thread", "threaded insert", "plastic boss")  # whose depth decides how long a screw may be


@dataclass(frozen=True)
class Gap:
    """What is not said of one thing: the group that it stands in, its name, its place in the file."""

    group: str
    name: str
    missing: tuple[str, ...]
    where: Place | None = None


def unsaid(bike: Bike) -> tuple[Gap, ...]:
    """Return what is not said, by group in the order of a bike file; nothing where a stranger would miss nothing."""
    gaps = [
        *(Gap("bike", "bike", (one,)) for one in _of_bike(bike)),
        *(Gap("fasteners", one.key, tuple(_of_fastener(one)), one.where) for one in bike.fasteners),
        *(Gap("panels", one.key, tuple(_of_panel(one)), one.where) for one in bike.panels),
        *(Gap("holes", one.key, tuple(_of_holes(one)), one.where) for one in bike.panels),
        *(Gap("jobs", one.key, tuple(_of_job(one)), one.where) for one in bike.jobs),
        *(Gap("torques", one.key, tuple(_of_row(one)), one.where) for one in bike.torques),
    ]
    return tuple(gap for gap in gaps if gap.missing)


def _of_bike(bike: Bike) -> Iterator[str]:
    if not bike.years:
        yield "`years`: which model years it is for"
    if not bike.source:
        yield "`source`: who measured, with what, on which bike"
    elif not _MEASURED.search(bike.source):
        yield "`source` does not say what was measured with, or which manual the torques are from"
    if not bike.checked:
        yield "`checked`: nobody has built and used a board from it"
    if not bike.cautions:
        yield "`cautions`: none (airbag, hot exhaust, high voltage, fuel)"
    if not bike.jobs:
        yield "`jobs`: none, so that boards are for all panels only"


def _of_fastener(one: Fastener) -> Iterator[str]:
    if one.length_assumed:
        yield "length (assumed)"
    parts = {"shape": one.head.shape_assumed, "diameter": one.head.diameter_assumed, "height": one.head.height_assumed}
    if assumed := [name for name, is_assumed in parts.items() if is_assumed]:
        yield f"head's {' and '.join(assumed)} (assumed)"
    if one.torque is None and is_threaded(one):
        yield "torque"
    if not one.drive and not one.part and is_threaded(one):
        yield "drive"
    if not one.property_class and one.thread and one.thread.system != "tapping":
        yield "class"


def _of_panel(panel: Panel) -> Iterator[str]:
    if panel.holes and panel.on_bike is None:
        yield "`on_bike`: where it sits"
    if panel.holes and panel.outline_drawn:
        yield "`outline` (drawn around its holes)"
    if not panel.holes and not panel.fixings and not panel.rides_on:
        yield "`fixings`: what holds it"


def _of_holes(panel: Panel) -> Iterator[str]:
    """Each gap with the holes that have it; a mirror image says what its original says."""
    if panel.mirrors:
        return
    asked = {
        "`into`": [hole.id for hole in panel.holes if not hole.into],
        "`stack`": [hole.id for hole in panel.holes if hole.into and hole.stack is None],
        "`depth`": [hole.id for hole in panel.holes if hole.into in _TIPS and hole.depth is None],
        "`room` to what is behind": [hole.id for hole in panel.holes if hole.behind and hole.room is None],
        "`behind` or `room`": [hole.id for hole in panel.holes if _goes_on(hole)],
    }
    for what, ids in asked.items():
        if ids:
            yield f"{what} at {_listed(ids, len(panel.holes))}"


def _goes_on(hole: Hole) -> bool:
    """Whether nobody says how far a tip may go: neither a depth, nor what is behind, nor room."""
    return hole.depth is None and not hole.behind and hole.room is None


def _listed(ids: list[str], count: int) -> str:
    if len(ids) == count > 1:
        return f"all {count} holes"
    return f"hole{'s' if len(ids) > 1 else ''} {', '.join(ids)}"


def _of_job(job: Job) -> Iterator[str]:
    if not job.supplies:
        yield "`supplies`"
    if not job.every:
        yield "`every`: when it is due"


def _of_row(row: TorqueRow) -> Iterator[str]:
    if row.thread is None:
        yield "thread"
    if not row.tool:
        yield "tool"
