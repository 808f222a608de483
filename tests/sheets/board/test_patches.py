"""What a seam cuts although it ought to be whole: tables stay whole or get a patch, keys are cut between rows."""

from __future__ import annotations

import re
from dataclasses import replace

import board_judge as judge
import pytest
import shapely
from bikes import EQUIPMENT, LID_AND_TAIL, bike_text

from boardmaker.display_list import Drawing, Page, Path, Text, Window
from boardmaker.drawing import Placed, board_grid, place_figure
from boardmaker.figures import Figure
from boardmaker.figures.figure import Pocket
from boardmaker.geometry import box_ring
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.service import plan_work
from boardmaker.sheets import BoardOnPaper, lay_sheets
from boardmaker.sheets.board.patch_sheets import HOW, NamedPiece, lay_patches, own_pages
from boardmaker.sheets.board.patches import BELOW, BESIDE, patch_pages, patches_within, pieces_cut
from boardmaker.sheets.board.tiling import cut_into_tiles
from boardmaker.sheets.board.wholes import Whole, fits_page, wholes_of
from boardmaker.sheets.paper import lay_page
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.table import RULE, RowRule

PICTURE = (177.4, 260.0)  # of an A4 page


def table(x, y, width, height, rules=()):
    """A table in a frame with lines at the heights of its rules, as it stands on a board."""
    lines = [RowRule(((x + 2.0, y + rule), (x + width - 2.0, y + rule)), line_width=0.18) for rule in rules]
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
    """A long screw in a row does not part the row, drawn in the pen of rules and nearly as long as they."""
    lying = table(20.0, 10.0, 110.0, 300.0, [150.0])
    screw = Path(((25.0, 60.0), (125.0, 60.0)), line_width=RULE)
    drawn = Placed(
        Figure("screw key", "", lying.figure.zone, marks=(*lying.figure.marks, screw)), lying.at, lying.turn_deg
    )
    assert len(wholes_of([drawn], PICTURE)) == 2


def test_rows_are_as_wide_as_their_table():
    """Keys at the left and counts at the right are in them; what stands above several columns is one, at any turn."""
    rules = [[RowRule(((x, y), (x + 60.0, y)), line_width=RULE) for y in (100.0, 200.0)] for x in (2.0, 70.0)]
    ring = box_ring(0.0, 0.0, 132.0, 300.0)
    for turn in (0, 90, 270):
        (one, two) = (
            [
                row.box
                for row in wholes_of(
                    [place_figure(Figure("screw key", "", ring, marks=m), (300.0, 300.0), turn)], PICTURE
                )
            ]
            for m in (tuple(rules[0]), tuple(rules[0] + rules[1]))
        )
        across = 0 if turn == 0 else 1
        assert len(one) == 3
        assert all(row[across + 2] - row[across] > 130.0 for row in one)
        assert sorted(round(row[across + 2] - row[across]) for row in two) == [60, 60, 60, 60, 128]


def test_no_patch_lies_within_another_or_fits_no_page():
    """Such a patch says nothing that the other does not; what no page holds has no number either."""
    small = Whole("table", (50.0, 50.0, 80.0, 80.0), 1.0, 1)
    wholes = [small, Whole("table", (10.0, 10.0, 150.0, 100.0), 1.0, 0), Whole("row", (0.0, 0.0, 400.0, 90.0), 1.0, 2)]
    assert [piece.window for piece in pieces_cut(wholes, [], PICTURE)] == [(10.0, 10.0, 150.0, 100.0)]


def test_a_patch_as_large_as_a_page_is_laid_whatever_its_words():
    """Its line of type is shorter then; none is left away."""
    pages = patch_pages([(0.0, 0.0, 40.0, PICTURE[1]), (0.0, 0.0, 30.0, 20.0)], PICTURE, [90.0, 50.0])
    assert sorted(patch.piece for page in pages for patch in page) == [0, 1]


def test_what_is_cut_comes_once_more_in_one_piece():
    """A table as wide as a page, at a place that no seam can leave alone, has a patch that shows all of it."""
    placed = [table(100.0, 10.0, 170.0, 200.0), table(300.0, 10.0, 60.0, 60.0)]
    wholes = wholes_of(placed, PICTURE)
    parts = [(0.0, 0.0, 171.4, 260.0), (171.4, 0.0, 342.8, 260.0), (342.8, 0.0, 500.0, 260.0)]
    pieces = pieces_cut(wholes, parts, PICTURE)
    assert [one.shows[0].figure for one in pieces] == [0, 1]
    patches = [patch for page in patch_pages([piece.window for piece in pieces], PICTURE) for patch in page]
    assert all(any(whole.within(patch.window) for patch in patches) for whole in wholes)


