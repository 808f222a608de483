"""Every reader of a stranger's text, on texts that hypothesis makes up: what is meant, or a reason; nothing else.

The suite draws the same examples in every run; `pytest tests/hostile --hypothesis-profile=long` draws thousands of
others.
"""

from __future__ import annotations

import copy
import io
import json
import math
import re
import struct
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kinds import SMALL
from shapely import Polygon

from boardmaker.boards.board_file.form import BoardFile
from boardmaker.boards.board_file.reading import read_board_file
from boardmaker.command_line import run
from boardmaker.commands.screen import print_error, print_line, print_problem
from boardmaker.inputs import read_audit, read_bag, read_bike, read_setup
from boardmaker.inputs.outlines import outline_from_points, points_of_svg
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.model import Bike, Setup
from boardmaker.plain_text import HIDDEN
from boardmaker.problems import Place, ProblemsFound, error, format_problem
from boardmaker.proof.structure import Structure, read_structure
from boardmaker.scan.picture import Picture, read_picture
from boardmaker.standards import Part, Thread, parse_part, parse_thread
from boardmaker.units import read_torque_unit

pytestmark = pytest.mark.slow

FEWER = settings(max_examples=max(20, settings.default.max_examples // 3))  # where one costs tens of milliseconds
KEYS = sorted(
    set(re.findall(r"[\w-]+(?=:)", SMALL)) | {"setup", "case", "cases", "inside", "paper", "printer", "scale"}
)
ODD_NUMBERS = st.sampled_from([0, -0.0, -1, 1e-300, 1e300, -1e300, 1e17, 10**30, math.nan, math.inf, -math.inf, 20_001])
NUMBERS = ODD_NUMBERS | st.integers(-500, 500) | st.floats(-500, 500)
WORDS = st.sampled_from(
    [
        "",
        "seat",
        "knee-left",
        "lid",
        "A",
        "B",
        "left",
        "M6",
        "M6 x 16",
        "5 N·m",
        "3/4 in",
        "20 x 30 in",
        "oil",
        "rack",
        "9 to 5 N·m",
        "nan",
        "\uff11\uff12 mm",
        "x" * 2001,
        "\x1b[31m",
        "\u202e",
        "e\u0301",
        "ISO 7380-2 - M6 x 16",
    ]
)
SCALARS = st.none() | st.booleans() | NUMBERS | WORDS | st.text(st.characters(), max_size=6)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(KEYS) | WORDS, inner, max_size=4),
    max_leaves=12,
)


def as_yaml(tree):
    """JSON is YAML, but for the numbers that JSON has no words for."""
    text = json.dumps(tree, ensure_ascii=True)
    return text.replace("-Infinity", "-.inf").replace("Infinity", ".inf").replace("NaN", ".nan")


def planted(tree, places, value):
    """A copy of a tree with a value somewhere in it; `places` lead there, each counted round."""
    made = copy.deepcopy(tree)
    holder = made
    for number, place in enumerate(places, start=1):
        keys = list(holder) if isinstance(holder, dict) else range(len(holder))
        if not keys:
            break
        key = keys[place % len(keys)]
        if number == len(places) or not isinstance(holder[key], dict | list):
            holder[key] = value
            break
        holder = holder[key]
    return made


def outcome(kind, read, *arguments):
    """What a reader returns, or the error of this kind that it raises."""
    try:
        return read(*arguments)
    except kind as wrong:
        return wrong


def answer(read, *arguments):
    """What a reader returns, or the problems that it raises, each with its reason."""
    got = outcome(ProblemsFound, read, *arguments)
    if not isinstance(got, ProblemsFound):
        return got
    assert got.problems
    for problem in got.problems:
        assert re.search(r"\w", problem.message)
        assert not HIDDEN.search(format_problem(problem).replace("\n", ""))
    return got.problems


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("readers")


