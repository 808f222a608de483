"""A felt pen's ink on the mat: how much of the light it takes away, pixel by pixel.

In: a flattened photo, the mat, what its print leaves of the light. Out: the share of light that is missing, and where
it can be told: not where sheets meet, nor where the print is too dark for it. Any colour of pen does: every pen takes
light away from tint and print alike; shadows are wide and lines are thin, so what is around a place says how bright it
would be without ink.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.flattened import FINENESS, Image, Print
from boardmaker.photo.pen_print import Mask, PrintedLight, Reals
from boardmaker.photo.tags import LIGHT

AROUND = 11.0  # mm of tint that say how bright a place would be
STAINED = 0.88  # of the light around; less is no clean tint
LEAST = 0.22  # of the light that ink takes away at least
LEAST_ON_PRINT = 0.4  # the same on the mat's codes
DARK = 0.7  # of the tint's light: what the print makes darker is noisier, and is smoothed
NOISES = 6.0  # standard deviations of clean tint that ink must exceed
LINKED = 0.5  # of what ink takes away at least: enough where it goes on from what is ink for sure
CHANNEL_END, MOST_ENDED = 252, 0.3  # grey level at which a channel comes to its end; of the tint, that may have
ROUNDS = 3


@dataclass(frozen=True)
class PenInk:
    """The share of light that is missing (0 to 1), where it can be told, and from which share on it is ink."""

    missing: Reals
    told: Mask
    mat: Mask
    square: Mask  # of the mat's codes, in which less ink is none
    threshold: float

    @property
    def inked(self) -> Mask:
        """Where ink is seen: for sure, or faintly where it goes on from there."""
        least = np.where(self.square, max(self.threshold, LEAST_ON_PRINT), self.threshold)
        sure = self.told & (self.missing > least)
        faint = self.told & (self.missing > LINKED * least)
        _, labels = cv2.connectedComponents(faint.astype(np.uint8), connectivity=8)
        linked = np.zeros(labels.max() + 1, bool)
        linked[labels[sure]] = True
        return np.asarray(linked[labels] & faint)


def shares_of_tint(flat: Image, known: Print, share: Reals | float = 1.0) -> Reals:
    """Return each pixel's light as a share of the clean tint's around it; `share`: what the print leaves, if known."""
    told = (known.mat > 0) & (known.joins == 0)
    ended = (flat[told] >= CHANNEL_END).mean(
        axis=0
    ) > MOST_ENDED  # where the photo is too bright, a channel tells little
    light = LIGHT[flat] @ np.where(ended & ~ended.all(), 0.0, 1.0).astype(np.float32) / share
    told &= (known.dark == 0) if isinstance(share, float) else (share > DARK)
    clean = told.astype(np.float32)
    for _ in range(ROUNDS):
        tint = _around(light, clean)
        clean = (told & (light > STAINED * tint)).astype(np.float32)
    shares: Reals = light / np.maximum(tint, 1e-4)
    return shares.astype(np.float32)


def pen_ink(flat: Image, known: Print, printed: PrintedLight) -> PenInk:
    """Return the ink in a flattened photo."""
    missing = 1.0 - shares_of_tint(flat, known, printed.share)
    dark = printed.share < DARK
    missing = np.where(dark, cv2.blur(missing, (3, 3)), missing)
    missing = np.where(missing > 0, np.maximum(missing - printed.doubt, 0), missing)
    missing = np.clip(missing, -0.5, 1.0).astype(np.float32)
    mat = known.mat > 0
    told = mat & (known.joins == 0)
    clean = told & ~printed.square & (missing < 1 - STAINED)
    if NOISES * _noise(missing[told & dark]) > 1 - LEAST_ON_PRINT:
        told &= ~dark
    return PenInk(missing, told, mat, printed.square, max(LEAST, NOISES * _noise(missing[clean])))


def _around(light: Reals, clean: Reals) -> Reals:
    """The light of clean tint around each pixel; far from any, of what there is in a wider neighbourhood."""
    total = np.zeros_like(light)
    weight = np.zeros_like(light)
    for reach, share in ((AROUND, 1.0), (5 * AROUND, 1e-3)):
        size = (2 * int(reach / 2 * FINENESS) + 1,) * 2
        total += share * cv2.blur(light * clean, size)
        weight += share * cv2.blur(clean, size)
    around: Reals = total / np.maximum(weight, 1e-9)
    return around


def _noise(values: NDArray[Any]) -> float:
    """The standard deviation of most of the values."""
    return 1.4826 * float(np.median(np.abs(values - np.median(values)))) if values.size else 1.0
