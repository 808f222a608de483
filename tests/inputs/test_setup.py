"""The setup file: the example of its format, the defaults, and what the command line overrides."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from boardmaker.inputs import override_setup, paper_of, read_setup
from boardmaker.inputs.setup import MOST_OBSTACLES
from boardmaker.model import BoardSetup, CaseSetup, KeepOut, Margins, Paper, PrinterSetup, Setup
from boardmaker.problems import ProblemsFound

A4 = Paper("A4", 210.0, 297.0)  # ISO 216


@pytest.fixture
def setup_of(tmp_path):
    def read(text):
        path = tmp_path / "setup.yaml"
        path.write_text(f"format: 1\n{text}\n", encoding="utf-8")
        return read_setup(path)[0]

    return read


def test_the_example_of_the_format():
    """Every value in mm, the board with its long side along x."""
    setup, warnings = read_setup(Path("fixtures/inputs/full-setup.yaml"))
    assert warnings == ()
    assert setup == Setup(
        BoardSetup((762.0, 508.0), 5.0, "foam board", 8.0, 6.0, 4.0),
        CaseSetup((560.0, 400.0), (), 70.0, 120.0, (520.0, 360.0), 4.0, (KeepOut((0.0, 180.0), (30.0, 60.0)),)),
        A4,
        PrinterSetup(Margins(6.0, 6.0, 6.0, 6.0), (1.0, 1.0)),
        inches=True,
    )


def test_without_a_file_the_defaults_hold(setup_of):
    """The board of the example, no case, A4, 10 mm margins, scale 1; an empty file says the same."""
    defaults = Setup(BoardSetup((762.0, 508.0), 5.0, "foam board", 8.0, 6.0, 4.0), None, A4, PrinterSetup(Margins()))
    assert read_setup(None) == (defaults, ())
    assert defaults.printer.margins == Margins(10.0, 10.0, 10.0, 10.0)
    assert setup_of("") == defaults


def test_margins_edge_by_edge(setup_of):
    """An edge that is left out keeps 10 mm."""
    margins = setup_of("printer: { margins: { left: 1/4 in, bottom: 15 } }").printer.margins
    assert margins == Margins(left=6.35, right=10.0, top=10.0, bottom=15.0)


def test_a_case_of_any_outline(setup_of):
    """Moved to the origin, counter-clockwise, its bounding size as the inside."""
    case = setup_of("case: { outline: [[10, 20], [10, 420], [570, 420], [570, 20]], height: 120 }").case
    assert case.inside == (560.0, 400.0)
    assert set(case.outline) == {(0.0, 0.0), (560.0, 0.0), (560.0, 400.0), (0.0, 400.0)}
    assert (
        sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(case.outline, case.outline[1:] + case.outline[:1], strict=True))
        > 0
    )


@pytest.mark.parametrize(
    ("text", "width", "height", "roll"),
    [
        ("A3", 297.0, 420.0, False), ("a4", 210.0, 297.0, False), ("A5", 148.0, 210.0, False),
        ("letter", 215.9, 279.4, False), ("Legal", 215.9, 355.6, False), ("tabloid", 279.4, 431.8, False),
        ("13 x 19 in", 330.2, 482.6, False), ("19 x 13 in", 330.2, 482.6, False), ("329 x 483 mm", 329.0, 483.0, False),
        ("roll of 610 mm", 610.0, 10_000.0, True), ("roll of 24 in", 609.6, 10_000.0, True),
    ],
)  # fmt: skip
def test_papers(text, width, height, roll):
    """ISO 216, ASME Y14.1 and US legal by name, as in `standards/tables/paper.csv`; portrait, however written."""
    paper = paper_of(text)
    assert (paper.width, paper.height, paper.roll) == (pytest.approx(width), pytest.approx(height), roll)


KNOWN = "is not a known paper: known are A0, A1, A2, A3, A4, A5, letter, legal, tabloid"
FROM_TO = "mm is no paper: write a size with its unit, from 50 mm to 10 m"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("A99", f"'A99' {KNOWN}"), ("", f"'' {KNOWN}"), ("roll", f"'roll' {KNOWN}"), ("x", f"'x' {KNOWN}"),
        ("roll of paper", '"paper" is no quantity'), ("13 x 19", '"13 x 19" has no unit'),
        ("1 x 1 in", f"a side of 25.4 {FROM_TO}"), ("roll of 20 m", f"a side of 20000 {FROM_TO}"),
        ("0 x 0 mm", f"a side of 0 {FROM_TO}"),
    ],
)  # fmt: skip
def test_what_is_no_paper(text, said):
    """A ValueError that says what there is."""
    with pytest.raises(ValueError, match=f"^{re.escape(said)}"):
        paper_of(text)


def test_the_command_line_wins():
    """Board, case and paper; the rest of the setup stays."""
    file = read_setup(Path("fixtures/inputs/full-setup.yaml"))[0]
    setup = override_setup(file, board="600 x 900 mm", case="470 x 370 mm", paper="letter")
    assert setup.board == BoardSetup((900.0, 600.0))
    assert setup.case == CaseSetup((470.0, 370.0))  # sharp corners, upright walls, no height limit
    assert (setup.paper.name, setup.printer, setup.inches) == ("letter", file.printer, False)
    assert override_setup(file, board=None, case=None, paper=None) == file
    assert override_setup(file, board="20 x 30 in", case=None, paper=None).inches


@pytest.mark.parametrize(
    ("board", "case", "inches"),
    [
        ("20 x 30 in", "470 x 370 mm", (True, False)),
        ("700 x 500 mm", "18 1/2 x 14 in", (False, True)),
        ("20 x 30 in", None, (True, True)),
    ],
)
def test_stock_and_cuts_are_said_each_in_its_unit(board, case, inches):
    """The stock as it was bought; what is cut off it as the case was written that asks for the cuts."""
    setup = override_setup(Setup(), board=board, case=case, paper=None)
    assert (setup.inches, setup.cuts_in_inches) == inches


def test_a_case_of_the_file_is_in_inches_where_it_is_written_so(setup_of):
    """Its inside decides, or its outline."""
    assert setup_of("case: { inside: 22 x 16 in, height: 120 mm }").cuts_in_inches
    assert setup_of('case: { outline: [[0, 0], ["20 in", 0], ["20 in", 300]] }').cuts_in_inches
    assert not setup_of("board: { size: 20 x 30 in }\ncase: { inside: 560 x 400 mm }").cuts_in_inches


@pytest.mark.parametrize(
    ("options", "message", "hint"),
    [
        ({"board": "20 x 30"}, '--board: "20 x 30" has no unit', "20 x 30 in"),
        ({"board": "big"}, '--board: "big" is no size', "20 x 30 in"),
        ({"board": "100 x 80 mm", "case": "x"}, '--case: "x" is no size', "560 x 400 mm"),
        ({"case": "30 x 40 mm"}, "--case: 30 x 40 mm is not between", "20 x 30 in"),
        ({"paper": "A44"}, "--paper: 'A44' is not a known paper", "A4"),
    ],
)
def test_a_wrong_option_says_which(options, message, hint):
    """And how to write it."""
    with pytest.raises(ProblemsFound) as found:
        override_setup(Setup(), **{"board": None, "case": None, "paper": None, **options})
    assert message in found.value.problems[0].message
    assert hint in found.value.problems[0].hint


def test_a_clearance_as_large_as_the_board_is_refused(setup_of):
    """Beyond what can be searched; half a board is odd and yet allowed."""
    assert setup_of("board: { clearance: 250 }").board.clearance == 250.0
    with pytest.raises(ProblemsFound, match="a clearance of 508 mm is as much as the board"):
        setup_of("board: { clearance: 508 }")
    with pytest.raises(ProblemsFound, match="--board 200 x 300 mm: the clearance of 250 mm is as much"):
        override_setup(setup_of("board: { clearance: 250 }"), board="200 x 300 mm", case=None, paper=None)


def test_a_size_below_nought_is_named(setup_of):
    """Width and height as they were written, not "a list"."""
    with pytest.raises(ProblemsFound, match="`size`: -5 x 5 mm is no size"):
        setup_of("case: { inside: 560 x 400 mm, keep_out: [ { at: [0, 0], size: [-5, 5] } ] }")


def test_all_wrong_options_are_said_at_once():
    """Not one after the other."""
    with pytest.raises(ProblemsFound) as found:
        override_setup(Setup(), board="a", case="b", paper="c")
    assert len(found.value.problems) == 3


def test_a_margin_that_eats_the_board_of_the_command_line():
    """The margin is the file's, the board is not."""
    setup = Setup(board=BoardSetup(margin=50.0))
    with pytest.raises(ProblemsFound, match="margin of 50 mm leaves nothing"):
        override_setup(setup, board="300 x 90 mm", case=None, paper=None)