def test_cut_rows_that_follow_each_other_are_one_piece():
    """As far as a page holds them; a row that is whole parts them."""
    wholes = wholes_of([table(20.0, 10.0, 110.0, 300.0, [50.0, 100.0, 150.0, 200.0, 250.0])], PICTURE)
    assert len(pieces_cut(wholes, [], PICTURE)) == 2
    rest = pieces_cut(wholes, [(0.0, 111.0, 200.0, 159.5)], PICTURE)
    assert len(rest) == 2
    assert all(fits_page(piece.window, PICTURE) for piece in rest)


def panel_with_danger(x, y):
    """A panel with its tag and name, a pocket over the tank and a plain one, 100 mm wide."""
    words = (Words("A", 3.5),)
    boxes = [(x + 40, y + 60, x + 60, y + 70), (x + 30, y + 52, x + 70, y + 59), (x + 20, y + 10, x + 32, y + 20)]
    labels = tuple(Label(words, box) for box in (*boxes, (x + 80, y + 10, x + 88, y + 14)))
    pockets = (
        Pocket("p/1", 1, "A", (x + 12, y + 15), (x + 12, y + 15), 5.0, 10.0, behind="tank"),
        Pocket("p/2", 2, "A", (x + 72, y + 15), (x + 72, y + 15), 5.0, 10.0),
    )
    zone = box_ring(x, y, x + 100.0, y + 80.0)
    return Placed(Figure("panel", "p", zone, zone, pockets, labels, side="left"), (x, y), 0)


def test_a_danger_and_a_name_on_a_seam_come_once_more():
    """The pocket over the tank with its words, tag and name as one; a plain pocket on a seam has no patch."""
    wholes = wholes_of([panel_with_danger(100.0, 100.0)], PICTURE)
    through_pockets, through_names = [(0, 0, 500, 115), (0, 115, 500, 500)], [(0, 0, 140, 500), (140, 0, 500, 500)]
    (danger,) = pieces_cut(wholes, through_pockets, PICTURE)
    assert [(one.kind, one.pocket) for one in danger.shows] == [("danger", 0)]
    assert shapely.box(*danger.window).covers(shapely.Point(112, 115).buffer(7.0))  # head and collar
    assert shapely.box(*danger.window).covers(shapely.box(120, 110, 132, 120))
    (name,) = pieces_cut(wholes, through_names, PICTURE)
    assert shapely.box(*name.window).covers(shapely.box(130, 152, 170, 170))


def test_names_and_dangers_close_together_are_one_piece():
    """Two that overlap, but not two at the ends of a panel."""
    wholes = wholes_of([panel_with_danger(100.0, 100.0)], PICTURE)
    assert len(pieces_cut(wholes, [], PICTURE)) == 2
    near = [replace(one, box=(118, 145, 138, 165)) if one.kind == "danger" else one for one in wholes]
    (both,) = pieces_cut(near, [], PICTURE)
    assert {one.kind for one in both.shows} == {"name", "danger"}


def test_a_line_of_type_wider_than_its_patch_keeps_clear_of_others():
    """Small patches beside each other, each with room for its words under the cut marks."""
    pages = patch_pages([(0.0, 0.0, 20.0, 15.0)] * 7, PICTURE, [60.0] * 7)
    (page,) = pages
    rooms = [shapely.box(x0, y0, x1 + BESIDE - 1e-6, y1 + BELOW - 1e-6) for x0, y0, x1, y1 in (p.room for p in page)]
    assert all(x1 - x0 == 60.0 for x0, _, x1, _ in (patch.room for patch in page))
    assert all(not a.intersects(b) for i, a in enumerate(rooms) for b in rooms[i + 1 :])
    assert all(p.room[0] >= 0.0 and p.room[2] <= PICTURE[0] and p.room[1] >= 0.0 for p in page)


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


