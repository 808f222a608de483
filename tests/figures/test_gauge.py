"""The gauge of the screw key: ticks where they are said to be, in the file too, and a letter at every length."""

from __future__ import annotations

from io import BytesIO

import pdfplumber
import pytest
from shapely import LineString, Point, Polygon, box

from boardmaker.display_list import Page
from boardmaker.figures.gauge import EDGE, HEADS, INCH_TICKS, MM_TICKS, RULE, STOP, draw_gauge
from boardmaker.figures.screw_key import draw_screw_key
from boardmaker.geometry import bounds
from boardmaker.model import Fastener, Head, Setup, Shoulder
from boardmaker.render.pdf import render_pdf
from boardmaker.service import plan_work
from boardmaker.sheets.paper import lay_page
from boardmaker.sheets.reference.flowing import flowing_pages
from boardmaker.sheets.reference.pages import screw_key_section
from boardmaker.standards import parse_thread
from boardmaker.typeset.type_sizes import BOARD_TYPE

MM = 72 / 25.4


def screw(key, length, shoulder=None, **others):
    kind = "shoulder screw" if shoulder else "screw"
    plain = Shoulder(shoulder, 9.0) if shoulder else None
    return Fastener(key, kind, length, Head("button", 14.0, 3.3), parse_thread("M6"), shoulder=plain, **others)


def upright_lines(pdf_bytes):
    """x, low and high of every upright line of the only page, mm from its lower left corner."""
    with pdfplumber.open(BytesIO(pdf_bytes)) as pdf:
        (page,) = pdf.pages
        drawn = [*page.lines, *page.curves]
        lines = [line["pts"] for line in drawn if len(line["pts"]) == 2]
        ends = [[(x / MM, (float(page.height) - y) / MM) for x, y in points] for points in lines]
    return [(a[0], *sorted((a[1], b[1]))) for a, b in ends if abs(a[0] - b[0]) < 0.005]


def test_every_tick_of_the_file_is_where_its_length_is():
    """True to size: 80 ticks of a mm and 50 of a sixteenth of an inch, from the stop line, to 0.01 mm in the PDF."""
    gauge = draw_gauge(
        (
            screw("A", 21.0, 11.0),
            screw("L", 75.0),
        ),
        120.0,
    )
    moved = gauge.at((10.0, 60.0))
    lines = upright_lines(render_pdf([Page(140.0, 80.0, tuple(moved.marks))], title="gauge"))
    low, top = 60.0 - gauge.height + EDGE / 2, 60.0 - gauge.height + EDGE / 2 + RULE
    stop = 10.0 + HEADS
    millimetres = sorted(x - stop for x, _, high in lines if high == pytest.approx(top, abs=0.01))
    inches = sorted(x - stop for x, lower, _ in lines if lower == pytest.approx(low, abs=0.01) and x > stop + 0.1)
    assert millimetres == pytest.approx([float(mm) for mm in range(1, 81)], abs=0.01)
    assert inches == pytest.approx([part * 25.4 / 16 for part in range(1, 51)], abs=0.01)
    assert stop == pytest.approx(next(x for x, lower, high in lines if lower < low + 0.01 and high > top + 2), abs=0.01)


def test_whole_centimetres_and_inches_are_longest():
    """And their parts ever shorter, so that nobody counts ticks."""
    assert [MM_TICKS[part] for part in (10, 5, 1)] == sorted(MM_TICKS.values(), reverse=True)
    assert [INCH_TICKS[part] for part in (16, 8, 4, 2, 1)] == sorted(INCH_TICKS.values(), reverse=True)


@pytest.mark.parametrize(("longest", "numbers"), [(21.0, 3), (30.0, 3), (31.0, 4), (6.0, 2)])
def test_it_is_as_long_as_the_longest_screw_needs(longest, numbers):
    """Rounded up to whole centimetres, 20 mm at least."""
    gauge = draw_gauge((screw("A", longest),), 120.0)
    assert [label.text for label in gauge.labels if len(label.text) == 2 and label.text.isdigit()] == [
        f"{10 * number}" for number in range(1, numbers + 1)
    ]


