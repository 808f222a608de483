"""The grid at a board's edges: which square a place is in, and that its marks lie on the board and on nothing else."""

from __future__ import annotations

import json
import re

import pytest
import shapely
from bikes import random_bike_text

from boardmaker.boards.board_file.reading import read_board_file
from boardmaker.case import CornerCut
from boardmaker.case.cuts import apply_cuts
from boardmaker.display_list import Path, Text
from boardmaker.drawing import board_grid, grid_marks
from boardmaker.fonts import text_box
from boardmaker.geometry import box_ring, ring_of
from boardmaker.model import CaseSetup, Setup
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work

STOCK = (762.0, 508.0)  # six columns and four rows of 127 mm


@pytest.mark.parametrize(
    ("place", "square"),
    [
        ((0.0, 508.0), "A1"),
        ((762.0, 508.0), "F1"),
        ((0.0, 0.0), "A4"),
        ((762.0, 0.0), "F4"),
        ((130.0, 500.0), "B1"),
        ((126.9, 381.1), "A1"),
        ((127.0, 381.0), "B2"),  # on both lines: the right one, the lower one
        ((200.0, 200.0), "B3"),
        ((-1.0, 509.0), "A1"),
        ((763.0, -1.0), "F4"),
    ],
)
def test_the_square_of_a_place(place, square):
    """Columns from the left, rows from the top, as one reads."""
    assert board_grid(STOCK, 8.0).square_at(place) == square


@pytest.mark.parametrize("height", [508.0, 508.33333, 507.99995])
def test_rounded_as_in_the_board_file_a_place_has_the_same_square(height):
    """Whatever its last digits, a reader of the file finds it where it was written to be."""
    grid, kept = board_grid((762.0, height), 8.0), board_grid((762.0, round(height, 4)), 8.0)
    for step in range(-200, 201):
        place = (127.0 + step * 1e-6, height / 4 + step * 1e-6)
        assert grid.square_at(place) == kept.square_at((round(place[0], 4), round(place[1], 4)))


def test_columns_leave_out_i_and_o():
    """They look like numbers."""
    grid = board_grid((10_000.0, 500.0), 8.0)
    assert grid.columns == 24
    squares = [grid.square_at((x, 10.0)) for x in range(100, 10_000, 417)]
    assert squares == [f"{letter}4" for letter in "ABCDEFGHJKLMNPQRSTUVWXYZ"]


@pytest.mark.parametrize(
    ("stock", "margin", "squares"),
    [
        (STOCK, 8.0, (6, 4)),
        (STOCK, 5.0, (6, 4)),
        (STOCK, 4.9, None),
        ((180.0, 150.0), 8.0, None),
        ((300.0, 120.0), 8.0, (2, 1)),
        ((120.0, 400.0), 8.0, (1, 3)),
    ],
)
def test_a_small_board_has_fewer_squares_and_a_small_margin_none(stock, margin, squares):
    """One square only says nothing."""
    grid = board_grid(stock, margin)
    assert (grid and (grid.columns, grid.rows)) == squares


def shape(mark):
    if isinstance(mark, Path):
        return shapely.LineString(mark.points).buffer(mark.line_width / 2, cap_style="flat")
    width, above, below = text_box(mark.text, mark.height)
    x, y = mark.at
    return shapely.box(x - width / 2, y - below, x + width / 2, y + above)


def faults(marks, outline, zones, margin):
    """What is wrong with the marks, measured on their ink."""
    board, shapes = shapely.Polygon(outline), [shape(mark) for mark in marks]
    figures = shapely.union_all([shapely.Polygon(zone) for zone in zones])
    found = []
    for mark, ink in zip(marks, shapes, strict=True):
        found += [f"{mark} is cut"] * (not board.buffer(-0.5).covers(ink))
        found += [f"{mark} leaves the margin"] * _inside(ink, board, margin)
        found += [f"{mark} lies on a figure"] * ink.intersects(figures)
    return found + ["two touch"] * any(a.distance(b) < 0.5 for i, a in enumerate(shapes) for b in shapes[:i])


def _inside(ink, board, margin):
    """Whether ink lies farther than the margin from every edge."""
    return board.buffer(-margin + 1e-6, join_style="mitre").intersects(ink)


CORNERS = ("upper left", "lower right")


@pytest.mark.parametrize("legs", [None, (40.0, 40.0), (90.0, 60.0), (200.0, 150.0), (381.0, 30.0)])
@pytest.mark.parametrize("margin", [5.0, 8.0, 25.0])
def test_marks_lie_on_the_board_and_in_its_margin(legs, margin):
    """Whatever is cut off: every column and every row keeps its word, at both edges where nothing is cut off."""
    cuts = [CornerCut(corner, *legs) for corner in CORNERS] if legs else []
    outline = ring_of(apply_cuts(STOCK, cuts)) if cuts else box_ring(0.0, 0.0, *STOCK)
    marks = tuple(grid_marks(board_grid(STOCK, margin), outline, margin))
    assert faults(marks, outline, (), margin) == []
    said = sorted(mark.text for mark in marks if isinstance(mark, Text))
    assert sorted(set(said)) == [*"1234ABCDEF"]
    assert legs or said == sorted(2 * "1234ABCDEF")
    for mark in marks:
        if isinstance(mark, Text):
            assert 2.5 <= mark.height <= 3.5
            assert mark.text in board_grid(STOCK, margin).square_at(mark.at)


