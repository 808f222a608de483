"""Head sizes: what a standard or a shape word says about a head.

In: a row of a part standard's table, or a shape word of the bike file and a thread diameter. Out: diameter over
everything and height of the head, mm. Apart because a bike file may give a shape without naming a standard.

Policy: always the maximum of the standard, so that what is drawn holds every screw that the standard allows. Round
heads: dk max of the plain (not knurled) head; with a collar or flange: dc max; countersunk: the theoretical maximum
(sharp edge), raised: with the raised part f; hexagons: over the corners of the largest hexagon, 2/√3 s. Height: k max.

The tables of parts are in mm and keep the standards' letters: d thread, dk head, dc collar or flange (c its edge),
k height, f raised part, s key or width across flats, t depth of the socket, m height of a nut (h with its insert), ds
shoulder and b thread of a shoulder screw, d1, d2 and h hole, diameter and thickness of a washer; recess_no and
socket_no are the numbers of PH and T drives.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from boardmaker.standards.reading import read_table

# The standard that stands for a shape word where no part is named: the commonest of that shape.
_TYPICAL = {
    "button": "ISO 7380-1",
    "flanged button": "ISO 7380-2",
    "pan": "ISO 7045",
    "cylinder": "ISO 4762",
    "countersunk": "ISO 10642",
    "raised countersunk": "ISO 7047",
    "hex": "ISO 4017",
    "flanged hex": "EN 1662",
}


@dataclass(frozen=True)
class HeadSize:
    """A head: `shape` is a word of the bike file, diameter over everything and height in mm, `standard` its source."""

    shape: str
    diameter: float
    height: float
    standard: str


def head_for(shape: str, diameter: float) -> HeadSize | None:
    """Return the typical head of a shape at a thread diameter (mm), or None where no standard speaks.

    Between two sizes of the table (an inch thread) the head is interpolated; outside the table there is none.
    """
    if shape not in _TYPICAL:
        return None
    part = part_standards()[_TYPICAL[shape]]
    heads = {float(row["d"]): read_head(part, row) for row in read_table(part["table"])}
    for low, high in pairwise(heads):
        if low < diameter < high:
            return _interpolate(heads[low], heads[high], (diameter - low) / (high - low))
    return heads.get(diameter)


def part_standards() -> dict[str, Mapping[str, str]]:
    """Map each part standard's name to its row of `tables/parts.csv`."""
    return {row["standard"]: row for row in read_table("parts")}


def read_head(part: Mapping[str, str], row: Mapping[str, str]) -> HeadSize:
    """Read the head out of a size's row; `part` is the standard's row of `tables/parts.csv`."""
    width = float(row[part["diameter_column"]])
    over_corners = 2 / math.sqrt(3) if part["diameter_column"] == "s" else 1.0
    height = sum(Decimal(row[column]) for column in part["height_columns"].split())
    return HeadSize(part["head_shape"], width * over_corners, float(height), part["standard"])


def _interpolate(below: HeadSize, above: HeadSize, share: float) -> HeadSize:
    diameter = below.diameter + share * (above.diameter - below.diameter)
    height = below.height + share * (above.height - below.height)
    return HeadSize(below.shape, diameter, height, below.standard)
