"""Fasteners and torques in the words that are printed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from boardmaker.inputs.model import Fastener, Torque, TorqueRow, TorqueStage
from boardmaker.service.adapter import Adapter
from boardmaker.units import format_torque_in, format_torque_nm, handy_lbf, with_article

LOCKER_WORDS = {"light": "light threadlocker", "medium": "medium threadlocker", "strong": "strong threadlocker"}
HEAD_WORDS = {"hex": "hexagon head", "cylinder": "cylinder head"}
TURN_WORDS = {
    30.0: "a twelfth of a turn",
    45.0: "an eighth of a turn",
    60.0: "a sixth of a turn",  # one flat of a hexagon
    90.0: "a quarter turn",
    120.0: "a third of a turn",
    180.0: "half a turn",
    270.0: "three quarter turns",
    360.0: "a full turn",
}


NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"
_UNIT = r"(?:N[·.]?m|lbf·in|lbf·ft|in-lb|ft-lb|kgf·m|kgf·cm)(?!\w)"
_TORQUE = re.compile(rf"(?:then )?(?:turn \d[\d.]*°|\d[\d.]*(?:(?: to |–)\d[\d.]*)? {_UNIT})")


@dataclass(frozen=True)
class TorqueStyle:
    """What a torque says beside N·m: `unit` is a second unit, "" the handier of lbf·in and lbf·ft, "none" no other.

    `in_words` says an angle as a part of a turn too; `adapter` adds what to set on the wrench.
    """

    unit: str = ""
    in_words: bool = False
    adapter: Adapter | None = None


def decimal(value: float) -> str:
    """Return a length in mm as a mechanic writes it: at most two decimals, none that are nought."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def length_text(length: float, inches: bool) -> str:
    """Return a length in mm with its unit; in inches to the nearest sixteenth, as a ruler shows it, where asked."""
    if not inches:
        return f"{decimal(length)} mm"
    whole, sixteenths = divmod(round(length / 25.4 * 16), 16)
    parts = [str(whole)] if whole or not sixteenths else []
    return " ".join([*parts, *([str(Fraction(sixteenths, 16))] if sixteenths else [])]) + " in"


def torque_nm_text(torque: Torque) -> str:
    """Return a torque in N·m on one line."""
    return ", ".join(torque_nm_lines(torque))


def torque_nm_lines(torque: Torque) -> tuple[str, ...]:
    """Return a torque in N·m, a line a stage."""
    first, *others = (_stage_nm(stage) for stage in torque.stages)
    return first, *(f"then {stage}" for stage in others)


def unbroken(text: str) -> str:
    """Return a text in which no torque and no stage of one can be broken over two lines."""
    return _TORQUE.sub(lambda torque: torque[0].replace(" ", NO_BREAK_SPACE), text)


def torque_second_lines(torque: Torque, style: TorqueStyle) -> tuple[str, ...]:
    """Return the stages in the second unit, a line a stage; angles, which are the same in every unit, in words."""
    lines = (_second(stage, style) for stage in torque.stages)
    return tuple(line for line in lines if line)


def torque_second_text(torque: Torque, style: TorqueStyle) -> str:
    """Return the stages in the second unit on one line; "" where there is nothing to say."""
    return ", then ".join(torque_second_lines(torque, style))


def torque_set_lines(torque: Torque, adapter: Adapter, unit: str = "N·m") -> tuple[str, ...]:
    """Return what to set on a wrench with an adapter on, a line for each stage that is a torque.

    A `unit` of "" is the pound-force unit that the torque itself is written in.
    """
    share = adapter.share
    first, *others = (
        format_torque_in(unit or handy_lbf(stage.high_nm), share * stage.low_nm, share * stage.high_nm)
        for stage in torque.stages
        if stage.low_nm is not None and stage.high_nm is not None
    )
    return f"set {first}", *(f"then {stage}" for stage in others)


def _stage_nm(stage: TorqueStage) -> str:
    if stage.low_nm is None or stage.high_nm is None:
        return _angle(stage)
    return format_torque_nm(stage.low_nm, stage.high_nm)


def _second(stage: TorqueStage, style: TorqueStyle) -> str:
    if stage.low_nm is None or stage.high_nm is None:
        return TURN_WORDS.get(stage.angle_deg or 0.0, "") if style.in_words else ""
    if style.unit == "none":
        return ""
    return format_torque_in(style.unit or handy_lbf(stage.high_nm), stage.low_nm, stage.high_nm)


def _angle(stage: TorqueStage) -> str:
    return f"turn {stage.angle_deg:g}°"


