"""Bag and audit lists as spreadsheets and people write them, and everything that can be wrong with one."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from bikes import bike_text
from hypothesis import given, settings
from hypothesis import strategies as some

from boardmaker.inputs import read_audit, read_bag, read_bike
from boardmaker.model import AuditFind
from boardmaker.problems import ProblemsFound, format_problem
from boardmaker.text.csv_text import write_csv

pytestmark = pytest.mark.slow

PANEL = "  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: A }, { at: [90, 0], fastener: B } ] }"
EXTRA = """  W: { kind: screw, thread: M6, length: 16, with_it: [washer] }
  D1: { part: ISO 4762 - M6 x 20 - 8.8 }
  D2: { part: ISO 4762 - M6 x 20 - 8.8, threadlocker: medium }
  '-1': { kind: screw, thread: M6, length: 9 }
panels:"""
BELONGS = {"lid/1": "A", "lid/2": "B"}


@pytest.fixture(scope="module")
def bike(tmp_path_factory):
    path = tmp_path_factory.mktemp("lists") / "bike.yaml"
    path.write_text(bike_text(PANEL).replace("panels:", EXTRA, 1), encoding="utf-8")
    return read_bike(path)[0]


@pytest.fixture
def listed(tmp_path):
    def write(content):
        path = tmp_path / "list.csv"
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        return path

    return write


def complaints(read, *arguments):
    with pytest.raises(ProblemsFound) as found:
        read(*arguments)
    return [format_problem(problem) for problem in found.value.problems]


@pytest.mark.parametrize(
    "text",
    [
        "key,count\nA,3\nB,2\n",
        "count;key\n3;A\n2;B",
        "\ufeffKey , Count\r\nA , 3\r\n\r\nB,2\r\n",
        '"key";"note";"count"\r\n"A";"x; y";"3"\r\n"B";;"2"\r\n',
        "key\tcount\rA\t3\rB\t2\r",
        "key,count\nA,1\nB,2\nA,2\n,\n",
        "designation,key,count\n,A,3\nISO 7380-2 - M6 x 16 - 10.9,,2\n",
        "key,designation,count\nA,,3\nB,ISO 7380-2-M6x16-10.9,2\n",
    ],
)
def test_a_bag_as_people_write_it(bike, listed, text):
    """Header in any order, comma, semicolon or tab, quotes, spaces, a byte order mark, lines that add up."""
    bag = read_bag(listed(text), bike)
    assert (bag.count_of("A"), bag.count_of("B"), bag.count_of("C")) == (3, 2, 0)
    assert not bag.counts_items


def test_what_is_kept_with_a_fastener_is_counted_by_its_name(bike, listed):
    """`W + washer`, in any spacing; a key that looks like a formula comes back without its apostrophe."""
    bag = read_bag(listed("key,count\nW,1\nW+Washer,2\nW + washer,3\n'-1,4\n"), bike)
    assert (bag.count_of("W"), bag.count_of("W", "washer"), bag.count_of("-1")) == (1, 5, 4)
    assert bag.counts_items


def test_capitals_of_a_key_do_not_matter_where_one_kind_is_meant(bike, listed):
    """Also with what is kept with it, and under `found`."""
    bag = read_bag(listed("key,count\na,3\nw + washer,2\nd1,1\n"), bike)
    assert (bag.count_of("A"), bag.count_of("W", "washer"), bag.count_of("D1")) == (3, 2, 1)
    assert read_audit(listed("hole,found\nLID/1,a\nlid/2,a\n"), bike, BELONGS).finds == (
        AuditFind("lid/1", "ok"),
        AuditFind("lid/2", "wrong", "A"),
    )


def test_capitals_matter_where_two_kinds_differ_in_nothing_else(bike, listed):
    """The key as written wins; a third way of writing it is nobody's."""
    kinds = (*bike.fasteners, replace(bike.fasteners[0], key="d1"))
    two = replace(bike, fasteners=kinds)
    bag = read_bag(listed("key,count\nd1,3\nD1,2\n"), two)
    assert (bag.count_of("d1"), bag.count_of("D1")) == (3, 2)
    extended = replace(two, fasteners=(*kinds, replace(kinds[0], key="ab"), replace(kinds[0], key="aB")))
    assert 'has no fastener "AB"' in complaints(read_bag, listed("key,count\nAB,1\n"), extended)[0]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("key,count\nA,x\n", 2, ['"x" is no count', "whole number"]),
        ("key,count\nA,-1\n", 2, ['"-1" is no count']),
        ("key,count\nA,2.0\n", 2, ['"2.0" is no count']),
        ("key,count\nA,\n", 2, ["has no count", "write 0"]),
        ("key,count\nA,١\n", 2, ["is no count"]),
        ("key,count\nA,9999999\n", 2, ["more than any bag holds"]),
        ("key,count\nA,1\nscrew,1\n", 3, ['has no fastener "screw"', "its keys are"]),
        ("key,count\nD,1\n", 2, ['has no fastener "D"', 'did you mean "D']),
        ("designation,count\nISO 7380-2 - M6 x 18 - 10.9,1\n", 2, ['did you mean "ISO 7380-2 - M6 x 16 - 10.9"']),
        ("designation,count\nISO 4762 - M6 x 20 - 8.8,1\n", 2, ["several fasteners are (D1, D2)", "write the key"]),
        ("key,designation,count\nA,ISO 7380-2 - M6 x 16 - 10.9,1\n", 2, ["two kinds", "that of B"]),
        ("key,count\nW + collar,1\n", 2, ["no collar is kept with W"]),
        ("key,count\n,1\n", 2, ["not of what"]),
        ("key,count\n\n\nA,1,2\n", 4, ["3 cells, the header has 2"]),
        ('key,count\nA,"1\nB,2\n', 2, ["cannot be read", 'a quote " left open']),
        ("keys,count\nA,1\n", 1, ["no column `key` or `designation`", 'is it "keys"?']),
        ("key\nA\n", 1, ["no column `count`"]),
        ("A,3\nB,2\n", 1, ["no column `key`", "the first line names the columns"]),
        ("key,count,KEY\nA,1,A\n", 1, ["names the column `key` twice"]),
        ("key,count\n", 1, ["a header and nothing under it"]),
        ("", 1, ["this file is empty"]),
        ("\n \n", 1, ["this file is empty"]),
        ("key,count\nA,1\nB,\x002\n", 3, ["control character"]),
    ],
)
def test_what_is_wrong_with_a_bag_is_said_with_its_line(bike, listed, text, line, words):
    """What, where, and how to mend it."""
    path = listed(text)
    said = "\n".join(complaints(read_bag, path, bike))
    assert said.startswith(f"{path}:{line}:")
    assert all(word in said for word in words), said


