"""An outline as a file that a bike file reads, names off a key, and the picture."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import LinearRing

from boardmaker.display_list import Circle, Path, Text
from boardmaker.fonts import text_width
from boardmaker.inputs.outlines import outline_from_points, points_of_svg
from boardmaker.inputs.simple_rings import MOST_POINTS
from boardmaker.inputs.yaml.panel_edits import PanelEdit
from boardmaker.tracing.curve import straight_sides
from boardmaker.tracing.found import Ignored
from boardmaker.tracing.merge import MergedHole, MergedPanel
from boardmaker.tracing.outline_file import outline_svg, plain_ring
from boardmaker.tracing.panel_keys import file_name_of_key, name_of_key, side_of_key
from boardmaker.tracing.picture import picture_page

STAR = tuple(
    ((200 + 20 * math.sin(9 * t)) * math.cos(t), (120 + 12 * math.cos(7 * t)) * math.sin(t))
    for t in (math.tau * i / 20000 for i in range(20000))
)
HOLES = (
    MergedHole("1", (20, 20), (20, 20), "A", "as it was"),
    MergedHole("2", (25, 22), (24, 20), "Long-key", "moved"),
    MergedHole("3", (280, 170), None, "B", "new"),
    MergedHole("4", (5, 175), (5, 175), "B", "not found"),
    MergedHole("5", (150, 2), (150, 2), "C", "by distances"),
    MergedHole("6", (150, 90), (150, 90), "C", "taken out"),
)
PANEL = MergedPanel(
    key="knee-left",
    name="Left knee",
    side="left",
    view="side",
    is_new=False,
    outline=((0, 0), (300, 0), (290, 180), (0, 190)),
    was=((0, 0), (295, 0), (290, 180), (0, 185)),
    new_outline=True,
    holes=HOLES,
    ignored=(Ignored("ellipse", "not round", (70, 70)),),
    edit=PanelEdit("knee-left"),
)


@pytest.mark.slow
@pytest.mark.parametrize("by", [(0.0, 0.0), (300.0, 200.0), (-400.0, -5.5)])
def test_an_outline_reads_back_within_a_twentieth_of_a_millimetre(tmp_path, by):
    """A curve of 20 000 points, also left of and below its frame's origin: fewer points, and the same outline."""
    ring = tuple((x + by[0], y + by[1]) for x, y in STAR)
    plain = plain_ring(ring)
    assert len(plain) <= MOST_POINTS
    (tmp_path / "o.svg").write_bytes(outline_svg("A <name> & more", straight_sides(plain)))
    read = outline_from_points(points_of_svg(tmp_path, "o.svg"), False)
    assert LinearRing(read).hausdorff_distance(LinearRing(ring)) <= 0.05
    assert outline_svg("x", straight_sides(plain)) == outline_svg("x", straight_sides(plain_ring(plain)))


@pytest.mark.parametrize(
    ("key", "side", "name", "file"),
    [
        ("knee-left", "left", "Left knee", "knee-left"),
        ("right_tail", "right", "Right tail", "right_tail"),
        ("nose", None, "Nose", "nose"),
        ("center-vent", "centre", "Center vent", "center-vent"),
        ("left-right", None, "Left right", "left-right"),
        ("bright", None, "Bright", "bright"),
    ],
)
def test_what_a_key_says(key, side, name, file):
    """Words alone: `bright` is not right."""
    assert (side_of_key(key), name_of_key(key), file_name_of_key(key)) == (side, name, file)


def test_odd_keys_become_plain_file_names():
    """Each its own, none leads out of the folder."""
    keys = ["../../etc", "a/b", "a-b", "A-b", "Höcker", "x" * 300, "..", "con sole", "日本"]
    names = [file_name_of_key(key) for key in keys]
    assert len(set(names)) == len(keys)
    assert all(name.replace("-", "").replace("_", "").isalnum() and name.isascii() and len(name) < 80 for name in names)


def texts(page):
    return [item for item in page.items if isinstance(item, Text)]


def test_the_picture_says_size_ids_letters_and_what_became_of_each():
    """All of it on the page."""
    page = picture_page(PANEL, "s.svg: mm, as the file says")
    words = [item.text for item in texts(page)]
    for said in ("Left knee", "300", "190", "1 A", "2 Long-key, 2.2 mm", "3 B", "4 B", "5 C", "6 C", "x", "y"):
        assert said in words
    assert "s.svg: mm, as the file says" in words
    assert len([one for one in words if one.endswith("(1)")]) == 7
    for item in texts(page):
        width = text_width(item.text, item.height, item.bold)
        before = {"start": 0.0, "middle": width / 2, "end": width}[item.anchor]
        assert item.at[0] - before > 0
        assert (item.at[0] - before + width if item.angle_deg == 0 else item.at[0]) < page.width
        assert 0 < item.at[1] < page.height
    points = [point for item in page.items if isinstance(item, Path) for point in item.points]
    points += [item.centre for item in page.items if isinstance(item, Circle)]
    assert all(0 < x < page.width and 0 < y < page.height for x, y in points)


@pytest.mark.parametrize("size", [0.001, 1.0, 30.0])
def test_small_and_large_panels_have_a_page_of_usual_size(size):
    """From a hole alone to one larger than any motorcycle."""
    outline = tuple((x * size, y * size) for x, y in PANEL.outline)
    holes = tuple(replace(hole, at=(hole.at[0] * size, hole.at[1] * size), was=None, state="new") for hole in HOLES)
    page = picture_page(replace(PANEL, outline=outline, was=(), holes=holes, ignored=()), "")
    assert 100 < page.width < 700
    assert 60 < page.height < 500
    bare = picture_page(replace(PANEL, outline=(), was=(), holes=(), ignored=()), "")
    assert 100 < bare.width < 300
