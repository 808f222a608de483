"""Boards on paper: the fewest tiles, none empty, seams off pockets and text, glue strips on two sides."""

from __future__ import annotations

import math
import random
from functools import cache
from itertools import count

import numpy as np
import pytest
import shapely

from boardmaker.display_list import Circle, Drawing, Path, Text
from boardmaker.fonts import text_width
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.sheets.board import tiling
from boardmaker.sheets.board.division import GLUE
from boardmaker.sheets.board.obstacles import shape_of
from boardmaker.sheets.board.tiling import Tile, cut_into_tiles, joined_sides
from boardmaker.sheets.furniture import CUT, LEAVE, seam_words
from boardmaker.sheets.paper import lay_page

pytestmark = pytest.mark.slow

PAPERS = ("A3", "A4", "A5", "letter", "legal", "tabloid", "13 x 19 in", "roll of 610 mm")
CELL = 30.0  # mm, of the boards that brute force can do
FULL = Path(((5.0, 5.0), (757.0, 5.0), (757.0, 503.0), (5.0, 503.0)), closed=True, fill=0.9)


@pytest.fixture(scope="module", autouse=True)
def every_seam():
    """Seams are tried at every place of the program's own, not at every few as in the other tests (`brief`)."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tiling, "STEP", 1.0)
        yield


def picture(name):
    return lay_page(override_setup(Setup(), board=None, case=None, paper=name)).picture_size


def board(width, height, *items):
    edge = Path(((0, 0), (width, 0), (width, height), (0, height)), closed=True)
    return Drawing(width, height, (edge,), (), items)


def tiles_for(drawing, name="A4"):
    return cut_into_tiles(drawing, picture(name))


@cache
def full_tiles(name):
    """A stock board with ink all over, 30 x 20 in."""
    return tiles_for(board(762.0, 508.0, FULL), name)


@pytest.mark.parametrize(("name", "number"), [("A4", 9), ("letter", 12), ("A3", 4), ("roll of 610 mm", 1)])
def test_a_stock_board_takes_few_sheets(name, number):
    """30 x 20 in; about 12 letter sheets cover a big tourer's panels (common practice, no source)."""
    assert len(full_tiles(name)) == number


@pytest.mark.parametrize(
    ("name", "size"),
    [*((name, (762.0, 508.0)) for name in PAPERS), ("A4", (594.0, 420.0)), ("letter", (609.6, 457.2))],
)
def test_tiles_fit_the_paper_and_cover_the_board(name, size):
    """Trimmed parts meet without gap or overlap; each window fits the picture."""
    full = Path(((0.0, 0.0), (size[0], 0.0), size, (0.0, size[1])), closed=True, fill=0.9)
    tiles = tiles_for(board(*size, full), name)
    width, height = picture(name)
    for tile in tiles:
        x0, y0, x1, y1 = tile.window
        shown = (x1 - x0, y1 - y0) if tile.turn == 0 else (y1 - y0, x1 - x0)
        assert shown[0] <= width + 1e-5
        assert shown[1] <= height + 1e-5
    parts = [shapely.box(*tile.trim) for tile in tiles]
    assert sum(part.area for part in parts) == pytest.approx(size[0] * size[1])
    assert shapely.union_all(parts).area == pytest.approx(size[0] * size[1])


def fewest_pages(cells, width, height, shapes):
    """The fewest pages of these shapes (in cells) that cover the cells, anywhere and any way: by exhaustion."""
    bits = {cell: 1 << number for number, cell in enumerate(cells)}
    places = [(x, y, w, h) for w, h in shapes for x in range(1 - w, width) for y in range(1 - h, height)]
    pages = {sum(bit for (a, b), bit in bits.items() if x <= a < x + w and y <= b < y + h) for x, y, w, h in places}
    pages = [page for page in pages if page and not any(page != one and page | one == one for one in pages)]
    largest = max(page.bit_count() for page in pages)

    def cover(left, number):
        if not left or number * largest < left.bit_count():
            return not left
        first = left & -left
        return any(cover(rest, number - 1) for rest in {left & ~page for page in pages if page & first})

    everything = (1 << len(cells)) - 1
    return next(number for number in count(1) if cover(everything, number))


@pytest.mark.parametrize("seed", range(40))
def test_no_division_into_pages_takes_fewer(seed):
    """Brute force over every way to lay pages on a small board, upright and lying, anywhere, on rows or not.

    Left out: four pages around a blank middle like the sails of a windmill, which no strips can do.
    """
    dice = random.Random(seed)
    width, height = dice.randint(3, 9), dice.randint(3, 8)
    page = dice.choice([(3, 4), (4, 6), (3, 5), (4, 5)])
    if width * height > 6 * page[0] * page[1]:
        page = (4, 6)
    share = dice.choice([0.0, 0.1, 0.3, 1.0])
    rim = {(x, y) for x in range(width) for y in range(height) if x in (0, width - 1) or y in (0, height - 1)}
    cells = rim | {(x, y) for x in range(width) for y in range(height) if dice.random() < share}
    blots = [blot(x, y) for x, y in sorted(cells)]
    size = (page[0] * CELL + GLUE, page[1] * CELL + GLUE)
    found = len(cut_into_tiles(board(width * CELL, height * CELL, *blots), size))
    best = fewest_pages(sorted(cells), width, height, (page, page[::-1]))
    windmill = share < 1.0 and sum(page) - 1 <= min(width, height) and max(width, height) <= sum(page)
    assert found == best or (windmill and found == best + 1)


