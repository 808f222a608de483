"""Drawings made to do harm: the samples of `fixtures/hostile/svg`, and what hypothesis makes up."""

from __future__ import annotations

import time
from pathlib import Path

import ezdxf
import pytest
from drawings import svg
from hypothesis import given, settings
from hypothesis import strategies as st

from boardmaker.plain_text import HIDDEN
from boardmaker.problems import ProblemsFound, format_problem
from boardmaker.tracing import Tracing, read_tracing
from boardmaker.tracing.dxf_drawing import see_dxf
from boardmaker.tracing.names import Keys
from boardmaker.tracing.sorting import sort_out

SAMPLES = Path(__file__).parents[2] / "fixtures" / "hostile" / "svg"
READ = {"utf-16.svg"}


def answer(path, known=None, unit=None):
    """Panels, or the problems: each with words, and nothing in them that acts on a screen."""
    return said(lambda: read_tracing(path, ("seat",), ("A", "B"), known, unit))


def said(read):
    """What a reader returns, or its problems, judged."""
    try:
        return read()
    except ProblemsFound as found:
        problems = found.problems
    assert problems
    for problem in problems:
        assert not HIDDEN.search(format_problem(problem).replace("\n", ""))
        assert problem.hint, problem
    return problems


@pytest.mark.parametrize("sample", sorted(path.name for path in SAMPLES.iterdir()))
def test_a_hostile_sample_is_refused_or_read(sample):
    """Quickly, with a reason and what to do, also where a scale is given."""
    start = time.process_time()
    for known, unit in ((None, None), (None, "mm"), (212.0, None)):
        got = answer(SAMPLES / sample, known, unit)
        assert isinstance(got, Tracing) is (sample in READ and known is None), got
    assert time.process_time() - start < 10.0


BOMB = (
    '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)
HARM = {
    "entities": svg("<text>&c;</text>").replace("<svg", f"{BOMB}<svg", 1),
    "a file of this machine": svg("<text>&f;</text>").replace(
        "<svg", '<!DOCTYPE svg [<!ENTITY f SYSTEM "file:///etc/hostname">]><svg', 1
    ),
    "another file": svg('<use href="other.svg#p"/>'),
    "attributes without end": svg("<g/>").replace(
        "<svg", '<!DOCTYPE svg [<!ATTLIST g a CDATA "b">]><svg', 1
    ),
    "elements without end": svg("<g/>" * 20_001),
    "groups without end": svg("<g>" * 900 + "</g>" * 900),
    "uses that grow": svg(
        '<defs><g id="g0"><circle r="3"/></g>'
        + "".join(f'<g id="g{i + 1}">' + f'<use href="#g{i}"/>' * 10 + "</g>" for i in range(8))
        + '</defs><use href="#g8"/>'
    ),
    "a path without end": svg(f'<path d="M0 0{"L1 1" * 1_300_000}Z"/>'),
    "curves that take points without end": svg(
        '<path d="M0 0' + "C90000 0 0 90000 9 9" * 3000 + 'Z"/>'
    ),
    "places that are none": svg('<path d="M0 0L1e999 0L5 5Z"/>'),
    "a size of nought": svg('<path d="M0 0L9 0L5 5Z"/>', 'width="1e-320mm" viewBox="0 0 9 9"'),
    "a name without end": svg(f'<path id="{"a" * 3_000_000}" d="M0 0L9 0L5 5"/>'),
    "a name that acts": svg('<path id="\u202e\u009b31m" d="M0 0L9 0L5 5"/>'),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("harm", HARM)
def test_harm_is_refused_at_once(tmp_path, harm):
    """Within seconds, with a reason and a remedy."""
    path = tmp_path / "d.svg"
    path.write_text(HARM[harm], encoding="utf-8")
    start = time.process_time()
    got = answer(path)
    assert not isinstance(got, Tracing)
    assert max(len(format_problem(problem)) for problem in got) < 2000
    assert time.process_time() - start < 10.0


def test_a_file_that_is_too_large_or_not_there(tmp_path):
    """Said before it is read; a pipe or a folder is no file."""
    for name in ("d.svg", "d.dxf", "d.csv"):
        with pytest.raises(ProblemsFound):
            read_tracing(tmp_path / "none" / name, (), (), None, None)
        (tmp_path / name).mkdir()
        with pytest.raises(ProblemsFound, match="no ordinary file"):
            read_tracing(tmp_path / name, (), (), None, None)
    large = tmp_path / "large.svg"
    with large.open("wb") as file:
        file.truncate(21_000_000)
    with pytest.raises(ProblemsFound, match="larger than 20 MB"):
        read_tracing(large, (), (), None, None)


ATTRIBUTES = st.sampled_from(
    ['id="A"', 'id="seat"', 'r="3"', 'cx="9"', 'cy="1e308"', 'rx="nan"', 'd="M0 0H90V60H0Z"', 'd="M0 0A"', 'd="zzz"',
     'points="0,0 9,0 9,9"', 'points=","', 'transform="rotate(1 2)"', 'transform="scale(0)"', 'style="font-size:"',
     'x="1 2 3"', 'width="5"', 'height="5%"', 'href="#seat"', 'aria-label="A"', 'display="none"', 'x2="7"',
     'id="known"']
)  # fmt: skip
TAGS = st.sampled_from(
    ["g", "path", "circle", "ellipse", "rect", "line", "polygon", "text", "tspan", "use", "svg", "title"]
)


def element(tag, attributes, inside):
    given = {one.split("=")[0]: one for one in attributes}
    return f"<{tag} {' '.join(given.values())}>{''.join(inside)}</{tag}>"


ELEMENT = st.recursive(
    st.builds(element, TAGS, st.lists(ATTRIBUTES, max_size=5), st.just(["A"])),
    lambda inner: st.builds(element, TAGS, st.lists(ATTRIBUTES, max_size=4), st.lists(inner, max_size=4)),
    max_leaves=8,
)


@pytest.mark.slow
@given(st.lists(ELEMENT, max_size=5), st.sampled_from([None, 50.0]))
def test_any_elements(tmp_path_factory, elements, known):
    """Panels or problems, whatever stands where."""
    path = tmp_path_factory.getbasetemp() / "any.svg"
    path.write_text(svg("".join(elements)), encoding="utf-8")
    answer(path, known)


def small_dxf(folder):
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0, 0.3), (90, 0, 0), (90, 60, 0)], format="xyb", close=True)
    space.add_circle((50, 20), 3)
    space.add_text("A", height=3, dxfattribs={"insert": (55, 20)})
    space.add_spline([(0, 0), (1, 1), (2, 0)])
    document.blocks.new("B").add_arc((0, 0), 3, 0, 90)
    space.add_blockref("B", (5, 5))
    path = folder / "small.dxf"
    document.saveas(path)
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def lines(tmp_path_factory):
    """The lines of the part of a small drawing that says what is drawn."""
    text = small_dxf(tmp_path_factory.mktemp("dxf"))
    start = text.index("BLOCKS")
    return text[:start], text[start:].split("\n")


