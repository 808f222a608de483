"""The order of removal on paper: every step, every note, once."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from bikes import bike_text

from boardmaker.display_list import Path, Text
from boardmaker.figures.screw_key import screw_key_rows
from boardmaker.figures.style import PLAIN, TINTS, board_style
from boardmaker.model import Setup
from boardmaker.service import BoardPocket, plan_work
from boardmaker.sheets.paper import lay_page
from boardmaker.sheets.reference.flowing import flowing_pages
from boardmaker.sheets.reference.order import order_caution, order_picture, order_rows
from boardmaker.sheets.reference.pages import order_section, screw_key_section
from boardmaker.wording.numbers import NO_BREAK_SPACE

PANELS = """
  seat: { name: Seat, side: centre, note: key under the flap, holes: [] }
  cover: { name: Cover, side: left, after: [seat],
           holes: [ { at: [0, 0], fastener: A, note: longest of all }, { at: [90, 0], fastener: C } ],
           fixings: [ { kind: hook }, { kind: hook }, { kind: connector, note: unplug the lamp } ] }
  vent: { name: Vent, side: left, rides_on: cover, holes: [ { at: [0, 0], fastener: B } ] }
"""


def test_every_step_says_what_lets_go_and_every_note(bike_from):
    """Numbers, tags, counts, hand-held fixings, notes of panels and holes, what stays on."""
    rows = order_rows(plan_work(bike_from(bike_text(PANELS))), 120.0)
    texts = [" ".join(label.text for label in row.labels) for row in rows]
    assert len(texts) == 2
    assert texts[0].startswith("1. S Seat no screws: not on the board key under the flap")
    for words in (
        "Cover (2)",
        "by hand: 2 × hook",
        "connector, unplug the lamp",
        "A: longest of all",
        "stays on it: Vent",
    ):
        assert words in texts[1]
    assert max(row.width for row in rows) <= 120.0 + 1e-6


def test_every_dangerous_hole_stands_above_the_rows(bike_from):
    """By what lies behind, panel after panel: nobody reads three pages for them."""
    dangers = {"tank": "behind: fuel tank, room: 20", "lamp": "behind: wiring, room: 9", "none": "stack: 3"}
    holes = ", ".join(
        f"{{ at: [{40 * place}, 0], fastener: A, {dangers[what]} }}"
        for place, what in enumerate(("tank", "none", "tank", "lamp"))
    )
    panels = f"  cover: {{ name: Cover, tag: CV, side: left, holes: [ {holes} ] }}\n"
    work = plan_work(bike_from(bike_text(f"{panels}  lid: {{ name: Lid, tag: LD, side: left, holes: [ {holes} ] }}")))
    told = " ".join(texts_of([order_caution(work, 200.0)])).replace(NO_BREAK_SPACE, " ")
    numbers = {one.panel.tag: [two.number for two in work.freed if two.panel is one.panel] for one in work.freed}
    assert {*numbers} == {"CV", "LD"}
    assert "▲ fuel tank behind: CV 1, 3 · LD 1, 3 - never a longer screw" in told
    assert "▲ wiring behind: CV 4 · LD 4 - never a longer screw" in told
    assert "▲" not in " ".join(texts_of([order_caution(plan_work(bike_from(bike_text(PANELS))), 200.0)]))


def test_only_signs_that_the_board_has_are_explained(bike_from):
    """And how squares are named is shown with a row of this bike."""
    plain = plan_work(bike_from(bike_text(PANELS)))
    told = " ".join(texts_of([order_caution(plain, 200.0)]))
    assert "dashed" not in told
    assert "Red hatching" not in told
    assert "grid" not in told
    held = "also_holds: [vent]"
    work = plan_work(bike_from(bike_text(PANELS.replace("note: longest of all }", f"note: longest of all, {held} }}"))))
    pockets = {one.hole_key: BoardPocket(one.hole_key, one.number, "A", 1, "B2") for one in work.freed}
    told = " ".join(texts_of([order_caution(work, 200.0, pockets)])).replace(NO_BREAK_SPACE, " ")
    assert "A dashed ring: that screw’s pocket is on the panel of its tag." in told
    assert "1 A (B2): pocket 1 holds fastener A, in square B2 of the board’s grid." in told


def test_clips_that_come_out_after_the_last_screw_do_not_belie_it(bike_from):
    """`last screw` where a clip follows it, as the plan says."""
    holes = "holes: [ { at: [0, 0], fastener: A }, { at: [40, 0], fastener: A }, { at: [80, 0], fastener: P } ]"
    rows = order_rows(plan_work(bike_from(bike_text(f"  lid: {{ name: Lid, side: left, {holes} }}"))), 120.0)
    assert "1 A · 2 A, last screw: hold it · 3 P" in " ".join(texts_of(rows))


def test_the_note_of_a_hole_is_louder_than_the_rest(bike_from):
    """Bold and marked, as in the plan."""
    rows = order_rows(plan_work(bike_from(bike_text(PANELS))), 120.0)
    small = [words for row in rows for label in row.labels for words in label.lines if words.height < 2.7]
    assert [words.text for words in small if words.bold] == ["! 1 A: longest of all"]
    assert len(small) > 3


def test_where_the_pockets_are(bike_from):
    """Number, fastener and square as one; of several boards with the board; without boards nothing."""
    work = plan_work(bike_from(bike_text(PANELS)))
    pockets = {one.hole_key: BoardPocket(one.hole_key, one.number, one.fastener.key, 1, "B2") for one in work.freed}
    assert {*pockets} == {"cover/1", "cover/2"}
    (told,) = [text for text in texts_of(order_rows(work, 120.0, pockets)) if "Cover" in text]
    assert "Cover (2) 1 A (B2) · 2 C (B2), last: hold it by hand" in told
    two = {**pockets, "cover/2": BoardPocket("cover/2", 2, "C", 2, "D4")}
    (told,) = [text for text in texts_of(order_rows(work, 120.0, two)) if "Cover" in text]
    assert "1 A (board 1 B2) · 2 C (board 2 D4), last: hold it" in told
    assert "1 A · 2 C, last: hold it" in " ".join(texts_of(order_rows(work, 120.0)))


def test_a_fastener_in_several_squares_is_said_in_its_order(bike_from):
    """Pockets that follow each other in one square are one."""
    holes = ", ".join(f"{{ at: [0, {10 * place}], fastener: A }}" for place in range(4))
    work = plan_work(bike_from(bike_text(f"  big: {{ name: Big, side: left, holes: [ {holes} ] }}")))
    pockets = {
        one.hole_key: BoardPocket(one.hole_key, one.number, "A", 1, square)
        for one, square in zip(work.freed, ("B2", "B1", "B1", "B2"), strict=True)
    }
    assert "1 A (B2) · 2, 3 A (B1) · 4 A (B2)" in " ".join(texts_of(order_rows(work, 120.0, pockets)))


def test_number_and_tag_stand_level_with_the_name(bike_from):
    """Their capitals end where those of the name end; a name below its notes would be looked for."""
    for row in order_rows(plan_work(bike_from(bike_text(PANELS))), 120.0):
        assert len({label.box[3] for label in row.labels}) == 1
        assert len({label.lines[0].height for label in row.labels}) == 1


def test_no_type_is_small_and_no_backtick_is_printed(bike_from):
    """All of it is read beside the bike."""
    layout = lay_page(Setup())
    work = plan_work(bike_from(bike_text(PANELS)))
    section = order_section(layout, work, PLAIN)
    lines = [words for row in section.cells(100.0) for label in row.labels for words in label.lines]
    assert min(words.height for words in lines) >= 2.5
    assert "`" not in "".join(words.text for words in lines)


def texts_of(rows):
    return [" ".join(label.text for label in row.labels) for row in rows]


PLACED = """
  cover: { name: Cover, side: left, on_bike: [900, 500], outline: [[0, 0], [400, 0], [400, 300], [0, 200]],
           holes: [ { at: [20, 20], fastener: A } ] }
  trim: { name: Trim, side: right, on_bike: [600, 500], outline: [[0, 0], [400, 0], [400, 300], [0, 200]],
          holes: [], fixings: [ { kind: hook } ] }
