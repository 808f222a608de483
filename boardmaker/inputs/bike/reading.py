"""A bike file becomes a `Bike`: shape, fasteners, panels, jobs, torque rows, and everything wrong with them at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from boardmaker.inputs.bike.circles import check_circles
from boardmaker.inputs.bike.fasteners import build_fastener, torque_of
from boardmaker.inputs.bike.panels import Known, build_panels
from boardmaker.inputs.bike.raw_references import check_references
from boardmaker.inputs.bike.tags import with_tags
from boardmaker.inputs.complaints import check_shape, in_file_order
from boardmaker.inputs.findings import Findings
from boardmaker.inputs.schema import BikeFileShape, JobShape, TorqueRowShape
from boardmaker.inputs.yaml.reader import Document, read_yaml
from boardmaker.model import Bike, Equipment, Job, Panel, Supply, TorqueRow
from boardmaker.problems import Problem, ProblemsFound, Severity

STAND_INS = {"bike": {"name": "?"}, "panels": {}}  # for sections that a bike file must have, while the rest is checked


def read_bike(path: Path) -> tuple[Bike, tuple[Problem, ...]]:
    """Return the bike and the warnings about its file.

    Raises ProblemsFound with every problem of the file, in its order, where there is an error among them.
    """
    document = read_yaml(path)
    shape, complaints = check_shape(document, BikeFileShape, STAND_INS)
    findings = Findings(document, list(complaints))
    bike = _build(path, document, shape, findings)
    problems = in_file_order(findings.problems)
    if any(problem.severity is Severity.ERROR for problem in problems):
        raise ProblemsFound(problems)
    return bike, tuple(problems)


def _build(path: Path, document: Document, shape: BikeFileShape, findings: Findings) -> Bike:
    _check_keys(document, findings)
    known = _known(document)
    check_references(document, findings)
    fasteners = [build_fastener(key, one, findings) for key, one in shape.fasteners.items()]
    panels = build_panels(shape.panels, path.parent, known, findings)
    _check_after_building(panels, findings)
    return Bike(
        name=shape.bike.name,
        file=path.name,
        sha256=document.sha256,
        fasteners=tuple(fastener for fastener in fasteners if fastener is not None),
        panels=with_tags(panels),
        years=shape.bike.years,
        source=shape.bike.source,
        checked=shape.bike.checked,
        cautions=shape.bike.cautions,
        equipment=tuple(shape.equipment.items()),
        jobs=_jobs(shape.jobs, known, _keys(document, "torques"), findings),
        torques=_torques(shape, known, _keys(document, "jobs"), findings),
    )


def _known(document: Document) -> Known:
    """All keys of the file, also of entries that have a mistake: a reference to one of those is no second mistake."""
    return Known(_keys(document, "panels"), _keys(document, "fasteners"), _keys(document, "equipment"))


def _keys(document: Document, section: str) -> tuple[str, ...]:
    found = document.data.get(section)
    return tuple(found) if isinstance(found, dict) else ()


def _check_keys(document: Document, findings: Findings) -> None:
    for section in ("equipment", "fasteners", "panels", "jobs", "torques"):
        for key in _keys(document, section):
            if not key.strip() or not key.isprintable():
                findings.error((section, key), f'"{key}" is no key: write a word', key=True)


def _check_after_building(panels: tuple[Panel, ...], findings: Findings) -> None:
    """What can only be said of all panels together."""
    if len(panels) < len(_keys(findings.document, "panels")):
        return  # a panel that could not be built would make these complain of what is not there
    check_circles(panels, findings)
    seen: dict[str, str] = {}
    for panel in panels:
        if panel.tag and panel.tag in seen:
            message = f'`{seen[panel.tag]}` and `{panel.key}` have the same tag "{panel.tag}"'
            findings.warning(("panels", panel.key, "tag"), message)
        seen[panel.tag] = panel.key


def _jobs(shapes: Mapping[str, JobShape], known: Known, rows: tuple[str, ...], findings: Findings) -> tuple[Job, ...]:
    jobs = []
    for key, shape in shapes.items():
        path = ("jobs", key)
        findings.known((*path, "torques"), "torque row", shape.torques, rows)
        jobs.append(
            Job(
                key=key,
                name=shape.name,
                every=shape.every,
                remove=findings.known((*path, "remove"), "panel", shape.remove, known.panels),
                apart=findings.known((*path, "apart"), "panel", shape.apart, known.panels),
                supplies=tuple(Supply(supply.what, supply.count) for supply in shape.supplies),
                note=shape.note,
                where=findings.place(path),
            )
        )
    return tuple(jobs)


def _torques(shape: BikeFileShape, known: Known, jobs: tuple[str, ...], findings: Findings) -> tuple[TorqueRow, ...]:
    return tuple(_row(key, one, shape, known, jobs, findings) for key, one in shape.torques.items())


def _row(
    key: str, row: TorqueRowShape, shape: BikeFileShape, known: Known, jobs: tuple[str, ...], findings: Findings
) -> TorqueRow:
    path = ("torques", key)
    named = findings.known((*path, "jobs"), "job", row.jobs, jobs)
    present = findings.known((*path, "with"), "equipment", row.present, known.equipment)
    absent = findings.known((*path, "without"), "equipment", row.absent, known.equipment)
    return TorqueRow(
        key=key,
        what=row.what,
        torque=torque_of(row.torque),
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
        jobs=tuple(job for job, one in shape.jobs.items() if job in named or key in one.torques),
        equipment=Equipment(present, absent),
        where=findings.place(path),
    )
