"""Pictures that would fill the memory or take for ever are refused from their headers."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from boardmaker.problems import ProblemsFound
from boardmaker.scan.picture import read_picture

GREY, RGB, PALETTE, RGBA = 0, 2, 3, 6  # colour types (PNG specification, 11.2.2)


def header_of(width, height, colour, dpi=300):
    """A PNG file's start with its size and resolution, and no pixels."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0))
    density = chunk(b"pHYs", struct.pack(">IIB", round(dpi / 0.0254), round(dpi / 0.0254), 1))
    return b"\x89PNG\r\n\x1a\n" + header + density + chunk(b"IDAT", zlib.compress(b"\0" * 100))


def refusal(content, dpi=None):
    with pytest.raises(ProblemsFound) as caught:
        read_picture(content, "scan.png", dpi)
    (problem,) = caught.value.problems
    assert problem.hint
    return problem.message


@pytest.mark.parametrize(
    ("size", "colour", "said"),
    [
        ((12_000, 12_400), RGBA, "too large a picture with colours: 12000 x 12400 pixels"),
        ((12_000, 12_400), RGB, "too large a picture with colours: 12000 x 12400 pixels"),
        ((12_000, 12_400), GREY, "broken or cut off"),
        ((149_000_000, 1), GREY, "149000000 x 1 pixels; at most 150 million pixels are read, and 50,000 in a row"),
        ((1, 50_001), GREY, "and 50,000 in a row"),
        ((13_000, 13_000), GREY, "too large a picture: 13000 x 13000 pixels"),
    ],
)
def test_a_size_is_judged_before_anything_is_decoded(size, colour, said):
    """By pixels, by the memory that they take in their colours, by the longest side."""
    assert said in refusal(header_of(*size, colour))


@pytest.mark.parametrize("dpi", [0.01, 19.9, 10_001, 1e300])
def test_a_resolution_that_no_scanner_has(dpi):
    """In words, and with what to do."""
    assert "cannot be meant" in refusal(header_of(100, 100, GREY), dpi)


def test_a_resolution_of_the_file_is_judged_too():
    """A PNG can tell millions of dots an inch."""
    written = io.BytesIO()
    Image.new("L", (100, 100)).save(written, "PNG", dpi=(1e6, 1e6))
    assert "cannot be meant" in refusal(written.getvalue())


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_is_turned_upright(orientation):
    """All eight orientations of EXIF, in a picture that is taller than a strip; what Pillow itself would do."""
    colours = np.random.default_rng(1).integers(0, 255, (1100, 30, 3), dtype=np.uint8)
    exif = Image.Exif()
    exif[0x0112] = orientation
    written = io.BytesIO()
    Image.fromarray(colours).save(written, "PNG", dpi=(300, 300), exif=exif)
    grey = read_picture(written.getvalue(), "scan.png", None).grey
    upright = Image.fromarray(colours).convert("L")
    back = {2: 0, 3: 3, 4: 1, 5: 5, 6: 4, 7: 6, 8: 2}  # orientation: Image.Transpose
    expected = upright if orientation == 1 else upright.transpose(Image.Transpose(back[orientation]))
    assert np.array_equal(grey, np.asarray(expected))
