"""The plan as a table and as Markdown: what other people's readers make of them."""

from __future__ import annotations

import csv
import re
from html import unescape
from io import StringIO

import pytest
from bikes import bike_text, noted_bike_text
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from boardmaker.service import make_plan, plan_work
from boardmaker.text import write_markdown, write_rows
from boardmaker.text.markdown import plain

READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
NASTY = [
    "a | b",
    "*bold*",
    "_under_ __line__",
    "<b>tag</b>",
    "[link](http://x)",
    "`code`",
    "# head",
    "1. one",
    "- minus",
]
NASTY += ["+ plus", "~~gone~~", "&amp;", "![picture](x)", "\\back\\slash", "> quote", "=== line", "{x}", "a\\"]


def rows_of(plan):
    return list(csv.DictReader(StringIO(write_rows(plan).decode("utf-8"), newline=""), strict=True))


def shown(markdown):
    """The words that a reader of Markdown shows."""
    return unescape(re.sub(r"<[^>]*>", "", READER.render(markdown)))


def test_the_table_has_a_row_a_pocket(demo):
    """As many fasteners as board.json has pockets, each under the same number, once."""
    rows = [row for row in rows_of(make_plan(demo.work)) if row["row"] == "fastener"]
    items = [item for board in demo.board_file["boards"] for item in board["items"] if item["kind"] == "panel"]
    pockets = {
        pocket["hole"]: f"{pocket['number']} {pocket['fastener']}" for item in items for pocket in item["pockets"]
    }
    assert {f"{row['panel']}/{row['hole']}": row["pocket"] for row in rows} == pockets
    assert len(rows) == len(pockets)
    assert [int(row["out"]) for row in rows] == list(range(1, len(rows) + 1))


@pytest.mark.parametrize("seed", range(6))
def test_every_note_is_in_the_table_once(bike_from, seed):
    """Of panels, holes and fixings."""
    work = plan_work(bike_from(noted_bike_text(seed, panels=9)))
    said = " | ".join(row["note"] for row in rows_of(make_plan(work)))
    for panel in work.bike.panels:
        assert said.count(panel.note) == 1
        assert all(said.count(one.note) == 1 for one in panel.fixings if one.note)
    assert all(said.count(freed.hole.note) == 1 for freed in work.freed)


def test_no_cell_becomes_a_formula(bike_from):
    """A spreadsheet takes = + - @ at the beginning of a cell for a formula: an apostrophe goes before it."""
    names = ["=1+1", "+1", "-1", "@sum", "plain"]
    panels = "\n".join(
        f"  p{i}: {{ name: '{name}', side: left, holes: [ {{ at: [0, 0], fastener: A, note: '{name} here' }} ] }}"
        for i, name in enumerate(names)
    )
    rows = rows_of(make_plan(plan_work(bike_from(bike_text(panels)))))
    assert [row["name"] for row in rows] == ["'=1+1", "'+1", "'-1", "'@sum", "plain"]
    assert not [cell for row in rows for cell in row.values() if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]


def test_the_table_is_rfc_4180(demo_bike):
    """CRLF at every line's end, as many cells in every row (read with Python's csv, strict)."""
    content = write_rows(make_plan(plan_work(demo_bike("murmelo-125-scooter")))).decode("utf-8")
    assert content.count("\r\n") == content.count("\n")
    assert len({len(row) for row in csv.reader(StringIO(content, newline=""), strict=True)}) == 1


@pytest.mark.parametrize("name", NASTY)
def test_markdown_shows_names_as_they_are_written(bike_from, name):
    """Held against markdown-it: the signs are shown, nothing becomes a link, a picture, a head or a tag."""
    quoted = name.replace("'", "''")
    panel = f"  p: {{ name: '{quoted}', side: left, note: '{quoted}', holes: [ {{ at: [0, 0], fastener: A }} ] }}"
    text = write_markdown(make_plan(plan_work(bike_from(bike_text(panel))))).decode("utf-8")
    html = READER.render(text)
    assert shown(text).count(name) == 3  # heading and note of the removal, heading of the refit
    assert not re.search(r"<(a|img|b|code|h4|blockquote|s|table)\b", html)


@settings(max_examples=300, deadline=None, derandomize=True, database=None)
@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Zl", "Zp", "Cs"]), min_size=1, max_size=30))
def test_any_text_survives_markdown(text):
    """In a list, in bold, and at the beginning of a line."""
    words = " ".join(text.split())
    if words:
        assert shown(f"- [ ] {plain(text)}").strip() == f"[ ] {words}"
        assert shown(f"x {plain(text)}").strip() == f"x {words}"
        assert shown(f"- {plain(text)}").strip() == words


def test_markdown_has_a_box_for_every_step_and_line(demo_bike):
    """Both ways, and two for every part to renew."""
    plan = make_plan(plan_work(demo_bike("kestmark-650-naked"), ["oil"]))
    text = write_markdown(plan).decode("utf-8")
    lines = sum(1 + len(step.groups) + len(step.by_hand) + len(step.connections) for step in plan.removal)
    rows = sum(len(service.rows) for service in plan.services)
    supplies = sum(len(service.job.supplies) for service in plan.services if service.job)
    assert text.count("- [ ] ") == 2 * lines + rows + supplies + len(plan.tools) + 2 * len(plan.renewals)
