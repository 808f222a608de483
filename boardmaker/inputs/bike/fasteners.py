"""Fasteners: what the file says, completed from the designated part and the standards' tables.

What is written beside a `part` wins over it. What is missing and cannot be looked up is assumed by the rules
below, and marked as assumed, so that the summary can say so.
"""

from __future__ import annotations

from boardmaker.inputs.findings import Findings
from boardmaker.inputs.schema import FastenerShape
from boardmaker.inputs.yaml.reader import KeyPath
from boardmaker.model import Fastener, Head, Shoulder, Torque, TorqueStage
from boardmaker.standards import head_for
from boardmaker.units import TorqueValue

# Common practice, no source.
ASSUMED_LENGTH = 20.0  # mm
HEAD_HEIGHT = 0.6  # of the thread's diameter, where nothing else says
HEAD_DIAMETER = 2.0  # of the thread's diameter, where nothing else says
USUAL_SHAPE = {"push clip": "round", "screw rivet": "round", "quarter turn": "round", "nut": "hex", "bolt": "hex"}


def build_fastener(key: str, shape: FastenerShape, findings: Findings) -> Fastener | None:
    """Return the fastener, or None where no pocket can be made for it; complaints go to `findings`."""
    path = ("fasteners", key)
    thread = shape.thread or (shape.part.thread if shape.part else None)
    if thread is None and shape.hole is None:
        findings.error(
            path,
            f'fastener "{key}" has neither a thread nor a hole, so nobody can say what holds it',
            "write thread: M6, part: ISO 7380-2 - M6 x 16, or for a clip hole: 8",
            key=True,
        )
        return None
    if shape.part and shape.part.kind == "washer":
        findings.error((*path, "part"), "a washer holds nothing by itself", "write it at its screw: with_it: [washer]")
        return None
    diameter = thread.diameter if thread else shape.hole or 0.0
    length = shape.length or (shape.part.length if shape.part else None)
    fastener = Fastener(
        key=key,
        kind=shape.kind or _usual_kind(shape),
        length=length or ASSUMED_LENGTH,
        head=_head(shape, diameter, findings.in_inches((*path, "head", "diameter"))),
        thread=thread,
        hole=shape.hole,
        length_assumed=length is None,
        shoulder=_shoulder(path, shape, findings),
        drive=shape.drive or (shape.part.drive if shape.part else Fastener.drive),
        torque=torque_of(shape.torque, (*path, "torque"), findings) if shape.torque else None,
        property_class=shape.property_class or (shape.part.property_class if shape.part else Fastener.property_class),
        threadlocker=shape.threadlocker,
        with_it=shape.with_it,
        renew=shape.renew,
        note=shape.note,
        part=findings.written((*path, "part")),
        length_written=findings.in_inches((*path, "length")),
        hole_written=findings.in_inches((*path, "hole")),
        where=findings.place(path),
    )
    _check_sizes(fastener, findings)
    return fastener


def torque_of(values: tuple[TorqueValue, ...], path: KeyPath, findings: Findings) -> Torque:
    """Return a torque from its parsed stages; complain where a comma leaves open which they are."""
    if both := findings.comma_in_list(path):
        first, second = both.split(",", 1)
        message = f'"{both}" in a list could be {first}.{second}, or a stage of {first} N·m and one of {second}'
        findings.error(path, message, "write a decimal point, or the unit at each stage: [10 N·m, 20 N·m]")
    return Torque(tuple(TorqueStage(one.low_nm, one.high_nm, one.angle_deg, one.written) for one in values))


def _usual_kind(shape: FastenerShape) -> str:
    if shape.part:
        return shape.part.kind
    return "shoulder screw" if shape.shoulder else "push clip" if shape.thread is None else "screw"


def _shoulder(path: KeyPath, shape: FastenerShape, findings: Findings) -> Shoulder | None:
    if shape.shoulder is None:
        return Shoulder(*shape.part.shoulder) if shape.part and shape.part.shoulder else None
    length, diameter = (findings.in_inches((*path, "shoulder", name)) for name in ("length", "diameter"))
    return Shoulder(shape.shoulder.length, shape.shoulder.diameter, length, diameter)


def _head(shape: FastenerShape, diameter: float, diameter_written: str) -> Head:
    """The head as written, else as the part has it; a missing diameter is the usual one of that shape of head."""
    written, part = shape.head, shape.part
    kind = shape.kind or _usual_kind(shape)
    form = written.shape or (part.head_shape if part else "") or USUAL_SHAPE.get(kind, "button")
    as_part = part if part and form == part.head_shape else None
    across = written.diameter or (as_part.head_diameter if as_part else None)
    if across is None and shape.thread and (usual := head_for(form, diameter)):
        across = usual.diameter
    height = written.height or (as_part.head_height if as_part else None)
    return Head(
        form,
        across or HEAD_DIAMETER * diameter,
        height or HEAD_HEIGHT * diameter,
        height_assumed=height is None,
        diameter_assumed=written.diameter is None and as_part is None,
        shape_assumed=not written.shape and part is None,
        diameter_written=diameter_written,
    )


def _check_sizes(fastener: Fastener, findings: Findings) -> None:
    path = ("fasteners", fastener.key)
    shoulder, across = fastener.shoulder, _said(fastener.head.diameter, fastener.head.diameter_written)
    if fastener.head.diameter <= fastener.diameter:
        findings.error(
            (*path, "head", "diameter"),
            f'the head of "{fastener.key}" ({across}) is no wider than its thread or hole '
            f"({_said(fastener.diameter, fastener.hole_written)})",
            "check both; the head's diameter is measured over everything",
        )
    if shoulder and shoulder.length >= fastener.length:
        findings.error(
            (*path, "shoulder"),
            f'the shoulder of "{fastener.key}" ({_said(shoulder.length, shoulder.length_written)}) is as long as the '
            f"whole screw ({_said(fastener.length, fastener.length_written)})",
            "`length` runs from under the head to the tip, the shoulder included",
        )
    if fastener.kind == "shoulder screw" and shoulder is None:
        findings.warning(
            path, f'the shoulder screw "{fastener.key}" has no `shoulder`, so nobody can say what it clamps'
        )
    if shoulder and shoulder.diameter < fastener.diameter:
        findings.warning(
            (*path, "shoulder", "diameter"), f'the shoulder of "{fastener.key}" is thinner than its thread'
        )


def _said(length: float, written: str) -> str:
    return f"{written} ({length:g} mm)" if written else f"{length:g} mm"
