"""Sheets and Markdown say the same lines in the same order: the words are read back out of both and held together."""

from __future__ import annotations

from itertools import zip_longest

import pytest
from bikes import full_bike_text, noted_bike_text
from plan_words import BOX, markdown_words, sheet_words

from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.render.pdf import render_pdf
from boardmaker.service import make_plan, plan_work
from boardmaker.sheets import lay_plan
from boardmaker.sheets.plan import pages
from boardmaker.text import plan_markdown, write_markdown
from boardmaker.wording.plan.stream import PlanLines, plan_lines

pytestmark = pytest.mark.slow

# Long strips of paper, so that nothing goes on on another page: a narrow one with all words of a line in one run, read
# by place; a wide one with columns, in which a cell may take two lines, read in the order of the file.
NARROW, WIDE = "105 x 6000 mm", "240 x 5000 mm"


def told(work, paper):
    plan = make_plan(work)
    setup = override_setup(Setup(), board=None, case=None, paper=paper)
    pdf = render_pdf(lay_plan(plan, setup), title="plan", printer_scale=None)
    listed = markdown_words(write_markdown(plan))
    if paper == NARROW:
        return sheet_words(pdf, with_boxes=True), listed
    return sheet_words(pdf, with_boxes=False), [word for word in listed if word != BOX]


def differ(work, paper=NARROW):
    """Where the two part company, with the words before; "" where they say the same."""
    sheets, listed = told(work, paper)
    assert len(sheets) > 100
    for at, (one, other) in enumerate(zip_longest(sheets, listed)):
        if one != other:
            return f"{' '.join(sheets[at - 12 : at])} | sheets: {sheets[at : at + 8]}, Markdown: {listed[at : at + 8]}"
    return ""


@pytest.mark.parametrize("paper", [NARROW, WIDE])
@pytest.mark.parametrize(
    ("stem", "jobs", "without"),
    [
        ("fjellvik-820-tourer", [], ["audio"]),
        ("kestmark-590-naked", [], []),
        ("kestmark-590-naked", ["oil"], []),
        ("murmelo-140-scooter", [], ["rack"]),
    ],
)
def test_the_demo_bikes(demo_bike, stem, jobs, without, paper):
    """Word for word and box for box, whole and for a job, on both kinds of page."""
    assert not differ(plan_work(demo_bike(stem), jobs, without=without), paper)


@pytest.mark.parametrize("paper", [NARROW, WIDE])
@pytest.mark.parametrize(("jobs", "without"), [([], []), (["valves"], ["bars"]), ([], ["bars", "rack"])])
def test_a_bike_with_something_of_everything(bike_from, jobs, without, paper):
    """Must-nots, what is behind a thread, riders, stages, renewals, equipment."""
    assert not differ(plan_work(bike_from(full_bike_text()), jobs, without=without), paper)


@pytest.mark.parametrize("seed", range(6))
def test_random_bikes(bike_from, seed):
    """Notes on everything, riders, screws through two panels."""
    work = plan_work(bike_from(noted_bike_text(seed, panels=(2, 5, 12)[seed % 3])))
    assert not differ(work, (NARROW, WIDE)[seed % 2])


def dropped(lines):
    at = next(at for at, line in enumerate(lines) if line.kind == "note" and "behind" in line.text)
    return lines[:at] + lines[at + 1 :]


def swapped(lines):
    at = next(at for at, line in enumerate(lines) if line.kind == "by hand")
    return (*lines[: at - 1], lines[at], lines[at - 1], *lines[at + 1 :])


def unboxed(lines):
    """A line that has lost its box."""
    at = next(at for at, line in enumerate(lines) if line.kind == "by hand")
    return (*lines[:at], type(lines[at])("note", lines[at].cells), *lines[at + 1 :])


@pytest.mark.parametrize("fault", [dropped, swapped, unboxed])
@pytest.mark.parametrize("writer", [pages, plan_markdown])
def test_a_writer_that_drops_or_moves_a_line_is_found(bike_from, monkeypatch, writer, fault):
    """Or the tests above would prove nothing."""
    work = plan_work(bike_from(full_bike_text()))
    assert not differ(work)

    def faulty(plan, names):
        lines = plan_lines(plan, names)
        return PlanLines(lines.ready, fault(lines.removal), lines.service, lines.refit, lines.last_look)

    monkeypatch.setattr(writer, "plan_lines", faulty)
    assert differ(work)
