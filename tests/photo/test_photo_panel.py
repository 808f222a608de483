"""A panel off photos: outline, height, holes; and what is refused. The photos are made here, plane to plane."""

from __future__ import annotations

import io
import re
from typing import NamedTuple

import numpy as np
import photo_samples as samples
import pytest
from PIL import Image
from shapely import LinearRing, Polygon
from shapely.affinity import translate

from boardmaker.mat import read_mat
from boardmaker.photo.asked import AskedOfPhotos
from boardmaker.photo.found_panel import find_panel
from boardmaker.photo.known_mat import known_mat
from boardmaker.problems import ProblemsFound

pytestmark = pytest.mark.slow
TRUE_BARS = (180.0, 260.0)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The mat's file and the usual photos, rendered once."""
    folder = tmp_path_factory.mktemp("photos")
    samples.write_mat(folder)
    for name, stand in (("left", samples.LEFT), ("right", samples.RIGHT), ("above", samples.ABOVE)):
        (folder / f"{name}.jpg").write_bytes(samples.usual(stand))
    return folder


def found(folder, *names, **asked):
    asked = {"measured": TRUE_BARS, **asked}
    mat = known_mat(read_mat(folder / "mat.json"), "mat.json")
    return find_panel([folder / name for name in names], mat, AskedOfPhotos(**asked))


@pytest.fixture(scope="module")
def usual(folder):
    """What is found in the two usual photos."""
    return found(folder, "left.jpg", "right.jpg")


def refusal(folder, *names, **asked):
    with pytest.raises(ProblemsFound) as refused:
        found(folder, *names, **asked)
    return "\n".join(f"{one.message} | {one.hint}" for one in refused.value.problems)


class Off(NamedTuple):
    mean: float
    most: float
    way: tuple[float, float]


def off(panel, ring=samples.PANEL):
    """How far the outline is off the truth, mm: both laid on each other by their middles."""
    outline, truth = Polygon(panel.outline), Polygon(ring)
    dx, dy = (t - f for t, f in zip(truth.centroid.coords[0], outline.centroid.coords[0], strict=True))
    truth_line, line = LinearRing(ring), LinearRing(translate(outline, dx, dy).exterior.coords)
    places = [truth_line.distance(line.interpolate(at)) for at in np.arange(0, line.length, 1.0)]
    places += [line.distance(truth_line.interpolate(at)) for at in np.arange(0, truth_line.length, 1.0)]
    return Off(float(np.mean(places)), max(places), (dx, dy))


def test_two_photos_give_outline_height_and_holes(usual):
    """The panel stands 20 mm high: each photo alone sees it some mm askew, both together know better."""
    traced = usual.tracing
    (panel,) = traced.panels
    away = off(panel)
    dx, dy = away.way
    assert away.mean < 0.5
    assert away.most < 2.0  # where the edge runs over the mat's dark print
    assert 4 < len(panel.curve) <= 120
    truth = {"A": samples.MARKS[0], "B": samples.MARKS[9]}
    assert sorted(hole.fastener for hole in panel.holes) == ["A", "B"]
    for hole in panel.holes:
        assert np.hypot(*np.subtract(truth[hole.fastener], np.add(hole.at, (dx, dy)))) < 0.7
    assert all(hole.decides for hole in panel.holes)  # a mark goes before what the bike file says
    (spot,) = panel.proposed  # and not taken
    assert (spot.fastener, spot.decides, panel.ignored) == (None, False, ())
    assert spot.where.startswith("a round spot, ")
    assert np.hypot(*np.subtract(samples.THROUGH, np.add(spot.at, (dx, dy)))) < 0.7
    assert "edge 19 to 2" in traced.scale_said or "edge 20 to 2" in traced.scale_said


def test_a_dark_panel_is_told_from_the_codes_under_its_edge(folder, tmp_path):
    """In a shade of the tint the codes do not look like the panel, black ones do: a corner on them is cut off."""
    x, y = samples.tag_places()[7]  # a kite, its tip in the dark rim of a code
    tip = (x - samples.MARGIN, y - samples.MARGIN - samples.SHEET[1] - samples.TAG / 2 + 4.5)
    kite = np.array([tip, np.subtract(tip, (90, 60)), np.subtract(tip, (0, 90)), np.subtract(tip, (-90, 60))])
    away = {}
    for ink in (samples.INK, samples.BLACK):
        samples.write_mat(tmp_path, ink)
        for name, stand in (("left", samples.LEFT), ("right", samples.RIGHT)):
            scene = {"panel": kite, "height": 3.0, "marks": {}, "through": ()}
            photo = samples.photograph(stand, colour=(46, 46, 48), ink=ink, **scene)
            (tmp_path / f"{name}.jpg").write_bytes(samples.jpeg(photo))
        away[ink] = off(found(tmp_path, "left.jpg", "right.jpg").tracing.panels[0], kite)
    assert away[samples.INK].mean < 0.3
    assert away[samples.INK].most < 2.5  # at the kite's sharp corners, which a smooth line rounds
    assert away[samples.BLACK].most > away[samples.INK].most + 1.0


