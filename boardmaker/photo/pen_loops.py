"""Loops of the pen: holes.

In: the ink inside of the outline. Out: the middle and the size of each loop. A ring of ink, light inside and out, is
looked for in every size that a pen draws around a hole; then the ridge of its line is followed all the way round. Where
the print hides a part of it, the opposite part says where it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.flattened import FINENESS
from boardmaker.photo.known_mat import Floats
from boardmaker.photo.pen_ink import PenInk
from boardmaker.photo.pen_line import PenLine
from boardmaker.photo.pen_print import Mask, Reals

RADII = tuple(np.arange(2.0, 5.6, 0.5))  # mm, of the middle of the line
RING = 1.2  # mm, width of a ring that is looked for
COARSE = 2  # pixels of the flattened photo, a side of a pixel of the search
LEAST = 0.2  # of the light that a ring misses more than its inside and its surroundings
LEAST_TOLD = 0.45  # of a ring
ANGLES = 72
OFF_RADIUS = 2.2  # mm by which a loop's line may be off the ring
INKED = 0.8  # of what is told of a loop must be ink
SEEN = 0.42  # of a loop must be told
APART = 6.0  # mm between the middles of two loops
OFF_LINE = 0.7  # mm beside the outline's line that are not looked at
SIZES = (3.2, 12.0)  # mm, of the middle of a loop's line across


@dataclass(frozen=True)
class PenLoop:
    """A loop's middle in pixels, its mean diameter in mm, and how much of it was seen."""

    middle: tuple[float, float]
    diameter: float
    seen: float


def pen_loops(ink: PenInk, outline: PenLine) -> tuple[PenLoop, ...]:
    """Return the loops inside of the outline."""
    inside = _inside(ink, outline)
    told = ink.told & inside
    missing = np.where(told, np.clip(ink.missing, 0, 1), 0).astype(np.float32)
    found: list[PenLoop] = []
    for at, radius in _rings(missing, told.astype(np.float32)):
        if all(np.hypot(*(np.array(loop.middle) - at)) > APART * FINENESS for loop in found):
            loop = _followed(missing, told, at, radius, ink.threshold)
            if loop is not None and all(
                np.hypot(*np.subtract(loop.middle, other.middle)) > APART * FINENESS for other in found
            ):
                found.append(loop)
    return tuple(found)


def _inside(ink: PenInk, outline: PenLine) -> Mask:
    places = np.round(outline.places * 16).astype(np.int32)
    inside = np.zeros(ink.missing.shape, np.uint8)
    cv2.fillPoly(inside, [places], 1, cv2.LINE_8, 4)
    width = round((outline.width + 2 * OFF_LINE) * FINENESS)
    cv2.polylines(inside, [places], True, 0, width, cv2.LINE_8, 4)
    result: Mask = inside > 0
    return result


def _rings(missing: Reals, told: Reals) -> Iterator[tuple[Floats, float]]:
    """Places (pixels) and radii (mm) at which a ring stands out, the clearest first."""
    height, width = (side // COARSE for side in missing.shape)
    size = (width, height)
    there, share = (
        np.asarray(
            cv2.resize(part[: height * COARSE, : width * COARSE], size, interpolation=cv2.INTER_AREA), np.float32
        )
        for part in (missing, told)
    )
    best = np.zeros((height, width), np.float32)
    radii = np.zeros_like(best)
    for radius in RADII:
        score = _standing_out(there, share, float(radius))
        better = score > best
        best[better], radii[better] = score[better], radius
    around = int(APART / 2 * FINENESS / COARSE)
    peaks = (best > LEAST) & (best >= cv2.dilate(best, np.ones((2 * around + 1,) * 2, np.uint8)))
    rows, columns = np.nonzero(peaks)
    for index in np.argsort(-best[rows, columns], kind="stable")[:200]:
        row, column = rows[index], columns[index]
        yield (np.array([column, row]) + 0.5) * COARSE - 0.5, float(radii[row, column])


def _standing_out(missing: Reals, told: Reals, radius: float) -> Reals:
    """By how much more light a ring around each pixel misses than its inside and what is around it."""
    pixel = COARSE / FINENESS
    reach = int((radius + 2.5 * RING) / pixel) + 1
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1] * pixel
    off = np.hypot(x, y) - radius
    ring = (np.abs(off) <= RING / 2).astype(np.float32)
    rest = (((off < -RING) | (off > RING)) & (off < 2.2 * RING)).astype(np.float32)
    shares = [_mean(missing, told, kernel) for kernel in (ring, rest)]
    seen = cv2.filter2D(told, -1, ring / ring.sum(), borderType=cv2.BORDER_CONSTANT)
    score: Reals = np.where(seen > LEAST_TOLD, shares[0] - shares[1], 0)
    return score


