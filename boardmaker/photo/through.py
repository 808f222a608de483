"""Through holes without marks, as proposals: round spots that two views see at one place of the panel.

In: flattened photos with the panel's mask, cameras, the surface. Out: places. A dark bump looks much like a hole, so
nothing here is taken into a bike file unasked; what is plainly painted (dark, and nothing of the mat's tint in it
though there is light enough) is not proposed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from scipy.optimize import linear_sum_assignment

from boardmaker.photo.flattened import FINENESS, Image, Plane, Print
from boardmaker.photo.joining import Surface
from boardmaker.photo.known_mat import Floats
from boardmaker.photo.lifting import lifted

WIDTHS = 3.0, 14.0  # mm across
AWAY = 2.5  # mm from the panel's edge to the spot's rim
GROUND = 21.0  # mm: the size of what the panel looks like around a spot
STANDS_OUT = 14.0, 0.12  # grey levels, and part of the panel's own level, by which a spot differs
TINTED = 0.15  # of a spot's light, that the tint's channel must have more than the others
ROUND = 0.72  # of the circle around it that a spot fills
PASSING = 1.3  # mm by which two sights of one hole may pass each other
RISING = 14.0  # mm by which a hole may lie off the surface that the edge gives
ALIKE = 1.7  # times as wide in one view as in the other
NO_MATCH = 1e6


@dataclass(frozen=True)
class Spot:
    """A round spot in a flattened photo: middle and width, mm; how much of the mat's tint it shows, -1 to 1."""

    place: tuple[float, float]
    width: float
    tinted: float


@dataclass(frozen=True)
class ProposedHole:
    """A place where two views see the same spot, mm."""

    at: tuple[float, float]
    height: float
    width: float


def spots_in(flat: Image, mask: Image, known: Print, plane: Plane, strongest: int) -> tuple[Spot, ...]:
    """Return the round spots on the panel through which the mat may be seen."""
    panel = cv2.erode(mask, np.ones((3, 3), np.uint8))
    inner = cv2.erode(mask, np.ones((2 * int(AWAY * FINENESS) + 1,) * 2, np.uint8))
    ground = _ground(flat, panel)
    away = np.abs(flat.astype(np.float32) - ground).max(axis=2)
    away = cv2.GaussianBlur(away, (0, 0), 0.25 * FINENESS)
    limit = np.maximum(STANDS_OUT[0], STANDS_OUT[1] * ground.max(axis=2))
    standing = ((away > limit) & (panel > 0)).astype(np.uint8)
    standing = cv2.morphologyEx(standing, cv2.MORPH_OPEN, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5)))
    contours, _ = cv2.findContours(standing, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    spots = []
    for contour in contours:
        spot = _spot(contour, flat, plane, strongest)
        if spot is not None:
            row, column = (int(one) for one in np.round(plane.pixels(np.array(spot.place)))[::-1])
            if inner[row, column] and (spot.tinted > TINTED or known.dark[row, column]):
                spots.append(spot)
    return tuple(spots)


def _ground(flat: Image, panel: Image) -> Image:
    """What the panel looks like around each pixel: the median, at half the fineness, the mat left out."""
    small = cv2.resize(flat, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    weight = cv2.resize(panel, small.shape[1::-1], interpolation=cv2.INTER_NEAREST).astype(np.float32)
    size = int(GROUND * FINENESS / 2)
    total = cv2.blur(weight, (size, size))
    mean = cv2.blur(small * weight[..., None], (size, size)) / np.maximum(total, 1e-6)[..., None]
    filled = np.where(weight[..., None] > 0, small, np.clip(mean, 0, 255)).astype(np.uint8)
    median = cv2.medianBlur(filled, 2 * int(GROUND / 4 * FINENESS) + 1)
    ground: Image = cv2.resize(median, flat.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return ground


def _spot(contour: np.ndarray, flat: Image, plane: Plane, strongest: int) -> Spot | None:
    """A spot, if it is as round and as wide as a hole."""
    moments = cv2.moments(contour)
    area = moments["m00"]
    width = 2 * np.sqrt(area / np.pi) / FINENESS
    if not WIDTHS[0] < width < WIDTHS[1]:
        return None
    _, radius = cv2.minEnclosingCircle(contour)
    if area < ROUND * np.pi * radius**2:
        return None
    x, y = moments["m10"] / area, moments["m01"] / area
    half = max(1, int(width / 4 * FINENESS))
    inside = flat[max(0, int(y) - half) : int(y) + half + 1, max(0, int(x) - half) : int(x) + half + 1]
    colour = np.median(inside.reshape(-1, 3), axis=0)
    others = [colour[channel] for channel in range(3) if channel != strongest]
    tinted = float(colour[strongest] - np.mean(others)) / max(float(colour.max()), 20.0)
    at = plane.places(np.array([x, y]))
    return Spot((float(at[0]), float(at[1])), float(width), tinted)


def propose_holes(
    spots: Sequence[Sequence[Spot]], centres: Sequence[Floats], surface: Surface
) -> tuple[ProposedHole, ...]:
    """Return the places where the first two views see one spot, each spot used once."""
    if len(spots) < 2 or not spots[0] or not spots[1]:
        return ()
    pairs = [[_pair(one, other, centres, surface) for other in spots[1]] for one in spots[0]]
    costs = np.array([[NO_MATCH if pair is None else pair[0] for pair in row] for row in pairs])
    chosen = [pairs[i][j] for i, j in zip(*linear_sum_assignment(costs), strict=True)]
    return tuple(sorted((pair[1] for pair in chosen if pair is not None), key=lambda one: one.at))


def _pair(one: Spot, other: Spot, centres: Sequence[Floats], surface: Surface) -> tuple[float, ProposedHole] | None:
    meeting = lifted([np.array(one.place), np.array(other.place)], centres[:2])
    rise = abs(meeting.height - float(surface.height(np.array([meeting.at]))[0]))
    widths = sorted((one.width, other.width))
    if meeting.gap > PASSING or rise > RISING or widths[1] > ALIKE * widths[0]:
        return None
    hole = ProposedHole(meeting.at, meeting.height, (one.width + other.width) / 2)
    return meeting.gap + rise / 10 + widths[1] / widths[0], hole
