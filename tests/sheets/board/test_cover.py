"""The page map: the picture of the bike below the steps, where there is room left for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boardmaker.display_list import Page, Path, Text
from boardmaker.figures.style import PLAIN, TINTS, board_style
from boardmaker.geometry import box_ring
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.service import plan_work
from boardmaker.sheets.board.cover import CoverWords, draw_cover, steps_for_tiles
from boardmaker.sheets.board.laying import contents_text
from boardmaker.sheets.board.tile_map import BoardMap
from boardmaker.sheets.paper import lay_page
from boardmaker.wording.numbers import NO_BREAK_SPACE

WIDE, TALL = box_ring(0.0, 0.0, 760.0, 400.0), box_ring(0.0, 0.0, 400.0, 760.0)


def cover(work, outline, paper="A4", style=PLAIN, remarks=(), index=""):
    layout = lay_page(override_setup(Setup(), board=None, case=None, paper=paper))
    first, *_ = draw_cover(
        layout,
        work,
        0.4,
        [BoardMap(outline, (), (), {})],
        CoverWords(steps_for_tiles(True, ("patches",)), remarks, index),
        style,
    )
    return layout.picture, first


def words(items):
    return {item.text: item for item in items if isinstance(item, Text)}


@pytest.mark.slow
@pytest.mark.parametrize("stem", ["kestmark-590-naked", "murmelo-140-scooter"])
def test_the_picture_of_the_bike_is_below_the_steps(demo_bike, stem):
    """With every tag, over no words, within the page."""
    work = plan_work(demo_bike(stem))
    (x0, y0, x1, _), items = cover(work, WIDE)
    said = words(items)
    last = min(item.at[1] for text, item in said.items() if len(text) > 20)
    picture = [said[text] for text in ("left", "above", "right")]
    picture += [said[freed.panel.tag] for freed in work.freed if freed.panel.on_bike]
    assert max(item.at[1] + item.height for item in picture) < last
    places = [place for item in items if isinstance(item, Path) for place in item.points]
    assert all(x0 <= x <= x1 and y0 <= y for x, y in places)


@pytest.mark.parametrize(("outline", "paper"), [(TALL, "A4"), (WIDE, "A5")])
def test_it_takes_no_room_from_anything(demo_bike, outline, paper):
    """A map that fills the page leaves none; on small paper the steps stand on pages of their own."""
    work = plan_work(demo_bike("kestmark-590-naked"))
    _, items = cover(work, outline, paper)
    assert not {"left", "above", "right"} & {*words(items)}


@pytest.mark.slow
def test_the_picture_is_in_the_ink_of_the_boards(demo_bike):
    """In colour both sides have their tints, in black none has."""
    work, board = plan_work(demo_bike("kestmark-590-naked")), Setup().board
    for ink, tints in (("colour", {*TINTS.values()}), ("black", set())):
        _, items = cover(work, WIDE, style=board_style(replace(board, ink=ink)))
        assert {item.fill for item in items if isinstance(item, Path)} & {*TINTS.values()} == tints
        assert {"left", "above", "right"} <= {*words(items)}


def test_the_first_page_says_what_is_behind_the_sheets():
    """Three pages of words, the first of them page 12 of the pile: each section by its pages and their name."""
    pile = [Page(210.0, 297.0, (), label) for label in ("order 1", "order 2, key", "key 2, torque")]
    assert contents_text(pile, 12).replace(NO_BREAK_SPACE, " ") == (
        "Behind the sheets: order of removal, dangers, signs: pages 12–13, “order 1” to “order 2, key” · screw key: "
        "pages 13–14, “order 2, key” to “key 2, torque” · torque strip: page 14, “key 2, torque”"
    )
    told = contents_text(pile[:1], 3).replace(NO_BREAK_SPACE, " ")
    assert told == "Behind the sheets: order of removal, dangers, signs: page 3, “order 1”"
    assert contents_text([], 3) == ""


@pytest.mark.slow
def test_remarks_stand_between_heading_and_map(demo_bike):
    """Each on its own line, however many; the map begins below."""
    work = plan_work(demo_bike("murmelo-140-scooter"))
    long = " ".join(f"word{number}" for number in range(60))
    _, plain = cover(work, WIDE)
    _, told = cover(work, WIDE, remarks=[("stopped early", True), (long, False)])
    said = words(told)
    lines = [item for text, item in said.items() if text.startswith("word")]
    assert said["stopped early"].bold
    assert not any(line.bold for line in lines)
    assert len(lines) > 1
    assert min(line.at[1] for line in lines) > said["Board 1"].at[1] + said["Board 1"].height
    assert said["stopped early"].at[1] > max(line.at[1] for line in lines)
    assert said["Board 1"].at[1] < words(plain)["Board 1"].at[1]


@pytest.mark.slow
def test_the_index_stands_between_map_and_steps(demo_bike):
    """What belongs together stays in one line."""
    entry = "Left knee cover KL: 3".replace(" ", NO_BREAK_SPACE)
    _, told = cover(plan_work(demo_bike("murmelo-140-scooter")), WIDE, index=" · ".join([entry] * 9))
    texts = [item for item in told if isinstance(item, Text)]
    lines = [item for item in texts if "knee" in item.text]
    assert all(line.text.count("Left knee cover KL: 3") == line.text.count("knee") for line in lines)
    (first,) = [item for item in texts if item.text == "1"]
    assert first.at[1] < min(line.at[1] for line in lines)
