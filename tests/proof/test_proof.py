"""`prove` on good files and on files spoilt on purpose; lengths held against pdfplumber, another reader altogether."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import numpy as np
import pdfplumber
import pikepdf
import pytest
import spoiling
from pikepdf import Array, Dictionary, Name
from spoiling import POINT, each_page, spoil

from boardmaker.boards import BoardOptions, build_boards
from boardmaker.display_list import Page, Path, Text
from boardmaker.inputs import override_setup
from boardmaker.model import CaseSetup, Setup
from boardmaker.problems import ProblemsFound, Severity
from boardmaker.proof import Bar, prove
from boardmaker.proof.report import TOLERANCE
from boardmaker.render.pdf import render_pdf
from boardmaker.service import plan_work
from boardmaker.sheets import lay_testpage, lay_torque_strip

pytestmark = pytest.mark.slow

PAPERS = ("A3", "A4", "A5", "letter", "legal", "tabloid", "13 x 19 in", "roll of 610 mm")
SCALE = (1.015, 0.99)  # a printer that prints 1.5 % too wide and 1 % too short
SCOOTER = "murmelo-140-scooter"


def scale_page(paper="A4", scale=(1.0, 1.0)):
    setup = override_setup(Setup(), board=None, case=None, paper=paper)
    setup = replace(setup, printer=replace(setup.printer, scale=scale))
    return render_pdf(lay_testpage(setup, "note", calibrated=scale != (1.0, 1.0)), title="t", printer_scale=scale)


@pytest.fixture(scope="module")
def good():
    return scale_page()


@pytest.fixture(scope="module")
def calibrated():
    return scale_page(scale=SCALE)


@pytest.fixture(scope="session")
def scooter(demo_bike):
    return plan_work(demo_bike(SCOOTER))


@pytest.fixture(scope="session", params=["tiles", "cutouts", "whole"])
def sheets(request, made_demo):
    options = {} if request.param == "tiles" else {"print_as": request.param, "scale": 0.25}
    return made_demo(SCOOTER, **options).files["sheets.pdf"]


BEYOND = "something lies beyond the edge of the page"


def messages(file):
    return [problem.message for problem in prove(file, "file.pdf").errors]


def measured_by_pdfplumber(file, page):
    """Lengths in mm of the lines across and along, by an engine that `prove` does not use."""
    with pdfplumber.open(io.BytesIO(file)) as document:
        lines = document.pages[page].lines
        return (
            [(line["x1"] - line["x0"]) / POINT for line in lines if abs(line["top"] - line["bottom"]) < 1e-3],
            [(line["bottom"] - line["top"]) / POINT for line in lines if abs(line["x1"] - line["x0"]) < 1e-3],
        )


def agrees_with_pdfplumber(file, scale=(1.0, 1.0), proof=None):
    """Whether every bar is a line of that length for pdfplumber too; of many pages, of which four are looked at."""
    pages = (proof or prove(file, "file.pdf")).pages
    pages = [pages[round(at)] for at in np.linspace(0, len(pages) - 1, min(len(pages), 4))]
    seen = {page.number: measured_by_pdfplumber(file, page.number - 1) for page in pages}
    return all(
        any(
            math.isclose(length * scale[bar.upright], bar.printed, abs_tol=0.001)
            for length in seen[page.number][bar.upright]
        )
        for page in pages
        for bar in page.bars
    )


def one_bar_each_way(proof):
    return all(sorted(bar.upright for bar in page.bars) == [False, True] for page in proof.pages)


@pytest.mark.parametrize("scale", [(1.0, 1.0), SCALE])
@pytest.mark.parametrize("paper", PAPERS)
def test_the_test_page_is_true_on_every_paper(paper, scale):
    """Plain, and drawn for a printer that is out of true."""
    file = scale_page(paper, scale)
    proof = prove(file, "testpage.pdf")
    assert proof.problems == ()
    assert one_bar_each_way(proof)
    assert proof.printer_scale == scale
    assert agrees_with_pdfplumber(file, scale, proof)


def test_sheets_are_true(sheets):
    """Tiles, cutouts and whole boards: two bars on every page, and nothing in the pictures is taken for one."""
    proof = prove(sheets, "sheets.pdf")
    assert proof.problems == ()
    assert one_bar_each_way(proof)
    assert {font.split("-")[0] for font in proof.fonts} == {"DejaVuSansCondensed"}
    assert agrees_with_pdfplumber(sheets, proof=proof)


@pytest.mark.parametrize("case", ["470 x 370 mm", "rounded"])
def test_sheets_of_boards_in_a_case_are_true(scooter, case):
    """The case is drawn reduced, with its true sizes at it, and cuts have their lengths: none is taken for a bar."""
    setup = override_setup(Setup(), board=None, case="470 x 370 mm", paper=None)
    if case == "rounded":
        setup = replace(setup, case=CaseSetup((560.0, 400.0), (), 70.0, 200.0, (520.0, 360.0), 4.0))
    built = build_boards(
        scooter,
        setup,
        BoardOptions(boards=1, scale=0.2, effort="quick", arrange=0.0, print_as="whole"),
        lambda *_: None,
    )
    proof = prove(render_pdf(built.sheets.pages, title="sheets"), "sheets.pdf")
    assert any(page.label == "case" for page in built.sheets.pages)
    assert all(board.shape.corner_cuts for board in built.boards) == (case == "rounded")
    assert proof.problems == ()
    assert one_bar_each_way(proof)


def test_the_torque_strip_is_true(scooter):
    """A page of words."""
    proof = prove(render_pdf(lay_torque_strip(scooter, Setup()), title="t"), "torque.pdf")
    assert proof.problems == ()
    assert one_bar_each_way(proof)


def test_the_tolerance_is_a_hundredth_of_a_millimetre():
    """What is said to be true to size is, in the file, to 0.01 mm, and a ten-thousandth for rounding."""
    assert pytest.approx(0.0101) == TOLERANCE
    assert Bar(False, 100.0, 100.01).true
    assert not Bar(False, 100.0, 99.985).true


@pytest.mark.parametrize(
    "words", ["100 mm = 3.937 in: measure before you cut", "100 mm (3.94 in)", "100 mm", "100,0 mm = 3.937 in"]
)
@pytest.mark.parametrize("place", ["above", "beside", "at its end"])
def test_the_words_may_stand_above_a_bar_or_beside_it(words, place):
    """And say the length in several ways; a longer line close by is not taken for it."""
    at, anchor = {"above": ((90, 21.0), "middle"), "beside": ((142, 19.0), "start"), "at its end": ((140, 21), "end")}[
        place
    ]
    items = [
        *bar_items((40, 20), (140, 20)),
        Text(at, words, 2.0, anchor),
        *bar_items((20, 40), (20, 140)),
        Text((19, 90), words, 2.0, "middle", 90),
        Path(((30, 24.0), (190, 24.0)), line_width=0.25),
        Path(((30, 23.0), (190, 23.0), (190, 60.0), (30, 60.0)), closed=True, line_width=0.25),
    ]
    proof = prove(render_pdf([Page(210, 297, tuple(items))], title="t"), "t.pdf")
    assert proof.problems == ()
    assert [round(bar.printed, 3) for bar in proof.pages[0].bars] == [100.0, 100.0]


@pytest.mark.parametrize("words", ["square 100 × 100 mm", "100 mm Aa 0O", "M6 × 100 mm", "100", "100 mmm"])
def test_other_words_name_no_bar(words):
    """Only words that begin with a length and nothing behind it."""
    items = (*bar_items((40, 20), (140, 20)), Text((90, 21), words, 2.0, "middle"))
    assert "page 1: no test bar across the page" in messages(render_pdf([Page(210, 297, items)], title="t"))


def test_a_line_without_end_lines_is_no_bar():
    """Nor is one with an end line at one end: nobody could lay a rule to it."""
    line, first, _ = bar_items((40, 20), (140, 20))
    words = Text((90, 21), "100 mm", 2.0, "middle")
    assert "page 1: no test bar across the page" in messages(
        render_pdf([Page(210, 297, (line, first, words))], title="t")
    )


def bar_items(start, end):
    yield Path((start, end), line_width=0.25)
    across = (0.0, 1.5) if start[1] == end[1] else (1.5, 0.0)
    for x, y in (start, end):
        yield Path(((x - across[0], y - across[1]), (x + across[0], y + across[1])), line_width=0.18)


BOTH_SHORT = [
    "page 1: the bar across is 174.60 mm long where 180 mm is written",
    "page 1: the bar along is 261.90 mm long where 270 mm is written",
]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (spoiling.drawn_through(0.97, 0, 0, 0.97, 0, 0), BOTH_SHORT),
        (spoiling.drawn_through(0.97, 0, 0, 1, 0, 0), BOTH_SHORT[:1]),
        (spoiling.drawn_through(1, 0, 0, 0.97, 0, 0), BOTH_SHORT[1:]),
        (spoiling.centred(0.97), BOTH_SHORT),
        (spoiling.shrunk_with_its_page(0.97), BOTH_SHORT),
        (spoiling.wrapped((0.97, 0, 0, 0.97, 0, 0), (1, 0, 0, 1, 0, 0)), BOTH_SHORT),
        (spoiling.wrapped((1, 0, 0, 1, 0, 0), (0.97, 0, 0, 0.97, 9, 9)), BOTH_SHORT),
        (spoiling.drawn_through(0.9999, 0, 0, 1, 0, 0), [
            "page 1: the bar across is 179.9820 mm long where 180 mm is written"]),
        (spoiling.drawn_through(0.7, 0, 0, 0.7, 0, 0), [
            "page 1: the bar across is 126.00 mm long where 180 mm is written",
            "page 1: the bar along is 189.00 mm long where 270 mm is written"]),
        (spoiling.drawn_through(-1, 0, 0, 1, 595.3, 0), ["page 1: the page is mirrored"]),
        (spoiling.drawn_through(1, 0, 0.02, 1, 0, 0), [
            "page 1: the bar along is 270.05 mm long where 270 mm is written",
            "page 1: the bar along lies askew by 1.15 degrees"]),
        (spoiling.drawn_through(math.cos(0.01), math.sin(0.01), -math.sin(0.01), math.cos(0.01), 10, 0), [
            "page 1: the bar across lies askew by 0.57 degrees",
            "page 1: the bar along lies askew by 0.57 degrees"]),
        (spoiling.set_key("/CropBox", Array([20, 0, 595, 842])), [
            "page 1: the crop box shows only 202.85 × 297.00 mm of 210.00 × 297.00 mm: the rest is not printed"]),
        (spoiling.set_key("/UserUnit", 2), [
            "page 1: the page has a unit of its own (UserUnit 2), which half of all programs pass over"]),
        (spoiling.set_key("/Rotate", 90), [
            "page 1: the page is turned by 90 degrees: what was drawn across and along changes places"]),
        (spoiling.set_key("/MediaBox", Array([-10, 0, 595, 842])), [
            "page 1: the page begins at -3.53, 0.00 mm and not at 0, 0: it was cropped"]),
        (spoiling.set_key("/MediaBox", Array([0, 0, 400, 842])), [
            "page 1: the bar across reaches over the edge of what is printed"]),
        (spoiling.added(b"1 g 300 0 150 100 re f"), [
            "page 1: the bar across cannot be seen: it is covered, cut off, switched off or too pale"]),
        (spoiling.added(b"0 g 0 0 595 60 re f"), [
            "page 1: the bar across cannot be seen: it is covered, cut off, switched off or too pale"]),
        (spoiling.in_helvetica, ["the font Helvetica is not in the file: every printer puts another one in its place"]),
    ],
)  # fmt: skip
def test_what_makes_a_print_untrue_is_said(good, change, said):
    """Exactly that, and nothing beside it but that something fell off the page, where it did."""
    assert messages(good) == []
    assert [one for one in messages(spoil(good, each_page(change))) if BEYOND not in one] == said


def smaller_paper(_document, page):
    page.MediaBox = Array([0, 0, 500, 800])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (smaller_paper, BEYOND),
        (spoiling.drawn_through(1, 0, 0, 1, 30, 30), BEYOND),
        (spoiling.drawn_through(0, 1, -1, 0, 595, 0), "the page's content was turned"),
        (spoiling.drawn_through(-1, 0, 0, -1, 595.28, 841.89), "the page's content was turned"),
    ],
)
def test_true_bars_on_a_page_that_lost_a_part_are_not_enough(good, change, said):
    """Smaller paper, content pushed over the edge, content turned by a quarter or a half."""
    assert any(said in message for message in messages(spoil(good, each_page(change))))


@pytest.mark.parametrize("change", [spoiling.switched_off, spoiling.left_out_of_print])
def test_a_hidden_layer_hides_the_bars(good, change):
    """Off on the screen, or on there and off for the printer."""
    said = messages(spoil(good, each_page(change)))
    assert [message.split(" cannot be seen")[0] for message in said] == [
        "page 1: the bar across",
        "page 1: the bar along",
    ]


@pytest.mark.parametrize(
    "change",
    [
        spoiling.wrapped((1, 0, 0, 1, 0, 0), (1, 0, 0, 1, 0, 0), times=3),
        spoiling.wrapped((2, 0, 0, 2, 0, 0), (0.5, 0, 0, 0.5, 0, 0)),
        spoiling.set_key("/CropBox", Array([0, 0, 900, 900])),
        spoiling.set_key("/Rotate", 360),
        spoiling.set_key("/UserUnit", 1),
    ],
)
def test_what_does_no_harm_is_let_pass(good, change):
    """Pages wrapped in forms, boxes no smaller than the page."""
    assert messages(spoil(good, each_page(change))) == []


def test_moved_onto_larger_paper_is_still_true(good):
    """The content set in the middle of A3."""

    def move(document, page):
        spoiling.drawn_through(1, 0, 0, 1, 120, 170)(document, page)
        page.MediaBox = Array([0, 0, 842, 1191])

    assert messages(spoil(good, each_page(move))) == []


def test_two_pages_on_one_are_all_measured(good):
    """Two up, one of them shrunk: the good one does not hide the other."""

    def two_up(document, page):
        page.MediaBox = Array([0, 0, 1400, 842])
        spoiling.wrapped((1, 0, 0, 1, 0, 0), (1, 0, 0, 1, 0, 0))(document, page)
        page.contents_add(b"q 0.97 0 0 0.97 600 0 cm /Inside Do Q")

    assert messages(spoil(good, each_page(two_up))) == BOTH_SHORT


def test_a_trim_box_is_a_warning_unless_it_is_what_is_printed(good):
    """PrintArea names the box that printing follows (ISO 32000-1, table 150)."""
    trimmed = spoil(good, each_page(spoiling.set_key("/TrimBox", Array([20, 20, 500, 800]))))
    (problem,) = prove(trimmed, "t.pdf").problems
    assert problem.severity is Severity.WARNING

    def print_trimmed(document):
        document.Root.ViewerPreferences.PrintArea = Name.TrimBox

    assert "the rest is not printed" in messages(spoil(trimmed, print_trimmed))[0]


@pytest.mark.parametrize(("value", "said"), [(None, "is missing"), (Name.AppDefault, "says AppDefault")])
def test_the_print_dialog_has_to_be_asked(good, value, said):
    """PrintScaling removed, or left to the program (ISO 32000-1, table 150)."""

    def change(document):
        document.Root.ViewerPreferences = Dictionary() if value is None else Dictionary(PrintScaling=value)

    (message,) = messages(spoil(good, change))
    assert f"PrintScaling {said} where None is needed" in message


@pytest.mark.parametrize(
    ("keywords", "said"),
    [
        ("", ["page 1: the bar across is 177.34 mm", "page 1: the bar along is 272.73 mm"]),
        ("boardmaker printer-scale 1.000000 0.990000", ["page 1: the bar across is 177.34 mm"]),
        ("boardmaker printer-scale 0.985222 1.010101", [
            "page 1: the bar across is 174.72 mm", "page 1: the bar along is 275.48 mm"]),
        ("boardmaker printer-scale 1.015000 1.990000", ["page 1: the bar along is 542.73 mm", "the printer's scale"]),
    ],
)  # fmt: skip
def test_a_lost_or_changed_note_of_the_printers_scale_shows(calibrated, keywords, said):
    """Lengths are what the noted printer makes of the drawing: 180 / 1.015 = 177.340, 270 / 0.99 = 272.727."""

    def change(document):
        document.docinfo["/Keywords"] = keywords

    assert [
        message[: len(start)] for message, start in zip(messages(spoil(calibrated, change)), said, strict=True)
    ] == said


def test_a_calibrated_page_is_found_out_when_shrunk(calibrated):
    """The note does not excuse a print that was fitted to the page."""
    assert len(messages(spoil(calibrated, each_page(spoiling.drawn_through(0.97, 0, 0, 0.97, 0, 0))))) == 2


def test_pages_are_named_and_alike_ones_together():
    """A page without bars, two shrunk ones."""
    bars = lay_testpage(Setup(), "note")[0]
    file = render_pdf([bars, bars, Page(100, 100, ()), bars, bars], title="t")
    file = spoil(file, each_page(spoiling.drawn_through(0.97, 0, 0, 1, 0, 0), 1, 4, 5))
    assert messages(file) == [
        "pages 1, 4-5: the bar across is 174.60 mm long where 180 mm is written",
        "page 3: no test bar across the page",
        "page 3: no test bar along the page",
    ]


def test_a_hint_is_given_once(good):
    """Five faults with one remedy."""
    spoilt = spoil(good, each_page(spoiling.shrunk_with_its_page(0.97)))
    hints = [problem.hint for problem in prove(spoilt, "t.pdf").problems]
    assert "97.00 % of its size" in hints[0]
    assert hints[1] == ""


CATALOGUE = "<</Type /Catalog /Pages 2 0 R>>"
ONE_PAGE = "<</Type /Pages /Count 1 /Kids [3 0 R]>>"


def encrypted(file, user):
    return spoil(file, lambda document: None, encryption=pikepdf.Encryption(owner="o", user=user, R=4))


@pytest.mark.parametrize(
    ("file", "said"),
    [
        (lambda good: b"", "x.pdf is empty"),
        (lambda good: b"PK\x03\x04" + bytes(3000), "x.pdf is not a PDF"),
        (lambda good: good[: len(good) // 2], "x.pdf is cut short"),
        (lambda good: good[:-40], "x.pdf is cut short"),
        (lambda good: good[:200] + b"\n%%EOF", "x.pdf is damaged"),
        (lambda good: b"%PDF-1.7" + bytes(range(256)) * 9 + b"%%EOF", "x.pdf is damaged"),
        (lambda good: encrypted(good, "secret"), "x.pdf is encrypted"),
        (lambda good: encrypted(good, ""), "x.pdf is encrypted"),
        (lambda good: spoiling.raw_pdf(CATALOGUE, "<</Type /Pages /Count 0 /Kids []>>"), "x.pdf has no pages"),
        (lambda good: spoiling.raw_pdf(CATALOGUE, "<</Type /Pages /Count 1 /Kids [2 0 R]>>"), "more than 500 pages"),
        (lambda good: spoiling.raw_pdf(
            CATALOGUE,
            *(f"<</Type /Pages /Count 1000000000 /Kids [{f'{number} 0 R ' * 50}]>>" for number in range(3, 12)),
            "<</Type /Page /MediaBox [0 0 9 9]>>"), "has more than 500 pages"),
        (lambda good: spoiling.raw_pdf(
            CATALOGUE, ONE_PAGE, "<</Type /Page>>"), "x.pdf is damaged"),
        (lambda good: spoiling.raw_pdf(
            CATALOGUE, ONE_PAGE,
            "<</Type /Page /MediaBox [/a 0 9 9]>>"), "x.pdf is damaged"),
        (lambda good: spoiling.raw_pdf("1 0 R"), "x.pdf is damaged"),
        (lambda good: spoiling.raw_pdf(f"<</Type /Catalog /X {'[' * 9000}{']' * 9000}>>"), "x.pdf is damaged"),
        (lambda good: spoiling.form_bomb(9, 10), "it draws more than can be looked through"),
        (lambda good: spoiling.form_bomb(60, 1), "forms are nested too deep"),
        (lambda good: spoiling.form_in_a_circle(), "a form draws itself"),
        (lambda good: spoil(good, each_page(spoiling.added(b"0 0 m 9 9 l S " * 600_000))),
            "more than can be looked through"),
    ],
)  # fmt: skip
def test_what_is_no_sheet_is_one_clear_error(good, file, said, capfd):
    """With a remedy, and not a word of the readers' own on the screen; none of these may hang."""
    with pytest.raises(ProblemsFound) as found:
        prove(file(good), "x.pdf")
    (problem,) = found.value.problems
    assert said in problem.message
    assert capfd.readouterr() == ("", "")


