"""Panels as drawn: everything at its place, every word clear of all others, whatever the panel is like."""

from __future__ import annotations

import math

import pytest
import shapely
from bikes import bike_text, dense_bike_text, random_bike_text, small_panel_with_many_screws
from conftest import DEMOS
from drawing_judge import conflicts
from wrong_bikes import WRONG

from boardmaker.commands.common import demo_folder
from boardmaker.commands.doubts import look_at
from boardmaker.display_list import Circle, Page, Path, Text
from boardmaker.fonts import text_box
from boardmaker.picture import PictureLook, draw_panels, find_oddities
from boardmaker.picture.look import SHADE
from boardmaker.render.png import render_png
from boardmaker.render.svg import render_svg

HAIR = 1e-6


@pytest.fixture
def seen(tmp_path):
    """Return a function that reads a bike file's text as far as it goes."""

    def read(text):
        path = tmp_path / "bike.yaml"
        path.write_text(text, encoding="utf-8")
        return look_at(path)

    return read


def picture(read, *keys, look=None):
    oddities = find_oddities(read.bike, read.problems, read.entries)
    return draw_panels(read.bike, oddities, keys or [one.key for one in read.bike.panels], look or PictureLook())


def demo(stem):
    return look_at(demo_folder() / f"{stem}.yaml")


def words(drawing):
    return [item.text for item in drawing.items if isinstance(item, Text)]


