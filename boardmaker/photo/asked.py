"""What is asked of the photos, and what comes back: records that need no OpenCV.

Apart from the flow, so that the command and the guarded process share them and nothing more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boardmaker.geometry import Point
from boardmaker.tracing.found import Tracing


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


@dataclass(frozen=True)
class TracedPhotos:
    """What the photos gave."""

    tracing: Tracing
    above: PhotoFromAbove
