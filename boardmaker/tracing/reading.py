"""A drawing or a list read into panels: the door of the room.

In: a file, the keys that it may name, and what was said of its scale. Out: a `Tracing`. Which reader a file gets is
told by its name alone.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from boardmaker.problems import ProblemsFound, error
from boardmaker.tracing.found import Tracing
from boardmaker.tracing.names import Keys
from boardmaker.tracing.point_list import read_point_list
from boardmaker.tracing.sorting import sort_out
from boardmaker.tracing.svg_drawing import read_svg_drawing

LISTS = (".csv", ".tsv", ".txt")  # what spreadsheets call them


def read_tracing(
    source: Path,
    panels: Collection[str],
    fasteners: Collection[str],
    known: float | None,
    unit: str | None,
    wanted: str | None = None,
) -> Tracing:
    """Return the panels of a drawing (SVG, DXF) or a list (CSV), in mm.

    `panels` and `fasteners` are the keys that an id, label, layer, block or text may be; `known` is the length in mm of
    the line named `known`, `unit` the unit of a file that says none; `wanted` is the panel that alone is asked for, if
    one is: where a group is called so, other groups do not matter. Raises ProblemsFound with what, where and remedy.
    """
    keys = Keys(panels, fasteners)
    match source.suffix.casefold():
        case ".svg":
            return sort_out(read_svg_drawing(source, known, unit), keys, source, wanted)
        case ending if ending in LISTS:
            return read_point_list(source, keys, known, unit)
        case ".dxf":
            from boardmaker.tracing.dxf_drawing import read_dxf_drawing  # noqa: PLC0415  (ezdxf takes half a second)

            return sort_out(read_dxf_drawing(source, known, unit), keys, source, wanted)
        case _:
            hint = "save it as SVG or DXF from your drawing program, or as CSV from your spreadsheet"
            raise ProblemsFound([error(f"{source} is no drawing that can be traced", hint=hint)])