NO_BARS = ["page 1: no test bar across the page", "page 1: no test bar along the page"]
TORN = "bytes of the drawing are damaged: parts of it may be missing, or lie elsewhere"
REFUSED = {"x.pdf is not a PDF", "x.pdf is damaged: it cannot be read as a PDF"}


def said_of(file):
    """What is found on the pages, or why the file is refused."""
    try:
        return [problem.message for problem in prove(file, "x.pdf").problems]
    except ProblemsFound as found:
        return [problem.message for problem in found.problems]


def flipped(file, places):
    """The file with bits turned over at these places."""
    broken = bytearray(file)
    for place in places:
        broken[place] ^= 0x55
    return bytes(broken)


@pytest.mark.parametrize("start", range(0, 997, 83))
def test_a_file_with_flipped_bytes_is_never_taken_for_true(good, start):
    """A byte in a thousand, so that the compressed drawing is torn at least: refused, or said to be, and bars lacking.

    A bar that the drawing still has before its first torn byte is one for the other reader too.
    """
    file = flipped(good, range(start, len(good), 997))
    said = said_of(file)
    if len(said) == 1:
        assert said[0] in REFUSED
        return
    lacking = [words for words in NO_BARS if words in said]
    assert lacking
    assert said[: len(lacking)] == lacking
    assert TORN in said
    if lacking != NO_BARS:
        stated = {bar.upright: bar.stated for bar in prove(good, "x.pdf").pages[0].bars}
        for upright, lengths in enumerate(measured_by_pdfplumber(file, 0)):
            assert NO_BARS[upright] in lacking or any(abs(one - stated[upright]) < TOLERANCE for one in lengths)


