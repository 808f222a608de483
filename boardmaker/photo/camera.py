"""Where each photo was taken from, with which lens, and how the mat's sheets really lie.

In: the tags' corners in all photos, the focal length that each file tells, the printer's scale. Out: cameras and
sheets, fitted together by least squares with gentle expectations: a focal length to 2 %, a sheet to 1 mm and half a
degree. World: mm, x to the right, y up, z towards the one who photographs; origin at the mat's upper left corner.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from scipy.optimize import least_squares

from boardmaker.photo.known_mat import Floats, KnownMat

FOCAL_TOLD, FOCAL_GUESSED = 0.02, 0.12  # relative; an equivalent focal length is told in whole mm, about 26
MIDDLE = 15.0  # pixels by which the lens's axis may miss the picture's middle
LENS = (0.12, 0.08)  # k1, k2 of phones, which straighten their photos more or less
SHEET_OFF, SHEET_TURNED = 1.0, 0.009  # mm, radians: taped by hand, edge to edge
RULE = 0.25  # mm to which a bar's length is read off a steel rule
START_WITHIN = 25.0  # pixels, of a mat that is printed and laid to 2 %
CORNER = 0.3  # pixels to which a corner is found; further off counts less and less


@dataclass(frozen=True)
class Camera:
    """One photo's camera: world -> pixels."""

    rotation: Floats  # (3, 3)
    centre: Floats  # (3,) mm
    focal: float  # pixels
    middle: Floats  # (2,) pixels
    lens: tuple[float, float]  # k1, k2 of the Brown-Conrady model

    def project(self, points: Floats) -> Floats:
        """Return where world points (n, 3) are seen: (n, 2) pixels."""
        return _projected(points, self.rotation, -self.rotation @ self.centre, self.focal, self.middle, self.lens)

    def ground(self, pixels: Floats, height: float = 0.0) -> Floats:
        """Return where the sight through pixels (n, 2) meets a height above the mat: (n, 2) mm."""
        seen = (np.asarray(pixels, float) - self.middle) / self.focal
        straight = seen.copy()
        for _ in range(25):
            r2 = (straight**2).sum(axis=1, keepdims=True)
            straight = seen / (1 + self.lens[0] * r2 + self.lens[1] * r2 * r2)
        ways = np.column_stack([straight, np.ones(len(straight))]) @ self.rotation
        places: Floats = self.centre[:2] + ways[:, :2] * ((height - self.centre[2]) / ways[:, 2])[:, None]
        return places


@dataclass(frozen=True)
class LaidMat:
    """The mat as it lies there: the printer's scale, and each sheet's middle and turn (radians)."""

    mat: KnownMat
    scale: tuple[float, float]
    sheets: Mapping[int, tuple[float, float, float]]

    def place(self, sheet: int, points: Floats) -> Floats:
        """Return where points (n, 2) of a sheet, from its middle, lie in the world."""
        x, y, turn = self.sheets[sheet]
        c, s = np.cos(turn), np.sin(turn)
        places: Floats = points * self.scale @ np.array([[c, s], [-s, c]]) + (x, y)
        return places


@dataclass(frozen=True)
class Geometry:
    """Cameras in the photos' order, the mat, and how far the tags are off it (root mean square)."""

    cameras: tuple[Camera, ...]
    mat: LaidMat
    error_pixels: float
    error_mm: float


@dataclass(frozen=True)
class SeenPhoto:
    """What the fit needs of a photo: the tags' corners, focal length, size, and which camera took it."""

    tags: Mapping[int, Floats]
    focal: float
    focal_told: bool
    size: tuple[int, int]  # width, height
    phone: int


def fit_geometry(photos: Sequence[SeenPhoto], mat: KnownMat, measured: tuple[float, float] | None) -> Geometry:
    """Return cameras and sheets. `measured`: the printed lengths of the mat's bars across and along, mm."""
    return _GeometryFit(photos, mat, measured).geometry()


