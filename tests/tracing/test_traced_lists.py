"""Lists of points from spreadsheets in three dialects, and what is wrong with lists, row by row."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardmaker.problems import ProblemsFound
from boardmaker.tracing import read_tracing

ROWS = [
    ("panel", "x", "y", "fastener", "what", "stack", "note"),
    ("seat", "10.5", "-5.25", "", "outline", "", ""),
    ("seat", "210.5", "-5.25", "", "outline", "", ""),
    ("seat", "210.5", "94.75", "", "outline", "", ""),
    ("seat", "10.5", "94.75", "", "outline", "", ""),
    ("seat", "30.125", "14.75", "A", "", "3 mm", "long one, black"),
    ("knee-left", "412", "33.5", "B", "hole", "", ""),
    ("seat", "60", "20", "", "", "", ""),
]


def written(separator, decimal, end="\r\n", mark=b"", encoding="utf-8", quote=csv.QUOTE_MINIMAL):
    """The rows as a spreadsheet of some country writes them."""
    text = io.StringIO(newline="")
    made = csv.writer(text, delimiter=separator, lineterminator=end, quoting=quote)
    for row in ROWS:
        made.writerow([cell.replace(".", decimal) if cell[:1].isdigit() or cell[:1] == "-" else cell for cell in row])
    return mark + text.getvalue().encode(encoding)


DIALECTS = {
    "comma and point": written(",", "."),
    "semicolon and decimal comma, with a mark": written(";", ",", mark=b"\xef\xbb\xbf"),
    "tab and decimal comma": written("\t", ",", end="\n"),
    "tab, in UTF-16": written("\t", ",", encoding="utf-16-le", mark=b"\xff\xfe"),
    "UTF-16, the other way round": written(";", ",", encoding="utf-16-be", mark=b"\xfe\xff"),
    "all in quotes, decimal comma": written(",", ",", quote=csv.QUOTE_ALL),
    "a line that says the separator": b"sep=;\r\n" + written(";", ","),
    "old line ends": written(",", ".", end="\r"),
}


@pytest.mark.parametrize("dialect", DIALECTS)
def test_every_dialect_says_the_same(trace, dialect):
    """Places to the last digit, keys as written, rows by their numbers, an outline from its lower left."""
    tracing = trace(DIALECTS[dialect], "d.csv")
    seat, knee = tracing.panels
    more = 1 if "says the separator" in dialect else 0
    assert (seat.key, seat.outline) == ("seat", ((0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)))
    assert [(one.at, one.fastener, one.keys, one.where) for one in seat.holes] == [
        ((19.625, 20.0), "A", (("stack", "3 mm"), ("note", "long one, black")), f"row {6 + more}"),
        ((49.5, 25.25), None, (), f"row {8 + more}"),
    ]
    assert (knee.key, knee.outline) == ("knee-left", ())
    assert [(one.at, one.fastener, one.keys) for one in knee.holes] == [((412.0, 33.5), "B", ())]
    assert tracing.scale_said == "mm, as in every list"
    assert tracing.ignored == ()


def test_a_list_of_one_panel_names_none(trace):
    """Without the column `panel`, or with nothing in it; columns in any order and with capitals."""
    for text in ("Y,X,Fastener\n20,10,A\n", "x;y;panel;fastener\n10;20;;a\n", "x\ty\tfastener\n10 mm\t2 cm\tA 3\n"):
        (panel,) = trace(text, "d.csv").panels
        assert (panel.key, panel.outline) == (None, ())
        assert [(hole.at, hole.fastener) for hole in panel.holes] == [((10.0, 20.0), "A")]


def test_units_of_a_list(trace):
    """Bare numbers are mm, or the unit that was asked for; a cell may have its own."""
    tracing = trace("x,y\n2,0.5\n1/2 in,20 mm\n3 cm,\u22124\n", "d.csv", unit="in")
    assert [hole.at for hole in tracing.panels[0].holes] == [
        pytest.approx((50.8, 12.7)), pytest.approx((12.7, 20)), pytest.approx((30, -101.6)),
    ]  # fmt: skip
    assert tracing.scale_said == "in, as asked for"


def test_decimal_commas_with_three_digits(trace, refused):
    """In a list that has decimal commas elsewhere, or semicolons, 1,234 is no thousand; in any other it is asked."""
    assert trace("x;y\n1,234;5,678\n", "d.csv").panels[0].holes[0].at == (1.234, 5.678)
    assert trace("x\ty\n1,234\t5,6\n", "d.csv").panels[0].holes[0].at == (1.234, 5.6)
    assert "2: `x`: " in refused('x,y\n"1,234",7\n', "d.csv")[0]


def test_columns_that_are_none_are_said(trace):
    """A slip of the pen would lose what stands in it."""
    ignored = trace("x,y,stak,colour\n1,2,3,red\n", "d.csv").ignored
    assert [one.what for one in ignored] == ["column 'stak'", "column 'colour'"]
    assert ignored[0].why.endswith("; was `stack` meant?")
    assert "meant" not in ignored[1].why


WRONG = {
    "a place that is no number": ("x,y\n1,2\nten,3\n", "3: `x`: "),
    "no place": ("x,y\n1,2\n,3\n", "3: this row has no x"),
    "too far": ("x,y\n1,2\n3,20000\n", "3: `y`: 20000 is more than 10 m"),
    "no column y": ("x,z\n1,2\n", "1: the header has no column `y`"),
    "a panel that is none": ("panel,x,y\nseta,1,2\n", '2: the bike has no panel "seta" | did you mean `seat`?'),
    "a fastener that is none": ("x,y,fastener\n1,2,Z9\n", '2: the bike has no fastener "Z9" | known are A, B'),
    "a row without its panel": ("panel,x,y\nseat,1,2\n,3,4\n", "3: this row names no panel"),
    "what is nothing": ("x,y,what\n1,2,outlin\n", '2: "outlin" is nothing of a panel | did you mean `outline`?'),
    "an outline with a fastener": ("x,y,what,fastener\n1,2,outline,A\n", "2: an outline's point has no fastener"),
    "an outline of two points": ("x,y,what\n1,2,outline\n5,6,outline\n", "2: the outline that begins here: "),
    "an outline that crosses itself": (
        "x,y,what\n0,0,outline\n9,9,outline\n9,0,outline\n0,9,outline\n", "2: the outline that begins here: ",
    ),
    "a hole outside": (
        "x,y,what\n0,0,outline\n100,0,outline\n100,50,outline\n0,50,outline\n50,62.5,hole\n",
        "6: this hole lies 12.5 mm outside of the outline",
    ),
    "one id twice": ("x,y,id\n1,2,a\n3,4,a\n", '3: the id "a" is also in row 2 of this panel'),
    "a decimal comma between commas": ("x,y\n1,5,2\n", "2: this line has 3 cells, the header has 2"),
    "no rows": ("x,y\n", "1: the list has no rows below its header"),
    "nothing": ("", "1: this file is empty"),
    "a quote left open": ('x,y\n"1,2\n', "2: this line cannot be read"),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_wrong_lists_are_refused_at_the_row(refused, wrong):
    """What, in which row, and what to do."""
    text, says = WRONG[wrong]
    problems = refused(text, "d.csv")
    assert any(one.startswith(says) for one in problems), problems


def test_every_wrong_row_is_said_at_once(trace, refused):
    """And of very many the first fifty."""
    assert len(refused("x,y\na,1\n2,b\n3,4\nc,d\n", "d.csv")) == 4
    with pytest.raises(ProblemsFound) as found:
        trace("x,y\n" + "a,1\n" * 60, "d.csv")
    assert len(found.value.problems) == 51
    assert found.value.problems[-1].message == "and there may be more; mend these first"


def test_other_encodings_are_refused_clearly(refused):
    """Latin-1, UTF-16 without its mark or cut off: it says what to do; a line of known length is in no list."""
    assert refused("x,y,note\n1,2,Größe\n".encode("latin-1"), "d.csv")[0].startswith("2: line 2 is not UTF-8 text")
    assert "UTF-16 text without its mark" in refused("x,y\n1,2\n".encode("utf-16-le"), "d.csv")[0]
    assert "no whole UTF-16 text" in refused(b"\xff\xfex\0,\0y", "d.csv")[0]
    assert "no line of known length" in refused("x,y\n1,2\n", "d.csv", known=9.0)[0]


@pytest.mark.slow
def test_a_list_of_forty_panels(trace):
    """500 outline points each; more rows than any list of ours has are refused."""
    rows = ["panel,x,y,what,fastener"]
    for number in range(40):
        rows += [f"p{number},{i},{i * i / 500},outline," for i in range(500)]
        rows.append(f"p{number},250,200,hole,A")
    tracing = trace("\n".join(rows), "d.csv", panels=[f"p{number}" for number in range(40)])
    assert [len(panel.holes) for panel in tracing.panels] == [1] * 40
    assert {panel.holes[0].at for panel in tracing.panels} == {(250.0, 200.0)}


def test_too_many_rows(refused):
    """It says how many are taken."""
    assert "taken are 30000" in refused("x,y\n" + "1,2\n" * 30_001, "d.csv")[0]


CELL = st.sampled_from(
    ["", "1", "1,5", "-3.5", "x", "y", "seat", "A", "outline", '"', "nan", "1e9", "=1+1", "\u2212", "/"]
)
TEXT = st.lists(st.lists(CELL, max_size=5), max_size=6).map(lambda rows: "\n".join(",".join(row) for row in rows))


@pytest.mark.slow
@given(st.sampled_from(["x,y,panel,what,fastener\n", "x;y\n", "panel\tx\ty\n", ""]), TEXT | st.text(max_size=40))
def test_any_list(tmp_path_factory, header, text):
    """Panels, or problems each with what to do; nothing else."""
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_text(header + text, encoding="utf-8", errors="surrogatepass")
    try:
        tracing = read_tracing(path, ("seat",), ("A",), None, None)
    except ProblemsFound as found:
        problems = found.problems
        assert len(problems) > 0
    else:
        assert tracing.panels
