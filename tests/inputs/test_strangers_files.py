"""Files from strangers: each is refused or read within bounds, with a reason and a remedy, and never a fault."""

from __future__ import annotations

import math
import os
from pathlib import Path

import pytest
from shapely import Polygon

from boardmaker.inputs import curves, outlines, read_audit, read_bag, read_bike, read_setup, simple_rings
from boardmaker.inputs.bike import panels
from boardmaker.inputs.complaints import MOST_PROBLEMS
from boardmaker.inputs.lists import audit, fastener_names
from boardmaker.inputs.outlines import outline_from_points, points_of_svg
from boardmaker.inputs.simple_rings import LARGEST_RING, OutlineError
from boardmaker.inputs.svg import paths, reader
from boardmaker.inputs.yaml import reader as yaml_reader
from boardmaker.inputs.yaml.reader import LARGEST_FILE, decode_text
from boardmaker.problems import ProblemsFound

HEAD = "format: 1\nbike: { name: Test bike }\n"
SEAT = "panels:\n  seat: { name: Seat, side: centre, holes: [] }\n"


def written(folder, name, content):
    path = folder / name
    path.write_text(content, encoding="utf-8")
    return path


def only_problem(read, *arguments):
    with pytest.raises(ProblemsFound) as found:
        read(*arguments)
    (problem,) = found.value.problems
    return problem


def test_blank_lines_at_the_start_are_read_once_each(tmp_path, bike_from):
    """A pattern over all of them at once doubled its time with every line."""
    blank = "\n" * 200 + " \n# note\n" * 200
    bike = bike_from(blank + HEAD + "fasteners: { A: { thread: M6 } }\n" + SEAT)
    assert bike.name == "Test bike"
    assert read_setup(written(tmp_path, "setup.yaml", blank + "format: 1\n"))
    assert read_bag(written(tmp_path, "bag.csv", "\n" * 400 + "key,count\nA,3\n"), bike).counts[0].count == 3


@pytest.mark.parametrize("start", ["", "\n" * 50, "# note\n\n \n" * 50])
def test_another_yaml_is_refused_at_its_line(start):
    """Also below many blank lines; 1.2 is taken, and a text that only looks so further down."""
    with pytest.raises(ProblemsFound, match="another YAML") as found:
        decode_text((start + "%YAML 1.1\n---\n").encode(), "bike.yaml")
    assert found.value.problems[0].where.line == start.count("\n") + 1
    decode_text((start + "%YAML 1.2\n---\n").encode(), "bike.yaml")
    decode_text((start + "a: 1\n%YAML 1.1\n").encode(), "bike.yaml")


def test_every_text_has_a_largest_size(tmp_path, bike_from):
    """Bike, setup and list alike; the remedy stands with it."""
    bike = bike_from(HEAD + SEAT)
    path = written(tmp_path, "large", "#" * (LARGEST_FILE + 1))
    for read in (read_bike, read_setup, lambda one: read_bag(one, bike)):
        problem = only_problem(read, path)
        assert f"larger than {LARGEST_FILE // 1000} kB" in problem.message
        assert problem.hint


def test_a_device_without_end_is_read_no_further_than_a_file():
    """It says that it has no bytes at all."""
    device = only_problem(read_bike, Path("/dev/zero"))
    assert "larger than" in device.message


def test_names_that_no_system_takes(tmp_path):
    """Too long, or bytes that are no text: a reason, and what can be printed of the name."""
    assert "name too long" in only_problem(read_bike, tmp_path / ("x" * 300)).message.lower()
    odd = only_problem(read_bike, tmp_path / os.fsdecode(b"\xff.yaml"))
    assert "UTF-8" in odd.message
    assert odd.message.isascii()
    assert odd.hint == "rename the file"


FRAME = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
PANEL = '<path d="M10 10H290V190H10Z"/>'