class _GeometryFit:
    """One vector of unknowns: two of the scale, three a sheet (the first lies still), five a phone, seven a photo."""

    def __init__(self, photos: Sequence[SeenPhoto], mat: KnownMat, measured: tuple[float, float] | None) -> None:
        self.photos, self.mat = photos, mat
        self.robust = 100.0  # deviations from which a corner counts less
        self.sheets = sorted({mat.tags[number].sheet for photo in photos for number in photo.tags})
        self.phones = 1 + max(photo.phone for photo in photos)
        self.scale = np.array(measured) / mat.bars if measured else np.ones(2)
        self.scale_known = np.array([RULE / bar for bar in mat.bars]) if measured else np.array([0.004, 0.004])
        self.observed = [np.vstack([photo.tags[n] for n in photo.tags]) for photo in photos]
        self.local = [np.vstack([mat.tags[n].corners for n in photo.tags]) for photo in photos]
        self.outward = [
            np.vstack([np.sign(mat.tags[n].corners - mat.tags[n].centre) for n in photo.tags]) for photo in photos
        ]
        self.on_sheet = [np.repeat([self.sheets.index(mat.tags[n].sheet) for n in photo.tags], 4) for photo in photos]
        self.middles = np.array([mat.middle(sheet) for sheet in self.sheets])
        self.first_phone = 2 + 3 * len(self.sheets)
        self.first_photo = self.first_phone + 5 * self.phones

    def start(self) -> Floats:
        """The unknowns to begin with: everything as nominal, each photo's pose from its tags alone."""
        x = np.zeros(self.first_photo + 7 * len(self.photos))
        for number, photo in enumerate(self.photos):
            k = np.array([[photo.focal, 0, photo.size[0] / 2], [0, photo.focal, photo.size[1] / 2], [0, 0, 1.0]])
            world = self._world(x, number)
            seen = self.observed[number]
            _, kept = cv2.findHomography(world[:, :2], seen, cv2.RANSAC, START_WITHIN)
            near = kept.ravel() > 0
            _, turn, shift = cv2.solvePnP(world[near], seen[near], k, None, flags=cv2.SOLVEPNP_IPPE)
            at = self.first_photo + 7 * number
            x[at : at + 6] = np.r_[turn.ravel(), shift.ravel()]
        return x

    def _world(self, x: Floats, number: int) -> Floats:
        """Where the corners seen in a photo are in the world: (n, 3)."""
        scale = self.scale * (1 + x[:2])
        sheets = x[2 : self.first_phone].reshape(-1, 3)[self.on_sheet[number]]
        gain = x[self.first_photo + 7 * number + 6]
        local = self.local[number] * scale + gain * self.outward[number]
        c, s = np.cos(sheets[:, 2]), np.sin(sheets[:, 2])
        turned = np.column_stack([c * local[:, 0] - s * local[:, 1], s * local[:, 0] + c * local[:, 1]])
        place = turned + self.middles[self.on_sheet[number]] * scale + sheets[:, :2]
        return np.column_stack([place, np.zeros(len(place))])

    def _camera(self, x: Floats, number: int) -> Camera:
        photo = self.photos[number]
        at = self.first_photo + 7 * number
        rotation = cv2.Rodrigues(x[at : at + 3])[0]
        lens = x[self.first_phone + 5 * photo.phone :][:5]
        middle = np.array(photo.size) / 2 - 0.5 + lens[1:3]
        centre = -rotation.T @ x[at + 3 : at + 6]
        return Camera(rotation, centre, photo.focal * (1 + lens[0]), middle, (float(lens[3]), float(lens[4])))

    def _misses(self, x: Floats) -> list[Floats]:
        return [
            self._camera(x, number).project(self._world(x, number)) - self.observed[number]
            for number in range(len(self.photos))
        ]

    def _residuals(self, x: Floats) -> Floats:
        misses = np.vstack(self._misses(x)).ravel() / CORNER
        scaled = misses / self.robust
        robust = np.sign(misses) * self.robust * np.sqrt(2 * (np.sqrt(1 + scaled**2) - 1))  # as soft_l1
        residuals: Floats = np.r_[robust, x[self._weighed()] * self._weights()]
        return residuals

    def _weighed(self) -> list[int]:
        """The unknowns that are expected to be near nought: all but the poses."""
        return [*range(self.first_photo), *(self.first_photo + 7 * n + 6 for n in range(len(self.photos)))]

    def _weights(self) -> Floats:
        """One over what each unknown may be off."""
        told = {photo.phone: photo.focal_told for photo in self.photos}
        sheets = [[1e-6] * 3] + [[SHEET_OFF, SHEET_OFF, SHEET_TURNED]] * (len(self.sheets) - 1)
        phones = [[FOCAL_TOLD if told[n] else FOCAL_GUESSED, MIDDLE, MIDDLE, *LENS] for n in range(self.phones)]
        off = np.r_[self.scale_known, np.ravel(sheets), np.ravel(phones), np.full(len(self.photos), 0.1)]
        weights: Floats = 1.0 / off
        return weights

    def geometry(self) -> Geometry:
        x = self.start()
        for self.robust in (100.0, 2.0):  # first everything counts: the start may be a hundred pixels off
            x = least_squares(self._residuals, x, x_scale="jac", max_nfev=30, ftol=1e-5, xtol=1e-6).x
        misses = np.vstack(self._misses(x))
        near = misses[np.hypot(*misses.T) < 8 * CORNER]
        cameras = tuple(self._camera(x, number) for number in range(len(self.photos)))
        pixels = float(np.sqrt((near**2).sum(axis=1).mean())) if len(near) else float("inf")
        per_mm = np.mean([camera.focal / camera.centre[2] for camera in cameras])
        scale = self.scale * (1 + x[:2])
        sheets = {
            sheet: (*(self.middles[i] * scale + x[2 + 3 * i : 4 + 3 * i]), x[4 + 3 * i])
            for i, sheet in enumerate(self.sheets)
        }
        return Geometry(cameras, LaidMat(self.mat, (scale[0], scale[1]), sheets), pixels, pixels / per_mm)


def _projected(
    points: Floats, rotation: Floats, shift: Floats, focal: float, middle: Floats, lens: tuple[float, float]
) -> Floats:
    seen = points @ rotation.T + shift
    straight = seen[:, :2] / seen[:, 2:]
    r2 = (straight**2).sum(axis=1, keepdims=True)
    bent: Floats = straight * (1 + lens[0] * r2 + lens[1] * r2 * r2) * focal + middle
    return bent
