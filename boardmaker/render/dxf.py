"""What a cutter needs of a board into a DXF file with ezdxf: the cuts and the holes, at true size.

In comes a drawing in mm; out come the bytes of a DXF R2010 file in mm with the layers `cut` and `holes`. DXF has the
display list's axes, so coordinates go over as they are.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Any

from ezdxf import colors, options, units  # type: ignore[attr-defined]  # named in its manual, not in its types
from ezdxf.filemanagement import new

from boardmaker.display_list import Drawing
from boardmaker.render.placing import closed_ring

_LAYERS = {"cut": colors.RED, "holes": colors.BLUE}  # colours tell the jobs apart in most cutters' programs


def render_dxf(drawing: Drawing) -> bytes:
    """Return a DXF R2010 file: each path of `cut` a closed LWPOLYLINE, each hole one CIRCLE."""
    with _fixed_dates():
        document = new("R2010", units=units.MM)
        _draw(document, drawing)
        _show_whole(document, drawing)
        _sort_classes(document)
        text = StringIO()
        document.write(text)
        return bytes(document.encode(text.getvalue()))


def _draw(document: Any, drawing: Drawing) -> None:
    document.layers.remove("Defpoints")  # ezdxf makes it for dimensions; layer 0 is in every DXF file
    for name, colour in _LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    for path in drawing.cut:
        space.add_lwpolyline(closed_ring(path), close=path.closed, dxfattribs={"layer": "cut"})
    for hole in drawing.holes:
        space.add_circle(hole.centre, hole.diameter / 2, dxfattribs={"layer": "holes"})


def _show_whole(document: Any, drawing: Drawing) -> None:
    """Have programs open the file with the whole board in view."""
    far = (drawing.width, drawing.height)
    space = document.modelspace()
    space.reset_limits((0, 0), far)
    space.reset_extents((0, 0, 0), (*far, 0))
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (*far, 0)  # ezdxf skips a corner at the origin
    document.set_modelspace_vport(max(far), center=(far[0] / 2, far[1] / 2))


def _sort_classes(document: Any) -> None:
    """Register the classes of what is in the file by name: ezdxf does it later from a set, in hash order."""
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Have ezdxf write fixed dates and identifiers, so that the same board is the same file; then as it was before."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
