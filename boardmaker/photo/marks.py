"""Coded hole marks: round papers with a code that lie on the holes; the code says the fastener.

In: photos, cameras, the outline's surface. Out: holes with their fasteners. Never a wrong letter: a code counts where
no bit of it is wrong, or one of 25, and it has the size of a mark there; what two views read differently at one place
is left out and said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.camera import Camera
from boardmaker.photo.joining import Surface, above
from boardmaker.photo.known_mat import Floats, KnownMat
from boardmaker.photo.lifting import Lifted, lifted
from boardmaker.photo.tags import LIGHT, dictionary_of

SIZE = 0.75, 1.25  # of a mark's size, as it comes out of the photo
SIZE_ALONE = 0.85, 1.15  # where one view of several reads it
PASSING = 2.0  # mm by which the sights of one mark may pass each other
RISING = 25.0  # mm by which a mark may lie above or below the surface that the edge gives
SAME_PLACE = 8.0  # mm; two holes are further apart, and so are two marks
UNREAD = -1  # in place of a code's number
WHITE, STANDS_OUT = 0.8, 50.0  # of paper: its weakest channel as a part of its strongest; grey levels above the code
LARGER = 1.6  # times, in which cells of a few pixels are read better
DEEP = 6.0  # power of the grey level at which only the brightest stays bright
BROADER = 5  # pixels of the larger photo, of a brush that makes dark cells broader
AROUND = 60  # pixels of the photo around the panel


@dataclass(frozen=True)
class MarkedHole:
    """A hole under a mark: place and height in mm, its fastener, in how many views it was read."""

    at: tuple[float, float]
    height: float
    fastener: str
    views: int


@dataclass(frozen=True)
class MarksRead:
    """The holes, the places at which two marks contradict each other, and those of squares that cannot be read."""

    holes: tuple[MarkedHole, ...]
    doubtful: tuple[tuple[float, float], ...]
    unread: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class _MarkReading:
    view: int
    number: int
    place: Floats  # on the mat's plane
    at: Floats  # on the surface
    size: float  # of the mark's size


def read_marks(
    photos: Sequence[NDArray[np.uint8]], cameras: Sequence[Camera], outline: Floats, surface: Surface, mat: KnownMat
) -> MarksRead:
    """Return the holes under marks that lie within the outline."""
    readings = [
        reading
        for view, (rgb, camera) in enumerate(zip(photos, cameras, strict=True))
        for reading in _readings(view, rgb, camera, outline, surface, mat)
    ]
    read = [one for one in readings if one.number != UNREAD]
    holes = [hole for group in _grouped(read) if (hole := _hole(group, cameras, surface, mat))]
    found = _without_contradictions([hole for hole in holes if _inside(outline, hole.at)])
    places = [np.array(at) for at in (*(hole.at for hole in found.holes), *found.doubtful)]
    unread = [one for one in readings if one.number == UNREAD and _inside(outline, (one.at[0], one.at[1]))]
    clear = [one for one in unread if all(np.hypot(*(one.at - at)) > SAME_PLACE for at in places)]
    return replace(found, unread=tuple(_apart(clear)))


def _apart(unread: Sequence[_MarkReading]) -> Iterator[tuple[float, float]]:
    """Each place once at which a view shows a square that cannot be read."""
    given: list[Floats] = []
    for one in unread:
        if all(np.hypot(*(one.at - at)) > SAME_PLACE for at in given):
            given.append(one.at)
            yield float(one.at[0]), float(one.at[1])


def _readings(
    view: int, rgb: NDArray[np.uint8], camera: Camera, outline: Floats, surface: Surface, mat: KnownMat
) -> list[_MarkReading]:
    """All codes that one photo shows on the panel."""
    around = camera.project(np.column_stack([outline, surface.height(outline)]))
    height, width = rgb.shape[:2]
    x0, y0 = np.clip(around.min(axis=0) - AROUND, 0, (width - 1, height - 1)).astype(int)
    x1, y1 = np.clip(around.max(axis=0) + AROUND, 1, (width, height)).astype(int)
    grey = cv2.cvtColor(np.ascontiguousarray(rgb[y0:y1, x0:x1]), cv2.COLOR_RGB2GRAY)
    found: list[_MarkReading] = []
    for image, enlarged in _shown(grey):
        detector = cv2.aruco.ArucoDetector(dictionary_of(mat.mark_family), _parameters())
        corners, numbers, rejected = detector.detectMarkers(image)
        read = zip(corners, [] if numbers is None else numbers.ravel().tolist(), strict=True)
        for four, number in (*read, *((four, UNREAD) for four in rejected)):
            pixels = (four.reshape(4, 2).astype(float) + 0.5) / enlarged - 0.5 + (x0, y0)
            if number in mat.marks or (number == UNREAD and mat.marks and _dark_on_white(rgb, pixels)):
                reading = _reading(view, number, pixels, camera, surface, mat)
                near = [np.hypot(*(reading.at - other.at)) < 3.0 and other.number == number for other in found]
                low, high = SIZE_ALONE if number == UNREAD else SIZE
                if low < reading.size < high and not any(near):
                    found.append(reading)
    return found


def _dark_on_white(rgb: NDArray[np.uint8], corners: Floats) -> bool:
    """Whether a square is dark on white paper, as a mark is."""
    middle = corners.mean(axis=0)
    places = np.vstack([middle + (corners - middle) * share for share in (0.82, 1.25)]).astype(np.float32)
    seen = cv2.remap(rgb, places[None], None, cv2.INTER_LINEAR)[0].astype(float)
    inside, outside = seen[:4], seen[4:]
    white = outside.min(axis=1) > WHITE * outside.max(axis=1)
    return bool(white.sum() >= 3 and outside.mean() - inside.mean() > STANDS_OUT)


def _shown(grey: NDArray[np.uint8]) -> Iterator[tuple[NDArray[np.uint8], float]]:
    """The photo in ways in which marks may be read, and how much larger.

    In its light, white does not swell into the dark cells; in the shadow grey tells more; where the photo is too bright
    and white has run into the cells, the cells made darker, or larger, tell most.
    """
    larger = cv2.resize(grey, None, fx=LARGER, fy=LARGER, interpolation=cv2.INTER_CUBIC)
    light, light_larger = (np.round(LIGHT[image] * 255).astype(np.uint8) for image in (grey, larger))
    yield from ((light, 1.0), (light_larger, LARGER), (grey, 1.0))
    yield np.round((larger / 255.0) ** DEEP * 255.0).astype(np.uint8), LARGER
    yield np.asarray(cv2.erode(larger, np.ones((BROADER, BROADER), np.uint8)), np.uint8), LARGER


def _parameters() -> cv2.aruco.DetectorParameters:
    parameters = cv2.aruco.DetectorParameters()
    # No wrong bit in a code of 16 bits, one in those of 25, of which two differ in six or more.
    parameters.errorCorrectionRate = 0.6
    parameters.maxErroneousBitsInBorderRate = 0.2
    parameters.perspectiveRemovePixelPerCell = 8
    parameters.minGroupDistance = 0.05  # the paper's own edge lies around the code's
    parameters.perspectiveRemoveIgnoredMarginPerCell = 0.33
    parameters.adaptiveThreshWinSizeMin, parameters.adaptiveThreshWinSizeMax = 7, 61
    parameters.adaptiveThreshWinSizeStep = 9
    parameters.minMarkerPerimeterRate = 0.01
    parameters.polygonalApproxAccuracyRate = 0.05
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.cornerRefinementWinSize = 3
    return parameters


def _reading(view: int, number: int, pixels: Floats, camera: Camera, surface: Surface, mat: KnownMat) -> _MarkReading:
    """The hole's place in the mark's own frame, through the mark's four corners."""
    mark = next(iter(mat.marks.values())) if number == UNREAD else mat.marks[number]
    half = mark.size / 2
    square = np.array([[-half, half], [half, half], [half, -half], [-half, -half]], dtype=np.float32)
    ground = camera.ground(pixels)
    to_ground = cv2.getPerspectiveTransform(square, ground.astype(np.float32))
    x, y, w = to_ground @ (*mark.hole, 1.0)
    place = np.array([x / w, y / w])
    at = above(np.vstack([ground, place]), camera.centre, surface)
    sides = np.hypot(*(at[:4] - np.roll(at[:4], 1, axis=0)).T)
    return _MarkReading(view, number, place, at[4], float(np.mean(sides)) / mark.size)