"""


def test_the_picture_of_the_bike_is_on_top(bike_from):
    """With every panel that comes off, also one that no screw holds; above all rows, and over none."""
    work = plan_work(bike_from(bike_text(PLACED)))
    layout = lay_page(Setup())
    (page,) = flowing_pages(layout, "Bike", [order_section(layout, work, PLAIN)])
    words = [item for item in page.items if isinstance(item, Text)]
    picture = {item.text: item for item in words if item.text in ("left", "right")}
    assert set(picture) == {"left", "right"}
    tags = [panel.tag for panel in work.bike.panels]
    assert all(sum(item.text == tag for item in words) == 2 for tag in tags)  # in the picture and in its row
    rows = next(item for item in words if item.text.startswith("In brackets"))
    assert min(item.at[1] for item in picture.values()) > rows.at[1] + rows.height
    assert max(item.at[0] for item in picture.values()) < layout.picture[2]


def test_without_places_on_the_bike_there_is_no_picture(bike_from):
    """Nothing is guessed, and no room is lost."""
    work = plan_work(bike_from(bike_text(PANELS)))
    assert order_picture(work, (190.0, 250.0), PLAIN) is None


@pytest.mark.slow
def test_the_picture_is_no_larger_than_its_part_of_the_page(demo_bike):
    """The page's width, four tenths of its height; none on a slip of paper."""
    work = plan_work(demo_bike("kestmark-590-naked"))
    cell = order_picture(work, (190.0, 250.0), PLAIN)
    assert 120.0 < cell.width <= 190.0
    assert cell.height <= 100.0
    assert order_picture(work, (30.0, 40.0), PLAIN) is None