def test_everything_wrong_is_said_at_once(bike, listed):
    """In the file's order."""
    said = complaints(read_bag, listed("key,count\nX,1\nA,x\nB,-2\n"), bike)
    assert len(said) == 3


def test_hostile_files_are_refused(bike, tmp_path, listed):
    """Latin-1 bytes with their line, a file too large, one that is not there."""
    (said,) = complaints(read_bag, listed("key,count\nA,1\nSchräg,2\n".encode("latin-1")), bike)
    assert ":3:" in said
    assert "UTF-8" in said
    (said,) = complaints(read_bag, listed(b"A,1\n" * 300_000), bike)
    assert "larger than" in said
    (said,) = complaints(read_bag, tmp_path / "none.csv", bike)
    assert "cannot read" in said


def test_a_file_of_very_many_gigabytes_is_not_even_read(bike, tmp_path):
    """As long as 1e9 lines would be; sparse, so that no disk is filled."""
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(4_000_000_000)
    (said,) = complaints(read_bag, path, bike)
    assert "larger than" in said


def test_an_audit_as_people_write_it(bike, listed):
    """Words in any case, keys, designations; what is left empty was not looked at."""
    audit = read_audit(listed("found;hole\nISO 7380-2 - M6 x 16 - 10.9;lid/1\nOK;lid/2\n"), bike, BELONGS)
    assert audit.finds == (AuditFind("lid/1", "wrong", "B"), AuditFind("lid/2", "ok"))
    assert read_audit(listed("hole,found\nlid/1,A\nlid/2,\n"), bike, BELONGS).finds == (AuditFind("lid/1", "ok"),)


