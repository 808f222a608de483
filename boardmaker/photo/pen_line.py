"""The middle of the pen's line, to a part of a pixel.

In: the ink and the pen's rough way. Out: the closed line. Along each normal of the way the line's middle is where the
missing light has its centre of mass; where the print hides it, or the line is open, it runs straight on between its
neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from boardmaker.photo.closed_line import even_line, normals_of, smooth_line
from boardmaker.photo.flattened import FINENESS
from boardmaker.photo.known_mat import Floats
from boardmaker.photo.pen_ink import PenInk
from boardmaker.photo.pen_print import Mask

STEP = 0.5  # mm from place to place
ROUGH, FINE = 1.6, 0.5  # mm, by which the way is smoothed before, and the line afterwards (standard deviations)
REACHES = (3.4, 2.4, 2.0)  # mm to both sides of the way, round after round
EVERY = 0.2  # mm between samples
LEAST_TOLD = 0.85  # of the light of a line's cross-section that must be told
JUMP = 0.7  # mm by which a place may be off the middle of its neighbours
AROUND = 8  # places to both sides of it


@dataclass(frozen=True)
class PenLine:
    """A closed line in pixels, about half a mm from place to place; which places were seen; the pen's width, mm."""

    places: Floats
    seen: Mask
    width: float


def pen_line(ink: PenInk, way: Floats) -> PenLine:
    """Return the line along a rough way in pixels."""
    line = even_line(way, STEP * FINENESS)
    line = even_line(smooth_line(line, ROUGH / STEP), STEP * FINENESS)
    for reach in REACHES:
        normals = normals_of(line)
        shift, seen, width = _middles(ink, line, normals, reach)
        seen = _steady(shift, seen)
        line = line + normals * (_filled(shift, seen) * FINENESS)[:, None]
        line = smooth_line(line, FINE / STEP)
    return PenLine(line, seen, width)


def _middles(ink: PenInk, line: Floats, normals: Floats, reach: float) -> tuple[Floats, Mask, float]:
    """How far along its normal each place's ink has its middle (mm), whether it is seen, and how wide the line is."""
    where = np.arange(-reach, reach + EVERY / 2, EVERY)
    samples = (line[:, None] + normals[:, None] * (where * FINENESS)[None, :, None]).astype(np.float32)
    missing = cv2.remap(ink.missing, samples[..., 0], samples[..., 1], cv2.INTER_LINEAR)
    told = cv2.remap(ink.told.astype(np.float32), samples[..., 0], samples[..., 1], cv2.INTER_LINEAR)
    mass = np.clip(missing - ink.threshold / 2, 0, 1) * (told > 0.5)
    total = mass.sum(axis=1)
    middle = (mass * where).sum(axis=1) / np.maximum(total, 1e-9)
    near = np.abs(where[None] - middle[:, None]) < 1.6
    clear = (told * near).sum(axis=1) / near.sum(axis=1)
    seen = (mass.max(axis=1) > ink.threshold / 2) & (clear > LEAST_TOLD)
    width = float(np.median(np.clip(missing[seen], 0, 1).sum(axis=1) * EVERY)) if seen.any() else 0.0
    return middle, seen, width


def _steady(shift: Floats, seen: Mask) -> Mask:
    """The places seen that are not off their neighbours: there another line, or the print, was taken for the line."""
    if not seen.any():
        return seen
    filled = _filled(shift, seen)
    around = np.stack([np.roll(filled, k) for k in range(-AROUND, AROUND + 1)])
    steady: Mask = seen & (np.abs(shift - np.median(around, axis=0)) < JUMP)
    return steady


def _filled(shift: Floats, seen: Mask) -> Floats:
    """The shifts, between places seen where a place is not."""
    index = np.flatnonzero(seen)
    if not len(index):
        return np.zeros_like(shift)
    count = len(shift)
    filled: Floats = np.interp(np.arange(count), np.r_[index - count, index, index + count], np.tile(shift[index], 3))
    return filled
