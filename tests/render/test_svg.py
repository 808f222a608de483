"""A board's SVG file by svgelements, resvg and a plain XML reader: true to size, in groups, text as outlines."""

import dataclasses
import re
import xml.etree.ElementTree as ET

import pytest
from file_readers import SVG_NAMESPACE, draw_svg, ink_box, read_svg, svg_elements
from render_samples import BOARD, HEAD, HOLE

from boardmaker.display_list import Circle, Drawing, Path, Text
from boardmaker.render.svg import render_svg

SQUARE = Path(((30, 20), (130, 20), (130, 120), (30, 120)), closed=True, line_width=0.2)
PLATE = Drawing(200, 140, (SQUARE,), (Circle((50, 30), HOLE),), (Circle((50, 30), HEAD),))


@pytest.fixture(scope="module")
def made() -> bytes:
    return render_svg(BOARD, title="Board 1")


def shrink(file: bytes) -> bytes:
    """Return the file as a program saves it that takes 97 units for 100."""
    return re.sub(rb'(width|height)="([\d.]+)mm"', lambda m: b'%s="%.4fmm"' % (m[1], 0.97 * float(m[2])), file)


def holds_for_svgelements(file: bytes) -> bool:
    """Tell whether a square of 100 mm, a hole and a head are what they should be, to 0.01 mm."""
    found = read_svg(file)
    return (
        found.size == pytest.approx((200, 140), abs=0.01)
        and found.lines == (pytest.approx((100, 100), abs=0.01),)
        and sorted(found.diameters) == [pytest.approx((size, size), abs=0.01) for size in (HOLE, HEAD)]
    )


def holds_for_resvg(file: bytes) -> bool:
    """Tell whether the ink of the square is 100 mm and a line width wide, to two pixels at 600 dpi."""
    x0, y0, x1, y1 = ink_box(draw_svg(file, 600), 600)
    return (x0, y0, x1, y1) == pytest.approx((29.9, 19.9, 130.1, 120.1), abs=2 * 25.4 / 600)


@pytest.mark.parametrize("holds", [holds_for_svgelements, holds_for_resvg])
@pytest.mark.slow
def test_lengths_are_true_and_97_percent_is_found_out(holds):
    """True to size: two engines agree on the true file, and neither lets the shrunk one pass."""
    file = render_svg(PLATE, title="plate")
    assert holds(file)
    assert not holds(shrink(file))


def test_one_unit_is_one_millimetre(made):
    """Width and height in mm and the same numbers in the viewBox."""
    root = ET.fromstring(made)
    assert (root.get("width"), root.get("height")) == ("200mm", "140mm")
    assert root.get("viewBox") == "0 0 200 140"


def test_the_groups_hold_what_a_cutter_expects(made):
    """Cut: closed paths; holes: one circle a pocket, without a transform, y down; the rest is in print."""
    (cut,) = svg_elements(made, "path", "cut")
    assert cut.get("d") == "M20 140L200 140L200 0L0 0L0 120Z"
    holes = svg_elements(made, "circle", "holes")
    assert [[hole.get(key) for key in ("cx", "cy", "r", "fill")] for hole in holes] == [
        [str(x), "80", "2.55", "none"] for x in (40, 60, 80)
    ]
    assert all(element.get("stroke") and element.get("stroke-width") for element in [cut, *holes])
    assert len(svg_elements(made, "circle", "print")) == 3 + 3  # heads and the circles of the insets


def test_text_is_outlines_and_the_words_stay_readable(made):
    """No text element that another program could set in another font; the words are labels of pictures."""
    assert not list(ET.fromstring(made).iter(f"{SVG_NAMESPACE}text"))
    labels = {path.get("aria-label"): path.get("role") for path in svg_elements(made, "path", "print")}
    assert labels["Left knee cover ½ Ж Ω é ▲✓ ⌀6"] == "img"
    assert labels["1 A  5 N·m"] == "img"


def test_titles_and_words_may_hold_any_sign():
    """What XML reserves comes back as it was."""
    file = render_svg(dataclasses.replace(BOARD, print=(Text((5, 5), 'A<B & "C"'),)), title="Board <1> & more")
    assert ET.fromstring(file).find(f"{SVG_NAMESPACE}title").text == "Board <1> & more"
    assert svg_elements(file, "path", "print")[0].get("aria-label") == 'A<B & "C"'


def test_greys_stay_greys(made):
    """Nothing that a laser printer turns into something else, but for the two colours that the sample asks for."""
    colours = set(re.findall(rb'(?:fill|stroke)="([^"]+)"', made)) - {b"none"}
    assert len(colours) > 3
    assert {one for one in colours if not re.fullmatch(rb"#(..)\1\1", one)} == {b"#cc001a", b"#cce6ff"}


def test_small_steps_are_kept():
    """Coordinates carry 0.0001 mm, so that 0.001 mm survives; there is no negative zero."""
    line = Path(((0.0004, 0), (10.1234, 0)), line_width=0.25)
    (path,) = svg_elements(render_svg(Drawing(20, 0.00001, (), (), (line,)), title="line"), "path", "print")
    assert path.get("d") == "M0.0004 0L10.1234 0"


def test_a_text_of_blanks_is_a_valid_path_without_ink():
    """The path keeps its data attribute."""
    file = render_svg(Drawing(20, 20, (), (), (Text((5, 5), "  "),)), title="blank")
    assert svg_elements(file, "path", "print")[0].get("d")
    assert not draw_svg(file, 100).any()
