"""The README's two pictures of how to take photos: they are what their script draws today."""

from __future__ import annotations

import io

import numpy as np
import photo_pictures as drawn
import pytest
from PIL import Image

README = (drawn.ROOT / "README.md").read_text(encoding="utf-8")
ALIKE = 3.0  # grey levels in the mean; PDFium smooths edges otherwise from one release to the next


def pixels(content):
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGB"), float)


@pytest.fixture(scope="module")
def pictures():
    return drawn.pictures()


@pytest.mark.slow
def test_both_are_up_to_date_and_small(pictures):
    for name, content in pictures.items():
        kept = (drawn.FOLDER / name).read_bytes()
        assert pixels(kept).shape == pixels(content).shape
        assert np.abs(pixels(kept) - pixels(content)).mean() < ALIKE, f"{name}: run python tests/photo_pictures.py"
        assert len(kept) < 40_000


def test_another_picture_would_be_noticed(pictures):
    above, side = map(pixels, pictures.values())
    assert np.abs(above - side).mean() > 10 * ALIKE


def test_the_readme_shows_both(pictures):
    for name in pictures:
        assert f"](examples/new-bike/{name})" in README
    assert "rendered photos only" in README
