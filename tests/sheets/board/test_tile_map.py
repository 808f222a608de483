"""The maps on the first sheet: sheets by their page, tables by their names where there is room; and what to do."""

from __future__ import annotations

import pytest

from boardmaker.display_list import Path, Text
from boardmaker.drawing import Placed
from boardmaker.figures import Figure
from boardmaker.geometry import box_ring
from boardmaker.sheets.board.cover import GLUE_PATCHES, steps_for_tiles
from boardmaker.sheets.board.tile_map import BoardMap, draw_maps

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


def test_a_name_that_would_not_fit_is_left_out():
    """A very small table, and one under the name of a sheet."""
    assert not [text for text in texts_on(table("torque card", "oil", 200, 100, 206, 180)) if text.height == 2.0]
    under = table("screw key", "", 0, 284, 60, 300)
    shown = texts_on(under, tiles=(("1234567", (0.0, 0.0, 400.0, 300.0)),))
    assert not [text for text in shown if text.height == 2.0]


@pytest.mark.parametrize("patches", [False, True])
def test_only_sheets_that_are_joined_have_steps_for_that(patches):
    """A roll, or a board whole on a page: nothing of cutting at marks, glue strips or patches."""
    alone, joined = " ".join(steps_for_tiles(False, patches)), " ".join(steps_for_tiles(True, patches))
    assert "glue strip" not in alone
    assert "cut here" not in alone
    assert "glue strip" in joined
    assert (GLUE_PATCHES in joined) == patches
