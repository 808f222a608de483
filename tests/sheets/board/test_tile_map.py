"""The maps on the first sheet: sheets by their page, tables by their names where there is room; and what to do."""

from __future__ import annotations

import pytest
import shapely

from boardmaker.display_list import Path, Text
from boardmaker.drawing import BoardGrid, Placed
from boardmaker.figures import Figure
from boardmaker.geometry import bounds, box_ring
from boardmaker.sheets.board.cover import GLUE_PATCH, steps_for_tiles
from boardmaker.sheets.board.map_words import words_box
from boardmaker.sheets.board.tile_map import GREY, BoardMap, draw_maps
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import SMALL

NAMES = {("torque card", "oil"): "torque: Engine oil and filter", ("screw key", ""): "screw key"}


def texts_on(*tables, tiles=(("2", (0.0, 0.0, 400.0, 300.0)),)):
    outline = box_ring(0.0, 0.0, 400.0, 300.0)
    board = BoardMap(outline, tables, tiles, NAMES)
    return [item for item in draw_maps([board], (20.0, 100.0, 180.0, 240.0)) if isinstance(item, Text)]


def table(kind, key, *box):
    ring = box_ring(*box)
    return Placed(Figure(kind, key, ring, marks=(Path(ring, closed=True),)), (0.0, 0.0), 0)


def test_tables_are_named_in_small_type_within_their_pictures():
    """In as many lines as there is room for."""
    texts = texts_on(table("torque card", "oil", 100.0, 100.0, 180.0, 180.0), table("screw key", "", 300, 50, 380, 250))
    said = [text for text in texts if text.height == 2.0]
    assert " ".join(text.text for text in said) == "torque: Engine oil and filter screw key"
    scale = 160.0 / 400.0
    assert all(20.0 + 100.0 * scale < text.at[0] < 20.0 + 380.0 * scale for text in said)


def test_the_map_has_the_squares_that_pages_of_words_name():
    """Letters over the middle of their columns, numbers level with their rows, outside the map; no grid, none."""
    outline = box_ring(0.0, 0.0, 500.0, 250.0)
    grid = BoardGrid((500.0, 250.0), 4, 2)
    items = list(draw_maps([BoardMap(outline, (), (), {}, grid=grid)], (10.0, 10.0, 210.0, 160.0)))
    frame = bounds(next(item.points for item in items if isinstance(item, Path) and item.line_width == 0.5))
    at = {item.text: item.at for item in items if isinstance(item, Text) and len(item.text) == 1}
    assert {*at} == {*"ABCD12"}
    width, height = frame[2] - frame[0], frame[3] - frame[1]
    for place, letter in enumerate("ABCD"):
        assert at[letter][0] == pytest.approx(frame[0] + (place + 0.5) * width / 4)
        assert at[letter][1] > frame[3]
    for place, number in enumerate("12"):
        assert at[number][0] < frame[0]
        assert at[number][1] == pytest.approx(frame[3] - (place + 0.5) * height / 2, abs=1.5)
    assert frame[0] >= 10.0
    plain = draw_maps([BoardMap(outline, (), (), {})], (10.0, 10.0, 210.0, 160.0))
    assert {item.text for item in plain if isinstance(item, Text)} == {"Board 1"}


def test_a_name_that_would_not_fit_is_left_out():
    """A very small table, and one under the name of a sheet."""
    assert not [text for text in texts_on(table("torque card", "oil", 200, 100, 206, 180)) if text.height == 2.0]
    under = table("screw key", "", 0, 284, 60, 300)
    shown = texts_on(under, tiles=(("1234567", (0.0, 0.0, 400.0, 300.0)),))
    assert not [text for text in shown if text.height == 2.0]


@pytest.mark.parametrize(("width", "said"), [(34.0, ["where:", "above"]), (19.0, []), (27.0, ["where"])])
def test_words_are_whole_or_left_out(width, said):
    """`abov` says nothing: a table is called by how its name begins, or not at all."""
    names = {("bike map", "above"): "where: above"}
    outline, height = box_ring(0.0, 0.0, 400.0, 300.0), 30.0 if len(said) > 1 else 12.0
    board = BoardMap(outline, (table("bike map", "above", 100.0, 100.0, 100.0 + width, 100.0 + height),), (), names)
    items = [item for item in draw_maps([board], (20.0, 100.0, 180.0, 240.0)) if isinstance(item, Text)]
    assert [item.text for item in items if item.height == SMALL] == said


