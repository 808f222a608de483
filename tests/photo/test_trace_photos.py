"""`trace` with photos, as the mechanic meets it."""

from __future__ import annotations

import importlib.util
import json

import photo_samples as samples
import pytest
from PIL import Image

from boardmaker.command_line import run
from boardmaker.inputs import read_bike
from boardmaker.mat import standard_mat
from boardmaker.model import Setup
from boardmaker.photo import reading

BIKE = """\
format: 1
bike: { name: Wren 300 }
fasteners:
  A: { kind: screw, thread: M6, length: 20 }
  B: { kind: screw, thread: M5, length: 16 }
panels: {}
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    (tmp_path / "bike.yaml").write_text(BIKE, encoding="utf-8")
    samples.write_mat(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def here(_name, _hint, _limits, function, *args):
    return function(*args)


@pytest.fixture
def unguarded(monkeypatch):
    """Photos are read in the tests' own process: another one takes longer to begin than to read them."""
    monkeypatch.setattr(reading, "guarded", here)


@pytest.mark.slow
def test_a_panel_off_two_photos(folder, capsys, monkeypatch):
    """Outline and marked holes stand in the bike file; the spot without a mark is only proposed. Then it is asked for,
    and another mark is laid on a hole.
    """
    for name, stand in (("1.jpg", samples.LEFT), ("2.JPG", samples.RIGHT)):
        (folder / name).write_bytes(samples.usual(stand))
    asked = ["trace", "bike.yaml", "tail-left", "1.jpg", "2.JPG", "--mat", "mat.json", "--measured", "180", "26 cm"]
    assert run([*asked, "--out", "out"]) == 0
    said = capsys.readouterr().out
    assert "2 photos, the bars as measured" in said
    assert "outline good to about" in said
    assert "2 holes: 2 new; 1 proposed and not taken" in said
    assert "hole p1 is proposed, at [" in said
    assert "choose a fastener on tail-left-traced.html for those that are holes; or --fastener KEY takes all" in said
    page = (folder / "out" / "tail-left-traced.html").read_text(encoding="utf-8")
    assert page.count('"state":"proposed"') == 1
    (panel,) = read_bike(folder / "bike.yaml")[0].panels
    assert sorted(hole.fastener for hole in panel.holes) == ["A", "B"]
    picture = Image.open(folder / "out" / "tail-left-traced.png").convert("RGB")
    colours = picture.getcolors(picture.width * picture.height)
    assert any(green > red + 40 for _, (red, green, _) in colours)  # the photo lies under the lines
    assert any(colour == (0, 0, 0) for _, colour in colours)
    drawing = (folder / "outlines" / "tail-left.svg").read_text(encoding="utf-8")
    assert 4 < drawing.count(" C ") <= 120
    assert run(["trace", "bike.yaml", "tail-left", "outlines/tail-left.svg", "--out", "out"]) == 0
    again = (folder / "out" / "tail-left-traced.html").read_text(encoding="utf-8")
    behind = '<image id="picture"'
    assert again[again.index(behind) :][:2000] == page[page.index(behind) :][:2000]  # the photo stays behind it
    assert "OUTLINE REPLACED" not in capsys.readouterr().out
    picture = Image.open(folder / "out" / "tail-left-traced.png").convert("RGB")
    assert any(green > red + 40 for _, (red, green, _) in picture.getcolors(picture.width * picture.height))
    swapped = {1: samples.MARKS[9], 9: samples.MARKS[0]}  # codes of A and B
    for name, stand in (("1.jpg", samples.LEFT), ("2.JPG", samples.RIGHT)):
        (folder / name).write_bytes(samples.jpeg(samples.photograph(stand, marks=swapped)))
    monkeypatch.setattr(reading, "guarded", here)  # the processes of their own have been seen to do it
    before = {hole.id: (hole.fastener, hole.at) for hole in panel.holes}
    assert run([*asked, "--out", "out", "--fastener", "A"]) == 0
    said = capsys.readouterr().out
    assert said.count("ANOTHER FASTENER: hole ") == 2
    assert "was A and is now B, as mark B says" in said
    (panel,) = read_bike(folder / "bike.yaml")[0].panels
    assert sorted(hole.fastener for hole in panel.holes) == ["A", "A", "B"]
    for hole in panel.holes[:2]:
        letter, at = before[hole.id]
        assert hole.fastener == {"A": "B", "B": "A"}[letter]
        assert hole.at == pytest.approx(at, abs=1.0)


