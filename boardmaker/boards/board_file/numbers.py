"""Numbers of a board file that no bike file and no setup file could have given.

In: the model as read back. Out: what is wrong, each with the way to it. Apart because a board file is checked for its
types alone when it is read; a screw of 10³⁰⁰ mm has the right type and would be drawn for ever.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from boardmaker.model import Torque, TorqueStage
from boardmaker.problems import Place

LARGEST = 20_000.0  # mm, N·m or degrees; people may write half of it, and an outline is drawn around that
NO_STAGE = "neither a torque from low to high nor an angle"
MORE_THAN_NOUGHT = ("diameter", "length", "width", "thickness", "pitch", "count")


def far_numbers(thing: object, way: str) -> Iterator[str]:
    """Yield the numbers out of all reason in a dataclass or tuple, in all that it holds; `way` leads to it in the file.

    pydantic takes the texts "nan" and "inf" for numbers, and JSON may write 1e999.
    """
    if isinstance(thing, int | float):
        if not (math.isfinite(thing) and abs(thing) <= LARGEST):
            yield f"at {way}: {thing:g} is out of all reason"
    elif isinstance(thing, tuple):
        for index, value in enumerate(thing):
            if not isinstance(value, str):
                yield from far_numbers(value, f"{way}.{index}")
    elif is_dataclass(thing):
        for one in fields(thing):
            yield from far_numbers(getattr(thing, one.name), f"{way}.{one.name}")


def odd_numbers(thing: object, way: str) -> Iterator[str]:
    """Yield what is wrong with the numbers of a bike or a setup, in all that it holds; `way` leads to it."""
    if isinstance(thing, Torque):
        yield from _odd_torque(thing, way)
    if is_dataclass(thing) and not isinstance(thing, type | Place):
        for one in fields(thing):
            value = getattr(thing, one.name)
            yield from _odd_length(one.name, value, f"{way}.{one.name}")
            yield from odd_numbers(value, f"{way}.{one.name}")
    elif isinstance(thing, tuple):
        for index, value in enumerate(thing):
            yield from odd_numbers(value, f"{way}.{index}")
    elif isinstance(thing, int | float):
        yield from far_numbers(thing, way)


def _odd_length(name: str, value: object, way: str) -> Iterator[str]:
    """A number that is a field of its own is a size; those of places stand in pairs and may be negative."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return
    if value < 0:
        yield f"at {way}: {value:g} is less than nought"
    elif value == 0 and name in MORE_THAN_NOUGHT:
        yield f"at {way}: nought is no {name}"


def _odd_torque(torque: Torque, way: str) -> Iterator[str]:
    if not torque.stages or torque.stages[0].low_nm is None:
        yield f"at {way}: there is no torque in it"
    yield from (f"at {way}.stages.{index}: {NO_STAGE}" for index, one in enumerate(torque.stages) if not _whole(one))


def _whole(stage: TorqueStage) -> bool:
    if stage.angle_deg is not None:
        return stage.low_nm is None and stage.high_nm is None and stage.angle_deg > 0.0
    return stage.low_nm is not None and stage.high_nm is not None and 0.0 < stage.low_nm <= stage.high_nm
