"""What a seam cuts although it ought to be whole: tables stay whole or get a patch, keys are cut between rows."""

from __future__ import annotations

import shapely

from boardmaker.display_list import Drawing, Path
from boardmaker.drawing import Placed
from boardmaker.figures import Figure
from boardmaker.geometry import box_ring
from boardmaker.sheets.board.patches import BELOW, BESIDE, patch_pages, pieces_cut
from boardmaker.sheets.board.tiling import cut_into_tiles
from boardmaker.sheets.board.wholes import fits_page, wholes_of

PICTURE = (177.4, 260.0)  # of an A4 page


def table(x, y, width, height, rules=()):
    """A table in a frame with lines at the heights of its rules, as it stands on a board."""
    lines = [Path(((x + 2.0, y + rule), (x + width - 2.0, y + rule)), line_width=0.18) for rule in rules]
    frame = Path(box_ring(x, y, x + width, y + height), closed=True)
    figure = Figure("torque card", f"{x}", box_ring(x, y, x + width, y + height), marks=(frame, *lines))
    return Placed(figure, (x, y), 0)


def tiled(width, height, *tables):
    """The tiles of a board full of ink with these tables, and what ought to be whole on it."""
    edge = Path(box_ring(0.0, 0.0, width, height), closed=True, fill=0.9)
    marks = tuple(mark for one in tables for mark in one.figure.marks)
    wholes = wholes_of(tables, PICTURE)
    drawing = Drawing(width, height, (edge,), (), marks)
    return cut_into_tiles(drawing, PICTURE, [one.figure.zone for one in tables], wholes), wholes


def test_a_seam_goes_around_a_table():
    """Two pages would do, cut in the middle of the table; a third one leaves it whole."""
    tiles, wholes = tiled(340.0, 250.0, table(130.0, 100.0, 80.0, 60.0))
    assert any(wholes[0].within(tile.trim) for tile in tiles)
    assert len(tiles) <= 3


def test_no_page_is_spent_where_nothing_is_gained():
    """A table that lies on one of two pages anyhow."""
    tiles, _ = tiled(340.0, 250.0, table(20.0, 100.0, 80.0, 60.0))
    assert len(tiles) == 2


def test_a_table_that_no_page_holds_is_cut_between_its_rows():
    """300 mm of rows on pages of 260 mm: seams across it keep off all rows."""
    rules = [20.0 + 23.7 * number for number in range(12)]
    tiles, wholes = tiled(170.0, 320.0, table(20.0, 10.0, 110.0, 300.0, rules))
    rows = [one for one in wholes if one.kind == "row"]
    assert len(rows) == len(rules) + 1
    assert len(tiles) > 1
    assert all(any(row.within(tile.trim) for tile in tiles) for row in rows)


def test_lines_of_a_picture_are_no_rules():
    """A long screw in a row does not part the row."""
    lying = table(20.0, 10.0, 110.0, 300.0, [150.0])
    screw = Path(((30.0, 60.0), (100.0, 60.0)), line_width=0.25)
    drawn = Placed(
        Figure("screw key", "", lying.figure.zone, marks=(*lying.figure.marks, screw)), lying.at, lying.turn_deg
    )
    assert len(wholes_of([drawn], PICTURE)) == 2


def test_what_is_cut_comes_once_more_in_one_piece():
    """A table as wide as a page, at a place that no seam can leave alone, has a patch that shows all of it."""
    placed = [table(100.0, 10.0, 170.0, 200.0), table(300.0, 10.0, 60.0, 60.0)]
    wholes = wholes_of(placed, PICTURE)
    parts = [(0.0, 0.0, 171.4, 260.0), (171.4, 0.0, 342.8, 260.0), (342.8, 0.0, 500.0, 260.0)]
    pieces = pieces_cut(wholes, parts, PICTURE)
    assert [number for number, _ in pieces] == [0, 1]
    patches = [patch for page in patch_pages([window for _, window in pieces], PICTURE) for patch in page]
    assert all(any(whole.within(patch.window) for patch in patches) for whole in wholes)


def test_cut_rows_that_follow_each_other_are_one_piece():
    """As far as a page holds them; a row that is whole parts them."""
    wholes = wholes_of([table(20.0, 10.0, 110.0, 300.0, [50.0, 100.0, 150.0, 200.0, 250.0])], PICTURE)
    assert len(pieces_cut(wholes, [], PICTURE)) == 2
    rest = pieces_cut(wholes, [(0.0, 111.0, 200.0, 159.5)], PICTURE)
    assert len(rest) == 2
    assert all(fits_page(piece, PICTURE) for _, piece in rest)


def test_patches_lie_on_their_page_and_clear_of_each_other():
    """Each once, within the picture, with room for cut marks and a line of type between them."""
    pieces = [(0.0, 0.0, 40.0 + 13.0 * number, 250.0 - 25.0 * number) for number in range(8)]
    pages = patch_pages(pieces, PICTURE)
    assert sorted(patch.piece for page in pages for patch in page) == list(range(8))
    for page in pages:
        boxes = [shapely.box(*one.at, one.at[0] + one.size[0], one.at[1] + one.size[1]) for one in page]
        assert all(shapely.box(0.0, 0.0, *PICTURE).buffer(1e-6).covers(box) for box in boxes)
        wide = [
            shapely.box(x0, y0, x1 + BESIDE - 1e-6, y1 + BELOW - 1e-6) for x0, y0, x1, y1 in (b.bounds for b in boxes)
        ]
        assert all(not a.intersects(b) for i, a in enumerate(wide) for b in boxes[i + 1 :])