def size_text(fastener: Fastener) -> str:
    """Return what a fastener is in a few marks: `M6 × 21`, `clip for 8 mm hole`."""
    if fastener.thread:
        return f"{fastener.thread.designation} × {decimal(fastener.length)}"
    return f"{fastener.kind}, hole {decimal(fastener.diameter)}"


def drive_text(drive: str) -> str:
    """Return a drive in words that tell an inner from an outer hexagon."""
    if drive.startswith("hex "):
        return f"hex socket {drive.removeprefix('hex ')}"
    return f"hex head {drive.removeprefix('hexagon ')}" if drive.startswith("hexagon ") else drive


def short_words(fastener: Fastener) -> str:
    """Return a fastener in few words, to tell it from the others: `M6 × 21, shoulder 11, T30`."""
    return ", ".join(part for part in (size_words(fastener), drive_text(fastener.drive)) if part)


def size_words(fastener: Fastener) -> str:
    """Return size and shoulder, by which screws with the same head and drive are told apart: `M6 × 21, shoulder 11`."""
    shoulder = f", shoulder {decimal(fastener.shoulder.length)}" if fastener.shoulder else ""
    return f"{size_text(fastener)}{shoulder}"


def fastener_words(fastener: Fastener) -> str:
    """Return a fastener as one would say it over a counter: kind, size, head, drive, class."""
    return ", ".join(part for part in _fastener_parts(fastener) if part)


def _fastener_parts(fastener: Fastener) -> Iterator[str]:
    length = "length not known" if fastener.length_assumed else f"{decimal(fastener.length)} mm long"
    if fastener.thread:
        yield f"{fastener.kind} {fastener.thread.designation}"
    else:
        yield f"{fastener.kind} for {with_article(decimal(fastener.diameter))} mm hole"
    yield length
    if fastener.shoulder:
        yield f"shoulder {decimal(fastener.shoulder.length)} mm long and {decimal(fastener.shoulder.diameter)} mm thick"
    yield head_words(fastener)
    yield drive_text(fastener.drive)
    yield f"class {fastener.property_class}" if fastener.property_class else ""


def head_words(fastener: Fastener) -> str:
    """Return a head in words; its diameter only where somebody measured it or a standard says it."""
    head = fastener.head
    shape = HEAD_WORDS.get(head.shape, f"{head.shape} head")
    return shape if head.diameter_assumed else f"{shape} {decimal(head.diameter)} mm across"


def fastener_details(fastener: Fastener) -> Iterator[str]:
    """Yield the further lines of a screw key row: shoulder, tool and torque, what goes with it, notes."""
    if fastener.shoulder:
        yield f"shoulder {decimal(fastener.shoulder.length)} × ⌀{decimal(fastener.shoulder.diameter)}"
    work = [drive_text(fastener.drive), torque_nm_text(fastener.torque) if fastener.torque else ""]
    if any(work):
        yield " · ".join(part for part in work if part)
    extras = [
        f"with {', '.join(fastener.with_it)}" if fastener.with_it else "",
        LOCKER_WORDS.get(fastener.threadlocker, ""),
    ]
    extras.append(_renew_text(fastener.renew))
    if any(extras):
        yield ", ".join(part for part in extras if part)
    if fastener.note:
        yield fastener.note


def row_details(row: TorqueRow) -> Iterator[str]:
    """Yield what a torque row says beside its torque: thread, count, order, tool, what to renew, locker, notes."""
    if row.thread:
        yield f"{row.count} × {row.thread.designation}" if row.count > 1 else row.thread.designation
    elif row.count > 1:
        yield f"{row.count} of them"
    yield from (part for part in (row.order, drive_text(row.tool), row.lubricate) if part)
    if row.threadlocker in LOCKER_WORDS:
        yield LOCKER_WORDS[row.threadlocker]
    if row.renew:
        yield _renew_text(row.renew)
    if row.note:
        yield row.note


def stage_notes(row: TorqueRow) -> Iterator[str]:
    """Yield how stages go over several screws and what to do before an angle (common practice, no source)."""
    if len(row.torque.stages) > 1 and (row.count > 1 or row.order):
        yield f"each stage on all {row.count if row.count > 1 else 'of them'} before the next"
    if any(stage.angle_deg is not None for stage in row.torque.stages):
        yield f"mark the head{'s' * (row.count > 1)} before the turn"


def _renew_text(renew: str) -> str:
    return {"": "", "yes": "renew"}.get(renew, f"renew {renew}")


def scale_text(scale: float) -> str:
    """Return a scale as it is written on a drawing: `1:3.75`, `1:4`."""
    return f"1:{decimal(1 / scale)}"