def test_a_named_case_is_chosen_on_the_command_line(tmp_path):
    """Several cases in one file; a name that is none of them says which there are."""
    path = tmp_path / "setup.yaml"
    path.write_text(
        "format: 1\ncase: { inside: 560 x 400 mm }\ncases:\n  tail bag: { inside: 300 x 220 mm, clearance: 3 }\n",
        "utf-8",
    )
    setup, _ = read_setup(path)
    assert setup.case.inside == (560.0, 400.0)
    chosen = override_setup(setup, board=None, case="tail bag", paper=None)
    assert (chosen.case.inside, chosen.case.clearance) == ((300.0, 220.0), 3.0)
    assert override_setup(setup, board=None, case="400 x 300 mm", paper=None).case.inside == (400.0, 300.0)
    with pytest.raises(ProblemsFound, match="no case") as wrong:
        override_setup(setup, board=None, case="tale bag", paper=None)
    assert "tail bag" in wrong.value.problems[0].hint


def test_a_mistake_in_a_named_case_is_found_at_its_place(tmp_path):
    """Line and column of the named case, as for the one without a name."""
    path = tmp_path / "setup.yaml"
    path.write_text("format: 1\ncases:\n  bag: { inside: 300 x 220 mm, floor: 200 x 100 mm }\n", "utf-8")
    with pytest.raises(ProblemsFound) as wrong:
        read_setup(path)
    assert wrong.value.problems[0].where.line == 3