def laid_with_names_on_seams(bike_from, pockets=()):
    """The sheets of a board on which every seam of two pages cuts one of two long names; the first has the pockets."""
    placed = []
    for number, (left, low) in enumerate(((60.0, 20.0), (120.0, 150.0))):
        zone, box = box_ring(left, low, left + 170.0, low + 40.0), (left + 1.0, low + 5.0, left + 169.0, low + 12.0)
        words = Label((Words(f"T{number}", 5.0),), box)
        holes = () if number else tuple(pockets)
        figure = Figure("panel", f"p{number}", zone, zone, holes, (words, words, *(words for _ in holes)), side="left")
        placed.append(Placed(figure, (left, low), 0))
    outline = box_ring(0.0, 0.0, 340.0, 250.0)
    marks = tuple(Path(one.figure.zone, closed=True) for one in placed)
    drawing = Drawing(340.0, 250.0, (Path(outline, closed=True, fill=0.9),), (), marks)
    board = BoardOnPaper(drawing, outline, tuple(placed), board_grid((340.0, 250.0), 8.0))
    setup = override_setup(Setup(), board=None, case=None, paper="A4")
    work = plan_work(bike_from(bike_text(LID_AND_TAIL, rest=EQUIPMENT)))
    return lay_sheets([board], work, 0.25, setup)


def test_a_patch_says_over_which_sheet_and_square_it_goes(bike_from):
    """In words that no tile has, and its place is on the page map, dashed."""
    sheets = laid_with_names_on_seams(bike_from)
    first = sheets.tiles[0].page
    assert sheets.patches
    for number, patch in enumerate(sheets.patches, start=1):
        said = [item.text for item in sheets.pages[patch.page - 1].items if isinstance(item, Text)]
        (words,) = [text for text in said if text.startswith(f"patch {number}:")]
        assert words.startswith(f"patch {number}: glue over sheets {first} and {first + 1}, square ")
        assert words.endswith(": T0" if patch.window[1] < 100.0 else ": T1")
    on_map = sheets.pages[0].items
    assert "P1" in {item.text for item in on_map if isinstance(item, Text)}
    assert any(isinstance(item, Path) and item.dash for item in on_map)


def test_the_page_map_shows_the_patches_that_are_printed(bike_from):
    """The same numbers on the map, on the pages and in the list."""
    sheets = laid_with_names_on_seams(bike_from)
    assert judge.patch_faults(sheets) == []
    fewer = replace(sheets, patches=sheets.patches[1:])
    assert judge.patch_faults(fewer) != []


@pytest.mark.slow
def test_the_cover_names_the_pockets_on_seams(bike_from):
    """Those that no patch shows, with the sheets that have a part of their head, as many as are counted."""
    places = [(80.0 + 6.0 * number, 45.0) for number in range(25)]
    pockets = [Pocket(f"p/{n}", n, "A", at, at, 3.0, 8.0) for n, at in enumerate(places, start=1)]
    sheets = laid_with_names_on_seams(bike_from, pockets)
    said = " ".join(item.text for item in sheets.pages[0].items if isinstance(item, Text))
    first, second = (tile.page for tile in sheets.tiles)
    named = re.findall(r"T0 (\d+) \(sheets (\d+) and (\d+)\)", said)
    assert named
    assert {(int(one), int(other)) for _, one, other in named} == {(first, second)}
    assert len(named) == sheets.pockets_cut
    low = max(tile.window[0] for tile in sheets.tiles)  # where the right one begins: its left side is cut at the seam
    cut = {n for n, (x, _) in enumerate(places, start=1) if x - 4.0 < low < x + 4.0}
    assert {int(number) for number, *_ in named} == cut
    assert "On seams" not in " ".join(
        item.text for item in laid_with_names_on_seams(bike_from).pages[0].items if isinstance(item, Text)
    )


def test_few_patches_take_no_page_of_their_own(bike_from):
    """They lie in the room that words leave, off these, under a heading; the cover says on which sheet."""
    sheets = laid_with_names_on_seams(bike_from)
    labels = [page.label for page in sheets.pages]
    assert "patches" not in labels
    (number,) = {patch.page for patch in sheets.patches}
    page = sheets.pages[number - 1]
    assert number > max(tile.page for tile in sheets.tiles)
    boxes = [shapely.box(*patch.on_page) for patch in sheets.patches]
    lines = [item for item in page.items if isinstance(item, Text)]
    assert all(x0 > 0.0 and x1 < page.width for x0, _, x1, _ in (box.bounds for box in boxes))
    assert not [line.text for line in lines if any(box.buffer(1.0).intersects(shapely.Point(line.at)) for box in boxes)]
    windows = [item for item in page.items if isinstance(item, Window)]
    assert [(one.source, one.at) for one in windows] == [(one.window, one.on_page[:2]) for one in sheets.patches]
    said = " ".join(item.text for item in sheets.pages[0].items if isinstance(item, Text))
    assert f"on the sheet “{page.label}” (P on the map)" in said