def _mean(missing: Reals, told: Reals, kernel: Reals) -> Reals:
    total, weight = (cv2.filter2D(part, -1, kernel, borderType=cv2.BORDER_CONSTANT) for part in (missing, told))
    mean: Reals = total / np.maximum(weight, 1e-3)
    return mean


def _followed(missing: Reals, told: Mask, at: Floats, radius: float, threshold: float) -> PenLoop | None:
    """The loop around a place, None where its line does not run all the way round."""
    angles = np.arange(ANGLES) * 2 * np.pi / ANGLES
    ways = np.column_stack([np.cos(angles), np.sin(angles)])
    middle, seen = at, np.zeros(ANGLES, bool)
    for _ in range(4):
        radii, seen, hidden = _ridge(missing, told, middle, ways, radius, threshold)
        if hidden.mean() > 1 - SEEN or seen.sum() < INKED * (~hidden).sum():
            return None
        places = middle + ways * (_all_round(radii, seen) * FINENESS)[:, None]
        hull = cv2.convexHull(places.astype(np.float32))
        moments = cv2.moments(hull)
        middle = np.array([moments["m10"], moments["m01"]]) / max(moments["m00"], 1e-9)
        radius = float(np.sqrt(moments["m00"] / np.pi)) / FINENESS
    if not SIZES[0] <= 2 * radius <= SIZES[1] or np.hypot(*(middle - at)) > 2.5 * FINENESS:
        return None
    return PenLoop((float(middle[0]), float(middle[1])), 2 * radius, float(seen.mean()))


def _ridge(
    missing: Reals, told: Mask, middle: Floats, ways: Floats, radius: float, threshold: float
) -> tuple[Floats, Mask, Mask]:
    """For each way from the middle how far out the line is (mm), whether it was seen, whether it may be hidden."""
    where = np.arange(max(0.6, radius - OFF_RADIUS), radius + OFF_RADIUS, 0.15)
    samples = (middle + ways[:, None] * (where * FINENESS)[None, :, None]).astype(np.float32)
    light = cv2.remap(missing, samples[..., 0], samples[..., 1], cv2.INTER_LINEAR)
    clear = cv2.remap(told.astype(np.float32), samples[..., 0], samples[..., 1], cv2.INTER_LINEAR) > 0.5
    mass = np.clip(light - threshold / 2, 0, 1) * clear
    seen = mass.max(axis=1) > threshold / 2
    radii = (mass * where).sum(axis=1) / np.maximum(mass.sum(axis=1), 1e-9)
    near = np.abs(where - radius) < 1.0
    hidden = ~seen & ((clear & near).sum(axis=1) < 0.7 * near.sum())
    return radii, seen, hidden


def _all_round(radii: Floats, seen: Mask) -> Floats:
    """The radii, those not seen as the opposite ones, else between their neighbours."""
    half = len(radii) // 2
    opposite, there = np.roll(radii, half), np.roll(seen, half)
    known = seen | there
    filled = np.where(seen, radii, opposite)
    index: NDArray[np.int64] = np.flatnonzero(known)
    count = len(radii)
    whole: Floats = np.interp(np.arange(count), np.r_[index - count, index, index + count], np.tile(filled[index], 3))
    return whole
