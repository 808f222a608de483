"""A felt pen's ink on the mat: how much of the print's light it takes away, pixel by pixel.

In: a flattened photo, the mat's print, where its tags are seen. Out: the share of light that is missing, and where it
can be told: not at the edges of the print's dark cells, not where sheets meet. Any colour of pen does: every pen
takes light away from the tint; shadows are wide and lines are thin, so the tint around a place says how bright it would
be without ink. On the print's dark cells ink shows only sometimes: there it counts where it is seen, and nowhere says
that none is there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.camera import Camera, LaidMat
from boardmaker.photo.flattened import FINENESS, Image, Plane, Print
from boardmaker.photo.known_mat import Floats
from boardmaker.photo.tags import LIGHT

AROUND = 11.0  # mm of tint that say how bright a place would be
STAINED = 0.88  # of the light around; less is no clean tint
LEAST = 0.22  # of the light that ink takes away at least
LEAST_ON_DARK = 0.4  # of the light of a dark cell
NOISES = 6.0  # standard deviations of clean tint that ink must exceed
ROUNDS = 3
AT_EDGE = 0.75  # mm to both sides of a cell's edge, where the photo mixes dark and light
MOST_SHIFT = 1.5  # mm by which a tag may be seen off its place

Reals = NDArray[np.floating]
Mask = NDArray[np.bool_]
Modules = Sequence[tuple[int, NDArray[np.bool_]]]  # each tag's number and its cells, True where dark


@dataclass(frozen=True)
class TagPrint:
    """The tags in a flattened photo: the number of the tag and one at its dark cells, its square, edges of cells."""

    dark: NDArray[np.int32]
    square: Mask
    edges: Mask


@dataclass(frozen=True)
class PenInk:
    """The share of light that is missing (0 to 1), where it can be told, and from which share on it is ink."""

    missing: Reals
    told: Mask
    mat: Mask
    square: Mask  # of tags: between their dark cells a line is seen in scraps
    scraps: Mask  # ink on the print's dark cells
    threshold: float

    @property
    def inked(self) -> Mask:
        """Where ink is seen."""
        inked: Mask = (self.told & (self.missing > self.threshold)) | self.scraps
        return inked


def tag_print(laid: LaidMat, camera: Camera, plane: Plane, seen: Mapping[int, Floats], modules: Modules) -> TagPrint:
    """Return where the tags' cells are, each tag where the photo itself shows it."""
    dark = np.zeros((plane.height, plane.width), np.int32)
    square = np.zeros((plane.height, plane.width), np.uint8)
    for number, cells in modules:
        tag = laid.mat.tags[number]
        if tag.sheet not in laid.sheets:
            continue
        shift = _shift(laid, camera, seen, number)
        size = tag.size / len(cells)
        for row, column in np.argwhere(cells):
            x, y = (column - len(cells) / 2) * size, (len(cells) / 2 - row) * size
            corners = np.array([[x, y], [x + size, y], [x + size, y - size], [x, y - size]]) + tag.centre
            _fill(dark, plane, laid.place(tag.sheet, corners) + shift, number + 1)
        _fill(square, plane, laid.place(tag.sheet, tag.corners) + shift, 1)
    return TagPrint(dark, square > 0, _edges(dark > 0))


def _shift(laid: LaidMat, camera: Camera, seen: Mapping[int, Floats], number: int) -> Floats:
    """How far off its place the photo shows a tag (mm); nothing for one that it does not show."""
    if number not in seen:
        return np.zeros(2)
    tag = laid.mat.tags[number]
    shift: Floats = (camera.ground(seen[number]) - laid.place(tag.sheet, tag.corners)).mean(axis=0)
    return shift if np.hypot(*shift) < MOST_SHIFT else np.zeros(2)


def _fill(mask: NDArray[np.int32] | Image, plane: Plane, corners: Floats, value: int) -> None:
    cv2.fillConvexPoly(mask, np.round(plane.pixels(corners) * 16).astype(np.int32), value, cv2.LINE_8, 4)


def _edges(dark: Mask) -> Mask:
    cells = dark.astype(np.uint8)
    outside = cv2.distanceTransform(1 - cells, cv2.DIST_L2, 5)
    inside = cv2.distanceTransform(cells, cv2.DIST_L2, 5)
    edges: Mask = (outside + inside) <= AT_EDGE * FINENESS + 0.5
    return edges


def pen_ink(flat: Image, known: Print, tags: TagPrint) -> PenInk:
    """Return the ink in a flattened photo."""
    light = LIGHT[flat].sum(axis=2)
    mat = known.mat > 0
    told = mat & (tags.dark == 0) & ~tags.edges & (known.joins == 0)
    clean = told.astype(np.float32)
    for _ in range(ROUNDS):
        tint = _around(light, clean)
        clean = (told & (light > STAINED * tint)).astype(np.float32)
    share = light / np.maximum(tint, 1e-4)
    missing = np.clip(1.0 - share, -0.5, 1.0).astype(np.float32)
    scraps = _scraps(share, (tags.dark * ~tags.edges * mat).astype(np.int32))
    return PenInk(missing, told, mat, tags.square, scraps, max(LEAST, NOISES * _noise(missing[clean > 0])))


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


def _scraps(share: Reals, dark: NDArray[np.int32]) -> Mask:
    """Where dark cells are darker still: against the others of their tag, beyond what their light varies by."""
    scraps = np.zeros(share.shape, bool)
    smooth = cv2.blur(share, (3, 3))
    places = np.flatnonzero(dark)
    order = places[np.argsort(dark.ravel()[places], kind="stable")]
    numbers = dark.ravel()[order]
    for run in np.split(order, np.flatnonzero(np.diff(numbers)) + 1):
        if len(run) > 30:
            part = smooth.ravel()[run]
            missing = 1.0 - part / max(float(np.median(part)), 1e-4)
            scraps.ravel()[run] = missing > max(LEAST_ON_DARK, NOISES * _noise(missing))
    return scraps


def _noise(values: NDArray[Any]) -> float:
    """The standard deviation of most of the values."""
    return 1.4826 * float(np.median(np.abs(values - np.median(values)))) if values.size else 1.0