def star(count, radius=90.0):
    """A star drawn in one go, every point joined to the one nearly opposite: it crosses itself n²/2 times."""
    turn = 2 * math.pi * (count // 2) / count
    return [(100 + radius * math.cos(turn * i), 100 + radius * math.sin(turn * i)) for i in range(count)]


def refusal(folder, content):
    written(folder, "o.svg", FRAME + content + "</svg>")
    with pytest.raises(OutlineError) as found:
        outline_from_points(points_of_svg(folder, "o.svg"), smooth=False)
    assert found.value.hint
    return str(found.value)


@pytest.mark.parametrize(
    "transform",
    [
        "translate(5mm 5mm)", "translate(5)mm", "translate", "translate()", "translate(1 2 3)", "rotate(1 2)",
        "rotate(90deg)", "scale(a)", "scale(1)(2)", "matrix(1 0 0 1 0)", "translate(5 5", "turn(3)", "5", "skewX(1,2)",
        "translate(\u0661 2)", "scale(1%)", "translate(1e 2)",
    ],
)  # fmt: skip
def test_a_transform_that_is_none_is_refused(tmp_path, transform):
    """Read by the grammar of SVG 1.1, 7.6: a number has no unit there."""
    assert "has a transform that cannot be read" in refusal(tmp_path, f'<g transform="{transform}">{PANEL}</g>')


@pytest.mark.parametrize(
    "transform", ["translate(5-3)", " translate( 5 , -3 ) ", "translate(+.5e1-3)", "scale(1),translate(5,-3)"]
)
def test_a_transform_may_be_written_tightly(tmp_path, transform):
    """Signs part numbers, and commas part functions."""
    written(tmp_path, "o.svg", f'{FRAME}<g transform="{transform}">{PANEL}</g></svg>')
    assert Polygon(points_of_svg(tmp_path, "o.svg")).bounds == pytest.approx((15, 13, 295, 193))


@pytest.mark.parametrize(
    "content",
    [
        '<path d="M10 10C\u0661 1e-9 -300 1,2 290 190L10 190Z"/>',
        '<path d="M10 10A1e308 1e308 1e308 0 1 1e308 5Z"/>',
        '<path transform="scale(1e308)" d="M1e308 10C1 2 3 4 5 6A5 5 0 1 1 1e308 7Z"/>',
        '<path d="zzzzM1"/>',
        f'<g transform="scale(1e999)">{PANEL}</g>',
    ],
)
def test_path_data_beyond_all_reach_is_refused(tmp_path, content):
    """Whatever svgelements makes of it."""
    assert refusal(tmp_path, content)


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (f'<path d="M0 0{"l1 1" * 5200}Z"/>', "a path of more than 5000 points"),
        (f'<path d="M0 0{"a50 90 7 1 1 3 1" * 3000}Z"/>', "a path of more than 5000 points"),
        (f'<path d="M0 0{"c900 900 -900 900 1 1" * 3000}Z"/>', "a path of more than 5000 points"),
        (f'<path d="M0 0{"h1" * 300_001}Z"/>', "more than 600 kB of paths"),
        (f'<path d="M0 0H9V9{"Z" * 3000}"/>', "closed more than 20 times"),
        (f'<defs><path id="a" d="M0 0H9V9Z{" " * 8000}"/></defs>' + '<use href="#a"/>' * 400, "of paths"),
        (
            '<path d="M0 0h.01z"/>' + f'<path d="M0 0{"c900 900 -900 900 1 1" * 9}M0 0Z"/>' * 60,
            "more than 30000 points",
        ),
        (f'<path style="{" " * 10_001}" d="M0 0H9V9Z"/>', "a style of more than"),
    ],
    ids=["points", "arcs", "curves", "letters", "closes", "use", "chords", "style"],
)
def test_a_drawing_has_limits(tmp_path, monkeypatch, content, reason):
    """Said before the work is done: no ring is judged, and no more chords are cut than the limit allows."""
    cut = []
    flatten = paths._flatten
    monkeypatch.setattr(paths, "_flatten", lambda *given: cut.append(len(found := flatten(*given))) or found)
    monkeypatch.setattr(reader, "Polygon", None)
    assert reason in refusal(tmp_path, content)
    assert sum(cut) <= paths.MOST_CHORDS + paths.MOST_STEPS


@pytest.mark.parametrize(
    "box", ["0 0 300 0", "0 0 -300 200", "0 0 300", "0 0 300 200 1", "0 0 300 1e999", "0 0 nan 200", "0 0 50% 50%", "a"]
)
def test_a_view_box_that_is_none_is_refused(tmp_path, box):
    """Passed over, the drawing would come out at another scale (SVG 1.1, 7.7: four numbers, sizes above nought)."""
    written(tmp_path, "o.svg", FRAME.replace("0 0 300 200", box) + PANEL + "</svg>")
    with pytest.raises(OutlineError, match="has a viewBox that cannot be one") as found:
        points_of_svg(tmp_path, "o.svg")
    assert found.value.hint


def test_a_document_type_cannot_fill_the_memory(tmp_path):
    """A default of an attribute would be copied to every element."""
    text = f'<!DOCTYPE svg [<!ATTLIST path d CDATA "{"M0 0H9V9Z" * 9}">]>{FRAME}<path/></svg>'
    with pytest.raises(OutlineError, match="declares attributes"):
        points_of_svg(written(tmp_path, "o.svg", text).parent, "o.svg")


@pytest.mark.parametrize("count", [301, 3001, 4999])
def test_of_a_large_outline_one_crossing_is_named(monkeypatch, count):
    """The first that is met; millions of them are not laid out."""
    monkeypatch.setattr(simple_rings, "_crossing_points", None)
    with pytest.raises(OutlineError, match=r"crosses itself at \[\S+, \S+\]$"):
        outline_from_points(star(count), smooth=False)


def test_an_outline_has_a_largest_number_of_points(monkeypatch):
    """Also one that is written in the bike file; just below, it is taken."""
    ring = [
        (math.cos(i * math.tau / LARGEST_RING) * 200, math.sin(i * math.tau / LARGEST_RING) * 200)
        for i in range(LARGEST_RING)
    ]
    assert len(outline_from_points(ring, smooth=False)) > 50
    monkeypatch.setattr(outlines, "simple_ring", None)
    with pytest.raises(OutlineError, match="5001 points, more than 5000") as found:
        outline_from_points([*ring, (0, 0)], smooth=False)
    assert found.value.hint == "simplify the path in your drawing program"


