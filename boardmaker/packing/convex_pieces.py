"""Convex pieces as arrays, for compaction: corners, unit normals and supports of many pieces at once.

In come convex rings, out come arrays with one row a piece. Apart because they are made once for each body and used in
every step of every compaction. x and y stand in arrays of their own: numpy is several times as fast that way as on
arrays whose last axis holds two numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from boardmaker.fixed_order import lengths
from boardmaker.packing.settings import GEOMETRY
from boardmaker.packing.shapes import Floats, sliced


@dataclass(frozen=True)
class ConvexPieces:
    """Convex rings of at most `GEOMETRY.corners` corners; a shorter one repeats its last. All (pieces, corners), mm.

    `across` and `up` are the unit normal of the side after each corner. A side without length has the normal of the
    piece's last side.
    """

    x: Floats
    y: Floats
    across: Floats
    up: Floats

    def __len__(self) -> int:
        """The number of pieces."""
        return len(self.x)

    @cached_property
    def by_corner(self) -> ByCorner:
        """The same turned round: numpy is several times as fast on long rows."""
        x, y, across, up = (np.ascontiguousarray(getattr(self, field.name).T) for field in fields(ConvexPieces))
        return ByCorner(x, y, across, up, farthest(across, up, x, y))


@dataclass(frozen=True)
class ByCorner:
    """Pieces as above, but all (corners, pieces); `reach`: how far a piece reaches along the normal of each side."""

    x: Floats
    y: Floats
    across: Floats
    up: Floats
    reach: Floats


def farthest(across: Floats, up: Floats, x: Floats, y: Floats) -> Floats:
    """How far pieces reach along directions, (directions, pieces): corners and directions are a column for each piece.

    Corner after corner, because that needs no more memory than the processor has at hand.
    """
    reach: Floats = across * x[0] + up * y[0]
    for corner in range(1, len(x)):
        np.maximum(reach, across * x[corner] + up * y[corner], out=reach)
    return reach


def pieces_of(rings: Iterable[Floats]) -> ConvexPieces:
    """Convex rings as arrays; those with many corners are cut into fans."""
    parts = [part for ring in rings for part in sliced(ring, GEOMETRY.corners)]
    if not parts:
        return _NONE
    corners = np.stack([_padded(part) for part in parts])
    x, y = np.ascontiguousarray(corners[..., 0]), np.ascontiguousarray(corners[..., 1])
    along, rise = np.roll(x, -1, axis=1) - x, np.roll(y, -1, axis=1) - y
    length = lengths(along, rise)
    has_length = length > 0
    length = np.where(has_length, length, 1.0)
    across = np.where(has_length, rise / length, (rise / length)[:, -1:])
    up = np.where(has_length, -along / length, (-along / length)[:, -1:])
    return ConvexPieces(x, y, across, up)


def joined(parts: Sequence[ConvexPieces]) -> ConvexPieces:
    """All pieces of several, in their order."""
    arrays = ([getattr(part, field.name) for part in (_NONE, *parts)] for field in fields(ConvexPieces))
    return ConvexPieces(*(np.concatenate(array) for array in arrays))


def _padded(ring: Floats) -> Floats:
    return np.concatenate([ring, np.repeat(ring[-1:], GEOMETRY.corners - len(ring), axis=0)])


_NONE = ConvexPieces(*(np.zeros((0, GEOMETRY.corners)) for _ in fields(ConvexPieces)))