def blot(x, y):
    left, low = x * CELL + 8.0, y * CELL + 8.0
    return Path(((left, low), (left + 14.0, low), (left + 14.0, low + 14.0)), closed=True, fill=0.5)


def pages_of_a_grid(shapes, size, page, slide):
    """How many pages of a regular grid, slid by so much, show something."""
    steps = (page[0] - GLUE, page[1] - GLUE)
    corners = [
        (i * steps[0] - slide[0], j * steps[1] - slide[1])
        for i in range(math.ceil((size[0] + slide[0]) / steps[0]))
        for j in range(math.ceil((size[1] + slide[1]) / steps[1]))
    ]
    x, y = np.array(corners).T
    boxes = shapely.box(x, y, np.minimum(x + steps[0], size[0]), np.minimum(y + steps[1], size[1]))
    return len({*shapes.query(boxes, predicate="intersects")[0].tolist()})


@pytest.mark.parametrize("name", ["A4", "A5", "letter"])
@pytest.mark.parametrize("seed", range(3))
def test_no_grid_slid_and_turned_takes_fewer(name, seed):
    """Real paper, a few marks on a board with a cut corner: every slide by 20 mm of an upright and a lying grid."""
    dice = random.Random(seed)
    width, height, leg = dice.uniform(420, 780), dice.uniform(300, 520), dice.uniform(60, 250)
    edge = Path(((leg, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, leg)), closed=True)
    marks = [Circle((dice.uniform(leg, width), dice.uniform(leg, height)), 14.0) for _ in range(6)]
    drawing = Drawing(width, height, (edge,), (), tuple(marks))
    shapes = shapely.STRtree([shape_of(item) for item in drawing.items])
    size = picture(name)
    slides = [(x, y) for x in range(0, 260, 20) for y in range(0, 260, 20)]
    grids = [
        pages_of_a_grid(shapes, (width, height), page, slide)
        for page in (size, size[::-1])
        for slide in slides
        if slide[0] < page[0] - GLUE and slide[1] < page[1] - GLUE
    ]
    assert len(cut_into_tiles(drawing, size)) <= min(grids)


@pytest.mark.parametrize("count_across", [1, 2, 3])
def test_pages_that_fit_to_a_hair_are_enough(count_across):
    """Lengths that are no whole millimetres: nothing is lost to the steps of the search."""
    width, height = picture("letter")
    size = (count_across * (width - GLUE) + GLUE, height)
    full = Path(((0.0, 0.0), (size[0], 0.0), size, (0.0, size[1])), closed=True, fill=0.5)
    assert len(tiles_for(board(*size, full), "letter")) == count_across


def test_a_blank_part_takes_no_page():
    """No gap on paper, no empty page: the middle of an empty board needs no sheet, its edge does, and not a sliver."""
    tiles = tiles_for(board(762.0, 508.0))
    assert len(tiles) == 8
    middle = shapely.Point(381.0, 215.0)
    assert not any(shapely.box(*tile.window).contains(middle) for tile in tiles)
    assert all(min(t.trim[2] - t.trim[0], t.trim[3] - t.trim[1]) > 100.0 for t in tiles)


def test_the_blank_inside_of_a_panel_is_shown():
    """A panel that spans several sheets must not fall apart."""
    zone = ((20.0, 20.0), (742.0, 20.0), (742.0, 488.0), (20.0, 488.0))
    tiles = cut_into_tiles(board(762.0, 508.0), picture("A4"), [zone])
    shown = shapely.union_all([shapely.box(*tile.window) for tile in tiles])
    assert shown.covers(shapely.Polygon(zone))


def cut(seams, items):
    """How many heads and words the upright seams pass through."""
    return sum(
        abs(seam - item.centre[0]) < item.diameter / 2
        if isinstance(item, Circle)
        else item.at[0] < seam < item.at[0] + text_width(item.text, item.height)
        for seam in seams
        for item in items
    )