def test_where_words_leave_no_room_patches_have_their_page():
    """A page that is full, one with room at the right, and a roll, which ends with its words."""
    layout = lay_page(override_setup(Setup(), board=None, case=None, paper="A4"))
    left, low, right, high = layout.picture
    full = Page(layout.width, layout.height, (Path(box_ring(left, low + 5.0, right, high)),), "order")
    half = Page(layout.width, layout.height, (Path(box_ring(left, low + 5.0, left + 80.0, high)),), "torque")
    pieces = [NamedPiece(1, (0.0, 0.0, 40.0, 20.0), "AB", "sheet 2"), NamedPiece(1, (0, 0, 30, 60), "CD", "sheet 3")]
    assert lay_patches(layout, pieces, [full]).labels([full]) == ("patches",)
    laid = lay_patches(layout, pieces, [half, full])
    assert laid.labels([half, full]) == ("torque",)
    assert laid.room[0] > left + 80.0
    roll = lay_page(override_setup(Setup(), board=None, case=None, paper="roll of 610 mm"))
    assert lay_patches(roll, pieces, [half]).labels([half]) == ("patches",)


def test_patches_are_numbered_as_they_are_read():
    """From the top left of the first page on, however large they are and wherever they lie on the board."""
    layout = lay_page(override_setup(Setup(), board=None, case=None, paper="A5"))
    sizes = [(40.0, 20.0), (30.0, 60.0), (100.0, 110.0), (70.0, 25.0), (50.0, 90.0), (20.0, 15.0)]
    pieces = [NamedPiece(1, (0.0, 0.0, *size), f"T{n}", "sheet 2") for n, size in enumerate(sizes)]
    laid = lay_patches(layout, pieces, [])
    assert len(laid.own) > 1
    assert sorted(laid.order) == [0, 1, 2, 3, 4, 5]
    read = [one for page in laid.own for one in sorted(page, key=lambda one: (-one.at[1] - one.size[1], one.at[0]))]
    assert [one.piece for one in read] == [0, 1, 2, 3, 4, 5]
    assert [one.window for one in read] == [piece.window for piece in laid.in_order(pieces)]


def test_a_low_room_holds_patches_that_lie():
    """Three high ones as they stand do not go below each other in 100 mm; turned they do."""
    (page,) = patch_pages([(0.0, 0.0, 16.0, 55.0)] * 3, PICTURE, [75.0] * 3)
    laid = patches_within(page, (90.0, 100.0))
    assert [one.turn for one in laid] == [90, 90, 90]
    assert all(one.room[1] >= 0.0 and one.room[2] <= 90.0 and one.room[3] <= 100.0 for one in laid)
    assert patches_within(page, (90.0, 80.0)) == ()


def test_no_patch_stands_on_its_head():
    """What reads upwards on the board is turned clockwise, or lies as it lies there; what reads level never so."""
    box = (0.0, 0.0, 20.0, 60.0)
    for picture, turns in ((PICTURE, (0, 270)), ((30.0, 100.0), (0, 0)), ((100.0, 40.0), (90, 270))):
        pages = patch_pages([box, box], picture, readings=[0, 90])
        found = {one.piece: one.turn for page in pages for one in page}
        assert (found[0], found[1]) == turns, picture
    flat = patches_within(patch_pages([(0.0, 0.0, 55.0, 16.0)] * 3, PICTURE, readings=[90] * 3)[0], (60.0, 80.0))
    assert [one.turn for one in flat] == [0, 0, 0]


def test_the_foot_of_a_small_page_of_patches_names_the_bike_whole():
    """What to do with patches does not fit behind it on A5, and half of that says nothing."""
    for paper, said in (("A5", "Murmelo 140 Scooter"), ("A4", f"Murmelo 140 Scooter: {HOW}")):
        layout = lay_page(override_setup(Setup(), board=None, case=None, paper=paper))
        pieces = [NamedPiece(1, (0.0, 0.0, 40.0, 20.0), "AB", "sheet 2")]
        laid = lay_patches(layout, pieces, [])
        ((page, _),) = own_pages(layout, "Murmelo 140 Scooter", [Drawing(50.0, 50.0, (), (), ())], pieces, laid, 1)
        assert said in [item.text for item in page.items if isinstance(item, Text)]