PLACES = st.lists(st.integers(0, 30), min_size=1, max_size=6)
GOOD_BIKE = {
    "format": 1, "bike": {"name": "Small"}, "equipment": {"rack": "Rack"},
    "fasteners": {"A": {"thread": "M6", "length": 16, "head": {"shape": "pan", "diameter": 12}, "torque": "5 N·m"}},
    "panels": {
        "seat": {"name": "Seat", "side": "centre", "holes": []},
        "lid": {
            "name": "Lid", "side": "left", "on_bike": [1, 2], "outline": [[0, 0], [90, 0], [90, 60], [0, 60]],
            "after": ["seat"],
            "holes": [{"at": [20, 20], "fastener": "A", "into": "metal thread", "stack": 3, "with": "rack"}],
            "fixings": [{"kind": "hook", "at": [50, 20]}],
        },
        "lid-right": {"mirrors": "lid", "side": "right"},
    },
    "jobs": {"oil": {"name": "Oil", "remove": ["lid"], "supplies": [{"what": "Oil", "count": 2}]}},
    "torques": {"plug": {"what": "Plug", "torque": ["20 N·m", "90 deg"], "jobs": ["oil"]}},
}  # fmt: skip
GOOD_SETUP = {
    "format": 1, "board": {"size": "20 x 30 in", "thickness": "5 mm", "material": "foam board", "margin": 8},
    "case": {"inside": "560 x 400 mm", "corner_radius": 70, "height": 120, "floor": "520 x 360 mm", "clearance": 4,
             "keep_out": [{"at": [0, 180], "size": [30, 60]}]},
    "cases": {"bag": {"outline": [[0, 0], [300, 0], [320, 200], [10, 210]], "height": 90}},
    "paper": "A4", "printer": {"margins": {"left": 6, "top": "5 mm"}, "scale": [1.0, 0.99]},
}  # fmt: skip


@given(PLACES, TREES)
def test_a_bike_with_anything_anywhere(folder, places, tree):
    """A bike or complaints, each with its place in the file."""
    (folder / "bike.yaml").write_text(as_yaml(planted(GOOD_BIKE, places, tree)), encoding="utf-8")
    got = answer(read_bike, folder / "bike.yaml")
    assert isinstance(got[0], Bike) or all(one.where is not None for one in got)


@given(PLACES, TREES)
def test_a_setup_with_anything_anywhere(folder, places, tree):
    """A setup or complaints, each with its place in the file."""
    (folder / "setup.yaml").write_text(as_yaml(planted(GOOD_SETUP, places, tree)), encoding="utf-8")
    got = answer(read_setup, folder / "setup.yaml")
    assert isinstance(got[0], Setup) or all(one.where is not None for one in got)


@FEWER
@given(PLACES.filter(lambda places: len(places) > 1), TREES)
def test_a_board_file_with_anything_anywhere(folder, board_file, places, tree):
    """A board file as a whole, or what is wrong with it."""
    (folder / "board.json").write_text(json.dumps(planted(board_file, places, tree)), encoding="utf-8")
    got = answer(read_board_file, folder / "board.json")
    assert isinstance(got, BoardFile | tuple)


@pytest.fixture(scope="module")
def board_file(folder):
    (folder / "small.yaml").write_text(SMALL, encoding="utf-8")
    brief = ["--effort", "quick", "--boards", "1", "--arrange", "0", "--print", "whole", "--board", "600 x 400 mm"]
    assert run(["board", str(folder / "small.yaml"), *brief, "--quiet", "--out", str(folder / "out")]) == 0
    return json.loads((folder / "out" / "board.json").read_bytes())


NUMBER = NUMBERS.map(lambda number: f"{number}") | st.sampled_from(["1e", ".", "+-1", "1.2.3", "\u0663", "1mm", "1%"])
COMMAND = st.builds(
    lambda letter, rest: letter + ",".join(rest), st.sampled_from("MLHVCSQTAZmlhvcsqtazx"), st.lists(NUMBER)
)
PATH_DATA = st.lists(COMMAND, max_size=8).map(" ".join)
FUNCTION = st.builds(
    lambda name, numbers: f"{name}({' '.join(numbers)})",
    st.sampled_from(["translate", "scale", "rotate", "skewX", "skewY", "matrix", "turn"]), st.lists(NUMBER,
    max_size=7),
)  # fmt: skip
FRAME = st.sampled_from(
    ['width="300mm" height="200mm" viewBox="0 0 300 200"', 'width="0" height="-1mm"', 'viewBox="0 0 1e300 1e-300"',
     'width="1e300mm" height="1mm" viewBox="0 0 1 1"', 'width="nan" height="inf"', 'width="50%" viewBox="0 0 9 9"', ""]
)  # fmt: skip
SHAPES = st.sampled_from(
    ['<path d="M9 9H280V190H9Z {data}" transform="{function}"/>', '<path d="{data}"/>',
    '<g transform="{function}"><path d="M9 9H280V190H9Z"/></g>',
     '<rect width="{number}" height="50" rx="{number}"/>', '<circle r="{number}"/>',
     '<polygon points="0,0 {number},9 9,{number}"/>',
     '<defs><path id="a" d="M9 9H280V190H9Z"/></defs><use href="#a" x="{number}" transform="{function}"/>',
     '<use href="#a" id="a"/>',
     '<ellipse rx="50" ry="{number}" style="fill:none;transform:{function}"/>',
     '<svg viewBox="0 0 {number} 9"><path d="M9 9H80V90H9Z"/></svg>']
)  # fmt: skip