@pytest.mark.parametrize("shift", [0.0, 11.0, 17.0])
def test_seams_run_beside_pockets_and_text(shift):
    """A row of heads with gaps of 7 mm: where the paper leaves play, the seams find the gaps."""
    heads = [Circle((30.0 + shift + 27.0 * i, 250.0), 20.0) for i in range(20)]
    words = [Text((230.0 + shift, 40.0 + 31.0 * i), "Left side cover", 3.5) for i in range(14)]
    tiles = tiles_for(board(600.0, 508.0, *heads, *words), "A3")
    for tile in tiles:
        low, high = tile.trim[1], tile.trim[3]
        beside = [one for one in heads if low < one.centre[1] < high] + [one for one in words if low < one.at[1] < high]
        assert cut({tile.trim[0], tile.trim[2]} - {0.0, 600.0}, beside) == 0


def test_rows_are_letters_from_the_top_and_columns_numbers_from_the_left():
    """A1 is the upper left tile."""
    tiles = {tile.name: tile for tile in full_tiles("A4")}
    assert tiles["A1"].trim[0] == 0.0
    assert tiles["A1"].trim[3] == 508.0
    assert tiles["C3"].trim[2] == 762.0
    assert tiles["C3"].trim[1] == 0.0


@pytest.mark.parametrize("name", ["A4", "A5", "letter"])
def test_glue_strips_lie_at_the_right_and_the_upper_side(name):
    """One instruction for all sheets, whichever way a page lies: the seams to cut are the left and the lower ones."""
    for tile in full_tiles(name):
        (x0, y0, x1, y1), (a, b, c, d) = tile.window, tile.trim
        assert (x0, y0) == (a, b)
        assert x1 - c == pytest.approx(GLUE if c < 762.0 else 0.0)
        assert y1 - d == pytest.approx(GLUE if d < 508.0 else 0.0)


@pytest.mark.parametrize(("turn", "cut_at", "glue_at"), [(0, "left low", "right high"), (90, "low right", "high left")])
def test_each_seam_says_what_to_do(turn, cut_at, glue_at):
    """On a turned page the board's left is below and its top to the left."""
    joined = ("left", "low", "right", "high")
    words = list(seam_words((100.0, 100.0, 200.0, 180.0), turn, (20.0, 20.0), joined))
    width, height = (100.0, 80.0) if turn == 0 else (80.0, 100.0)
    sides = {"left": (20.0, 70.0), "right": (20.0 + width, 70.0), "low": (60.0, 20.0), "high": (60.0, 20.0 + height)}
    for text, where in ((CUT, cut_at), (LEAVE, glue_at)):
        for side in where.split():
            x, y = sides[side]
            axis = 0 if side in ("left", "right") else 1
            assert any(abs(one.at[axis] - (x, y)[axis]) < 3.5 for one in words if one.text == text), side
    assert list(seam_words((0.0, 0.0, 200.0, 180.0), turn, (20.0, 20.0), ())) == []


def test_joints_are_where_tiles_touch():
    """Bricks: A1 over B1 and B2, which lie side by side; a corner is no joint; a gap is none."""
    boxes = {"A1": (0, 100, 150, 200), "B1": (0, 0, 80, 100), "B2": (80, 0, 160, 100), "C9": (160, 150, 200, 200)}
    tiles = {name: Tile(name, box, box, 0) for name, box in boxes.items()}
    joints = {name: joined_sides(tile, tuple(tiles.values())) for name, tile in tiles.items()}
    assert joints == {"A1": {"low"}, "B1": {"right", "high"}, "B2": {"left", "high"}, "C9": frozenset()}


def test_seams_beside_a_blank_are_placed_with_care_too():
    """A column with a blank middle: the page over the lid reaches up to where nothing is cut."""
    heads = [Circle((60.0, y), 40.0) for y in (30.0, 75.0, 120.0, 165.0, 210.0, 600.0)]
    edge = Path(((0.0, 0.0), (100.0, 0.0), (100.0, 20.0), (0.0, 20.0)), closed=True)
    drawing = Drawing(100.0, 700.0, (edge,), (), tuple(heads))
    tiles = cut_into_tiles(drawing, (150.0, 190.0))
    whole = [any(t.trim[1] <= y - 20 and y + 20 <= t.trim[3] for t in tiles) for y in (30, 75, 120, 165, 210, 600)]
    assert all(whole)
    assert len(tiles) == 3


@pytest.mark.parametrize("gap", [1.2, 2.0, 3.4])
def test_a_seam_between_strips_finds_a_narrow_gap(gap):
    """Two rows of large heads with a gap of little more than a millimetre between them, wherever it lies."""
    for shift in (0.0, 1.3, 2.6):
        middle = 125.0 + shift
        heads = [Circle((60.0 * i + 40.0, middle - gap / 2 - 20.0), 40.0) for i in range(8)]
        heads += [Circle((60.0 * i + 40.0, middle + gap / 2 + 20.0), 40.0) for i in range(8)]
        tiles = cut_into_tiles(board(520.0, 250.0, *heads), (540.0, 180.0))
        (seam,) = {tile.trim[1] for tile in tiles} - {0.0}
        assert middle - gap / 2 - 1e-6 <= seam <= middle + gap / 2 + 1e-6
