"""What belongs together meets: labels are set to the side of their pocket, a title's leader reaches its words."""

from __future__ import annotations

import pytest

from boardmaker.figures.labels import LabelPlace
from boardmaker.figures.pocket_labels import _side_of
from boardmaker.figures.title_leader import CLEAR, up_to_words
from boardmaker.figures.titles import Title
from boardmaker.fonts import text_width
from boardmaker.geometry import bounds
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import PAD, TICK, TICK_GAP, label_items, tick_marks

BOX = (0.0, 0.0, 30.0, 12.0)
LINES = (Words("2 G", 3.5, bold=True), Words("FUEL TANK", 2.5), Words("2.5 N·m", 3.5))


@pytest.mark.parametrize(
    ("at", "leader", "side"),
    [
        ((40.0, 6.0), (), "end"),  # the pocket is to the right
        ((-10.0, 6.0), (), "start"),
        ((15.0, 20.0), (), "start"),  # above: as one reads
        ((50.0, 30.0), ((45.0, 25.0), (30.0, 12.0)), "end"),  # its leader comes from the right
        ((-20.0, 30.0), ((-15.0, 25.0), (0.0, 12.0)), "start"),
    ],
)
def test_lines_are_set_to_the_side_of_their_pocket(at, leader, side):
    assert _side_of(LabelPlace(BOX, leader, 0.0), at) == side


@pytest.mark.parametrize("reading_deg", [0, 90])
def test_lines_set_to_the_end_leave_the_box_to_tick_at_the_end(reading_deg):
    """The first line ends where the gap before the box begins, all others at the edge of the label."""
    along = 0 if reading_deg == 0 else 1
    box = BOX if reading_deg == 0 else (0.0, 0.0, 12.0, 30.0)
    label = Label(LINES, box, "end", ticked=True)
    first, *others = label_items(label, reading_deg)
    (tick,) = tick_marks(label, reading_deg)
    low, high = bounds(tick.points)[along], bounds(tick.points)[2 + along]
    assert high == pytest.approx(30.0 - PAD)
    assert high - low == pytest.approx(TICK * 3.5)
    assert first.anchor == "end"
    assert first.at[along] == pytest.approx(low - TICK_GAP * 3.5)
    assert {round(one.at[along], 6) for one in others} == {30.0 - PAD}


def title():
    """A tag 12 mm wide over a name of a short and a long line, all about x = 20."""
    tag = Label((Words("HR", 5.0, bold=True),), (14.0, 16.0, 26.0, 24.0))
    return Title(tag, Label((Words("Right", 5.0), Words("heel guard", 5.0)), (0.0, 0.0, 40.0, 15.0)))


def test_the_ink_of_a_title_is_its_tag_and_its_letters():
    """By the lettering itself: each line as wide as its letters, about the middle."""
    tag, short, long = title().ink
    assert tag == (14.0, 16.0, 26.0, 24.0)
    assert short[2] - short[0] == pytest.approx(text_width("Right", 5.0))
    assert (long[0] + long[2]) / 2 == pytest.approx(20.0)
    assert short[1] > long[3]


def test_a_leader_goes_on_to_the_words():
    """From the box's edge level with the short line, to a hair before its letters."""
    one = title()
    _, short, _ = one.ink
    height = (short[1] + short[3]) / 2
    (x, y), end = up_to_words(((40.0, height), (60.0, height)), one.ink, one.box)
    assert (x, y) == pytest.approx((short[2] + CLEAR, height), abs=2e-3)
    assert end == (60.0, height)


def test_a_leader_that_meets_no_words_stays():
    """Between two lines, or none at all; one that begins at its words already stays too."""
    one = title()
    tag, short, _ = one.ink
    between = (short[3] + tag[1]) / 2
    assert up_to_words(((40.0, between), (60.0, between)), one.ink, one.box) == ((40.0, between), (60.0, between))
    at_tag = ((26.0, 20.0), (60.0, 20.0))
    assert up_to_words(at_tag, one.ink, one.box) == at_tag
    assert up_to_words((), one.ink, one.box) == ()
