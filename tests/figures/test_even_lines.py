"""Lines of type stand evenly, and what belongs together stands together: in tables, on cards, in the legend."""

from __future__ import annotations

import itertools

import pytest

from boardmaker.display_list import Path
from boardmaker.figures import draw_panels, draw_tables
from boardmaker.figures.screw_key import draw_screw_key, screw_key_rows
from boardmaker.fonts import text_box
from boardmaker.geometry import bounds
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import LEAD_SHARE, baselines, broken, lead_between, lines_size
from boardmaker.typeset.type_sizes import BOARD_TYPE

STEMS = ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter")


@pytest.fixture(params=STEMS)
def tables(request, demo_bike):
    work, board = plan_work(demo_bike(request.param)), BoardSetup()
    things = draw_tables(work, 0.3, board, draw_panels(work, 0.3, board))
    return [figure for alternatives in things for figure in alternatives]


def of_kind(figures, kind):
    found = [figure for figure in figures if figure.kind == kind]
    assert found
    return found


def test_the_pitch_of_lines_is_even():
    """With or without tall and deep letters; accents are given more, and the lines' box holds all of them."""
    lines = [Words(text, 2.5) for text in ("Filter lid", "screws", "xx", "gap", "ÄÉÅ")]
    down = baselines(lines)
    pitches = [lower - upper for upper, lower in itertools.pairwise(down)]
    assert [pitches[1], pitches[2]] == pytest.approx([pitches[0]] * 2)
    assert pitches[3] >= text_box("gap", 2.5)[2] + text_box("ÄÉÅ", 2.5)[1] + LEAD_SHARE * 2.5 - 1e-9
    assert lines_size(lines)[1] >= down[-1]


def test_larger_type_has_more_room():
    """Between lines, as words are grown on a board that has room."""
    for small, large in ((2.5, 5.0), (3.5, 7.0), (5.0, 15.0)):
        leads = [lead_between(Words("a", height), Words("b", height)) for height in (small, large)]
        assert leads[1] >= 1.4 * leads[0]


@pytest.mark.slow
def test_no_line_begins_with_a_dot_or_a_dash(tables):
    """They stay with what is before them, also behind a name with a space in it that may not be broken."""
    assert broken("HL\u00a01\u00a02 · QL\u00a03", 2.5, 16.0) == ("HL\u00a01\u00a02 ·", "QL\u00a03")
    lines = [line.text for figure in tables for label in figure.labels for line in label.lines]
    assert not [line for line in lines if line.startswith(("·", "- "))]


@pytest.mark.slow
def test_words_beside_marks_stand_on_one_baseline(tables):
    """`up` beside `front`, whose letters are taller and not as deep."""
    for figure in of_kind(tables, "title"):
        down = {label.text: label.box[3] - baselines(label.lines)[0] for label in figure.labels}
        assert down["up"] == pytest.approx(down["front"], abs=1e-6)


def test_a_line_to_write_on_is_its_own_pockets(tables):
    """Nearer to the pocket above it than to the one below."""
    for figure in of_kind(tables, "parking"):
        for line in (mark for mark in figure.marks if isinstance(mark, Path) and len(mark.points) == 2):
            (x0, y), (x1, _) = line.points
            column = [p for p in figure.pockets if x0 < p.at[0] < x1]
            widest = max(p.head_diameter for p in figure.pockets) / 2
            below = [y - p.at[1] - p.head_diameter / 2 for p in column if p.at[1] < y]
            assert min(p.at[1] - widest - y for p in column if p.at[1] > y) > 4.0  # room for a word
            assert min(below, default=9.0) >= 2.0


def test_a_stage_by_angle_stands_in_one_line(demo_bike):
    """`then turn 90°` is one thing to do."""
    work, board = plan_work(demo_bike("fjellvik-820-tourer")), BoardSetup()
    cards = of_kind([one for forms in draw_tables(work, 0.3, board, ()) for one in forms], "torque card")
    lines = [line.text for card in cards for label in card.labels for line in label.lines]
    assert "then turn 90°" in lines


def test_a_key_stands_beside_its_picture(demo_bike):
    """Also where the words of a long screw lie below that."""
    work = plan_work(demo_bike("fjellvik-820-tourer"))
    for row in screw_key_rows(work, BoardSetup().material, 170.0)[1:]:
        key = row.labels[0]
        heads = [bounds(mark.points) for mark in row.marks if isinstance(mark, Path) and mark.fill not in (None, 1.0)]
        low, high = min(box[1] for box in heads), max(box[3] for box in heads)
        assert (key.box[1] + key.box[3]) / 2 == pytest.approx((low + high) / 2, abs=1.0), key.text


def test_most_words_of_the_key_begin_below_each_other(demo_bike):
    """Sizes of screws no longer than the column of pictures."""
    work = plan_work(demo_bike("fjellvik-820-tourer"))
    one_column = draw_screw_key(work, BoardSetup().material, BOARD_TYPE)[0]
    starts = [round(label.box[0], 3) for label in one_column.labels if "×" in label.text and "N·m" not in label.text]
    assert max(map(starts.count, starts)) >= len(starts) / 2
