"""The picture of a traced panel with the photo from straight above under it.

In: the picture as PNG and where the panel's frame is on it. Out: PNG. The photo is paled, so that lines, marks and
words over it are read.
"""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from boardmaker.geometry import Point
from boardmaker.photo.asked import PhotoFromAbove

PALE = 0.45  # of white over the photo
MM_PER_INCH = 25.4


def with_photo(png: bytes, above: PhotoFromAbove, origin: Point, reduction: float, dpi: float, gap: int) -> bytes:
    """Return the picture over the photo.

    `origin`: the panel's [0, 0] on the page, mm from its lower left; `reduction`: mm of the panel in one of the page;
    `gap`: pixels around the page.
    """
    page = Image.open(io.BytesIO(png)).convert("RGB")
    dots = dpi / MM_PER_INCH
    height, width = above.rgb.shape[:2]
    scale = dots / above.pixels_per_mm / reduction
    photo = Image.fromarray(above.rgb).resize((max(1, round(width * scale)), max(1, round(height * scale))))
    x = gap + (origin[0] + above.upper_left[0] / reduction) * dots
    y = page.height - gap - (origin[1] + above.upper_left[1] / reduction) * dots
    under = Image.new("RGB", page.size, (255, 255, 255))
    under.paste(photo, (round(x), round(y)))
    pale = 255.0 * PALE + np.asarray(under, np.float32) * (1.0 - PALE)
    both = (pale * np.asarray(page, np.float32) / 255.0).round().astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(both).save(out, "PNG", dpi=(dpi, dpi), optimize=False)
    return out.getvalue()
