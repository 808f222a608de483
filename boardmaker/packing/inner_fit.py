"""Where a body's middle may stand in a container, by nodes of a raster.

Apart because both what walls and keep-outs leave, and what windows leave of that, are such arrays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boardmaker.packing.no_fit import Costs
from boardmaker.packing.shapes import Cells

FORBIDDEN = np.float32(1e12)
Node = tuple[int, int]  # column and row


@dataclass(frozen=True)
class InnerFit:
    """Where a body's middle may stand in a container: 0 or FORBIDDEN by row and column; `first` is node [0, 0]."""

    blocked: Costs
    first: Node


InnerFits = tuple[tuple[tuple[InnerFit | None, ...], ...], ...]  # by container, item and pose; None: body too large


def trimmed(free: Cells, first: Node) -> InnerFit | None:
    """The inner-fit raster of free nodes from node `first` on, without its blocked edges; None if none is free."""
    rows, columns = np.flatnonzero(free.any(axis=1)), np.flatnonzero(free.any(axis=0))
    if not len(rows):
        return None
    free = free[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    return InnerFit(np.where(free, np.float32(0), FORBIDDEN), (first[0] + int(columns[0]), first[1] + int(rows[0])))
