"""A photo laid flat: what it shows, drawn on the plane of the mat.

In: pixels and the camera. Out: a picture in whole pixels a millimetre, the same frame for all photos of a panel, and
which part of it is mat, and which part of the mat's print is dark. What stands above the mat is displaced in it, away
from the camera; `joining` puts that right.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.camera import Camera, LaidMat
from boardmaker.photo.known_mat import Floats

FINENESS = 2.5  # pixels a mm: about what a 12 megapixel photo from 1 m has
AROUND = 40.0  # mm beside the mat: a high panel is displaced by as much
EDGE = 2.0  # mm at the mat's rim that count as no mat: sheets are trimmed by hand
INK_SPREAD = 1.0  # mm around a dark module in which its ink may show
JOIN = 2.4  # mm, width of the band

Image = NDArray[np.uint8]


@dataclass(frozen=True)
class Plane:
    """The frame of flattened pictures: pixel <-> mm."""

    left: float
    top: float
    width: int
    height: int

    def pixels(self, places: Floats) -> Floats:
        """Return the pixels of places in mm."""
        return (np.asarray(places, float) - (self.left, self.top)) * (FINENESS, -FINENESS)

    def places(self, pixels: Floats) -> Floats:
        """Return the places of pixels, mm."""
        return np.asarray(pixels, float) / (FINENESS, -FINENESS) + (self.left, self.top)


def plane_of(mat: LaidMat) -> Plane:
    """Return a frame that holds the mat and a little around it."""
    corners = np.vstack([_sheet_corners(mat, sheet) for sheet in mat.sheets])
    (left, low), (right, top) = corners.min(axis=0) - AROUND, corners.max(axis=0) + AROUND
    return Plane(left, top, int((right - left) * FINENESS), int((top - low) * FINENESS))


def _sheet_corners(mat: LaidMat, sheet: int, less: float = 0.0) -> Floats:
    half = np.array(mat.mat.sheet) / 2 - less
    return mat.place(sheet, np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * half)


def flattened(rgb: Image, camera: Camera, plane: Plane, height: Callable[[Floats], Floats] | None = None) -> Image:
    """Return the photo on the mat's plane, or on a surface of heights above it; black where it shows nothing."""
    step = 8  # the way from plane to photo is smooth: every 8th pixel is worked out
    across, down = np.arange(0, plane.width + step, step), np.arange(0, plane.height + step, step)
    x, y = np.meshgrid(across, down)
    places = plane.places(np.column_stack([x.ravel(), y.ravel()]))
    heights = np.zeros(len(places)) if height is None else height(places)
    seen = camera.project(np.column_stack([places, heights])).reshape(*x.shape, 2)
    coarse = seen.astype(np.float32)
    rows, columns = np.mgrid[0 : plane.height, 0 : plane.width].astype(np.float32) / step
    maps = [cv2.remap(coarse[..., k], columns, rows, cv2.INTER_LINEAR) for k in (0, 1)]
    shown: Image = cv2.remap(rgb, maps[0], maps[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
    return shown


@dataclass(frozen=True)
class Print:
    """What of the plane is mat, and where the mat's print is dark (with a little around it): masks, 0 or 1."""

    mat: Image
    dark: Image
    joins: Image  # between sheets, where the floor may show


def print_of(laid: LaidMat, plane: Plane, tables: Sequence[tuple[int, NDArray[np.bool_]]]) -> Print:
    """Return the masks; `tables` has each tag's number and its modules, True where dark."""
    mat = np.zeros((plane.height, plane.width), np.uint8)
    for sheet in laid.sheets:
        _fill(mat, plane, _sheet_corners(laid, sheet, -1.0))  # joins between sheets are mat
    reach = int(EDGE + 1.0) * FINENESS
    mat = cv2.erode(mat, np.ones((2 * int(reach) + 1,) * 2, np.uint8), borderValue=0)
    dark = np.zeros_like(mat)
    for number, modules in tables:
        tag = laid.mat.tags[number]
        if tag.sheet in laid.sheets:
            module = tag.size / len(modules)
            for row, column in np.argwhere(modules):
                x, y = (column - len(modules) / 2) * module, (len(modules) / 2 - row) * module
                square = np.array([x, y]) + np.array([[0, 0], [1, 0], [1, -1], [0, -1]]) * module
                grown = square + np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * INK_SPREAD
                _fill(dark, plane, laid.place(tag.sheet, grown + tag.centre))
    return Print(mat, dark, _joins(laid, plane))


def _joins(laid: LaidMat, plane: Plane) -> Image:
    """A band along the edges of the sheets, where two of them meet or should."""
    joins = np.zeros((plane.height, plane.width), np.uint8)
    for sheet in laid.sheets:
        corners = np.round(plane.pixels(_sheet_corners(laid, sheet)) * 16).astype(np.int32)
        cv2.polylines(joins, [corners], True, 1, int(JOIN * FINENESS), cv2.LINE_8, 4)
    return joins


def _fill(mask: Image, plane: Plane, corners: Floats) -> None:
    cv2.fillConvexPoly(mask, np.round(plane.pixels(corners) * 16).astype(np.int32), 1, cv2.LINE_8, 4)