def test_it_is_no_wider_than_it_may_be():
    """A screw longer than that has no letter; no gauge where not even 20 mm have room, or nothing has a length."""
    gauge = draw_gauge(
        (
            screw("A", 12.0),
            screw("L", 75.0),
        ),
        60.0,
    )
    texts = [label.text for label in gauge.labels]
    assert gauge.width <= 60.0
    assert "A" in texts
    assert "L" not in texts
    assert draw_gauge((screw("A", 12.0),), 30.0) is None
    assert draw_gauge((screw("A", 20.0, length_assumed=True),), 100.0) is None


def lines_of(gauge):
    """The lines from lengths to letters, mm from the stop line."""
    drawn = [mark.points for mark in gauge.marks if not mark.closed and len(mark.points) == 4]
    return [[(x - HEADS, y) for x, y in points] for points in drawn]


def tied(gauge):
    """Letters by the lengths that their lines begin at."""
    found = {}
    for foot, *_, (x, y) in lines_of(gauge):
        bold = [one for one in gauge.labels if one.lines[0].bold]
        above = [one for one in bold if one.box[0] - 0.5 <= x + HEADS <= one.box[2] + 0.5 and abs(one.box[1] - y) < 0.1]
        (label,) = above if len(above) == 1 else [min(above, key=lambda one: _off(x + HEADS, one.box))]
        found.setdefault(round(foot[0], 6), []).append(label.text)
    return found


def _off(x, sides):
    """How far a place lies outside of a box, mm."""
    return max(sides[0] - x, x - sides[2], 0.0)


@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
def test_every_letter_stands_above_its_own_length(demo_bike, stem):
    """Lines go up and lean 2.1 mm at most, at 35 degrees; none crosses another; letters keep to their lines."""
    gauge = draw_gauge(tuple(demo_bike(stem).fasteners), 100.0)
    lines = lines_of(gauge)
    assert all(top[0] == bend[0] and top[1] >= bend[1] > foot[1] for _, foot, bend, top in lines)
    leans = [(abs(bend[0] - foot[0]), bend[1] - foot[1]) for _, foot, bend, _ in lines]
    assert all(aside <= 2.1 and aside <= 0.81 * up for aside, up in leans)
    drawn = [LineString(line[1:]) for line in lines]  # a shoulder and a screw of one length begin at one tick
    assert not [
        (i, j)
        for i, one in enumerate(drawn)
        for j in range(i)
        if one.distance(drawn[j]) < 0.15 and lines[i][0] != lines[j][0]
    ]
    bold = [label.box for label in gauge.labels if label.lines[0].bold]
    lengths = [foot[0] + HEADS for foot, *_ in lines]
    assert all(min(_off(length, sides) for length in lengths) <= 2.2 for sides in bold)


def test_a_framed_letter_is_explained():
    """In words that keep off the letters; not where nothing is framed."""
    said = [label.text for label in draw_gauge((screw("A", 21.0, 11.0), screw("B", 25.0)), 100.0).labels]
    assert "boxed: shoulder" in said
    assert "boxed: shoulder" not in [label.text for label in draw_gauge((screw("A", 21.0),), 100.0).labels]


def test_what_a_frame_means_stays_on_a_short_gauge():
    """It is wider than a rule of 20 mm; where both have no room there is no gauge."""
    kinds = (screw("A", 12.0, 6.0), screw("B", 9.0, 4.0), screw("C", 7.0))
    gauge = draw_gauge(kinds, 100.0)
    (note,) = [label for label in gauge.labels if label.text == "boxed: shoulder"]
    assert note.box[2] <= gauge.width
    assert all(label.box[2] <= gauge.width for label in gauge.labels)
    assert gauge.width > HEADS + 20.0 + 4.4
    assert draw_gauge(kinds, gauge.width - 0.1) is None


