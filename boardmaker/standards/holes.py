"""Clearance holes of ISO 273.

In: a thread or shoulder diameter in mm and a fit. Out: the hole's diameter in mm. Apart because holes are asked for
without a thread (a shoulder, a clip). Table: `iso_273`, all in mm.
"""

from __future__ import annotations

from typing import Literal

from boardmaker.standards.reading import read_table
from boardmaker.standards.wording import format_number


def clearance_hole(diameter: float, fit: Literal["fine", "medium", "coarse"] = "medium") -> float:
    """Return the ISO 273 clearance hole in mm; a diameter between two sizes gets the hole of the next larger one.

    Raises ValueError where the diameter is not above 0 or is beyond the table.
    """
    for row in read_table("iso_273"):
        if 0 < diameter <= float(row["d"]):
            return float(row[fit])
    largest = read_table("iso_273")[-1]["d"]
    raise ValueError(f"ISO 273 has no hole for {format_number(diameter)} mm: allowed is more than 0 up to {largest} mm")