ARC = ((0, 0), (120, 0), (120, 90), (90, 90), (90, 30), (30, 30), (30, 90), (0, 90))


def panel(tag, left, low, ring=ARC):
    moved = tuple((left + x, low + y) for x, y in ring)
    label = Label((Words(tag, 5.0, bold=True),), (left, low, left + 10.0, low + 6.0))
    return Placed(Figure("panel", tag, moved, moved, labels=(label,), side="left"), (left, low), 0)


def test_tags_lie_within_their_outlines_and_off_the_numbers_of_sheets():
    """Also in an outline whose middle is empty, or one in the corner of a sheet."""
    tiles = (("2", (0.0, 0.0, 60.0, 300.0)), ("3", (60.0, 0.0, 400.0, 300.0)))
    placed = (panel("GL", 60.0, 210.0), panel("GR", 220.0, 100.0), panel("X", 300.0, 20.0, ((0, 0), (3, 0), (3, 3))))
    board = BoardMap(box_ring(0.0, 0.0, 400.0, 300.0), placed, tiles, {})
    items = list(draw_maps([board], (20.0, 100.0, 180.0, 240.0)))
    said = {item.text: shapely.box(*words_box([item])) for item in items if isinstance(item, Text)}
    outlines = [shapely.Polygon(item.points) for item in items if isinstance(item, Path) and item.ink == GREY]
    assert "X" not in said
    assert [outline.covers(said[tag]) for outline, tag in zip(outlines, ("GL", "GR"), strict=False)] == [True, True]
    numbers = [shapely.Polygon(item.points) for item in items if isinstance(item, Path) and item.fill == 1.0]
    assert not [tag for tag in ("GL", "GR") for one in numbers if one.intersects(said[tag])]


def test_names_of_patches_keep_off_words_and_stay_on_the_map():
    """Beside a tag, at the board's edge, and two in one place."""
    boxes = ((230.0, 100.0, 330.0, 130.0), (380.0, 10.0, 400.0, 40.0), (231.0, 101.0, 329.0, 129.0))
    patches = tuple((f"P{number}", box) for number, box in enumerate(boxes, start=1))
    placed = (panel("GR", 220.0, 100.0), panel("GL", 340.0, 100.0))
    board = BoardMap(box_ring(0.0, 0.0, 400.0, 300.0), placed, (("2", (0.0, 0.0, 400.0, 300.0)),), {}, patches)
    items = list(draw_maps([board], (20.0, 100.0, 180.0, 240.0)))
    grounds = [shapely.Polygon(item.points) for item in items if isinstance(item, Path) and item.fill == 1.0]
    words = [shapely.box(*words_box([item])) for item in items if isinstance(item, Text) and item.ink == GREY]
    edge = shapely.Polygon([item.points for item in items if isinstance(item, Path)][-1])
    assert (len(grounds), len(words)) == (4, 2)
    assert all(edge.covers(ground) for ground in grounds)
    assert not [1 for ground in grounds for one in words if ground.intersection(one).area > 0.0]
    assert not [1 for i, one in enumerate(grounds) for other in grounds[:i] if one.intersection(other).area > 0.0]


@pytest.mark.parametrize("patches", [(), ("patches",), ("patches 1", "torque 2")])
def test_only_sheets_that_are_joined_have_steps_for_that(patches):
    """A roll, or a board whole on a page: nothing of cutting at marks, glue strips or patches."""
    alone, joined = " ".join(steps_for_tiles(False, patches)), " ".join(steps_for_tiles(True, patches))
    assert "glue strip" not in alone
    assert "cut here" not in alone
    assert "glue strip" in joined
    assert (GLUE_PATCH in joined) == bool(patches)
    assert all(f"“{name}”" in joined for name in patches)
