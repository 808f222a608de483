"""mat.pdf as it comes out of a printer: measured, and read by libraries that know the codes."""

from __future__ import annotations

import hashlib
from collections import Counter
from itertools import combinations
from pathlib import Path

import cv2
import numpy as np
import pdfplumber
import pypdfium2
import pytest
from other_tag_reader import other_reader

from boardmaker.command_line import run
from boardmaker.inputs import read_bike
from boardmaker.mat import INKS, TINTS, lay_mat
from boardmaker.mat.mark_codes import mark_codes
from boardmaker.model import Setup
from boardmaker.problems import ProblemsFound

pytest_plugins = ("made_mats",)

MM = 25.4 / 72
PAPERS = (
    (),
    ("--paper", "letter"),
    ("--paper", "A3", "--tint", "magenta"),
    ("--paper", "A5"),
    ("--paper", "roll of 610 mm"),
    ("--paper", "A0"),
)
DOTS = 6.0  # a mm, about


def drawn_page(folder, page):
    """A page as grey dots from the top, and how many dots a mm it has across and along."""
    with pypdfium2.PdfDocument(folder / "mat.pdf") as document:
        size = np.array(document[page - 1].get_size()) * MM
        grey = document[page - 1].render(scale=DOTS * MM, grayscale=True).to_numpy().squeeze().copy()
    return grey, grey.shape[::-1] / size


def place(drawn, corners, first):
    """Corners in dots as mm from the page's lower left corner; `first`: what the middle of the first dot is called."""
    (grey, (across, along)), (x, y) = drawn, (np.asarray(corners, float).reshape(-1, 2) + 0.5 - first).mean(axis=0)
    return float(x / across), float((grey.shape[0] - y) / along)


def read_by_opencv(drawn, family):
    """Number and middle (mm) of each code that OpenCV finds."""
    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = 0.01
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, family))
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary, settings).detectMarkers(drawn[0])
    return [(int(one), place(drawn, where, 0.0)) for one, where in zip(ids.ravel(), corners, strict=True)]


@pytest.mark.parametrize("words", PAPERS, ids=lambda words: words[1] if words else "A4")
@pytest.mark.slow
def test_a_mat_prints_true_to_scale(made_mat, words, capsys):
    """By `verify`: both bars on every page, nothing over the edge."""
    assert run(["verify", str(made_mat(*words) / "mat.pdf")]) == 0
    assert "prints true to scale" in capsys.readouterr().out


