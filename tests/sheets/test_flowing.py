"""Pages of words: sections one after the other, each under its title; none nearly empty, nothing over anything else."""

from __future__ import annotations

from functools import cache

import pytest

from boardmaker.drawing import Path, Text
from boardmaker.figures.style import PLAIN
from boardmaker.fonts import text_width
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.service import plan_work
from boardmaker.sheets.page_title import TITLE_HEIGHT
from boardmaker.sheets.paper import WORDS_LENGTH, lay_page, shorten_roll
from boardmaker.sheets.reference import pages as reference
from boardmaker.sheets.reference import torque_strip
from boardmaker.sheets.reference.flowing import CONTINUED, Section, _Pages, flowing_pages
from boardmaker.typeset.label import Words
from boardmaker.typeset.table import Cell, words_cell

STEMS = ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter")
TITLES = {"order": "Order of removal: ", "key": "Screw key, true to size: ", "torque": "Torque strip: "}
PAPERS = ["A4", "A5", "letter", "A3", "roll of 610 mm"]
on_paper = pytest.mark.parametrize(  # the largest on any paper, all on the smallest
    ("stem", "paper"),
    [
        *(pytest.param(STEMS[0], paper, marks=pytest.mark.slow) for paper in PAPERS),
        *((stem, "A5") for stem in STEMS[1:]),
    ],
)


def layout_of(paper):
    return shorten_roll(lay_page(override_setup(Setup(), board=None, case=None, paper=paper)), WORDS_LENGTH)


@pytest.fixture(scope="module")
def pages_of(demo_bike):
    """Return a function that returns the pages of a demo on a paper, made once."""

    def made(stem, paper):
        work, layout = plan_work(demo_bike(stem)), layout_of(paper)
        sections = (
            reference.order_section(layout, work, PLAIN),
            reference.screw_key_section(layout, work, "foam board"),
            torque_strip.torque_section(layout, work),
        )
        return flowing_pages(layout, "Bike", sections)

    return cache(made)


def texts_of(page):
    return [item for item in page.items if isinstance(item, Text) and not item.angle_deg]


def titles_of(page):
    return [one for one in texts_of(page) if one.bold and one.text.startswith(tuple(TITLES.values()))]


@on_paper
def test_every_section_stands_under_its_title(pages_of, stem, paper):
    """In this order, with `(continued)` where it goes on, and the page's label says what is on it."""
    layout = layout_of(paper)
    begun = set()
    for page in pages_of(stem, paper):
        titles = titles_of(page)
        for title in titles:
            assert title.at[0] + text_width(title.text, title.height, bold=True) <= layout.width - layout.margins.right
            key = title.text.removesuffix(CONTINUED)
            assert (key in begun) == title.text.endswith(CONTINUED)
            begun.add(key)
        said = [name.split(" ")[0] for name in page.label.split(", ")]
        assert [one.text.startswith(TITLES[name]) for one, name in zip(titles, said, strict=True)] == [True] * len(said)
    assert len(begun) == len(TITLES)


@on_paper
def test_words_keep_off_each_other_and_on_the_page(pages_of, stem, paper):
    """Also those at the foot of the page, which small paper brings close together."""
    for page in pages_of(stem, paper):
        boxes = []
        for one in texts_of(page):
            width = text_width(one.text, one.height, one.bold)
            left = one.at[0] - {"start": 0.0, "middle": width / 2, "end": width}[one.anchor]
            boxes.append((left, one.at[1], left + width, one.at[1] + one.height, one.text))
        assert all(x0 > 0.0 and x1 < page.width and y0 > 0.0 and y1 < page.height for x0, y0, x1, y1, _ in boxes)
        clashes = [
            (one[4], other[4])
            for number, one in enumerate(boxes)
            for other in boxes[number + 1 :]
            if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
        ]
        assert clashes == []


@on_paper
def test_no_page_but_the_last_is_under_a_third_full(pages_of, stem, paper):
    """From the top of the picture down to the lowest mark."""
    layout = layout_of(paper)
    for page in pages_of(stem, paper)[:-1]:
        left, low, _, high = layout.picture
        high += page.height - layout.height
        marks = [y for one in page.items if isinstance(one, Path) for x, y in one.points if x >= left - 0.1]
        lowest = min(y for y in (*marks, *(one.at[1] for one in texts_of(page))) if y > low)
        assert high - lowest > (high - low) / 3


