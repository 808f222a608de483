"""`trace` with photos, as the mechanic meets it."""

from __future__ import annotations

import importlib.util

import photo_samples as samples
import pytest
from PIL import Image

from boardmaker.command_line import run
from boardmaker.inputs import read_bike
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


@pytest.mark.slow
def test_a_panel_off_two_photos(folder, capsys):
    """Outline and marked holes stand in the bike file; the spot without a mark is only spoken of."""
    for name, stand in (("1.jpg", samples.LEFT), ("2.JPG", samples.RIGHT)):
        (folder / name).write_bytes(samples.jpeg(samples.photograph(stand)))
    asked = ["trace", "bike.yaml", "tail-left", "1.jpg", "2.JPG", "--mat", "mat.json", "--measured", "180", "26 cm"]
    assert run([*asked, "--out", "out"]) == 0
    said = capsys.readouterr().out
    assert "2 photos, the bars as measured" in said
    assert "outline good to about" in said
    assert "--fastener KEY takes those without a mark" in said
    (panel,) = read_bike(folder / "bike.yaml")[0].panels
    assert sorted(hole.fastener for hole in panel.holes) == ["A", "B"]
    picture = Image.open(folder / "out" / "tail-left-traced.png").convert("RGB")
    colours = picture.getcolors(picture.width * picture.height)
    assert any(green > red + 40 for _, (red, green, _) in colours)  # the photo lies under the lines
    assert any(colour == (0, 0, 0) for _, colour in colours)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["a.jpg"], "--mat FILE"),
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
def test_what_does_not_go_together_is_said(folder, capsys, arguments, words):
    for name in ("a.jpg", "a.svg", "b.svg"):
        (folder / name).write_text("nothing", encoding="utf-8")
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
        (["--measured", "1e-9", "1e-9"], "--measured: 1e-09 mm for a bar of 180 mm"),
        (["--measured", "260", "180"], "first the bar that lies across"),
        (["--height", "790"], "--height: 790 mm, and the photo was taken from"),
    ],
)
def test_lengths_that_cannot_be_are_refused(folder, capsys, asked, words):
    """Before a wrong outline is made of them."""
    (folder / "1.jpg").write_bytes(samples.jpeg(samples.photograph(samples.LEFT)))
    assert run(["trace", "bike.yaml", "tail-left", "1.jpg", "--mat", "mat.json", *asked, "--out", "out"]) == 1
    assert words in capsys.readouterr().err
    assert (folder / "bike.yaml").read_text(encoding="utf-8") == BIKE
