"""Torques and torque rows in the words that are printed."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from boardmaker.model import Torque, TorqueStage
from boardmaker.service.torque.adapter import Adapter
from boardmaker.units import format_torque_in, format_torque_nm, handy_lbf
from boardmaker.wording.numbers import NO_BREAK_SPACE

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
_UNIT = r"(?:N[·.]?m|lbf·in|lbf·ft|in-lb|ft-lb|kgf·m|kgf·cm|daN·m|N·cm)(?!\w)"
_TORQUE = re.compile(rf"(?:then )?(?:turn \d[\d.]*°|\d[\d.]*(?:(?: to |–)\d[\d.]*)? {_UNIT})")


@dataclass(frozen=True)
class TorqueStyle:
    """What a torque says beside N·m: `unit` is a second unit, "" the handier of lbf·in and lbf·ft, "none" no other.

    `in_words` says an angle as a part of a turn too; `adapter` adds what to set on the wrench.
    """

    unit: str = ""
    in_words: bool = False
    adapter: Adapter | None = None


def torque_line(torque: Torque) -> str:
    """Return a torque on one line: in N·m, or as written with N·m behind it, `44 lbf·in (4.97 N·m)`."""
    return ", ".join(torque_lines(torque))


def torque_lines(torque: Torque) -> tuple[str, ...]:
    """Return a torque in N·m, a line a stage; one written in another unit as written, with N·m behind it."""
    return _in_order(f"{one.written} ({_stage_nm(one)})" if one.written else _stage_nm(one) for one in torque.stages)


def torque_written_lines(torque: Torque) -> tuple[str, ...]:
    """Return a torque in the unit that it is written in, a line a stage."""
    return _in_order(stage.written or _stage_nm(stage) for stage in torque.stages)


def is_in_nm(torque: Torque) -> bool:
    """Say whether all of a torque is written in N·m."""
    return not any(stage.written for stage in torque.stages)


def torque_nm_text(torque: Torque) -> str:
    """Return a torque in N·m alone, on one line."""
    return ", ".join(torque_nm_lines(torque))


def torque_nm_lines(torque: Torque) -> tuple[str, ...]:
    """Return a torque in N·m alone, a line a stage."""
    return _in_order(_stage_nm(stage) for stage in torque.stages)


def _in_order(stages: Iterable[str]) -> tuple[str, ...]:
    first, *others = stages
    return first, *(f"then {stage}" for stage in others)


def unbroken(text: str) -> str:
    """Return a text in which no torque and no stage of one can be broken over two lines."""
    return _TORQUE.sub(lambda torque: torque[0].replace(" ", NO_BREAK_SPACE), text)


def torque_second_lines(torque: Torque, style: TorqueStyle) -> tuple[str, ...]:
    """Return the stages in the second unit, a line a stage; angles, which are the same in every unit, in words.

    Of a stage that is written in another unit than N·m, the second unit is N·m, and the chosen one behind it.
    """
    lines = (
        ", ".join(part for part in (_stage_nm(stage) if stage.written else "", _second(stage, style)) if part)
        for stage in torque.stages
    )
    return tuple(line for line in lines if line)


def torque_second_text(torque: Torque, style: TorqueStyle) -> str:
    """Return the stages in a unit that `torque_lines` has not said, on one line; "" where there is nothing to say."""
    return ", then ".join(line for line in (_second(stage, style) for stage in torque.stages) if line)


def torque_set_lines(torque: Torque, adapter: Adapter, unit: str = "N·m") -> tuple[str, ...]:
    """Return what to set on a wrench with an adapter on, a line for each stage that is a torque.

    A `unit` of "" is the one that the torque is written in where that is not N·m, else the handier pound-force unit.
    """
    share = adapter.share
    first, *others = (
        format_torque_in(
            unit or _unit_of(stage) or handy_lbf(stage.high_nm), share * stage.low_nm, share * stage.high_nm
        )
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
    written_in = _unit_of(stage)
    if style.unit == "none" or (written_in and style.unit in ("", written_in)):
        return ""
    return format_torque_in(style.unit or handy_lbf(stage.high_nm), stage.low_nm, stage.high_nm)


def _unit_of(stage: TorqueStage) -> str:
    """The unit that a stage is written in; "" for N·m."""
    return stage.written.rpartition(" ")[2]


def _angle(stage: TorqueStage) -> str:
    return f"turn {stage.angle_deg:g}°"
