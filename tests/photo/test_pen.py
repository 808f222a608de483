"""A panel drawn on the mat with a felt pen, off one photo. The photos are made here, plane to plane."""

from __future__ import annotations

import shutil
from functools import cache

import numpy as np
import pytest
from shapely import LinearRing, Point, Polygon, box
from shapely.affinity import translate

pytest.importorskip("cv2")

import cv2

from boardmaker.command_line import run
from boardmaker.inputs import read_bike
from boardmaker.photo.asked import AskedOfPhotos
from boardmaker.photo.pen import find_drawing
from boardmaker.problems import ProblemsFound

from photo import photo_samples as samples  # isort: skip

pytestmark = pytest.mark.slow
HOLES = ((140.0, -130.0), (258.0, -150.0), (190.0, -150.0))
RED, BLUE, BLACK = (205, 35, 45), (40, 60, 190), (35, 35, 38)
BARS = (180.0, 260.0)


def loops(holes, radius=3.5):
    angle = np.linspace(0, 2 * np.pi + 0.3, 60)
    return [np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)]) for x, y in holes]


def drawing(lines, pen=RED, width=1.6, panel=samples.PANEL, gap=0, code=samples.INK):
    """The mat with lines drawn on it: a pen takes light away; `gap` places of the outline are left out."""
    mat = samples.draw_mat(ink=code)
    ink = np.zeros(mat.shape[:2], np.uint8)
    outline = [] if panel is None else [np.vstack([panel, panel[:1]])[: len(panel) + 1 - gap]]
    for line in (*outline, *lines):
        places = np.round((samples.drawn(line) - 0.5) * 16).astype(np.int32)
        cv2.polylines(ink, [places], False, 255, round(width * samples.FINE), cv2.LINE_AA, 4)
    inked = ink > 0
    share = ink[inked][:, None] / 255.0
    mat[inked] = (mat[inked] * (1 - share * (1 - np.array(pen) / 255.0))).astype(np.uint8)
    return mat


@cache
def usual(stand):
    """The usual panel and its holes, as a JPEG file."""
    return samples.jpeg(samples.photograph(stand, panel=None, mat=drawing(loops(HOLES))))


@pytest.fixture
def photo(tmp_path):
    """Write a photo of a drawing; return its file and the mat."""

    def make(stand=samples.LEFT, **drawn):
        content = usual(stand)
        if drawn:
            mat = drawing(**{"lines": loops(HOLES), **drawn})
            content = samples.jpeg(samples.photograph(stand, panel=None, mat=mat))
        (tmp_path / "drawing.jpg").write_bytes(content)
        return tmp_path / "drawing.jpg", samples.read_written_mat(tmp_path)

    return make


def found(files):
    return find_drawing(*files, AskedOfPhotos(measured=BARS, pen=True)).tracing


def refusal(files):
    with pytest.raises(ProblemsFound) as refused:
        found(files)
    return "\n".join(f"{one.message} | {one.hint}" for one in refused.value.problems)


def laid_on_truth(panel):
    """Outline and holes moved so that the outline's middle is the true one's."""
    outline, truth = Polygon(panel.outline), Polygon(samples.PANEL)
    dx, dy = (t - f for t, f in zip(truth.centroid.coords[0], outline.centroid.coords[0], strict=True))
    return LinearRing(translate(outline, dx, dy).exterior.coords), [
        (x + dx, y + dy) for x, y in (h.at for h in panel.holes)
    ]


@pytest.mark.parametrize(("pen", "width"), [(RED, 1.0), (BLUE, 2.4), (BLACK, 1.0)])
def test_outline_and_holes_are_the_middles_of_the_lines(photo, pen, width):
    """Any colour, thin or broad, 3 mm open, across codes and a seam, seen from the side."""
    (panel,) = found(photo(pen=pen, width=width, gap=2)).panels
    ring, holes = laid_on_truth(panel)
    assert ring.hausdorff_distance(LinearRing(samples.PANEL)) < 1.2  # where it is open
    assert 4 < len(panel.curve) <= 120
    assert LinearRing(panel.outline).is_ccw
    assert min(x for x, _ in panel.outline) == min(y for _, y in panel.outline) == 0.0
    assert len(holes) == len(HOLES)
    for hole in HOLES:
        assert min(np.hypot(*np.subtract(hole, one)) for one in holes) < 0.5
    assert all(abs(one.diameter - 7.0) < 0.6 for one in panel.holes)
    assert all(one.fastener is None for one in panel.holes)


