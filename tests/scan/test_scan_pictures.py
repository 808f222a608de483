"""Every kind of PNG and JPEG that a scan program may write gives the same measurement, and no file breaks the reader.

The files are written by Pillow, or by hand where it cannot write them.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from scan_samples import A6, Scanner, as_jpeg, as_png, marks_for, scanned

from boardmaker.problems import ProblemsFound
from boardmaker.scan import measure_scan
from boardmaker.scan.picture import read_picture

STRETCH = (0.985, 1.012)
DPI = (150, 150)
ORIENTATION = 0x0112  # the EXIF tag, EXIF 2.3 (from memory)


@pytest.fixture(scope="module")
def grey():
    return scanned(A6, Scanner(STRETCH, turn_deg=2.0))


def measure(content, dpi=None):
    return measure_scan(content, "scan", marks_for(A6), dpi)


def is_right(found) -> bool:
    return found.scale == pytest.approx(STRETCH, abs=0.0005)


def see_through(grey):
    """Black everywhere, and the paper is what one sees through."""
    picture = Image.new("RGBA", grey.shape[::-1], (0, 0, 0, 0))
    picture.putalpha(Image.fromarray(255 - grey))
    return picture


PNG_KINDS = {
    "grey": Image.fromarray,
    "colour": lambda grey: Image.fromarray(grey).convert("RGB"),
    "palette": lambda grey: Image.fromarray(grey).convert("RGB").quantize(16),
    "black and white": lambda grey: Image.fromarray(grey).point(lambda value: 255 * (value > 128)).convert("1"),
    "dithered": lambda grey: Image.fromarray(grey).convert("1"),
    "16 bits": lambda grey: Image.fromarray(grey.astype(np.uint16) * 257),
    "see-through": see_through,
    "grey with alpha": lambda grey: Image.fromarray(grey).convert("LA"),
}


@pytest.mark.parametrize("make", PNG_KINDS.values(), ids=PNG_KINDS)
def test_every_kind_of_png(grey, make):
    """Depths, palettes, see-through paper."""
    assert is_right(measure(as_png(make(grey), DPI)))


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
@pytest.mark.parametrize("quality", [30, 90])
def test_every_kind_of_jpeg(grey, mode, quality):
    """Also the strongest compression that scan programs offer."""
    assert is_right(measure(as_jpeg(Image.fromarray(grey).convert(mode), DPI, quality=quality)))


def test_greys_come_out_as_they_went_in():
    """0 is black and 255 white in every kind."""
    ramp = np.tile(np.arange(256, dtype=np.uint8), (20, 1))
    for name in ("grey", "colour", "16 bits", "see-through", "grey with alpha"):
        assert (read_picture(as_png(PNG_KINDS[name](ramp), DPI), "ramp", None).grey == ramp).all(), name
    cmyk = read_picture(as_jpeg(Image.fromarray(ramp).convert("CMYK"), DPI, quality=95), "ramp", None).grey
    assert cmyk.astype(int) == pytest.approx(ramp.astype(int), abs=6)


@pytest.mark.parametrize("save", [as_png, as_jpeg])
def test_a_picture_stored_on_its_side(save):
    """Orientation 6: stored a quarter turn anticlockwise; its resolutions lie down with it."""
    upright = scanned(A6, Scanner(STRETCH, (200.0, 100.0), 2.0))
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    found = measure(save(np.ascontiguousarray(np.rot90(upright)), (100, 200), exif=exif))
    assert is_right(found)
    assert found.dots_per_inch == (200.0, 100.0)
    assert found.turn_deg == pytest.approx(2.0, abs=0.02)


def test_the_resolution_that_is_said_overrules_the_file(grey):
    """Also where the file has none."""
    assert is_right(measure(as_png(grey), 150.0))
    assert is_right(measure(as_jpeg(grey, (72, 72)), 150.0))
    assert measure(as_jpeg(grey, (72, 72)), 150.0).dots_per_inch == (150.0, 150.0)
    assert measure(as_png(grey, DPI), 151.0).scale == pytest.approx([one * 150 / 151 for one in STRETCH], abs=0.0005)


@pytest.mark.parametrize(("dpi", "told"), [(300, 118), (150, 59), (200, 79), (600, 236)])
def test_whole_dots_per_centimetre_mean_a_usual_resolution(dpi, told):
    """JFIF's unit 2 at byte 13, density at 14 to 17 (ISO/IEC 10918-5, from memory): 118 a cm would be 299.7 dpi."""
    content = bytearray(as_jpeg(np.full((40, 40), 255, np.uint8), (dpi, dpi)))
    content[13:18] = bytes((2, *divmod(told, 256), *divmod(told, 256)))
    assert read_picture(bytes(content), "scan", None).dots_per_inch == (dpi, dpi)


def test_whole_dots_per_metre_mean_a_usual_resolution():
    """PNG's pHYs: 5906 a metre is 150.01 dpi read plainly, 3937 not quite 100."""
    for dpi in (100, 150, 200, 240, 300):
        content = as_png(np.full((40, 40), 255, np.uint8), (dpi, dpi))
        assert read_picture(content, "scan", None).dots_per_inch == (dpi, dpi)


def test_places_stay_when_a_picture_is_reduced():
    """One dark block of 6 x 6 pixels has its middle where it was, also if the picture does not divide evenly."""
    grey = np.full((101, 67), 255, np.uint8)
    grey[30:36, 12:18] = 0
    picture = read_picture(as_png(grey, DPI), "block", None)
    reduced = picture.reduced(3, 2)
    rows, columns = np.nonzero(reduced.grey == 0)
    assert reduced.place(rows.mean(), columns.mean()) == pytest.approx(picture.place(32.5, 14.5))
    assert reduced.pixel(reduced.place(7.0, 9.0)) == pytest.approx((7.0, 9.0))


SMALL = {save: save(np.full((60, 60), 200, np.uint8), DPI) for save in (as_png, as_jpeg)}


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(list(SMALL.values())), st.data())
def test_a_damaged_file_is_a_problem_and_nothing_else(content, data):
    """Cut off or with some bytes changed: no other exception, no warning."""
    damaged = bytearray(content[: data.draw(st.integers(0, len(content)))])
    for place in data.draw(st.lists(st.integers(0, len(content) - 1), max_size=4)):
        if place < len(damaged):
            damaged[place] = data.draw(st.integers(0, 255))
    with pytest.raises(ProblemsFound):
        measure(bytes(damaged))