def rows(count, height, width=80.0):
    return [Cell(width, height, words_cell([Words(f"row {number}", 2.5)]).labels) for number in range(count)]


def test_a_section_begins_where_the_one_before_ends():
    """Two short ones on one page; columns are even, so that nothing is wasted below them."""
    layout = layout_of("A4")
    sections = [Section(name, name.capitalize(), lambda _: rows(8, 20.0)) for name in ("one", "two")]
    (page,) = flowing_pages(layout, "Bike", sections)
    assert page.label == "one, two"


def test_a_section_without_rows_is_left_out():
    """No title over nothing."""
    assert flowing_pages(layout_of("A4"), "Bike", [Section("none", "None", lambda _: [])]) == ()


def test_no_title_stands_alone_at_the_foot_of_a_page():
    """Room for a title and no row: the section begins on the next page."""
    layout = layout_of("A4")
    height = layout.picture_size[1]
    first = Section("one", "One", lambda _: rows(1, height - TITLE_HEIGHT - 25.0, 170.0))
    pages = flowing_pages(layout, "Bike", [first, Section("two", "Two", lambda _: rows(3, 20.0))])
    assert [page.label for page in pages] == ["one", "two"]


def test_a_page_that_is_full_without_it_has_its_title_above():
    """Where the large title would push the last row onto another page."""
    layout = layout_of("A4")
    x0, _, _, y1 = layout.picture
    for spare, above in ((TITLE_HEIGHT - 1.0, True), (TITLE_HEIGHT + 1.0, False)):
        cells = rows(1, layout.picture_size[1] - spare - 12.4, 170.0) + rows(1, 10.0, 170.0)
        (page,) = flowing_pages(layout, "Bike", [Section("one", "One", lambda _, cells=cells: cells)])
        (title,) = [one for one in texts_of(page) if one.text == "One"]
        assert (title.at[1] > y1) == above
        assert title.at[0] == x0


def test_the_head_of_a_section_stands_above_its_columns():
    """Once, across the page."""
    layout = layout_of("A4")
    head = Cell(170.0, 50.0, words_cell([Words("head", 2.5)]).labels)
    pages = flowing_pages(layout, "Bike", [Section("one", "One", lambda _: rows(30, 20.0), head)])
    places = [one.at[1] for page in pages for one in texts_of(page) if one.text == "head"]
    first_row = [one.at[1] for one in texts_of(pages[0]) if one.text == "row 0"]
    assert len(places) == 1
    assert places[0] - first_row[0] == pytest.approx(50.0 + 2.4, abs=0.2)


@pytest.mark.parametrize("with_head", [True, False])
def test_a_high_cell_goes_to_the_next_page(with_head):
    """Below a section or a head, where low cells go in and a high one does not, even at the top of a column."""
    layout = layout_of("A4")
    height = layout.picture_size[1] - TITLE_HEIGHT
    high = rows(1, 0.8 * height)
    head = Cell(170.0, 0.3 * height, words_cell([Words("head", 2.5)]).labels) if with_head else None
    first = [] if with_head else [Section("one", "One", lambda _: rows(1, 0.3 * height, 170.0))]
    for low in ([], rows(1, 40.0)):
        second = Section("two", "Two", lambda _, low=low: [*low, *high, *rows(1, 30.0)], head)
        pages = flowing_pages(layout, "Bike", [*first, second])
        begun = "two" if with_head else "one" if not low else "one, two"
        assert [page.label.replace(" 1", "") for page in pages] == [begun, "two 2" if begun != "one" else "two"]
        lows = [one.at[1] for page in pages for one in texts_of(page) if one.text.startswith("row ")]
        assert len(lows) == len(first) + len(low) + 2


def test_cards_in_any_order_fill_a_page():
    """The third card has no room on the first page; the fourth, which has, does not wait for it."""
    layout = layout_of("A4")
    height = layout.picture_size[1] - TITLE_HEIGHT
    cells = [row for part in (0.9, 0.4, 0.8, 0.5) for row in rows(1, part * height)]
    for any_order, heights in ((False, 1.3), (True, 1.8)):
        section = Section("one", "One", lambda _: cells, any_order=any_order)
        band = _Pages(layout.picture_size)
        band.pour(section)
        assert sum(cell.height for cell in band.pages[0][0].cells) == pytest.approx(heights * height)
        assert sum(len(page[0].cells) for page in band.pages) == 4
