"""The mat's tags in a photo, their corners to a fraction of a pixel.

In: pixels. Out: the corners of every tag of the mat that is whole in the photo. OpenCV finds and reads them; the
corners are refined on light, not on grey levels: a photo's tone curve moves an edge towards its dark side.
"""

from __future__ import annotations

from collections.abc import Mapping

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.known_mat import Floats, KnownMat

_DICTIONARIES = {
    "apriltag_36h11": cv2.aruco.DICT_APRILTAG_36h11,
    "aruco_4x4_50": cv2.aruco.DICT_4X4_50,
    "aruco_4x4_100": cv2.aruco.DICT_4X4_100,
    "aruco_4x4_250": cv2.aruco.DICT_4X4_250,
    "aruco_5x5_50": cv2.aruco.DICT_5X5_50,
    "aruco_5x5_100": cv2.aruco.DICT_5X5_100,
    "aruco_5x5_250": cv2.aruco.DICT_5X5_250,
}
LIGHT = ((np.arange(256) / 255.0) ** 2.2).astype(np.float32)  # grey level -> light: close to every phone's tone curve
FIND_ON = 2200  # pixels of the longer side in which tags are looked for
FEW = 12  # tags; where fewer are found, they are looked for in twice as many pixels, and in each colour


def dictionary_of(family: str) -> cv2.aruco.Dictionary:
    """Return OpenCV's table of a family of tags."""
    return cv2.aruco.getPredefinedDictionary(_DICTIONARIES[family])


def cells_of_tags(mat: KnownMat) -> list[tuple[int, NDArray[np.bool_]]]:
    """Return each tag's number and its cells, True where dark."""
    dictionary = dictionary_of(mat.tag_family)
    side = dictionary.markerSize + 2
    return [(number, cv2.aruco.generateImageMarker(dictionary, number, side) == 0) for number in mat.tags]


def find_tags(rgb: NDArray[np.uint8], mat: KnownMat) -> dict[int, Floats]:
    """Return the corners, clockwise from the tag's upper left, of each tag of the mat: number -> (4, 2) pixels."""
    shown = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    found = _found(shown, mat, FIND_ON)
    if len(found) < FEW:  # the mat is small in the photo, or so bright that a channel has come to its end
        for image in (shown, *(np.ascontiguousarray(rgb[..., channel]) for channel in range(3))):
            more = _found(image, mat, 2 * FIND_ON)
            shown, found = (image, more) if len(more) > len(found) else (shown, found)
    light = (LIGHT[shown] * 65535.0 / 256.0).astype(np.uint8)
    seen: dict[int, Floats] = {}
    doubled: set[int] = set()
    for number, four in sorted(found, key=lambda one: one[0]):
        if number in seen:
            doubled.add(number)
        if number in mat.tags:
            seen[number] = _refined(light, four)
    return {number: four for number, four in seen.items() if number not in doubled}


def _found(grey: NDArray[np.uint8], mat: KnownMat, pixels: int) -> list[tuple[int, Floats]]:
    """Numbers and corners of the tags that OpenCV finds in the photo, made `pixels` long."""
    scale = max(1.0, max(grey.shape) / pixels)
    small = cv2.resize(grey, None, fx=1 / scale, fy=1 / scale, interpolation=cv2.INTER_AREA) if scale > 1 else grey
    corners, numbers, _ = cv2.aruco.ArucoDetector(dictionary_of(mat.tag_family), _parameters()).detectMarkers(small)
    fours = [(four.reshape(4, 2) + 0.5) * scale - 0.5 for four in corners]
    return list(zip([] if numbers is None else numbers.ravel().tolist(), fours, strict=True))


def _parameters() -> cv2.aruco.DetectorParameters:
    parameters = cv2.aruco.DetectorParameters()
    parameters.perspectiveRemoveIgnoredMarginPerCell = 0.33
    parameters.adaptiveThreshWinSizeMin, parameters.adaptiveThreshWinSizeMax = 13, 53
    parameters.adaptiveThreshWinSizeStep = 20
    parameters.minMarkerPerimeterRate = 0.02
    return parameters


def _refined(light: NDArray[np.uint8], corners: Floats) -> Floats:
    """Corners to a part of a pixel; the window stays within one module of the tag."""
    side = float(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).min())
    half = int(np.clip(side / 8 * 0.6, 2, 7))
    start = corners.astype(np.float32).reshape(-1, 1, 2)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 40, 0.01)
    moved = cv2.cornerSubPix(light, start.copy(), (half, half), (-1, -1), stop)
    far = np.linalg.norm(moved - start, axis=2) > half
    moved[far] = start[far]
    refined: Floats = moved.reshape(4, 2).astype(np.float64)
    return refined


def softness(rgb: NDArray[np.uint8], tags: Mapping[int, Floats]) -> float:
    """Return how far the tags' outer edges are smeared: the standard deviation in parts of a tag's module.

    From the steepest slope across each edge, which noise makes steeper by little and a smear less steep by much.
    """
    shown = LIGHT[cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)]
    found = []
    for corners in tags.values():
        for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            along = end - start
            across = np.array([along[1], -along[0]]) / 8  # a module, outward
            places = start + along * np.linspace(0.2, 0.8, 7)[:, None]
            samples = places[:, None] + across * np.linspace(-0.9, 0.9, 25)[None, :, None]
            light = cv2.remap(shown, samples.astype(np.float32), None, cv2.INTER_LINEAR).mean(axis=0)
            step = light[-5:].mean() - light[:5].mean()
            if step > 0.02:
                found.append(step / max(float(np.diff(light).max()) / 0.075, 1e-6) / 2.5)
    return float(np.median(found)) if found else float("inf")