@given(FRAME, SHAPES, PATH_DATA, FUNCTION, NUMBER)
def test_an_outline_from_any_drawing(folder, frame, shape, data, function, number):
    """A ring of a size that a panel can have and that does not cross itself, or a reason with a remedy."""
    shape = shape.replace("{data}", data).replace("{function}", function).replace("{number}", number)
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {frame}>{shape}</svg>'
    (folder / "o.svg").write_text(text, encoding="utf-8")
    got = outcome(OutlineError, lambda: outline_from_points(points_of_svg(folder, "o.svg"), smooth=False))
    if isinstance(got, OutlineError):
        assert got.hint
        assert not HIDDEN.search(format_problem(error(str(got), None, got.hint)).replace("\n", ""))
        return
    assert Polygon(got).is_valid
    assert all(math.isfinite(number) and abs(number) <= 20_000 for point in got for number in point)


@given(st.lists(st.tuples(NUMBERS, NUMBERS), max_size=9), st.booleans())
def test_an_outline_from_any_points(points, smooth):
    """The same for points that stand in a bike file."""
    got = outcome(OutlineError, lambda: outline_from_points(points, smooth=smooth))
    assert str(got) if isinstance(got, OutlineError) else Polygon(got).is_valid


CELLS = (
    WORDS
    | NUMBERS.map(str)
    | st.sampled_from(["key", "count", "hole", "found", "designation", "ok", "others", "A + washer"])
)
CELL = CELLS | CELLS.map(lambda cell: f'"{cell}"') | CELLS.map(lambda cell: f"'{cell}") | st.text(max_size=5)
LISTS = st.lists(st.lists(CELL, max_size=5), max_size=6)
HEADER = st.sampled_from(
    [["key", "count"], ["hole", "found"], ["designation", "count"], ["count"], ["key", "key", "count"]]
)


@pytest.fixture(scope="module")
def good_bike(folder):
    (folder / "good.yaml").write_text(as_yaml(GOOD_BIKE), encoding="utf-8")
    return read_bike(folder / "good.yaml")[0]


@given(HEADER, LISTS, st.sampled_from(",;\t|"), st.sampled_from(["\n", "\r\n", "\r", "\n\n", '"\n']))
def test_a_list_of_anything(folder, good_bike, header, lines, between, end):
    """A bag or an audit, or complaints with their places."""
    text = end.join(between.join(cells) for cells in [header, *lines])
    (folder / "list.csv").write_bytes(text.encode("utf-8", "surrogatepass"))
    for got in (
        answer(read_bag, folder / "list.csv", good_bike),
        answer(read_audit, folder / "list.csv", good_bike, {"lid/1": "A"}, {"L 1": "lid/1"}),
    ):
        assert not isinstance(got, tuple) or all(one.where is not None for one in got)


DESIGNATIONS = st.lists(
    st.sampled_from(["ISO", "DIN", "EN", " ", "-", " - ", "M", "M6", "x", "×", "16", "7380-2", "4762", "10.9",
    "A2-70", "ST4.8"])
    | st.sampled_from(["1e9", "0", "00016", "1/4", "UNC", "#10", "\u0663", "9" * 5000, "6.0", ".", "S", "d",
    "\u202e"]),
    max_size=12,
).map("".join)  # fmt: skip


@given(DESIGNATIONS | st.text(max_size=30))
def test_any_designation(text):
    """A part, a thread, a unit, or a ValueError that quotes no more than anybody reads."""
    for read, kind in ((parse_part, Part), (parse_thread, Thread), (read_torque_unit, str)):
        got = outcome(ValueError, read, text)
        assert str(got) if isinstance(got, ValueError) else isinstance(got, kind)