def test_through_holes_are_taken_when_asked(folder):
    (panel,) = found(folder, "left.jpg", "right.jpg", take_holes=True).tracing.panels
    assert sorted(str(hole.fastener) for hole in panel.holes) == ["A", "B", "None"]
    assert panel.proposed == ()


def test_one_photo_says_what_it_does_not_know(folder):
    """With the edge's height told, one photo is as good; without, the outline is too large, and that is said."""
    told = found(folder, "left.jpg", height=20.0).tracing
    assert off(told.panels[0]).mean < 0.6
    untold = found(folder, "left.jpg").tracing
    assert off(untold.panels[0]).mean > 0.9
    assert "if its edge stands up to 3 cm above the mat" in untold.scale_said
    assert "if its edge stands 20 mm high, give or take 1 cm" in told.scale_said
    for one in (told, untold):
        assert off(one.panels[0]).most < float(re.search(r"good to about ([0-9.]+) mm", one.scale_said)[1])


def test_a_photo_on_its_side_and_one_without_exif(folder):
    """The EXIF turn is carried out; a missing focal length is said."""
    upright = np.asarray(Image.open(folder / "right.jpg"))
    (folder / "turned.jpg").write_bytes(samples.jpeg(np.rot90(upright, 1).copy(), orientation=6))
    (folder / "bare.jpg").write_bytes(samples.jpeg(upright, focal35=None))
    for name in ("turned.jpg", "bare.jpg"):
        traced = found(folder, "left.jpg", name).tracing
        assert off(traced.panels[0]).mean < 0.7, name
    assert "no focal length in bare.jpg" in traced.scale_said


def test_a_printer_that_stretches_is_put_right(folder, usual):
    """With the bars said to be 1 % longer, the panel is 1 % larger."""
    plain = Polygon(usual.tracing.panels[0].outline)
    larger = Polygon(found(folder, "left.jpg", "right.jpg", measured=(181.8, 262.6)).tracing.panels[0].outline)
    assert larger.area / plain.area == pytest.approx(1.01**2, abs=0.002)


def test_the_same_photos_give_the_same_panel(folder, usual):
    assert found(folder, "left.jpg", "right.jpg").tracing == usual.tracing


def test_views_that_disagree_are_refused(folder):
    """Two panels; the same photo twice; two photos from one place."""
    other = samples.PANEL * (1.0, 0.8) + (0.0, -28.0)
    photo = samples.photograph(samples.RIGHT, panel=other, marks={}, through=())
    (folder / "other.jpg").write_bytes(samples.jpeg(photo))
    assert "disagree about the outline" in refusal(folder, "left.jpg", "other.jpg")
    assert "are the same photo" in refusal(folder, "left.jpg", "left.jpg")
    near = samples.photograph(samples.Stand(foot=(62.0, -121.0)))
    (folder / "near.jpg").write_bytes(samples.jpeg(near))
    assert "nearly the same place" in refusal(folder, "left.jpg", "near.jpg")


@pytest.mark.parametrize(
    ("words", "scene"),
    [
        ("blurred", {"blur": 2.9}),
        ("no panel can be told from the mat", {"panel": None}),
        ("colour", {"colour": samples.TINT, "marks": {}, "through": ()}),
        ("leaves the mat", {"panel": np.add(samples.PANEL, (190.0, 0.0)), "marks": {}, "through": ()}),
    ],
)
def test_a_photo_that_is_not_to_be_trusted_is_refused(folder, words, scene):
    (folder / "bad.jpg").write_bytes(samples.jpeg(samples.photograph(samples.ABOVE, **scene)))
    assert words in refusal(folder, "bad.jpg")


def test_files_that_are_no_photos_are_refused(folder):
    """No picture, cut off, a bomb, a preview, a wall."""
    (folder / "words.jpg").write_text("no picture", encoding="utf-8")
    assert "no JPEG or PNG picture" in refusal(folder, "words.jpg")
    (folder / "cut.jpg").write_bytes((folder / "left.jpg").read_bytes()[:50_000])
    assert "broken or cut off" in refusal(folder, "cut.jpg")
    bomb = io.BytesIO()
    Image.new("1", (16_000, 10_000)).save(bomb, "PNG")
    (folder / "bomb.png").write_bytes(bomb.getvalue())
    assert "is too large: 16000 x 10000" in refusal(folder, "bomb.png")
    small = Image.open(folder / "left.jpg").resize((640, 480))
    small.save(folder / "small.jpg")
    assert "is too small" in refusal(folder, "small.jpg")
    Image.new("RGB", (2400, 1800), (120, 120, 120)).save(folder / "wall.jpg")
    assert "shows 0 of the mat's tags" in refusal(folder, "wall.jpg")