def star(count):
    reach = [250 + 40 * (n % 2) for n in range(2 * count)]
    angles = [n * math.pi / count for n in range(2 * count)]
    return [[300 + r * math.cos(angle), 300 + r * math.sin(angle)] for r, angle in zip(reach, angles, strict=True)]


@pytest.mark.parametrize(
    ("case", "count"),
    [
        (f"inside: 560 x 400 mm, keep_out: [{'{ at: [5, 5], size: [9, 9] }, ' * (MOST_OBSTACLES + 1)}]", 51),
        (f"outline: {star(60)}", 60),
    ],
    ids=["keep-outs", "hollows"],
)
def test_a_case_has_a_largest_number_of_obstacles(setup_of, case, count):
    """Each locks boards out in many ways; thousands of them take minutes without a word."""
    for text in (f"case: {{ {case} }}", f"cases: {{ bag: {{ {case} }} }}"):
        with pytest.raises(ProblemsFound, match=f"{count} keep-outs and hollows of its outline, more than 50") as found:
            setup_of(text)
        assert found.value.problems[0].where.line == 2


def test_a_case_may_have_fifty_keep_outs(setup_of):
    """And a round outline of many points, which has no hollows."""
    assert setup_of(
        f"case: {{ inside: 560 x 400 mm, keep_out: [{'{ at: [5, 5], size: [9, 9] }, ' * MOST_OBSTACLES}] }}"
    )
    ring = [[300 + 280 * math.cos(n * math.tau / 500), 300 + 200 * math.sin(n * math.tau / 500)] for n in range(500)]
    assert setup_of(f"case: {{ outline: {ring} }}")
