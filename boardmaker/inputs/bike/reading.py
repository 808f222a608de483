"""A bike file becomes a `Bike`: shape, fasteners, panels, jobs, torque rows, and everything wrong with them at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from boardmaker.inputs.bike.amounts import check_amounts
from boardmaker.inputs.bike.circles import check_circles
from boardmaker.inputs.bike.fasteners import build_fastener, torque_of
from boardmaker.inputs.bike.panels import build_panels
from boardmaker.inputs.bike.references import KnownKeys, check_references, existing, known_keys
from boardmaker.inputs.bike.tags import with_tags
from boardmaker.inputs.complaints import check_shape, in_file_order
from boardmaker.inputs.findings import Findings
from boardmaker.inputs.nesting import sections_of
from boardmaker.inputs.schema import BikeFileShape, JobShape, TorqueRowShape
from boardmaker.inputs.yaml.reader import Document, read_yaml
from boardmaker.model import Bike, Equipment, Job, Panel, Supply, TorqueRow
from boardmaker.problems import Place, Problem, ProblemsFound, Severity

STAND_INS = {"bike": {"name": "?"}, "panels": {}}  # for sections that a bike file must have, while the rest is checked


def read_bike(path: Path) -> tuple[Bike, tuple[Problem, ...]]:
    """Return the bike and the warnings about its file.

    Raises ProblemsFound with every problem of the file, in its order, where there is an error among them.
    """
    bike, problems = _read(path, read_yaml(path))
    if any(problem.severity is Severity.ERROR for problem in problems):
        raise ProblemsFound(problems)
    return bike, problems


@dataclass(frozen=True)
class BikeInPart:
    """What can be made of a bike file, every problem in its order, and where each entry of the file begins.

    `entries` are (section, key, place), also of entries that could not be built. `is_whole`: the file itself has no
    mistake.
    """

    bike: Bike
    problems: tuple[Problem, ...]
    entries: tuple[tuple[str, str, Place], ...]
    is_whole: bool = True


def read_bike_in_part(path: Path) -> BikeInPart:
    """Return what can be made of a bike file with mistakes in it.

    Panels that could not be built are left out, and so is every reference to them; a hole may name a fastener that is
    not there. Raises ProblemsFound where nothing can be made of the file.
    """
    document = read_yaml(path)
    bike, problems = _read(path, document)
    known = known_keys(document)
    entries = ((section, key) for section in sections_of(BikeFileShape) for key in known.of(section))
    sections = ((one, one, document.place((one,), key=True)) for one in document.data)
    places = tuple((section, key, document.place((section, key), key=True)) for section, key in entries)
    is_whole = all(problem.severity is not Severity.ERROR for problem in problems)
    return BikeInPart(_without_lost_panels(bike), problems, (*sections, *places), is_whole)


def _read(path: Path, document: Document) -> tuple[Bike, tuple[Problem, ...]]:
    check_amounts(document)
    shape, complaints = check_shape(document, BikeFileShape, STAND_INS)
    findings = Findings(document, list(complaints))
    bike = _build(path, document, shape, findings)
    return bike, tuple(in_file_order(findings.problems))


def _without_lost_panels(bike: Bike) -> Bike:
    there = [panel.key for panel in bike.panels]
    panels = tuple(
        replace(
            panel,
            after=existing(panel.after, there),
            rides_on=panel.rides_on if panel.rides_on in there else "",
            holes=tuple(replace(hole, also_holds=existing(hole.also_holds, there)) for hole in panel.holes),
        )
        for panel in bike.panels
    )
    jobs = tuple(
        replace(job, remove=existing(job.remove, there), apart=existing(job.apart, there)) for job in bike.jobs
    )
    return replace(bike, panels=panels, jobs=jobs)


def _build(path: Path, document: Document, shape: BikeFileShape, findings: Findings) -> Bike:
    known = known_keys(document)
    _check_keys(known, findings)
    check_references(document, known, findings)
    fasteners = [build_fastener(key, one, findings) for key, one in shape.fasteners.items()]
    panels = build_panels(shape.panels, path.parent, known, findings)
    _check_after_building(panels, known, findings)
    return Bike(
        name=shape.bike.name,
        file=path.name,
        sha256=document.sha256,
        fasteners=tuple(fastener for fastener in fasteners if fastener is not None),
        panels=with_tags(panels, shape.fasteners),
        years=shape.bike.years,
        source=shape.bike.source,
        checked=shape.bike.checked,
        cautions=shape.bike.cautions,
        equipment=tuple(shape.equipment.items()),
        jobs=tuple(_job(key, one, known, findings) for key, one in shape.jobs.items()),
        torques=tuple(_row(key, one, shape.jobs, known, findings) for key, one in shape.torques.items()),
    )


def _check_keys(known: KnownKeys, findings: Findings) -> None:
    for section in sections_of(BikeFileShape):
        for key in known.of(section):
            if not key.strip() or not key.isprintable():
                findings.error((section, key), f'"{key}" is no key: write a word', key=True)


def _check_after_building(panels: tuple[Panel, ...], known: KnownKeys, findings: Findings) -> None:
    """What can only be said of all panels together."""
    if len(panels) < len(known.panels):
        return  # a panel that could not be built would make these complain of what is not there
    check_circles(panels, findings)
    seen: dict[str, str] = {}
    for panel in panels:
        if panel.tag and panel.tag in seen:
            message = f'`{seen[panel.tag]}` and `{panel.key}` have the same tag "{panel.tag}"'
            findings.warning(("panels", panel.key, "tag"), message)
        seen[panel.tag] = panel.key


def _job(key: str, shape: JobShape, known: KnownKeys, findings: Findings) -> Job:
    return Job(
        key=key,
        name=shape.name,
        every=shape.every,
        remove=existing(shape.remove, known.panels),
        apart=existing(shape.apart, known.panels),
        supplies=tuple(Supply(supply.what, supply.count) for supply in shape.supplies),
        note=shape.note,
        where=findings.place(("jobs", key)),
    )


def _row(
    key: str, row: TorqueRowShape, jobs: Mapping[str, JobShape], known: KnownKeys, findings: Findings
) -> TorqueRow:
    return TorqueRow(
        key=key,
        what=row.what,
        torque=torque_of(row.torque, ("torques", key, "torque"), findings),
        where_on_bike=row.where,
        thread=row.thread,
        tool=row.tool,
        count=row.count,
        order=row.order,
        renew=row.renew,
        lubricate=row.lubricate,
        threadlocker=row.threadlocker,
        property_class=row.property_class,
        note=row.note,
        jobs=tuple(job for job, one in jobs.items() if job in row.jobs or key in one.torques),
        equipment=Equipment(existing(row.present, known.equipment), existing(row.absent, known.equipment)),
        where=findings.place(("torques", key)),
    )


def outline_files(path: Path) -> tuple[Path, ...]:
    """Return the outline files that a bike file names, in its order, each once; () where the file cannot be read."""
    try:
        data = read_yaml(path).data
    except ProblemsFound:
        return ()
    panels = data.get("panels") if isinstance(data, dict) else None
    outlines = (
        [one.get("outline") for one in panels.values() if isinstance(one, dict)] if isinstance(panels, dict) else []
    )
    names = [one.get("file") for one in outlines if isinstance(one, dict)]
    return tuple(dict.fromkeys(path.parent / name for name in names if isinstance(name, str) and name.isprintable()))
