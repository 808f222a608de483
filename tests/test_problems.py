"""Complaints as they are printed."""

from __future__ import annotations

from boardmaker.problems import Place, error, format_problem, nearest, warning


def test_a_problem_points_at_its_place():
    """file:line:column, the line, a caret, the hint."""
    problem = error("unknown key `shade`", Place("bike.yaml", 3, 5, "    shade: left"), "did you mean `side`?")
    assert format_problem(problem) == (
        "bike.yaml:3:5: error: unknown key `shade`\n  |     shade: left\n  |     ^\n  hint: did you mean `side`?"
    )


def test_a_caret_stays_under_its_place_in_a_long_line():
    """The line is cut around the place."""
    source = "x" * 150 + "HERE" + "y" * 150
    _, line, caret = format_problem(error("wrong", Place("f", 1, 151, source))).splitlines()
    assert line[caret.index("^")] == "H"
    assert len(line) < 110


def test_what_a_problem_quotes_cannot_act():
    """Neither name of the file nor words nor source line; the caret stays under its place."""
    source = "name: \x1b]0;x\x07 HERE\u202e"
    problem = error(
        "no \x9b2J\nerror: forged", Place("a\x1b.yaml", 1, source.index("HERE") + 1, source), "\u2066 is odd"
    )
    first, line, caret, hint = format_problem(problem).split("\n")
    assert first == r"a\x1b.yaml:1:14: error: no \x9b2J\nerror: forged"
    assert line[caret.index("^") :] == r"HERE\u202e"
    assert hint == r"  hint: \u2066 is odd"


def test_a_problem_without_a_place_is_one_line():
    """Not everything stands in a file."""
    assert format_problem(warning("doubtful")) == "warning: doubtful"


def test_the_nearest_word_ignores_case_and_gives_up_in_time():
    """A slip is found, a stranger is not."""
    assert nearest("Lenght", ["length", "head"]) == "length"
    assert nearest("zebra", ["length", "head"]) == ""
