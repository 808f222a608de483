"""The title on top of pages of words: on every one, above all else, and never at the cost of a page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boardmaker.drawing import Path, Text
from boardmaker.fonts import text_width
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.service import plan_work
from boardmaker.sheets.paper import lay_page
from boardmaker.sheets.reference import pages as reference
from boardmaker.sheets.reference import torque_strip
from boardmaker.sheets.reference.order import order_caution, order_rows

STEMS = ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter")
TITLES = {"order": "Order of removal: ", "key": "Screw key, true to size: ", "torque": "Torque strip: "}


def pages_of(work, layout):
    return [
        *reference.order_pages(layout, work),
        *reference.screw_key_pages(layout, work, "foam board"),
        *torque_strip.torque_pages(layout, work),
    ]


def marks_of(page):
    """The highest and lowest y of everything but the title's own words, in the picture's part of the page."""
    for item in page.items:
        if isinstance(item, Path):
            yield from (y for _, y in item.points)
        elif isinstance(item, Text) and not item.angle_deg:
            yield from (item.at[1], item.at[1] + item.height)


@pytest.mark.parametrize("paper", ["A4", "A5", "letter", "roll of 610 mm"])
@pytest.mark.parametrize("stem", STEMS)
def test_every_page_says_on_top_what_it_is(demo_bike, stem, paper, monkeypatch):
    """Larger than any other words where there is room; outside of the cards, which are cut out."""
    layout = lay_page(override_setup(Setup(), board=None, case=None, paper=paper))
    work = plan_work(demo_bike(stem))
    pages = pages_of(work, layout)
    for page in pages:
        begins = TITLES[page.label.split(" ")[0]]
        bold = [item for item in page.items if isinstance(item, Text) and item.bold and item.text.startswith(begins)]
        (title,) = bold
        assert title.at[0] + text_width(title.text, title.height, bold=True) <= layout.width - layout.margins.right
        rest = replace(page, items=tuple(item for item in page.items if item is not title))
        assert max(marks_of(rest)) <= title.at[1]
        assert min(marks_of(page)) >= layout.margins.bottom
    monkeypatch.setattr(reference, "TITLE_HEIGHT", 0.0)
    assert [page.label for page in pages] == [page.label for page in pages_of(work, layout)]


def test_a_full_page_has_its_title_above_the_picture(demo_bike):
    """Where the large one would push a card onto another page: one mm less of paper than the title needs."""
    work = plan_work(demo_bike(STEMS[0]))
    layout = lay_page(Setup())
    x0, _, x1, y1 = layout.picture
    rows = [order_caution(x1 - x0), *order_rows(work, x1 - x0)]
    cells = reference.pour(rows, x1 - x0, 10_000.0)
    lowest = min(label.box[1] for cell in cells[0] for label in cell.labels)
    for spare, small in ((reference.TITLE_HEIGHT - 1.0, True), (reference.TITLE_HEIGHT + 1.0, False)):
        full = replace(layout, picture=(x0, y1 + lowest - spare, x1, y1))
        (page,) = reference.titled_pages(full, lambda _: rows, "order", "Order: X")
        (title,) = [item for item in page.items if isinstance(item, Text) and item.bold and item.text == "Order: X"]
        assert (title.at[1] > y1) == small
