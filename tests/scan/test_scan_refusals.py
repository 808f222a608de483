"""What cannot be measured is refused, with the reason and a remedy."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image
from scan_samples import A4, A5, A6, Scanner, as_jpeg, as_png, draw, marks_for, page_with, scan, scanned

from boardmaker.problems import ProblemsFound
from boardmaker.scan import measure_scan

pytestmark = pytest.mark.slow

DPI = (150, 150)


def refusal(content, dpi=None, paper=A6):
    """Return message and hint of the one problem."""
    with pytest.raises(ProblemsFound) as caught:
        measure_scan(content, "scan.png", marks_for(paper), dpi)
    (problem,) = caught.value.problems
    assert problem.message.startswith("scan.png")
    assert problem.hint
    return problem.message, problem.hint


def png_of_size(width, height):
    """A PNG file's start with its size and no pixels (PNG specification: IHDR, then IDAT)."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100))


def test_a_file_that_is_no_picture():
    """Text, nothing at all, and pictures of other kinds, also of several pages."""
    several = io.BytesIO()
    page = Image.new("L", (50, 50), 255)
    page.save(several, "TIFF", save_all=True, append_images=[page], dpi=DPI)
    for content in (b"", b"scale: 0.97\n", several.getvalue(), b"%PDF-1.4"):
        message, hint = refusal(content)
        assert "not a picture in PNG or JPEG format" in message
        assert "PNG or JPEG" in hint


def test_a_picture_that_is_cut_off():
    """Half a file."""
    whole = as_jpeg(scanned(A6), DPI)
    assert "broken or cut off" in refusal(whole[: len(whole) // 2])[0]


@pytest.mark.parametrize("size", [(13_000, 13_000), (60_000, 60_000), (2_000_000_000, 2)])
def test_a_picture_that_is_too_large_is_not_even_decoded(size):
    """Below and above the sizes at which Pillow warns and refuses; its warnings would fail this test."""
    message, hint = refusal(png_of_size(*size))
    assert "too large" in message
    assert "300 dpi" in hint


def test_a_picture_without_a_resolution():
    """PNG without pHYs, JPEG without density."""
    for content in (as_png(scanned(A6)), as_jpeg(scanned(A6))):
        message, hint = refusal(content)
        assert "does not say at how many dots per inch" in message
        assert "--dpi 300" in hint


@pytest.mark.parametrize("dpi", [72.0, 75.0, 96.0])
def test_too_coarse_a_picture(dpi):
    """As the file says, or as the user says."""
    grey = scanned(A6, dpi=(dpi, dpi))
    for message, hint in (refusal(as_png(grey, (dpi, dpi))), refusal(as_png(grey), dpi)):
        assert f"{dpi:g}" in message
        assert "too coarse" in message
        assert "200 to 400 dpi" in hint


def test_too_coarse_a_picture_without_a_page():
    """The resolution is what is wrong first."""
    assert "too coarse" in refusal(as_png(np.full((300, 300), 250, np.uint8), (72, 72)))[0]


@pytest.mark.parametrize(("true", "told"), [(150, 72), (200, 300), (300, 96), (150, 600), (200, 1200)])
def test_a_file_with_the_wrong_resolution(true, told):
    """The page tells the true one."""
    grey = scanned(A6, how=Scanner((0.98, 1.01), (true, true), 2.0))
    message, hint = refusal(as_png(grey, (told, told)))
    assert f"the file says {told} dpi" in message
    assert f"if it was scanned at {true} dpi, say --dpi {true}" in hint


def test_a_wrong_resolution_on_the_command_line():
    """Then the option is to blame, not the file."""
    message, hint = refusal(as_png(scanned(A6), DPI), 300.0)
    assert "--dpi 300" in message
    assert "the file says" not in message
    assert "say --dpi 150 (or leave --dpi away)" in hint


@pytest.mark.parametrize("scale", [0.9, 0.707, 1.06])
def test_a_page_scaled_by_the_print_dialog(scale):
    """No usual resolution explains it."""
    message, hint = refusal(as_png(scanned(A6, stretch=(scale, scale)), DPI))
    assert f"{scale:.1%} of its width and {scale:.1%} of its height" in message
    assert "print dialog scaled the page" in hint


def test_pictures_without_the_page():
    """White paper, black paper, noise, another page of ours without discs, and one of nothing but discs."""
    noise = np.random.default_rng(5).integers(0, 256, (800, 600)).astype(np.uint8)
    other = scan(draw(page_with(A6, ())), A6, Scanner())
    rows, columns = np.indices((800, 600))
    dots = np.where((rows % 24 - 12) ** 2 + (columns % 24 - 12) ** 2 < 60, 20, 250).astype(np.uint8)
    for grey in (np.full((800, 600), 250, np.uint8), np.zeros((800, 600), np.uint8), noise, other, dots):
        message, hint = refusal(as_png(grey, DPI))
        assert "0 of the 7 black discs" in message
        assert "lid closed" in hint
        assert "setup file" in hint


def test_too_many_discs_missing():
    """Two of them; it says how many there are."""
    places = marks_for(A6).places
    assert "5 of the 7 black discs" in refusal(as_png(scanned(A6, discs=places[2:]), DPI))[0]
    assert "5 of the 7 black discs" in refusal(as_png(scanned(A6, discs=(*places[:2], *places[4:])), DPI))[0]


def test_a_page_that_is_cut_off():
    """The upper fifth is not in the picture."""
    grey = scanned(A6, turn_deg=1.0)
    message, hint = refusal(as_png(grey[grey.shape[0] // 5 :].copy(), DPI))
    assert "of the 7 black discs" in message
    assert "nothing cut off" in hint


def test_without_the_orientation_disc_and_in_a_mirror():
    """Six fit, but no one knows which way."""
    for grey in (scanned(A5, discs=marks_for(A5).places[:-1]), scanned(A5)[:, ::-1].copy()):
        message, _ = refusal(as_png(grey, DPI), paper=A5)
        assert "6 of the 7 black discs" in message
        assert "not the one that tells which way the page lies" in message


@pytest.mark.parametrize("bow", [0.01, 0.03])
def test_a_photograph(bow):
    """Its far edge is smaller by 1 or 3 %."""
    message, hint = refusal(as_png(scanned(A5, bow=bow), DPI), paper=A5)
    assert "do not lie as on the test page" in message
    assert "mm off" in message
    assert "a photograph cannot be measured" in hint


def test_a_page_that_is_out_of_square():
    """By a degree, as a feeder that pulls askew does it: each row of pixels is shifted."""
    grey = scanned(A6)
    shifted = np.array([np.roll(row, round(number * np.tan(np.radians(1)))) for number, row in enumerate(grey)])
    message, _ = refusal(as_png(shifted, DPI))
    assert "1.0 degrees out of square" in message


def test_the_test_page_of_another_paper():
    """A4 is asked for, the page was made for Letter (215.9 x 279.4 mm)."""
    _, hint = refusal(as_png(scanned((215.9, 279.4)), DPI), paper=A4)
    assert "the paper in the setup file must be the one" in hint


def test_a_resolution_of_nothing_is_a_programming_error():
    """The command line does not let it through."""
    with pytest.raises(ValueError, match="more than 0"):
        measure_scan(as_png(scanned(A6), DPI), "scan.png", marks_for(A6), 0.0)
