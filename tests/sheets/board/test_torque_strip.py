"""The torque strip's cards on their pages."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.display_list import Path, Text
from boardmaker.figures.torque_card import draw_torque_card
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.service import plan_work
from boardmaker.service.torque.adapter import Adapter
from boardmaker.sheets import lay_torque_strip
from boardmaker.sheets.paper import lay_page
from boardmaker.typeset.type_sizes import BOARD_TYPE
from boardmaker.wording.torques import TorqueStyle

PANEL = "  p: { name: Cover, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
LONG_JOB = "  long: { name: Valve clearance and spark plugs and all that is behind the cover of the engine }"


@pytest.mark.parametrize("style", [TorqueStyle(), TorqueStyle(adapter=Adapter(300.0, 40.0))], ids=["plain", "adapter"])
@pytest.mark.parametrize("width", [36.0, 62.0, None])
def test_a_card_with_a_long_heading_stays_on_its_page(bike_from, width, style):
    """Rows get the room that title and caution leave, however many lines these have."""
    rows = "".join(f"  r{i}: {{ what: Row number {i}, torque: {i + 5} N·m, jobs: [long] }}\n" for i in range(60))
    bike = bike_from(bike_text(PANEL, LONG_JOB, f"torques:\n{rows}"))
    left, bottom, right, top = lay_page(Setup()).picture
    frames = [
        item
        for page in lay_torque_strip(plan_work(bike), Setup(), width, style)
        for item in page.items
        if isinstance(item, Path) and item.closed and item.line_width == 0.35
    ]
    assert len(frames) > 1
    for frame in frames:
        assert all(left - 0.1 <= x <= right + 0.1 and bottom - 0.1 <= y <= top + 0.1 for x, y in frame.points)


def test_parts_of_a_card_keep_their_order(bike_from):
    """A short part that fills a page is the first one, whatever stands before the card."""
    rows = "".join(f"  s{i}: {{ what: Short {i}, torque: {i + 5} N·m, jobs: [oil] }}\n" for i in range(3))
    rows += "".join(f"  r{i}: {{ what: Row {i}, torque: {i + 5} N·m, jobs: [wheel] }}\n" for i in range(22))
    work = plan_work(bike_from(bike_text(PANEL, JOBS, f"torques:\n{rows}")))
    pages = lay_torque_strip(work, override_setup(Setup(), board=None, case=None, paper="A5"))
    said = [item.text for page in pages for item in page.items if isinstance(item, Text)]
    assert [text for text in said if text.startswith("Row ")] == [f"Row {i}" for i in range(22)]
    assert [text for text in said if "Rear wheel" in text] == ["Torque: Rear wheel", "Torque: Rear wheel (continued)"]
    assert any("Short 0" in text for text in said)


ROWS = """torques:
  plug: { what: Sump plug, torque: 30 N·m, jobs: [oil] }
  axle: { what: Rear axle nut, torque: 100 N·m, jobs: [wheel] }
  stand: { what: Side stand pivot, torque: [40 N·m, 25 N·m], jobs: [wheel] }
"""
JOBS = "  oil: { name: Oil }\n  wheel: { name: Rear wheel }"


def test_brakes_and_steering_are_marked_and_told_once_a_card(bike_from):
    """On the strip and on the board's cards; a card without such a row says nothing of it."""
    work = plan_work(bike_from(bike_text(PANEL, JOBS, ROWS)))
    strip = [item.text for page in lay_torque_strip(work, Setup()) for item in page.items if isinstance(item, Text)]
    marked = [text for text in strip if "⚠" in text]
    assert marked[:2] == ["⚠ Rear axle nut", "⚠ Side stand pivot"]
    assert [text[:22] for text in marked[2:]] == ["⚠ Brakes and steering:"]
    for card, marks in zip(work.cards, (0, 3), strict=True):
        for figure in draw_torque_card(card, BOARD_TYPE):
            said = [words.text for label in figure.labels for words in label.lines]
            assert sum("⚠" in text for text in said) == marks


def test_a_stage_reached_from_slack_stays_in_its_column(bike_from):
    """The longest torque is broken between its words."""
    rows = "torques: { stand: { what: Side stand pivot, torque: [140 N·m, 110 to 120 N·m], jobs: [wheel] } }\n"
    work = plan_work(bike_from(bike_text(PANEL, JOBS, rows)))
    items = [item for page in lay_torque_strip(work, Setup(), 62.0) for item in page.items]
    said = [item.text for item in items if isinstance(item, Text)]
    at = said.index("140 N·m")
    assert said[at + 1 : at + 5] == ["103 lbf·ft", "slacken,", "110–120 N·m", "81.1–88.5 lbf·ft"]


def test_a_second_and_a_third_unit_stay_in_their_column(bike_from):
    """Written in lbf·ft: N·m and the unit that was asked for stand below each other where they do not fit beside."""
    rows = "torques: { stand: { what: Side stand pivot, torque: [30 to 32 lbf·ft, 18 to 20 lbf·ft], jobs: [wheel] } }\n"
    work = plan_work(bike_from(bike_text(PANEL, JOBS, rows)))
    items = [item for page in lay_torque_strip(work, Setup(), 62.0, TorqueStyle("kgf·m")) for item in page.items]
    said = [item.text for item in items if isinstance(item, Text)]
    at = said.index("40.67–43.39 N·m,")  # 1 lbf·ft = 1.355 818 N·m, 1 kgf·m = 9.806 65 N·m
    assert said[at + 1 : at + 4] == ["4.15–4.42 kgf·m", "slacken,", "18–20 lbf·ft"]
    assert said[at + 4 : at + 6] == ["24.4–27.12 N·m,", "2.49–2.77 kgf·m"]
    assert said.count("slacken,") == 1