@pytest.mark.parametrize("before_end", [2, 6, 300, 1200])
def test_a_torn_drawing_is_said_where_the_bars_are_whole(good, before_end):
    """Whatever is drawn behind the torn byte may lie elsewhere, though both bars are true."""
    start = drawing_of(good)
    said = said_of(flipped(good, [good.index(b"endstream", start) - before_end]))
    assert TORN in said
    assert not {*NO_BARS} & {*said}


def drawing_of(file):
    """Where the page's compressed drawing begins."""
    (number,) = re.findall(rb"/Contents (\d+) 0 R", file)
    return file.index(b"stream\n", file.index(b"\n%s 0 obj" % number)) + len(b"stream\n")


def with_other(old, new):
    def change(file):
        assert file.count(old) == 1
        assert len(old) == len(new)
        return file.replace(old, new)

    return change


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda good: flipped(good, range(2)), ["x.pdf is not a PDF"]),
        (lambda good: flipped(good, range(drawing_of(good) + 40, drawing_of(good) + 60)), [*NO_BARS, TORN]),
        (lambda good: re.sub(rb"/Contents \d\d 0 R", b"/Contents 99 0 R", good), NO_BARS),
        (lambda good: re.sub(rb"/Root \d\d 0 R", b"/Root 12 0 R", good), [
            "x.pdf is damaged: it cannot be read as a PDF"]),
        (lambda good: good.replace(b"/FlateDecode", b"/FlateDecodx"), ["x.pdf is damaged: it cannot be read as a PDF"]),
        (with_other(b"/PrintScaling /None", b"/PrintScaling /Nope"), [
            "the print dialog is not asked to leave the size alone: PrintScaling says Nope where None is needed"]),
        (with_other(b"[ 0 0 595.2756 841.8898 ]", b"[ 0 0 495.2756 841.8898 ]"), [
            "page 1: the bar across reaches over the edge of what is printed", f"page 1: {BEYOND} and is not printed: "
            "the page was cut, or its content moved"]),
        (with_other(b"/FontFile2 4 0 R", b"/FontFile9 4 0 R"), [
            "the font DejaVuSansCondensed is not in the file: every printer puts another one in its place"]),
        # the readers find the objects without their table, and a title has no size
        (lambda good: re.sub(rb"startxref\n\d", b"startxref\n9", good), []),
        (with_other(b"/Title (t)", b"/Title (x)"), []),
    ],
)  # fmt: skip
def test_each_damage_is_said_for_what_it_does(good, damage, said):
    """Exactly that; where a damage does not touch what is printed, nothing."""
    broken = damage(good)
    assert broken != good
    assert said_of(broken) == said
