"""`picture`: files, exit codes, words on the screen."""

from __future__ import annotations

import pytest
from bikes import EQUIPMENT, LID_AND_TAIL, LID_AND_TAIL_JOBS, bike_text
from lxml import etree

from boardmaker.command_line import run

GOOD = bike_text(LID_AND_TAIL, LID_AND_TAIL_JOBS, EQUIPMENT)
BAD = GOOD.replace("name: Tail, side: right", "name: Tail, side: middle")


@pytest.fixture
def draw(tmp_path, capsys):
    """Return a function that draws a bike file's text and returns exit code, screen, errors and the files by name."""

    def drawn(text, *arguments):
        path, out = tmp_path / "bike.yaml", tmp_path / "out"
        path.write_text(text, encoding="utf-8")
        code = run(["picture", str(path), *arguments, "--out", str(out)])
        said, errors = capsys.readouterr()
        files = {one.name: one.read_bytes() for one in out.iterdir()} if out.is_dir() else {}
        return code, said, errors, files

    return drawn


def texts(svg):
    """The words of an SVG file, which are drawn as outlines."""
    root = etree.fromstring(svg)
    assert not root.findall(".//{*}text")
    return [one.get("aria-label") for one in root.iter() if one.get("aria-label")]


def test_the_whole_bike(draw):
    """Two files, the panels in the picture."""
    code, said, errors, files = draw(GOOD)
    assert code == 0
    assert {*files} == {"picture.png", "picture.svg", ".boardmaker.json"}
    assert files["picture.png"].startswith(b"\x89PNG")
    assert "2 panels drawn" in said
    assert {"Test bike", "Lid", "Tail", "in no view"} <= {*texts(files["picture.svg"])}
    assert "warning" in errors  # a fastener that is in no hole


def test_one_panel(draw):
    """And no other."""
    code, _, _, files = draw(GOOD, "lid")
    assert code == 0
    said = texts(files["picture.svg"])
    assert "Lid" in said
    assert "Tail" not in said


def test_a_panel_that_is_not_there(draw):
    """With the nearest name; nothing is written."""
    code, _, errors, files = draw(GOOD, "lod")
    assert (code, files) == (1, {})
    assert 'no panel "lod"' in errors
    assert 'did you mean "lid"?' in errors


def test_a_file_with_mistakes_is_drawn_and_said(draw):
    """Exit code 1, as with `check`; the picture is there all the same."""
    code, said, errors, files = draw(BAD)
    assert code == 1
    assert '"middle" is not one of' in errors
    assert "wrote to" in said
    assert "cannot be read" in texts(files["picture.svg"])
    code, _, _, files = draw(BAD, "tail")
    assert code == 1
    assert "This panel cannot be drawn until the file is right." in texts(files["picture.svg"])


@pytest.mark.parametrize("text", ["", "panels: [", "format: 9\n"])
def test_what_cannot_be_read_at_all_is_refused(draw, text):
    """Nothing is written."""
    code, _, errors, files = draw(text)
    assert (code, files) == (1, {})
    assert "error" in errors


def test_a_bike_without_panels(draw):
    """There is a picture, of nothing."""
    code, _, _, files = draw("format: 1\nbike: { name: Bare }\npanels: {}\n")
    assert code == 0
    assert "Bare" in texts(files["picture.svg"])


@pytest.mark.slow
def test_the_same_file_gives_the_same_bytes(draw):
    """Both files."""
    first, second = draw(GOOD, "lid", "tail")[3], draw(GOOD, "lid", "tail")[3]
    assert first == second


def test_black_ink(draw):
    """No colour in either file."""
    svg = draw(GOOD, "lid", "--ink", "black")[3]["picture.svg"].decode()
    colours = {part for one in etree.fromstring(svg.encode()).iter() for part in (one.get("fill"), one.get("stroke"))}
    greys = {one for one in colours if one and one.startswith("#")}
    assert all(one[1:3] == one[3:5] == one[5:7] for one in greys)


def test_strange_names_act_nowhere(draw):
    """A name with marks of SVG, and one that reads from right to left."""
    code, _, _, files = draw(GOOD.replace("name: Lid", "name: <b>&L</b>").replace("Test bike", "\u202etest"), "lid")
    assert code == 0
    assert "<b>&L</b>" in texts(files["picture.svg"])
    assert "\u202e" not in files["picture.svg"].decode()


def test_check_says_both_names_of_a_hole(tmp_path, capsys):
    """Hole 1 of the file is pocket 2 of the board."""
    path = tmp_path / "bike.yaml"
    holes = "{ at: [10, 500], fastener: A }, { at: [10, 10], fastener: B }"
    outline = "[[0, 0], [90, 0], [90, 90], [0, 90]]"
    path.write_text(
        bike_text(f"  lid: {{ name: Lid, tag: L, side: left, outline: {outline}, holes: [ {holes} ] }}"),
        encoding="utf-8",
    )
    run(["check", str(path)])
    assert "lid/1 (pocket L 2) lies 410 mm outside" in capsys.readouterr().err


def test_check_share_lists_what_is_not_said(tmp_path, capsys):
    """Grouped, with places; the file stays as it is."""
    path = tmp_path / "bike.yaml"
    path.write_text(GOOD, encoding="utf-8")
    assert run(["check", str(path), "--share"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == "bike:"
    assert f"  {path}:8:3: C: head's height (assumed); class" in said
    assert f"  {path}:12:3: lid: `on_bike`: where it sits; `outline` (drawn around its holes)" in said
    assert said[-1].endswith("things that a stranger would miss; nothing was changed")
    assert path.read_text(encoding="utf-8") == GOOD
