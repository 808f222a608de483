"""Torques and torque rows in the words that are printed."""

from __future__ import annotations

import re
from collections.abc import Iterator
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
THEN = "then "
SLACKEN = "slacken, "
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
    return tuple(
        f"{link}{one.written} ({_stage_nm(one)})" if one.written else f"{link}{_stage_nm(one)}"
        for link, one in _linked(torque)
    )


def torque_written_lines(torque: Torque) -> tuple[str, ...]:
    """Return a torque in the unit that it is written in, a line a stage."""
    return tuple(f"{link}{stage.written or _stage_nm(stage)}" for link, stage in _linked(torque))


def is_in_nm(torque: Torque) -> bool:
    """Say whether all of a torque is written in N·m."""
    return not any(stage.written for stage in torque.stages)


def torque_nm_text(torque: Torque) -> str:
    """Return a torque in N·m alone, on one line."""
    return ", ".join(torque_nm_lines(torque))


def torque_nm_lines(torque: Torque) -> tuple[str, ...]:
    """Return a torque in N·m alone, a line a stage; a stage below the one before it is reached from slack."""
    return tuple(f"{link}{_stage_nm(stage)}" for link, stage in _linked(torque))


def _linked(torque: Torque) -> Iterator[tuple[str, TorqueStage]]:
    """Each stage with the word that leads to it: a wrench cannot tighten to less than what is there already."""
    reached = 0.0
    for index, stage in enumerate(torque.stages):
        yield (SLACKEN if _is_below(stage, reached) else THEN) if index else "", stage
        reached = stage.low_nm if stage.low_nm is not None else reached


def _is_below(stage: TorqueStage, reached: float) -> bool:
    return stage.high_nm is not None and stage.high_nm < reached


def unbroken(text: str) -> str:
    """Return a text in which no torque and no stage of one can be broken over two lines."""
    return _TORQUE.sub(lambda torque: torque[0].replace(" ", NO_BREAK_SPACE), text)


def torque_second_lines(torque: Torque, style: TorqueStyle) -> tuple[str, ...]:
    """Return the stages in the second unit, a line a stage; angles, which are the same in every unit, in words.

    Of a stage that is written in another unit than N·m, the second unit is N·m, and the chosen one behind it.
    """
    return tuple(line for line in torque_second_of_stages(torque, style) if line)


def torque_second_of_stages(torque: Torque, style: TorqueStyle) -> tuple[str, ...]:
    """Return the same, one line for each stage, "" where there is nothing to say of it.

    Each stands under its stage, which has said what leads to it.
    """
    return tuple(
        ", ".join(part for part in (_stage_nm(stage) if stage.written else "", _second(stage, style)) if part)
        for stage in torque.stages
    )


def torque_second_text(torque: Torque, style: TorqueStyle) -> str:
    """Return the stages in a unit that `torque_lines` has not said, on one line; "" where there is nothing to say."""
    said = [(link, line) for link, stage in _linked(torque) if (line := _second(stage, style))]
    return ", ".join(f"{link if index else ''}{line}" for index, (link, line) in enumerate(said))


def torque_set_lines(torque: Torque, adapter: Adapter, unit: str = "N·m") -> tuple[str, ...]:
    """Return what to set on a wrench with an adapter on, a line for each stage that is a torque.

    A `unit` of "" is the one that the torque is written in where that is not N·m, else the handier pound-force unit.
    """
    share = adapter.share
    found = [
        (
            link,
            format_torque_in(
                unit or _unit_of(stage) or handy_lbf(stage.high_nm), share * stage.low_nm, share * stage.high_nm
            ),
        )
        for link, stage in _linked(torque)
        if stage.low_nm is not None and stage.high_nm is not None
    ]
    return tuple(f"{link if index else 'set '}{text}" for index, (link, text) in enumerate(found))


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
