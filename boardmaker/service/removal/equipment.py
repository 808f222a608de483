"""The bike as it stands: what hangs on equipment that is off is taken out, and so is every reference to it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from boardmaker.model import Bike, Equipment, Hole, Job, Panel
from boardmaker.problems import ProblemsFound, error, nearest


def choose_equipment(bike: Bike, with_: Collection[str] = (), without: Collection[str] = ()) -> tuple[str, ...]:
    """Return the equipment that is on, in the file's order: everything less `without`.

    Raises ProblemsFound for a key that the bike does not know or that is asked for both ways.
    """
    known = tuple(key for key, _ in bike.equipment)
    problems = [
        error(f'no equipment "{key}" in {bike.file}', hint=_equipment_hint(key, known))
        for key in (*with_, *without)
        if key not in known
    ]
    problems += [
        error(f'equipment "{key}" is asked for and ruled out at once', hint="give --with or --without, not both")
        for key in sorted(set(with_) & set(without))
    ]
    if problems:
        raise ProblemsFound(problems)
    return tuple(key for key in known if key not in without)


def _equipment_hint(key: str, known: tuple[str, ...]) -> str:
    if not known:
        return "this bike file lists no equipment"
    near = nearest(key, known)
    return f'did you mean "{near}"?' if near else f"this bike has: {', '.join(known)}"


def only_present(bike: Bike, on: Collection[str]) -> Bike:
    """Return the bike with only those panels, holes, fixings and torque rows that are there with `on`."""
    here = {panel.key for panel in bike.panels if _is_there(panel.equipment, on)}
    panels = tuple(_present_panel(panel, here, on) for panel in bike.panels if panel.key in here)
    rows = tuple(row for row in bike.torques if _is_there(row.equipment, on))
    return replace(bike, panels=panels, torques=rows, jobs=tuple(_present_job(job, here) for job in bike.jobs))


def _is_there(equipment: Equipment, on: Collection[str]) -> bool:
    return all(key in on for key in equipment.present) and not any(key in on for key in equipment.absent)


def _present_panel(panel: Panel, here: Collection[str], on: Collection[str]) -> Panel:
    return replace(
        panel,
        after=_kept(panel.after, here),
        rides_on=panel.rides_on if panel.rides_on in here else "",
        holes=tuple(_present_hole(hole, here) for hole in panel.holes if _is_there(hole.equipment, on)),
        fixings=tuple(fixing for fixing in panel.fixings if _is_there(fixing.equipment, on)),
    )


def _present_hole(hole: Hole, here: Collection[str]) -> Hole:
    return replace(hole, also_holds=_kept(hole.also_holds, here))


def _present_job(job: Job, here: Collection[str]) -> Job:
    return replace(job, remove=_kept(job.remove, here), apart=_kept(job.apart, here))


def _kept(keys: tuple[str, ...], here: Collection[str]) -> tuple[str, ...]:
    return tuple(key for key in keys if key in here)