def test_a_row_without_an_edge_has_no_number():
    """Both of its ends are cut off; the letters there stay below, all others are at both edges."""
    outline = ring_of(apply_cuts(STOCK, [CornerCut(corner, 150.0, 200.0) for corner in ("upper left", "upper right")]))
    marks = tuple(grid_marks(board_grid(STOCK, 8.0), outline, 8.0))
    assert faults(marks, outline, (), 8.0) == []
    words = [(mark.text, mark.at) for mark in marks if isinstance(mark, Text)]
    assert sorted(text for text, (x, _) in words if x < 10.0) == sorted(text for text, (x, _) in words if x > 752.0)
    assert sorted(text for text, _ in words) == sorted("223344AFBBCCDDEE")
    assert sorted(text for text, (_, y) in words if y > 500.0) == [*"BCDE"]


def grid_of(drawing):
    """The marks of the grid: the only grey ones of their kind on a board."""
    return [mark for mark in drawing.print if isinstance(mark, Path | Text) and mark.ink == 0.45]


def board_faults(made, margin):
    found = []
    for entry, board in zip(made.board_file["boards"], made.built.boards, strict=True):
        marks = grid_of(board.drawing)
        assert any(isinstance(mark, Text) for mark in marks)
        found += faults(marks, entry["outline"], [item["zone"] for item in entry["items"]], margin)
        found += square_faults(entry)
    return found


def square_faults(entry):
    """Pockets whose square is not the one that their place gives, by other means."""
    (width, height), grid = entry["stock"], entry["grid"]
    for item in entry["items"]:
        for pocket in item.get("pockets", []):
            x, y = pocket["at"]
            column, row = int(x / (width / grid["columns"])), int((height - y) / (height / grid["rows"]))
            if pocket["square"] != f"{'ABCDEFGHJK'[column]}{row + 1}":
                yield f"{pocket}"


@pytest.mark.slow
def test_the_grid_of_the_demo_boards(demo):
    """On the board, off every figure; each pocket has its square."""
    assert board_faults(demo, 8.0) == []


@pytest.mark.slow
def test_the_grid_of_a_board_with_corners_cut_off(bike_from, make):
    """In a case with round corners."""
    work = plan_work(bike_from(random_bike_text(4, 8)))
    setup = Setup(case=CaseSetup((420.0, 330.0), corner_radius=70.0, clearance=4.0))
    made = make(work, setup, boards=1, print_as="whole")
    assert all(board["corner_cuts"] for board in made.board_file["boards"])
    assert board_faults(made, 8.0) == []
    spoilt = made.board_file["boards"][0]
    spoilt["outline"] = [[x / 2, y] for x, y in spoilt["outline"]]
    assert board_faults(made, 8.0) != []


@pytest.mark.slow
@pytest.mark.parametrize(("printed", "named"), [("tiles", True), ("whole", True), ("cutouts", False)])
def test_the_order_page_names_squares_where_the_figures_lie_on_the_board(bike_from, make, printed, named):
    """Figures to cut out may be laid as one likes."""
    made = make(plan_work(bike_from(random_bike_text(3, 3))), print_as=printed, boards=1)
    pages = [page for page in made.built.sheets.pages if page.label.startswith("order")]
    texts = [item.text for page in pages for item in page.items if isinstance(item, Text)]
    assert any(re.search(r"\b1 [A-Z]+ \([A-Z][1-9]\)", text) for text in texts) is named


@pytest.mark.slow
def test_board_files_with_and_without_squares(scooter, tmp_path):
    """An old file has none; a square where the pocket is not is refused, and so is a grid without columns."""
    path = tmp_path / "board.json"
    text = scooter.files["board.json"].decode()
    path.write_text(re.sub(r', "square": "[A-Z]\d+"', "", text), encoding="utf-8")
    old = read_board_file(path)
    assert {pocket.square for item in old.boards[0].items for pocket in item.pockets or ()} == {None}
    content = json.loads(text)
    for spoil, told in (
        (lambda board: board["grid"].update(columns=0), "more than 24 columns or rows, or none"),
        (lambda board: board["items"][0]["pockets"][0].update(square="<b>"), "does not lie in this square"),
        (lambda board: board.pop("grid"), "does not lie in this square"),
    ):
        spoilt = json.loads(json.dumps(content))
        spoil(spoilt["boards"][0])
        path.write_text(json.dumps(spoilt), encoding="utf-8")
        with pytest.raises(ProblemsFound, match=told):
            read_board_file(path)
