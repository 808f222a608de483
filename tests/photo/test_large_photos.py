"""Photos larger than need be: made fewer pixels before all else, turned as they were taken."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from boardmaker.photo.pixels import ENOUGH_PIXELS, read_pixels
from boardmaker.problems import ProblemsFound

SIZE = (6000, 4000)


@pytest.mark.parametrize(("mode", "form"), [("RGB", "JPEG"), ("L", "JPEG"), ("CMYK", "JPEG"), ("P", "PNG")])
@pytest.mark.slow
def test_a_large_photo_is_reduced_and_stands_upright(tmp_path, mode, form):
    """Its left is dark, and it was held so that this is above (turn 6: a quarter clockwise)."""
    picture = Image.new("L", SIZE, 250)
    picture.paste(5, (0, 0, SIZE[0] // 2, SIZE[1]))
    exif = Image.Exif()
    exif[0x0112] = 6
    out = io.BytesIO()
    picture.convert("RGB").convert(mode).save(out, form, exif=exif)
    (tmp_path / "p.jpg").write_bytes(out.getvalue())
    rgb = read_pixels(tmp_path / "p.jpg").rgb
    assert rgb.shape == (SIZE[0] // 2, SIZE[1] // 2, 3)
    assert rgb.size / 3 <= ENOUGH_PIXELS
    assert np.abs(rgb[: SIZE[0] // 4 - 9].astype(int) - 5).max() < 20
    assert np.abs(rgb[SIZE[0] // 4 + 9 :].astype(int) - 250).max() < 20


def test_pixels_that_are_gone_over_again_and_again_are_refused(tmp_path):
    """A progressive JPEG may have any number of scans, each over all pixels; usual ones are read."""
    out = io.BytesIO()
    Image.new("L", (2000, 2000), 90).save(out, "JPEG", progressive=True)
    usual = out.getvalue()
    last = usual.rfind(b"\xff\xc4", 0, usual.rfind(b"\xff\xda"))  # its table, and the scan after it
    for name, content in (("usual.jpg", usual), ("many.jpg", usual[:-2] + usual[last:-2] * 200 + usual[-2:])):
        (tmp_path / name).write_bytes(content)
    assert read_pixels(tmp_path / "usual.jpg").rgb.shape == (2000, 2000, 3)
    with pytest.raises(ProblemsFound, match=r"many\.jpg has its 2000 x 2000 pixels in 20\d layers"):
        read_pixels(tmp_path / "many.jpg")
