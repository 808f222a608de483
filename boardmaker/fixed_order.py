"""Arithmetic that gives the same bits on every processor, for all that decides where something lies.

In: numbers and arrays; out: sums, products, lengths, directions. Apart because packing, case and figures need the same.
Plus, minus, times, divided by and square root are exact to the last bit everywhere (IEEE 754). What is not: products of
matrices (BLAS adds up in the order that suits the processor), sums of many numbers (numpy groups them, Python carries
the error along from 3.12), and what the C library works out by series: sines, logarithms and powers differ in their
last bit from one library or processor to another, `hypot` from one library to another.
`tests/test_any_processor.py` keeps these out of the rooms that decide.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FINEST = 8  # decimals of a mm: what comes from arcs is rounded so, because arcs are made with sines
_DIGITS = 10  # after the point: C libraries differ from the 15th on


def total(values: Floats) -> float:
    """The sum of an array's numbers, added up from the first to the last."""
    return float(np.add.accumulate(values.ravel())[-1]) if values.size else 0.0


def rows_added_up(matrix: Floats, weights: Floats) -> Floats:
    """All rows of a matrix, each times its weight, added up from the first to the last, (columns,).

    Along the first axis of an array in C order numpy adds whole rows, one after the other.
    """
    added: Floats = np.add.reduce(matrix * weights[:, None], axis=0)
    return added


def along(points: Floats, ways: Floats) -> Floats:
    """How far each point, (points, 2), lies along each way, (ways, 2): their products, (points, ways)."""
    far: Floats = points[:, :1] * ways[:, 0] + points[:, 1:] * ways[:, 1]
    return far


def lengths(across: Floats, up: Floats) -> Floats:
    """How long ways are that lead so far across and so far up; any shape."""
    long: Floats = np.sqrt(across * across + up * up)
    return long


def direction(angle: float) -> tuple[float, float]:
    """Cosine and sine of an angle in radians, rounded to 10 digits."""
    return settled(math.cos(angle)), settled(math.sin(angle))


def settled(value: float) -> float:
    """A cosine, logarithm or power (about 1, not a thousand) without its last digits, which no two libraries share."""
    return round(float(value), _DIGITS)
