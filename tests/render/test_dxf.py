"""A cutter's DXF file, read back with ezdxf's own audit: layers, units, circles, closed lines."""

import io

import ezdxf
import pytest
from render_samples import BOARD, HOLE

from boardmaker.render.dxf import render_dxf


def read(file: bytes):
    return ezdxf.read(io.StringIO(file.decode()))


def holds(document) -> bool:
    """Tell whether the board's outline and its holes have their size, to 0.01 mm."""
    (outline,) = document.modelspace().query("LWPOLYLINE")
    corners = [(x, y) for x, y, *_ in outline]
    holes = [(*circle.dxf.center.vec2, 2 * circle.dxf.radius) for circle in document.modelspace().query("CIRCLE")]
    return corners == [pytest.approx(point, abs=0.01) for point in BOARD.cut[0].points] and holes == [
        pytest.approx((*hole.centre, HOLE), abs=0.01) for hole in BOARD.holes
    ]


def test_outline_and_holes_are_true_to_size():
    """True to size: corner by corner, hole by hole."""
    assert holds(read(render_dxf(BOARD)))


def test_a_file_at_97_percent_is_found_out():
    """The check above can fail."""
    document = read(render_dxf(BOARD))
    for entity in document.modelspace():
        entity.scale_uniform(0.97)
    assert not holds(document)


def test_the_file_is_sound_and_in_millimetres():
    """ezdxf's audit has nothing to say; $INSUNITS 4 is millimetres (DXF reference, header variables)."""
    document = read(render_dxf(BOARD))
    auditor = document.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert tuple(document.header["$EXTMAX"])[:2] == (BOARD.width, BOARD.height)


def test_cuts_are_closed_lines_and_holes_circles_on_their_own_layers():
    """Nothing else is in the file: what is printed stays out."""
    found = [(item.dxftype(), item.dxf.layer) for item in read(render_dxf(BOARD)).modelspace()]
    assert found == [("LWPOLYLINE", "cut"), *[("CIRCLE", "holes")] * len(BOARD.holes)]
    assert all(line.closed for line in read(render_dxf(BOARD)).modelspace().query("LWPOLYLINE"))


def test_the_file_names_no_other_layer():
    """Layer 0 is in every DXF file; beside it there are the two."""
    lines = [line.strip() for line in render_dxf(BOARD).decode().splitlines()]
    entries = [index for index, line in enumerate(lines) if line == "AcDbLayerTableRecord"]
    assert {lines[index + 2] for index in entries} == {"0", "cut", "holes"}


def test_the_library_is_left_as_it_was():
    """Fixed dates are for this file only."""
    render_dxf(BOARD)
    assert ezdxf.options.write_fixed_meta_data_for_testing is False