def ink(text):
    width, above, below = text_box(text.text, text.height, text.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    x, y = text.at
    return shapely.box(x + start, y - below, x + start + width, y + above)


def out_of_frame(drawing):
    """Words that no frame holds, or not wholly: those of the title are on the sheet alone."""
    sheet = shapely.box(0, 0, drawing.width, drawing.height)
    frames = [shapely.Polygon(item.points) for item in drawing.items if _is_frame(item)]
    texts = [item for item in drawing.items if isinstance(item, Text)]
    assert frames
    return [
        text.text
        for text in texts
        if not sheet.covers(ink(text))
        or any(frame.intersects(ink(text)) and not frame.covers(ink(text)) for frame in frames)
    ]


def _is_frame(item):
    return isinstance(item, Path) and item.closed and item.fill is None and item.ink == 0.72


@pytest.mark.slow
@pytest.mark.parametrize("stem", DEMOS)
def test_no_word_of_a_demo_runs_into_anything(stem):
    """All panels at once, and each alone; the judge knows nothing of the placer."""
    read = demo(stem)
    whole = picture(read)
    assert conflicts(whole) == []
    assert out_of_frame(whole) == []
    for panel in read.bike.panels[:3]:
        alone = picture(read, panel.key)
        assert conflicts(alone) == []
        assert out_of_frame(alone) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_words_of_random_bikes_run_into_nothing(seen, seed):
    """Many of their holes are outside or on each other."""
    drawing = picture(seen(random_bike_text(seed, 6)))
    assert [one for one in conflicts(drawing) if "the word" in one.what] == []
    assert out_of_frame(drawing) == []


def test_words_of_a_crowded_panel_stay_apart(seen):
    """Eighteen screws on a panel of 200 x 120 mm: labels say less, the rest stands below."""
    read = seen(small_panel_with_many_screws())
    drawing = picture(read)
    assert [one for one in conflicts(drawing) if "the word" in one.what] == []
    assert out_of_frame(drawing) == []
    holes = [hole for panel in read.bike.panels for hole in panel.holes]
    assert sum(" at [" in one for one in words(drawing)) in (0, len(holes))


def holes_found(drawing):
    """The middle of every hole, from its rim and dot."""
    rims = [one for one in drawing.items if isinstance(one, Circle) and one.fill == 1.0 and one.line_width == 0.35]
    dots = {one.centre for one in drawing.items if isinstance(one, Circle) and one.fill == 0.0}
    return [rim.centre for rim in rims if rim.centre in dots]


def outline_found(drawing):
    (one,) = (item for item in drawing.items if isinstance(item, Path) and item.fill == 0.955)
    return one.points


@pytest.mark.parametrize("key", ["shroud-left", "shroud-right", "mask", "sprocket-cover"])
def test_outline_and_holes_are_drawn_to_one_scale(key):
    """Places of the file, moved and made smaller alike: right panels with x negative, too."""
    read = demo("kestmark-590-naked")
    panel = read.bike.panel(key)
    drawing = picture(read, key)
    drawn = outline_found(drawing)
    low = min(drawn), min(panel.outline)
    scale = (max(x for x, _ in drawn) - low[0][0]) / (max(x for x, _ in panel.outline) - low[1][0])
    where = [(low[0][0] + (x - low[1][0]) * scale, low[0][1] + (y - low[1][1]) * scale) for x, y in panel.outline]
    assert max(math.dist(one, other) for one, other in zip(drawn, where, strict=True)) < 1e-6
    for hole in panel.holes:
        at = tuple(low[0][axis] + (hole.at[axis] - low[1][axis]) * scale for axis in (0, 1))
        assert min(math.dist(at, found) for found in holes_found(drawing)) < 1e-6


def test_each_hole_has_both_names(seen):
    """In the words of the file and of the board; one name where they agree."""
    said = words(picture(demo("kestmark-590-naked"), "belly-right"))
    assert {"hole 1, pocket 3: A", "hole 2: B", "hole 3, pocket 1: A"} <= {*said}
    assert {"[-29, 229]", "626 mm", "246 mm", "[0, 0]", "x", "y", "front"} <= {*said}


@pytest.mark.parametrize(
    ("panel", "word", "way"),
    [("side: left", "front", -1), ("side: right", "front", 1), ("side: centre, view: front", "up", 0)],
)
def test_the_way_to_the_front(seen, panel, word, way):
    """To the left on a left panel, to the right on a right one; seen from the front, up."""
    text = f"  p: {{ name: P, {panel}, outline: [[0, 0], [90, 0], [90, 60], [0, 60]], holes: [] }}"
    drawing = picture(seen(bike_text(text)))
    (said,) = (item for item in drawing.items if isinstance(item, Text) and item.text == word)
    tips = [
        item
        for item in drawing.items
        if isinstance(item, Path) and item.closed and len(item.points) == 3 and item.fill == 0.0
        and abs(item.points[0][1] - said.at[1]) < 4.0
    ]  # fmt: skip
    if way == 0:
        assert not tips
        return
    (tip,) = tips
    assert math.copysign(1, tip.points[0][0] - tip.points[1][0]) == way


def test_what_is_odd_is_marked_at_its_hole_and_said(seen):
    """A square on its corner around each, in the ink of nothing else; the message below with its line."""
    drawing = picture(seen(WRONG), "knee-left")
    marks = [one for one in drawing.items if isinstance(one, Path) and one.fill == PictureLook().odd]
    corners = [one for one in marks if len({x for x, _ in one.points}) == 3]
    assert len(corners) == 4  # holes 2 to 5
    said = " ".join(words(drawing))
    assert "!1 hole 2, pocket 5: B" in said
    assert "lies 60 mm outside of its panel's outline" in said
    assert "[2800, 90]: further out" in said
    assert conflicts(drawing) == []


def test_a_hole_outside_is_drawn_outside_with_a_line_back(seen):
    """Also one so far off that it comes to the edge."""
    drawing = picture(seen(WRONG), "knee-left")
    outline = shapely.Polygon(outline_found(drawing))
    outside = [at for at in holes_found(drawing) if not outline.covers(shapely.Point(at))]
    assert len(outside) == 2
    dashed = [one for one in drawing.items if isinstance(one, Path) and one.dash == (1.2, 0.8)]
    ends = [shapely.Point(one.points[-1]) for one in dashed]
    assert len(ends) == 2
    assert all(outline.exterior.distance(end) < 1e-6 for end in ends)


def test_a_panel_that_cannot_be_read_has_a_frame_that_says_why(seen):
    """The others are drawn."""
    said = " ".join(words(picture(seen(WRONG), "tail", "lid")))
    assert "This panel cannot be drawn until the file is right." in said
    assert '"middle" is not one of: left, right, centre' in said
    assert "hole 1: Z?" in said


LOST = """  lid:
    name: Lid
    side: left
    outline: [[0, 0], [200, 0], [200, 120], [0, 120]]
    holes:
      - { at: [20, 20], fastener: A }
      - { from: { 1: 60, 3: 40 }, fastener: A }
      - { at: [180, 20], fastener: A }
      - { from: { 2: 60, 3: 40 }, fastener: A }
"""


def test_a_hole_whose_distances_do_not_meet_is_drawn_as_arcs(seen):
    """The panel with its other holes, and for each distance a part of its circle; a hole measured from it is said."""
    drawn = picture(seen(bike_text(LOST)), "lid")
    said = " ".join(words(drawn))
    assert "cannot be drawn" not in said
    assert "2 holes, 2 without a place" in said
    assert "!1 hole 2: A, no place" in said
    assert "hole 4" not in said
    outline = next(item for item in drawn.items if isinstance(item, Path) and item.closed and item.fill == SHADE)
    scale = (max(x for x, _ in outline.points) - min(x for x, _ in outline.points)) / 200
    left, low = min(x for x, _ in outline.points), min(y for _, y in outline.points)
    bows = [item.points for item in drawn.items if isinstance(item, Path) and item.dash and len(item.points) > 2]
    assert len(bows) == 2
    for middle, far in (((20, 20), 60), ((180, 20), 40)):
        at = left + middle[0] * scale, low + middle[1] * scale
        assert any(all(abs(math.dist(one, at) - far * scale) < HAIR for one in bow) for bow in bows)
    assert conflicts(drawn) == []


def test_panels_of_which_there_is_nothing_to_draw_come_last(seen):
    """Their frames are low."""
    said = words(picture(seen(WRONG), "seat", "lid"))
    assert said.index("Lid") < said.index("Seat")
    assert "No outline to draw." in said


@pytest.mark.slow
def test_black_ink_leaves_colour_out():
    """Danger is bold then as before, what is odd keeps its shape."""
    drawing = picture(demo("murmelo-140-scooter"), look=PictureLook(coloured=False))
    inks = {part for item in drawing.items for part in (item.ink, getattr(item, "fill", None))}
    assert not [one for one in inks if isinstance(one, tuple)]
    assert any(item.bold for item in drawing.items if isinstance(item, Text) and item.text == "fuel tank behind")


def test_in_greyscale_what_is_odd_stays_apart_from_the_panel():
    """Its ground is darker than paper and panel, lighter than words."""
    for look in (PictureLook(), PictureLook(coloured=False)):
        red, green, blue = look.odd if isinstance(look.odd, tuple) else (look.odd,) * 3
        grey = 0.299 * red + 0.587 * green + 0.114 * blue  # ITU-R BT.601
        assert 0.6 < grey < 0.9


def test_the_same_file_gives_the_same_bytes():
    """A frame that is kept from before included."""
    read = demo("murmelo-140-scooter")
    first, second = (picture(read, "floor", "side-left") for _ in range(2))
    assert render_svg(first, title="t") == render_svg(second, title="t")
    pages = [[Page(one.width, one.height, one.items)] for one in (first, second)]
    assert render_png(pages[0], dpi=50, quick=True) == render_png(pages[1], dpi=50, quick=True)


@pytest.mark.parametrize(
    "outline",
    [
        "[[0, 0], [500, 0], [500, 0.01], [0, 0.01]]",
        "[[0, 0], [2, 0], [2, 1], [0, 1]]",
        "[[9000, 9000], [9300, 9000], [9300, 9200]]",
        "[[0, 0], [30, 0], [30, 9000], [0, 9000]]",
    ],
    ids=["a hair", "a speck", "far from its origin", "a needle"],
)
def test_strange_outlines(seen, outline):
    """They are drawn, and their words stay in the frame."""
    drawing = picture(seen(bike_text(f"  odd: {{ name: Odd, side: left, outline: {outline}, holes: [] }}")))
    assert out_of_frame(drawing) == []
    assert [one for one in conflicts(drawing) if "the word" in one.what] == []


@pytest.mark.slow
def test_many_panels_flow_into_a_grid(seen):
    """Frames are equally wide, none over another."""
    drawing = picture(seen(dense_bike_text(4, 3)))
    frames = [shapely.Polygon(item.points) for item in drawing.items if _is_frame(item)]
    assert len(frames) == 3
    assert len({round(frame.bounds[2] - frame.bounds[0], 6) for frame in frames}) == 1
    tree = shapely.STRtree(frames)
    assert all(len(tree.query(frame, predicate="intersects")) == 1 for frame in frames)