def _grouped(readings: Sequence[_MarkReading]) -> list[list[_MarkReading]]:
    """Readings of one number in different views, the nearest together; a number may lie on the panel twice."""
    groups: list[list[_MarkReading]] = []
    for reading in readings:
        near = [
            (float(np.hypot(*(group[0].at - reading.at))), place)
            for place, group in enumerate(groups)
            if group[0].number == reading.number and all(one.view != reading.view for one in group)
        ]
        if near and min(near)[0] < 2.5 * SAME_PLACE:
            groups[min(near)[1]].append(reading)
        else:
            groups.append([reading])
    return groups


def _hole(
    group: Sequence[_MarkReading], cameras: Sequence[Camera], surface: Surface, mat: KnownMat
) -> MarkedHole | None:
    fastener = mat.marks[group[0].number].fastener
    if len(group) > 1:
        meeting: Lifted = lifted([one.place for one in group], [cameras[one.view].centre for one in group])
        rise = abs(meeting.height - float(surface.height(np.array([meeting.at]))[0]))
        if meeting.gap < PASSING and rise < RISING:
            return MarkedHole(meeting.at, meeting.height, fastener, len(group))
        return None
    one = group[0]
    if len(cameras) > 1 and not SIZE_ALONE[0] < one.size < SIZE_ALONE[1]:
        return None
    x, y = one.at
    return MarkedHole((float(x), float(y)), float(surface.height(one.at[None])[0]), fastener, 1)


def _inside(outline: Floats, at: tuple[float, float]) -> bool:
    return cv2.pointPolygonTest(outline.astype(np.float32).reshape(-1, 1, 2), at, False) > 0


def _without_contradictions(holes: Sequence[MarkedHole]) -> MarksRead:
    """What one place has twice: the better seen one where both say the same, none where they do not."""
    kept: list[MarkedHole] = []
    doubtful: list[tuple[float, float]] = []
    for hole in sorted(holes, key=lambda one: (-one.views, one.at)):
        near = [other for other in kept if np.hypot(*np.subtract(other.at, hole.at)) < SAME_PLACE]
        if not near:
            kept.append(hole)
        elif any(other.fastener != hole.fastener for other in near):
            doubtful += [other.at for other in near]
    unclear = [np.array(at) for at in doubtful]
    clear = [hole for hole in kept if all(np.hypot(*(at - hole.at)) > 0.01 for at in unclear)]
    return MarksRead(tuple(sorted(clear, key=lambda one: one.at)), tuple(sorted(set(doubtful))))
