"""What is asked of the photos, and what comes back: records that need no OpenCV.

Apart from the flow, so that the command and the guarded process share them and nothing more.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from boardmaker.geometry import Point
from boardmaker.tracing.found import Tracing

JPEG_QUALITY = 80  # on the page to put a panel right by hand


@dataclass(frozen=True)
class AskedOfPhotos:
    """What the user says beside the photos."""

    measured: tuple[float, float] | None = None  # mm: the mat's bars across and along as they came out of the printer
    height: float | None = None  # mm of the panel's edge above the mat
    take_holes: bool = False  # take through holes without a mark
    pen: bool = False  # there is no panel, but its outline and holes drawn on the mat


@dataclass(frozen=True)
class PhotoFromAbove:
    """The panel as a picture from straight above: pixels, where its upper left lies in the panel's frame, fineness."""

    rgb: NDArray[np.uint8]
    upper_left: Point  # mm, y up
    pixels_per_mm: float
    encoded: bytes = b""  # the same picture as it came from a page

    def as_file(self) -> bytes:
        """Return the picture as JPEG, or as it came."""
        if self.encoded:
            return self.encoded
        out = io.BytesIO()
        Image.fromarray(self.rgb).save(out, "JPEG", quality=JPEG_QUALITY)
        return out.getvalue()


@dataclass(frozen=True)
class TracedPhotos:
    """What the photos gave."""

    tracing: Tracing
    above: PhotoFromAbove