def test_a_dxf_without_its_model_space_is_damaged(tmp_path):
    """ezdxf reads it, and stumbles where the space is asked for."""
    text = small_dxf(tmp_path).replace("\nModel\n", "\nMode\n")
    (tmp_path / "d.dxf").write_text(text, encoding="utf-8")
    (problem,) = said(lambda: see_dxf(tmp_path / "d.dxf", None, None))
    assert "this is no DXF drawing, or a damaged one" in problem.message


def seen_of(folder, change):
    """What is seen of a drawing that is changed on the way."""
    document = ezdxf.new("R2000", units=4)
    change(document, document.modelspace())
    document.saveas(folder / "d.dxf")
    return said(lambda: see_dxf(folder / "d.dxf", None, None))


def test_a_block_that_is_not_there_is_said_to_be_damaged(tmp_path):
    """What lies beside it is read all the same; a place without end is a problem with its file."""
    seen = seen_of(tmp_path, lambda _, space: (space.add_blockref("B", (0, 0)), space.add_circle((9, 9), 3)))
    assert [one.what for one in seen.ignored] == ["block 'B'"]
    assert len(seen.shapes) == 1
    (problem,) = seen_of(tmp_path, lambda _, space: space.add_circle((0, 0), 5e6))
    assert "too many points" in problem.message
    assert problem.where.file.endswith("d.dxf")


VALUES = st.sampled_from(
    ["", "-1", "0", "1e308", "nan", "inf", "99999999999999999999", "\x00", "B", "CIRCLE", "*", "zz"]
)


@pytest.mark.slow
@settings(max_examples=settings.default.max_examples // 2)
@given(st.data())
def test_any_spoilt_dxf(lines, tmp_path_factory, data):
    """One to four lines of it changed, doubled or taken out."""
    head, rest = lines
    spoilt = [*rest]
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(spoilt) - 1))
        spoilt[place : place + 1] = data.draw(
            st.lists(VALUES, min_size=1, max_size=1) | st.just([]) | st.just([spoilt[place]] * 2)
        )
    path = tmp_path_factory.getbasetemp() / "any.dxf"
    path.write_text(head + "\n".join(spoilt), encoding="utf-8")
    said(lambda: sort_out(see_dxf(path, None, None), Keys(("seat",), ("A",)), path))


@pytest.mark.parametrize("name", ["", "-3", " # 12", "_x2d_7"])
def test_a_number_alone_names_no_fastener(name):
    assert Keys(("seat",), ("A",)).fastener_named(name) is None