def test_smoothing_has_limits(monkeypatch):
    """Many points are round by themselves; sides of many metres would be cut into millions."""
    ring = [(math.cos(i * math.tau / 1001) * 200, math.sin(i * math.tau / 1001) * 200) for i in range(1001)]
    with pytest.raises(OutlineError, match="up to 1000 points") as found:
        outline_from_points(ring, smooth=True)
    assert "take `smooth` out" in found.value.hint
    comb = [(i * 10.0, 9000.0 * (i % 2)) for i in range(40)] + [(390.0, -9000.0), (0.0, -9000.0)]
    monkeypatch.setattr(curves, "LinearRing", None)
    with pytest.raises(OutlineError, match="more than 20000 points"):
        outline_from_points(comb, smooth=True)


def test_a_link_to_itself_and_names_without_end(tmp_path):
    """What the system says of them, and no fault."""
    (tmp_path / "o.svg").symlink_to(tmp_path / "o.svg")
    for name in ("o.svg", "x" * 300 + ".svg", "x/" * 3000 + "o.svg"):
        with pytest.raises(OutlineError) as found:
            points_of_svg(tmp_path, name)
        assert found.value.hint


def test_a_drawing_that_may_not_be_read(tmp_path, monkeypatch):
    """The system's reason."""
    written(tmp_path, "o.svg", FRAME + PANEL + "</svg>")

    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(reader.ElementTree, "parse", refuse)
    with pytest.raises(OutlineError, match="cannot be read: Permission denied"):
        points_of_svg(tmp_path, "o.svg")


def test_a_list_has_a_largest_number_of_lines_and_columns(tmp_path, bike_from):
    """Said with both limits, before a line is looked up."""
    bike = bike_from(HEAD + "fasteners: { A: { thread: M6 } }\n" + SEAT)
    for text in ("key,count\n" + "A,1\n" * 3001, "key,count" + ",note" * 199 + "\nA,1\n"):
        problem = only_problem(read_bag, written(tmp_path, "bag.csv", text), bike)
        assert problem.message.endswith("columns; taken are 3000 of 200")
        assert (problem.where.line, bool(problem.hint)) == (1, True)
    (count,) = read_bag(written(tmp_path, "bag.csv", "key,count\n" + "A,1\n" * 3000), bike).counts
    assert count.count == 3000


def test_of_a_list_full_of_mistakes_the_first_are_said(tmp_path, bike_from, monkeypatch):
    """No more names are looked for, in a bag and in an audit."""
    asked = []
    for module in (fastener_names, audit):
        monkeypatch.setattr(module, "nearest", lambda *given: asked.append(1) or "")
    bike = bike_from(HEAD + "fasteners: { A: { thread: M6 } }\n" + SEAT)
    wrong = written(tmp_path, "bag.csv", "key,count\n" + "B,1\n" * 200)
    listed = written(tmp_path, "audit.csv", "hole,found\n" + "".join(f"p/{number},ok\n" for number in range(200)))
    for read in (lambda: read_bag(wrong, bike), lambda: read_audit(listed, bike, {"seat/1": "A"})):
        asked.clear()
        with pytest.raises(ProblemsFound) as found:
            read()
        assert len(found.value.problems) == MOST_PROBLEMS + 1
        assert found.value.problems[-1].message == "and there may be more; mend these first"
        assert len(asked) == MOST_PROBLEMS


def test_a_text_has_a_largest_number_of_values(tmp_path, monkeypatch):
    """Counted by lines and commas, before the YAML library sees it."""
    monkeypatch.setattr(yaml_reader, "compose", None)
    problem = only_problem(read_bike, written(tmp_path, "bike.yaml", HEAD + "a: [" + "1," * 30_000 + "]\n"))
    assert "more than 30000 lines and commas" in problem.message
    assert problem.hint


def test_all_drawings_of_a_bike_have_limits(tmp_path, monkeypatch):
    """Each is read once; of drawings without end, twenty."""
    asked = []

    def refuse(_, name):
        asked.append(name)
        raise OutlineError("has no closed path", "draw one")

    monkeypatch.setattr(panels, "rings_of_svg", refuse)
    row = "  p{0}: {{ name: P, side: left, holes: [], outline: {{ file: {1}.svg }} }}\n"
    for files in (1, 45):
        asked.clear()
        rows = "".join(row.format(number, number % files) for number in range(45))
        with pytest.raises(ProblemsFound) as found:
            read_bike(written(tmp_path, "bike.yaml", HEAD + "panels:\n" + rows))
        assert len(found.value.problems) == 45
        assert len(asked) == min(files, 21)
    assert "is not read: the drawings before it have more than 100000 points" in found.value.problems[-1].message