@pytest.mark.parametrize("mark", ["L 1", "l1", " L  1 ", "LID/1"])
def test_an_audit_by_what_the_board_shows(bike, listed, mark):
    """Tag and number, as `screw --hole` takes them; the number is the board's, not the hole's id."""
    marks = {"L 1": "lid/2", "L 2": "lid/1"}
    audit = read_audit(listed(f"hole,found\n{mark},missing\n"), bike, BELONGS, marks)
    assert audit.finds == (AuditFind("lid/1" if "/" in mark else "lid/2", "missing"),)
    (said,) = complaints(read_audit, listed("hole,found\nlid/2,ok\nL 1,ok\n"), bike, BELONGS, marks)
    assert "listed twice" in said
    (said,) = complaints(read_audit, listed("hole,found\nL 9,ok\n"), bike, BELONGS, marks)
    assert "panel/id, such as seat/1" in said
    assert "tag and number as on the board, such as TC 1" in said


def test_the_line_others_says_that_the_rest_was_ok(bike, listed):
    """Only where it says ok itself."""
    audit = read_audit(listed("hole,found\nlid/1,Missing\nlid/2,\nothers,ok\n"), bike, BELONGS)
    assert audit.finds == (AuditFind("lid/1", "missing"), AuditFind("lid/2", "ok"))
    assert len(read_audit(listed("hole,found\nlid/1,other\nothers,\n"), bike, BELONGS).finds) == 1


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("hole,found\nlid/3,ok\n", 2, ['no fastener comes out of a hole "lid/3"', 'did you mean "lid/']),
        ("hole,found\nlid/1,ok\nlid/1,B\n", 3, ["listed twice"]),
        ("hole,found\nlid/1,gone\n", 2, ['no fastener "gone"', "; or write ok, missing, or other"]),
        ("hole,found\nlid/1,A;\n", 2, ['no fastener "A;"', 'did you mean "A"? Or write ok, missing, or other']),
        ("hole,found\nothers,missing\n", 2, ["can only be `ok`"]),
        ("hole,found\n,ok\n", 2, ["names no hole"]),
        ("hole,found\nlid/1,\n", 1, ["nothing is filled in"]),
        ("hole\nlid/1\n", 1, ["no column `found`"]),
        ("holes,found\nlid/1,ok\n", 1, ["no column `hole`", 'is it "holes"?']),
    ],
)
def test_what_is_wrong_with_an_audit_is_said_with_its_line(bike, listed, text, line, words):
    """What, where, and how to mend it."""
    path = listed(text)
    said = "\n".join(complaints(read_audit, path, bike, BELONGS))
    assert said.startswith(f"{path}:{line}:")
    assert all(word in said for word in words), said


def assert_places_in(path, problems):
    """Every problem has a line of that file, or the file as a whole."""
    lines = len(path.read_bytes().splitlines())
    for problem in problems:
        place = re.match(rf"{re.escape(str(path))}(?::(\d+):\d+)?", format_problem(problem))
        assert place, format_problem(problem)
        assert 1 <= int(place[1] or 1) <= max(1, lines)
    assert problems


@settings(max_examples=150, deadline=None)
@given(content=some.binary(max_size=200) | some.text(max_size=120).map(lambda text: ("key,count\n" + text).encode()))
def test_no_content_is_a_fault_of_ours(bike, tmp_path_factory, content):
    """Whatever the bytes: counts, or problems with a place; no bytes of these are a list of found screws."""
    path = tmp_path_factory.mktemp("fuzz") / "list.csv"
    path.write_bytes(content)
    try:
        assert all(bike.fastener(one.fastener) and one.count > 0 for one in read_bag(path, bike).counts)
    except ProblemsFound as found:
        assert_places_in(path, found.problems)
    with pytest.raises(ProblemsFound) as found:
        read_audit(path, bike, BELONGS)
    assert_places_in(path, found.value.problems)


@settings(max_examples=60, deadline=None)
@given(counts=some.dictionaries(some.sampled_from(["A", "B", "C", "-1", "W + washer"]), some.integers(0, 999_999)))
def test_a_list_that_we_write_is_read_back(bike, tmp_path_factory, counts):
    """The templates go through the same writer."""
    path = tmp_path_factory.mktemp("back") / "list.csv"
    path.write_bytes(write_csv(["what", "key", "count"], [("x, y", key, count) for key, count in counts.items()]))
    if counts:
        bag = read_bag(path, bike)
        read = {f"{one.fastener} + {one.item}" if one.item else one.fastener: one.count for one in bag.counts}
        assert read == counts