@given(st.text(st.characters()), st.integers(1, 300), st.text(st.characters()), st.text(st.characters()))
def test_any_text_on_the_screen(text, column, source, file):
    """Messages, places, source lines and hints alike: nothing acts, and the caret stands below its letter."""
    problem = error(text, Place(file, 1, column, source), text)
    written = format_problem(problem)
    assert not HIDDEN.search(written.replace("\n", ""))
    assert len(written.splitlines()) == len(written.split("\n"))
    if source.strip() and column <= len(source):
        _, shown, caret, *_ = written.split("\n")
        assert len(caret) <= len(shown) + 1


@given(st.text(st.characters(), max_size=50))
def test_any_line_on_the_screen(text):
    """What is printed is one line."""
    for show in (print_line, print_error):
        said = io.StringIO()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("sys.stdout", said)
            patch.setattr("sys.stderr", said)
            show(text)
        assert said.getvalue().endswith("\n")
        assert not HIDDEN.search(said.getvalue()[:-1])
    print_problem(error(text))


VALUES = st.sampled_from(
    ["1", "-1", "1e9", "99999999999999999999", "[0 0 595 842]", "[0 0 0 0]", "[1 2 3]", "3 0 R", "2 0 R", "1 0 R",
    "99 0 R",
     "<<>>", "<</A 3 0 R>>", "null", "true", "/None", "/Page", "(x)", "<41>", "[3 0 R 3 0 R]", "[2 0 R]", "[]",
     "[[[[", ")", "%",
     "(\\033[31m)", "<</F 4 0 R>>", "<</Font <</F 4 0 R>> /XObject <</X 5 0 R>>>>", "4 0 R", "5 0 R", "[5 0 R 5 0 R]"]
)  # fmt: skip
NAMES = st.sampled_from(
    ["/Type", "/Pages", "/Kids", "/Count", "/Parent", "/MediaBox", "/CropBox", "/Rotate", "/UserUnit", "/Contents",
    "/Resources",
     "/ViewerPreferences", "/PrintScaling", "/Annots", "/Subtype", "/BaseFont", "/FontDescriptor", "/FontFile2",
     "/Filter", "/Length"]
)  # fmt: skip
OBJECT = st.dictionaries(NAMES, VALUES, max_size=5).map(
    lambda entries: " ".join(f"{a} {b}" for a, b in entries.items())
)


@given(st.lists(OBJECT, min_size=5, max_size=5), st.binary(max_size=40), st.booleans())
def test_any_objects_of_a_pdf(objects, data, xref):
    """The make of a file, or why it cannot be read."""
    given = [
        "/Type /Catalog /Pages 2 0 R",
        "/Type /Pages /Kids [3 0 R] /Count 1",
        "/Parent 2 0 R /MediaBox [0 0 595 842]",
        "",
        "",
    ]
    made, places = b"%PDF-1.4\n", []
    for number, (base, more) in enumerate(zip(given, objects, strict=True), start=1):
        places.append(len(made))
        made += f"{number} 0 obj <<{base} {more}>>".encode()
        made += b"stream\n" + data + b"\nendstream endobj\n" if number > 3 else b" endobj\n"
    table = b"".join(b"%010d 00000 n \n" % place for place in places) if xref else b""
    tail = (
        b"xref\n0 6\n0000000000 65535 f \n"
        + table
        + b"trailer <</Size 6 /Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % len(made)
    )
    got = answer(read_structure, made + tail, "f.pdf")
    assert isinstance(got, Structure | tuple)


def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


SIDES = st.sampled_from([0, 1, 9, 50_001, 2**31 - 1, 2**32 - 1]) | st.integers(1, 60)
CHUNKS = st.lists(
    st.builds(chunk, st.sampled_from([b"PLTE", b"tRNS", b"iCCP", b"pHYs", b"eXIf", b"IDAT", b"IEND", b"zTXt"]),
    st.binary(max_size=60)),
    max_size=3,
).map(b"".join)  # fmt: skip


@given(SIDES, SIDES, st.tuples(*[st.sampled_from([0, 1, 2, 3, 4, 6, 8, 16])] * 5), CHUNKS, st.binary(max_size=300))
def test_any_picture(width, height, form, chunks, data):
    """Grey pixels, or why there are none."""
    header = chunk(b"IHDR", struct.pack(">II", width, height) + bytes(form))
    density = chunk(b"pHYs", struct.pack(">IIB", 5906, 5906, 1))
    content = (
        b"\x89PNG\r\n\x1a\n" + header + density + chunks + chunk(b"IDAT", zlib.compress(data)) + chunk(b"IEND", b"")
    )
    got = answer(read_picture, content, "scan.png", None)
    assert isinstance(got, Picture | tuple)