def test_the_picture_is_in_the_ink_of_the_boards(bike_from):
    """In colour both sides have their tints, in black none has."""
    work, setup = plan_work(bike_from(bike_text(PLACED))), Setup()
    for ink, tints in (("colour", {*TINTS.values()}), ("black", set())):
        style = board_style(replace(setup.board, ink=ink))
        head = order_section(lay_page(setup), work, style).head
        assert {mark.fill for mark in head.marks if isinstance(mark, Path)} & {*TINTS.values()} == tints


def test_the_key_page_leads_from_a_letter_to_its_pockets(demo_bike):
    """Every pocket stands once beside its fastener's row, within the page; on narrow paper the list is left out."""
    work = plan_work(demo_bike("fjellvik-820-tourer"))
    section = screw_key_section(lay_page(Setup()), work, "foam")
    rows = [row for row in section.cells(250.0) if any(label.text.startswith("pockets") for label in row.labels)]
    assert max(row.width for row in rows) <= lay_page(Setup()).picture_size[0] + 1e-6
    found = set()
    for row in rows:
        key = row.labels[0].text
        (listed,) = [label.text for label in row.labels if label.text.startswith("pockets")]
        for panel in listed.removeprefix("pockets").replace("\N{NO-BREAK SPACE}", " ").split("·"):
            tag, *numbers = panel.split()
            found |= {(key, tag, int(number)) for number in numbers}
    assert found == {(one.fastener.key, one.panel.tag, one.number) for one in work.freed}
    assert not [label for row in screw_key_rows(work, "foam", 120.0) for label in row.labels if "pockets" in label.text]


def test_a_pocket_is_not_parted_from_its_square(bike_from):
    """In columns of any width; `3` at the end of a line is not where the screw is."""
    holes = ", ".join(f"{{ at: [{40 * place}, 0], fastener: {'ABC'[place % 3]} }}" for place in range(8))
    work = plan_work(bike_from(bike_text(f"\n  cover: {{ name: Cover, side: left, holes: [ {holes} ] }}\n")))
    pockets = {one.hole_key: BoardPocket(one.hole_key, one.number, one.fastener.key, 1, "B2") for one in work.freed}
    for width in range(60, 110, 3):
        lines = [
            words.text for row in order_rows(work, width, pockets) for label in row.labels for words in label.lines
        ]
        said = [line for line in lines if "B2" in line]
        assert all(re.fullmatch(r"(\d+ [A-C] \(B2\)( · |$| ·$|,( last.*)?))+", line) for line in said), said
        assert sum(line.count("B2") for line in said) == 8


def test_the_note_of_several_holes_is_said_once(bike_from):
    """With all their pockets, as the title block says it."""
    holes = ", ".join(f"{{ at: [{40 * place}, 0], fastener: A, note: long T30 }}" for place in range(3))
    work = plan_work(bike_from(bike_text(f"\n  cover: {{ name: Cover, side: left, holes: [ {holes} ] }}\n")))
    (told,) = texts_of(order_rows(work, 120.0))
    assert told.count("long T30") == 1
    assert "3 A: long T30" in told