def test_every_length_and_every_shoulder_has_its_letters():
    """Those of one length share a place; a shoulder has one of its own."""
    kinds = (screw("A", 21.0, 11.0), screw("B", 12.0), screw("C", 12.0), screw("D", 13.0))
    assert tied(draw_gauge(kinds, 100.0)) == {11.0: ["A"], 12.0: ["B,C"], 13.0: ["D"], 21.0: ["A"]}


def test_letters_keep_off_each_other(demo_bike):
    """Also on the bike with the most kinds, in three rows."""
    used = tuple(demo_bike("fjellvik-820-tourer").fasteners)
    gauge = draw_gauge(used, 100.0)
    boxes = [box(*label.box) for label in gauge.labels]
    assert not [(i, j) for i, one in enumerate(boxes) for j in range(i) if one.buffer(-0.001).intersects(boxes[j])]
    assert sum(len(texts) for texts in tied(gauge).values()) == 14  # 11 lengths and three shoulders


def test_ties_and_frames_keep_off_other_letters_and_frames(demo_bike):
    """A line that passes letters to those above them leaves air; so does the foot of a shoulder's frame."""
    gauge = draw_gauge(tuple(demo_bike("fjellvik-820-tourer").fasteners), 100.0)
    passed = [LineString([(x + HEADS, y) for x, y in line[2:]]) for line in lines_of(gauge)]
    frames = [Polygon(mark.points) for mark in gauge.marks if mark.closed and len(mark.points) == 8]
    letters = [box(*label.box) for label in gauge.labels if label.lines[0].bold]
    assert (len(passed), len(frames), len(letters)) == (14, 3, 14)
    own = [max(letters, key=lambda one, frame=frame: frame.intersection(one).area) for frame in frames]
    for line in passed:
        end = Point(line.coords[-1])
        nearest = min(letters, key=end.distance)
        assert all(line.distance(one) >= 0.15 for one in letters if one is not nearest)
    for frame, mine in zip(frames, own, strict=True):
        assert all(frame.intersection(one).area < 1e-6 for one in letters if one is not mine)
    assert all(one.intersection(other).area < 1e-6 for i, one in enumerate(frames) for other in frames[:i])


def test_more_kinds_than_there_is_room_for_lose_some_letters():
    """Sixty lengths on 60 mm, and a key that is longer than the rule: none over another, none beyond the ends."""
    kinds = tuple(screw(f"K{number}", float(number)) for number in range(1, 61))
    for used in (kinds, (screw("A" * 60, 12.0), *kinds[-3:])):
        gauge = draw_gauge(used, 100.0)
        boxes = [box(*label.box) for label in gauge.labels]
        assert not [one for i, one in enumerate(boxes) if any(one.buffer(-0.001).intersects(two) for two in boxes[:i])]
        assert all(one.bounds[0] >= 0.0 and one.bounds[2] <= gauge.width + 0.5 for one in boxes)
        assert any(label.text.startswith("K") for label in gauge.labels)


@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
def test_the_board_and_the_key_page_have_it(demo_bike, stem):
    """On every form of the key and on the page, as wide as the bike's longest screw asks."""
    work = plan_work(demo_bike(stem))
    used = {freed.fastener.key for freed in work.freed}
    longest = max(one.length for one in work.bike.fasteners if one.key in used)
    setup = Setup()
    layout = lay_page(setup)
    (page, *_) = flowing_pages(layout, "bike", [screw_key_section(layout, work, setup.board.material)])
    figures = draw_screw_key(work, setup.board.material, BOARD_TYPE)
    for marks in (page.items, *(figure.marks for figure in figures)):
        stops = [mark for mark in marks if getattr(mark, "line_width", 0) == STOP and len(mark.points) == 2]
        tall = max(stops, key=lambda mark: abs(mark.points[0][1] - mark.points[1][1]))
        edges = [
            mark for mark in marks if getattr(mark, "line_width", 0) == EDGE and mark.points[0][0] == tall.points[0][0]
        ]
        assert len(edges) == 2
        assert all(longest <= bounds(edge.points)[2] - tall.points[0][0] for edge in edges)