@pytest.mark.parametrize("outward", [1, -1], ids=["tab", "bay"])
def test_a_tab_or_bay_is_followed_though_its_lines_run_together_at_the_neck(photo, outward):
    """A round of 26 mm across on a neck that the pen is wider than, at the panel's upper or lower edge."""
    panel = Polygon(samples.PANEL)
    x, y = 215.0, max(y for x, y in samples.PANEL if abs(x - 215.0) < 3.0)
    round_one = Point(x, y + outward * 14.0).buffer(13.0)
    stem = box(x - 0.5, min(y - 3, y + outward * 14), x + 0.5, max(y + 3, y + outward * 14))
    shape = panel | (round_one | stem) if outward > 0 else panel - (round_one | stem)
    (got,) = found(photo(pen=BLUE, width=2.0, lines=[], panel=np.array(shape.exterior.coords)[:-1])).panels
    assert Polygon(got.outline).area == pytest.approx(shape.area, rel=0.01)
    assert Polygon(got.outline).area - panel.area == pytest.approx(outward * np.pi * 13**2, rel=0.25)


def test_codes_in_black_do_too(photo):
    """Mats whose codes are black: the pen is seen on them less well."""
    ring, holes = laid_on_truth(found(photo(code=samples.BLACK)).panels[0])
    assert ring.hausdorff_distance(LinearRing(samples.PANEL)) < 1.2
    assert len(holes) == len(HOLES)


def test_scale_and_doubt_are_said(photo):
    """By how much the outline may be off; and that nobody measured the bars."""
    files = photo(stand=samples.ABOVE)
    assert "outline good to about 0." in found(files).scale_said
    untold = find_drawing(*files, AskedOfPhotos(pen=True)).tracing.scale_said
    assert "2 % off without --measured" in untold


@pytest.mark.parametrize(
    ("said", "drawn"),
    [
        ("no closed line", {"panel": None}),
        ("no closed line", {"gap": 20}),
        ("no closed line", {"panel": None, "lines": []}),
        ("beside the outline there are lines", {"lines": [np.array([[120.0, -140.0], [180.0, -140.0]])]}),
        ("reaches the mat's rim", {"panel": samples.PANEL * (1.0, 0.98) + (90.3, 0.0)}),
    ],
)
def test_a_drawing_that_leaves_doubt_is_refused(photo, said, drawn):
    """Rather than a wrong outline: nothing there, too wide open, more than one line, over the rim."""
    text = refusal(photo(**drawn))
    assert said in text
    assert " | " in text


def test_a_photo_without_the_mat_is_refused(tmp_path):
    path = tmp_path / "grey.jpg"
    path.write_bytes(samples.jpeg(np.full((1800, 2400, 3), 120, np.uint8)))
    assert "shows 0 of the mat's codes" in refusal((path, samples.read_written_mat(tmp_path)))


def test_the_command_takes_a_drawing_into_the_bike_file(photo, tmp_path, capsys):
    """`trace --pen`: outline beside the bike file, holes with the fastener that was named, a picture."""
    assert run(["new", str(tmp_path / "bike.yaml"), "--quiet"]) == 0
    jpg, _ = photo()
    words = [
        "trace",
        str(tmp_path / "bike.yaml"),
        "belly-left",
        str(jpg),
        "--pen",
        "--mat",
        str(tmp_path / "mat.json"),
        "--fastener",
        "B",
    ]
    words += ["--measured", "180", "260", "--out", str(tmp_path / "out")]
    assert run(words) == 0, capsys.readouterr().err
    bike, _ = read_bike(tmp_path / "bike.yaml")
    panel = bike.panel("belly-left")
    assert [hole.fastener for hole in panel.holes] == ["B"] * 3
    assert (tmp_path / "out" / "belly-left-traced.png").exists()
    assert "drawing on the mat" in capsys.readouterr().out


def test_a_drawing_is_one_photo_and_flat(photo, tmp_path, capsys):
    assert run(["new", str(tmp_path / "bike.yaml"), "--quiet"]) == 0
    jpg, _ = photo()
    shutil.copy(jpg, tmp_path / "other.jpg")
    start = ["trace", str(tmp_path / "bike.yaml"), "belly-left", str(jpg), "--pen", "--mat", str(tmp_path / "mat.json")]
    assert run([*start, "--height", "20"]) == 2
    assert run([*start[:4], str(tmp_path / "other.jpg"), *start[4:]]) == 2
    assert capsys.readouterr().err.count("--pen takes one photo and no --height") == 2