@pytest.mark.parametrize("words", PAPERS[:3])
def test_bars_tint_and_codes_have_their_size_in_the_file(made_mat, mat_of, words):
    """On the first sheet's page, by pdfplumber: each where mat.json says, to 0.01 mm."""
    mat = mat_of(*words)
    with pdfplumber.open(made_mat(*words) / "mat.pdf") as document:
        page = document.pages[mat.pages[0] - 1]
        lines = [(line["width"] * MM, line["height"] * MM) for line in page.lines]
        rects = np.array([[float(one[key]) * MM for key in ("x0", "y0", "x1", "y1")] for one in page.rects])

    def is_there(box):
        return (np.abs(rects - box).max(axis=1) <= 0.01).any()

    assert any(line == pytest.approx((mat.bars[0], 0.0), abs=0.01) for line in lines)
    assert any(line == pytest.approx((0.0, mat.bars[1]), abs=0.01) for line in lines)
    assert is_there(mat.trim)
    for tag in mat.tags[: len(mat.tags) // len(mat.pages)]:
        (x, y), half = tag.centre, tag.size / 2
        assert is_there((x - half, y + half - 3.0, x + half, y + half))


@pytest.mark.parametrize("words", [PAPERS[0], PAPERS[2]])
@pytest.mark.slow
def test_opencv_finds_every_code_where_it_is_said_to_be(made_mat, mat_of, words):
    """Each number once, on its page, to a tenth of a millimetre, which is half a dot, and no other."""
    mat, found = mat_of(*words), []
    for page in mat.pages:
        codes = read_by_opencv(drawn_page(made_mat(*words), page), mat.tag_family)
        found += [(number, page, *at) for number, at in codes]
    wanted = [(tag.id, tag.page, *tag.centre) for tag in mat.tags]
    assert sorted(found) == [pytest.approx(one, abs=0.1) for one in sorted(wanted)]


def test_another_library_finds_every_code_too(made_mat, mat_of):
    """The reader of AprilTag's authors."""
    mat, found = mat_of(), []
    reader = other_reader("tag36h11", 2.0)
    for page in mat.pages:
        drawn = drawn_page(made_mat(), page)
        found += [(one.tag_id, page, *place(drawn, one.corners, 0.5)) for one in reader.detect(drawn[0])]
    wanted = [(tag.id, tag.page, *tag.centre) for tag in mat.tags]
    assert sorted(found) == [pytest.approx(one, abs=0.1) for one in sorted(wanted)]


@pytest.mark.slow
def test_no_two_codes_of_a_mat_are_the_same(mat_of, tourer):
    for words in (*PAPERS, (tourer,)):
        mat = mat_of(*words)
        assert len({one.id for one in mat.tags}) == len(mat.tags)
        for key in {one.fastener for one in mat.marks}:
            assert Counter(one.id for one in mat.marks if one.fastener == key)[mat.marks[0].id] <= 2
        owners = {(one.id, one.fastener) for one in mat.marks}
        assert len({number for number, _ in owners}) == len(owners)


def test_marks_are_read_as_their_fasteners(made_mat, mat_of, tourer):
    """Every mark of a bike: its code, in the middle of its box."""
    mat, found = mat_of(tourer), []
    for page in sorted({one.page for one in mat.marks}):
        found += [
            (number, page, *at) for number, at in read_by_opencv(drawn_page(made_mat(tourer), page), mat.mark_family)
        ]
    assert sorted(found) == [pytest.approx((one.id, one.page, *one.centre), abs=0.1) for one in mat.marks]


def test_a_mark_keeps_the_key_of_its_fastener_below_its_code(made_mat, mat_of):
    """The letter stands within the mark's box, on its page."""
    mat = mat_of()
    with pdfplumber.open(made_mat() / "mat.pdf") as document:
        for mark in mat.marks:
            page = document.pages[mark.page - 1]
            x0, y0, x1, y1 = (edge / MM for edge in mark.box)
            top, low = float(page.height) - y1, float(page.height) - y0
            across = [one for one in page.chars if one["x1"] > x0 and one["x0"] < x1]
            inside = [one["text"] for one in across if one["bottom"] > top and one["top"] < low]
            assert inside == [mark.fastener]


@pytest.mark.parametrize("words", PAPERS, ids=lambda words: words[1] if words else "A4")
def test_marks_lie_apart_and_on_the_page(made_mat, mat_of, words):
    mat = mat_of(*words)
    with pypdfium2.PdfDocument(made_mat(*words) / "mat.pdf") as document:
        for mark in mat.marks:
            width, height = (side * MM for side in document[mark.page - 1].get_size())
            x0, y0, x1, y1 = mark.box
            assert 10.0 <= x0 < x1 <= width - 10.0
            assert 10.0 <= y0 < y1 <= height - 10.0
    for one, other in combinations(mat.marks, 2):
        a, b = one.box, other.box
        assert one.page != other.page or a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def test_codes_keep_clear_of_each_other_and_of_the_edge(mat_of):
    """A cell of tint around each (3 mm) that trimming a millimetre off leaves."""
    for words in PAPERS:
        mat = mat_of(*words)
        x0, y0, x1, y1 = mat.trim
        for tag in mat.tags:
            (x, y), reach = tag.centre, tag.size / 2 + 4.0
            assert x0 <= x - reach <= x + reach <= x1
            assert y0 <= y - reach <= y + reach <= y1
        for one, other in combinations(mat.tags, 2):
            if one.page == other.page:
                assert max(abs(a - b) for a, b in zip(one.centre, other.centre, strict=True)) >= one.size + 8.0


def test_the_mat_is_large_enough_for_the_largest_panels(mat_of):
    """About 0.7 x 0.75 m at least, on any paper."""
    for words in PAPERS:
        mat = mat_of(*words)
        assert mat.columns * mat.sheet[0] >= 700
        assert mat.rows * mat.sheet[1] >= 750


def test_a_bike_has_marks_for_each_of_its_fasteners(mat_of, tourer):
    """Eight of each, or as many as a panel needs."""
    bike, _ = read_bike(Path(tourer))
    counts = Counter(one.fastener for one in mat_of(tourer).marks)
    assert list(counts) == [one.key for one in bike.fasteners]
    for key, count in counts.items():
        assert count == max(8, *(sum(hole.fastener == key for hole in panel.holes) for panel in bike.panels))


def test_without_a_bike_there_are_letters(mat_of):
    assert Counter(one.fastener for one in mat_of().marks) == dict.fromkeys("ABCDEF", 8)


@pytest.mark.parametrize(("tint", "words"), [("green", ()), ("magenta", PAPERS[2])])
def test_the_tint_is_the_one_asked_for(made_mat, mat_of, tint, words):
    """In the file, in mat.json and between the codes; green where nothing is said."""
    mat = mat_of(*words)
    assert {*TINTS} == {"green", "magenta"}
    assert mat.tint == TINTS[tint]
    with pypdfium2.PdfDocument(made_mat(*words) / "mat.pdf") as document:
        picture = document[mat.pages[5] - 1].render(scale=MM, rev_byteorder=True).to_numpy()
    (x0, y0), (x1, y1) = mat.tags[0].centre, mat.tags[4].centre
    assert mat.ink == INKS[tint]
    cell = picture[picture.shape[0] - round(y0 + mat.tags[0].size / 2 - 1.5), round(x0)]  # in the code's upper rim
    assert tuple(int(one) for one in cell[:3]) == pytest.approx(INKS[tint], abs=1)
    middle = picture[picture.shape[0] - round((y0 + y1) / 2), round((x0 + x1) / 2)]
    assert tuple(int(one) for one in middle[:3]) == pytest.approx(TINTS[tint], abs=1)


@pytest.mark.slow
def test_a_printer_that_is_out_of_true_gets_its_scale_taken_out(made_mat, mat_of, tmp_path, capsys):
    """Sizes in mat.json stay those on paper; in the file everything is divided by the scale."""
    setup = tmp_path / "setup.yaml"
    setup.write_text("format: 1\nprinter:\n  scale: [0.985, 1.012]\n", encoding="utf-8")
    words = ("--tint", "green", "--setup", str(setup))
    mat = mat_of(*words)
    assert mat.printer_scale == (0.985, 1.012)
    assert run(["verify", str(made_mat(*words) / "mat.pdf")]) == 0
    assert "0.985 × 1.012 taken out" in capsys.readouterr().out
    found = dict(read_by_opencv(drawn_page(made_mat(*words), mat.pages[0]), mat.tag_family))
    for tag in mat.tags[:12]:
        x, y = found[tag.id]
        assert (x * 0.985, y * 1.012) == pytest.approx(tag.centre, abs=0.1)


def test_the_same_mat_has_the_same_bytes(made_mat, tmp_path):
    assert run(["mat", "--quiet", "--out", str(tmp_path)]) == 0
    for name in ("mat.pdf", "mat.json"):
        digests = [hashlib.sha256((folder / name).read_bytes()).hexdigest() for folder in (tmp_path, made_mat())]
        assert digests[0] == digests[1]


def test_every_block_and_its_pages_are_on_the_first_page(made_mat, mat_of):
    """Which sheets for which panel, as a print dialog takes them, and how to do it safely."""
    with pdfplumber.open(made_mat() / "mat.pdf") as document:
        words = " ".join(document.pages[0].extract_text().split())
    assert "2 × 2: A1 to B2 278 × 452 mm 2-3, 6-7" in words
    assert "4 × 3: A1 to D3 646 × 723 mm 2-13" in words
    assert mat_of().pages_of((2, 2)) == (2, 3, 6, 7)
    for said in ("25 degrees", "no wide angle", "knife", "drips with fuel", "across ________ mm"):
        assert said in words


@pytest.mark.parametrize(
    ("keys", "family"),
    [("ABCDEF", "DICT_5X5_50"), ("ABL", "DICT_5X5_100"), ("AZ", "DICT_5X5_250"), (["Clip"], "DICT_5X5_250")],
)
def test_a_letter_has_its_codes_on_every_mat(keys, family):
    """Whatever else there is, and however many are wanted: a mark must not become another fastener's."""
    for copies in (8, 13):
        mat = lay_mat(Setup(), dict.fromkeys(keys, copies), "green", 2)
        assert mat.mark_family == family
        assert Counter(one.fastener for one in mat.marks) == dict.fromkeys(keys, copies)
        for mark in mat.marks:
            if mark.fastener != "Clip":
                assert mark.id // 8 == "ABCDEFGHIJKLMNOPQRSTUVWXYZ".index(mark.fastener)
            else:
                assert 208 <= mark.id < 250


def test_other_keys_hardly_depend_on_each_other():
    """A fastener more in front, in the midst or at the end: nearly always all marks keep their codes."""
    keys = [f"M{number} x {2 * number}" for number in range(4, 10)]
    before = mark_codes(keys)
    kept = [mark_codes([*keys[:3], f"new {number}", *keys[3:]]) for number in range(100)]
    same = sum(all(after[key] == before[key] for key in keys) for after in kept)
    assert 80 <= same <= 100
    assert len({*before.values()}) == len(keys)


def test_as_many_kinds_as_there_are_codes():
    """250 kinds of other keys; with letters among them, as many fewer as those keep for themselves."""
    mat = lay_mat(Setup(), {f"k{number}": 8 for number in range(250)}, "green", 2)
    assert Counter(Counter(one.fastener for one in mat.marks).values()) == {8: 250}
    assert len({one.id for one in mat.marks}) == 250
    for keys in ([f"k{number}" for number in range(251)], ["A", *(f"k{number}" for number in range(243))]):
        with pytest.raises(ProblemsFound, match="too few codes for marks"):
            lay_mat(Setup(), dict.fromkeys(keys, 8), "green", 2)
