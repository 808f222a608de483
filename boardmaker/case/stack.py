"""The boards in the case, one over the other: heads above each, screw tips below.

A long bolt that stood would lift its board, and all above it, by its length for its sake alone: it lies on its board
instead, tied down through its pocket's hole, and counts by the thickness of its head.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from boardmaker.model import CaseSetup, Fastener
from boardmaker.problems import Problem, error
from boardmaker.units import counted

AIR = 1.0  # mm between the highest part below and the longest tip above


@dataclass(frozen=True)
class Layer:
    """How far the parts of one board reach above its upper and below its lower side, mm."""

    above: float
    below: float


def layer_of(fasteners: Sequence[Fastener], thickness: float) -> Layer:
    """Return the layer that these fasteners make on a board of this thickness; long ones lie on it."""
    return Layer(
        max((_above(fastener) for fastener in fasteners), default=0.0),
        max((_below(fastener, thickness) for fastener in fasteners), default=0.0),
    )


def _above(fastener: Fastener) -> float:
    if fastener.lies_flat:
        return max(fastener.head.diameter, fastener.shoulder.diameter if fastener.shoulder else 0.0)
    return fastener.head.height + (fastener.shoulder.length if fastener.shoulder else 0.0)


def _below(fastener: Fastener, thickness: float) -> float:
    if fastener.lies_flat:
        return 0.0
    shoulder = fastener.shoulder.length if fastener.shoulder else 0.0
    return max(0.0, fastener.length - shoulder - thickness)


def stack_heights(layers: Sequence[Layer], thickness: float) -> tuple[float, ...]:
    """Return the height of each board's underside above the floor, lowest board first."""
    heights: list[float] = []
    for index, layer in enumerate(layers):
        if index == 0:
            heights.append(layer.below)
        else:
            heights.append(heights[-1] + thickness + layers[index - 1].above + layer.below + AIR)
    return tuple(heights)


def stack_problem(case: CaseSetup, layers: Sequence[Layer], thickness: float) -> Problem | None:
    """Return an error where the stack is higher than the case, None where it goes in."""
    if case.height is None or not layers:
        return None
    top = stack_heights(layers, thickness)[-1] + thickness + layers[-1].above
    lacking = top + case.clearance - case.height
    if lacking <= 1e-9:
        return None
    stand = counted(len(layers), "board with its screws stands", "boards with their screws stand")
    return error(
        f"{stand} {top:.1f} mm high; the case has {case.height:g} mm less"
        f" {case.clearance:g} mm clearance: {lacking:.1f} mm are missing",
        hint="fewer boards (--boards), fewer jobs (--job), thinner stock, or a higher case",
    )
