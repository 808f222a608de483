"""The order of removal on paper: every step, every note, once."""

from __future__ import annotations

from bikes import bike_text

from boardmaker.service import BoardPocket, plan_work
from boardmaker.sheets.reference.order import order_rows

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
    assert texts[0].startswith("1 S Seat key under the flap")
    for words in (
        "Cover (2)",
        "by hand: 2 × hook",
        "connector, unplug the lamp",
        "A: longest of all",
        "stays on it: Vent",
    ):
        assert words in texts[1]
    assert max(row.width for row in rows) <= 120.0 + 1e-6


def test_the_note_of_a_hole_is_louder_than_the_rest(bike_from):
    """Bold and marked, as in the plan."""
    rows = order_rows(plan_work(bike_from(bike_text(PANELS))), 120.0)
    small = [words for row in rows for label in row.labels for words in label.lines if words.height < 2.2]
    assert [words.text for words in small if words.bold] == ["! 1 A: longest of all"]
    assert len(small) > 3


def test_where_the_pockets_are(bike_from):
    """Under the panel, by number; without boards nothing."""
    work = plan_work(bike_from(bike_text(PANELS)))
    pockets = {one.hole_key: BoardPocket(one.hole_key, one.number, one.fastener.key, 2, "B2") for one in work.freed}
    assert {*pockets} == {"cover/1", "cover/2"}
    (told,) = [text for text in texts_of(order_rows(work, 120.0, pockets)) if "Cover" in text]
    assert "Cover (2) pockets on board 2: 1 and 2 in B2 " in told
    assert not [text for text in texts_of(order_rows(work, 120.0)) if "board" in text]


def texts_of(rows):
    return [" ".join(label.text for label in row.labels) for row in rows]