@pytest.mark.slow
@pytest.mark.parametrize("tint", [None, "magenta"])
@pytest.mark.usefixtures("unguarded")
def test_without_mat_it_is_the_standard_one(folder, capsys, tint):
    """Marks that any mat has printed say their letter: codes 8 and 3 are B's and A's, of this bike or another."""
    words = [] if tint is None else ["--tint", tint]
    mat = standard_mat(Setup(), ["A", "B"], tint or "green")
    marks = {8: (140.0, -130.0), 3: (258.0, -142.0)}
    for name, stand in (("1.jpg", samples.LEFT), ("2.jpg", samples.RIGHT)):
        photo = samples.photograph(stand, on=mat, marks=marks, colour=(40, 40, 200))
        (folder / name).write_bytes(samples.jpeg(photo))
    bars = [f"{one:g}" for one in mat.bars]
    asked = ["trace", "bike.yaml", "tail-left", "1.jpg", "2.jpg", "--measured", *bars, "--out", "out"]
    assert run([*asked, *words]) == 0
    assert f"the standard mat of A4 paper, {tint or 'green'}" in capsys.readouterr().out
    (panel,) = read_bike(folder / "bike.yaml")[0].panels
    by_letter = {hole.fastener: hole.at for hole in panel.holes}
    assert by_letter["A"][0] - by_letter["B"][0] == pytest.approx(118.0, abs=1.5)
    assert by_letter["A"][1] - by_letter["B"][1] == pytest.approx(-12.0, abs=1.5)
    kept = (folder / "bike.yaml").read_bytes()
    other = "magenta" if tint is None else "green"
    assert run([*asked, "--tint", other, "--force"]) != 0
    assert "--tint" in capsys.readouterr().err
    if tint is None:  # sheets of another paper bear the same codes, elsewhere
        without = [*asked[:5], *asked[8:]]
        assert run([*without, "--paper", "letter"]) != 0
        said = capsys.readouterr().err
        assert "the photos show another mat than the one that they are read by: its codes come out at 10" in said
        assert "--paper and --setup as they were then" in said
        assert run([*asked, "--paper", "letter"]) != 0
        assert "the bars of this mat are" in capsys.readouterr().err
    assert (folder / "bike.yaml").read_bytes() == kept


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["a.jpg"], "is no JPEG or PNG picture"),
        (["a.jpg", "--mat", "mat.json", "--paper", "A4"], "--paper is of a mat without --mat"),
        (["a.jpg", "--mat", "mat.json", "--tint", "green"], "--tint is of a mat without --mat"),
        (["a.jpg", "--mat", "mat.json", "--setup", "mat.json"], "--setup is of a mat without --mat"),
        (["a.jpg", "--setup", "none.yaml"], "there is no file none.yaml"),
        (["a.jpg", "--paper", "B7"], "paper"),
        (["a.jpg", "--tint", "blue"], "'blue' is not one of"),
        (["a.jpg", "--mat", "mat.json", "--measured", "260", "180"], "the bars of this mat are 180 x 260 mm"),
        (["a.jpg", "--measured", "180", "2600"], "and no printer is so far off"),
        (["a.svg", "--paper", "A4"], "--paper goes with photos"),
        (["a.svg", "--tint", "green"], "--tint goes with photos"),
        (["a.svg", "--pen"], "--pen goes with photos"),
        (["a.jpg", "--mat", "bare.json"], "does not say where the codes of its sheets are (`tags`)"),
        (["a.jpg", "b.svg", "--mat", "mat.json"], "a drawing stands alone"),
        (["a.svg", "--mat", "mat.json"], "--mat goes with photos"),
        (["a.jpg", "--mat", "mat.json", "--unit", "mm"], "--unit goes with a drawing"),
        (["a.jpg", "--mat", "none.json"], "none.json"),
        (["none.jpg", "--mat", "mat.json"], "none.jpg"),
        (["a.jpg", "--mat", "mat.json", "--height", "high"], "--height"),
        (["a.jpg", "--mat", "mat.json"], "is no JPEG or PNG picture"),
        (["a.jpg"] * 5 + ["--mat", "mat.json"], "at most 4 are read"),
    ],
)
@pytest.mark.usefixtures("unguarded")
def test_what_does_not_go_together_is_said(folder, capsys, arguments, words):
    for name in ("a.jpg", "a.svg", "b.svg"):
        (folder / name).write_text("nothing", encoding="utf-8")
    bare = {key: value for key, value in samples.mat_said().items() if key not in {"tags", "tint"}}
    (folder / "bare.json").write_text(json.dumps(bare), encoding="utf-8")
    assert run(["trace", "bike.yaml", "tail-left", *arguments]) != 0
    assert words in capsys.readouterr().err
    assert (folder / "bike.yaml").read_text(encoding="utf-8") == BIKE


def test_without_the_extra_it_says_how_to_get_it(folder, capsys, monkeypatch):
    (folder / "a.jpg").write_text("nothing", encoding="utf-8")
    found = importlib.util.find_spec
    monkeypatch.setattr(reading, "find_spec", lambda name: None if name == "cv2" else found(name))
    assert run(["trace", "bike.yaml", "tail-left", "a.jpg", "--mat", "mat.json"]) != 0
    assert 'pip install "boardmaker[photo]"' in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (["--measured", "1e-9", "1e-9"], "no printer is so far off"),
        (["--measured", "260", "180"], "first the bar across"),
        (["--height", "790"], "--height: 790 mm, and the photo was taken from"),
    ],
)
@pytest.mark.usefixtures("unguarded")
def test_lengths_that_cannot_be_are_refused(folder, capsys, asked, words):
    """Before a wrong outline is made of them."""
    (folder / "1.jpg").write_bytes(samples.usual(samples.LEFT))
    assert run(["trace", "bike.yaml", "tail-left", "1.jpg", "--mat", "mat.json", *asked, "--out", "out"]) == 1
    assert words in capsys.readouterr().err
    assert (folder / "bike.yaml").read_text(encoding="utf-8") == BIKE
