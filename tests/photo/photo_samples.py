"""Photos made for the tests: a mat of two sheets, a panel on legs above it, a camera; nothing but plane to plane."""

from __future__ import annotations

import functools
import io
import json
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image
from shapely import Polygon

from boardmaker.mat import read_mat
from boardmaker.photo.known_mat import known_mat

PAGE, MARGIN, TAG = (210.0, 297.0), 6.0, 24.0
SHEET = (198.0, 285.0)
TINT = (60, 175, 95)
INK, BLACK = (50, 90, 60), (50, 50, 50)  # of the codes: in a shade of the tint, or without a colour
BARS = {"across": 180.0, "along": 260.0}
FINE = 5  # pixels a mm of what is drawn
SIZE, FOCAL = (2400, 1800), 1750.0
FOCAL35 = round(FOCAL / np.hypot(*SIZE) * np.hypot(36, 24))
LETTERS = "AB"
FLOOR = 120.0  # mm around the mat

# A panel as a drawing would have it: round where it is round, with a bay; mm, y up, on the mat's own frame.
_T = np.linspace(0, 2 * np.pi, 240, endpoint=False)
PANEL = np.column_stack([198 + 105 * np.cos(_T), -142 + 62 * np.sin(_T) + 14 * np.cos(2 * _T)])
MARKS = {0: (140.0, -130.0), 9: (258.0, -142.0)}  # number of the code: hole
THROUGH = (200.0, -180.0)


def tag_places():
    edge = TAG * 0.64 + 1
    x = np.linspace(MARGIN + edge, PAGE[0] - MARGIN - edge, 3)
    y = np.linspace(MARGIN + edge, PAGE[1] - MARGIN - edge, 4)
    return [(float(a), float(b)) for b in y[::-1] for a in x]


def mat_said(tint=TINT, ink=INK):
    """What stands in mat.json."""
    tags = [
        {"id": 12 * sheet + k, "page": sheet + 1, "centre": list(at), "size": TAG}
        for sheet in range(2)
        for k, at in enumerate(tag_places())
    ]
    marks = [
        {"id": number, "fastener": LETTERS[number // 8], "page": 3, "box": [0, 0, 20, 20], "size": 14.0}
        for number in range(16)
    ]
    return {
        "format": 1,
        "columns": 2,
        "rows": 1,
        "sheet": list(SHEET),
        "trim": [MARGIN, MARGIN, PAGE[0] - MARGIN, PAGE[1] - MARGIN],
        "pages": [1, 2],
        "bars": BARS,
        "tint": list(tint),
        "ink": list(ink),
        "tag_family": "apriltag_36h11",
        "mark_family": "aruco_4x4_50",
        "tags": tags,
        "marks": marks,
    }


def write_mat(folder, ink=INK):
    path = folder / "mat.json"
    path.write_text(json.dumps(mat_said(ink=ink)), encoding="utf-8")
    return path


def read_written_mat(folder):
    """The same mat as the photos are read by it."""
    path = write_mat(folder)
    return known_mat(read_mat(path), str(path))


def code(family, number, side):
    picture = cv2.aruco.generateImageMarker(cv2.aruco.getPredefinedDictionary(family), number, round(side * FINE))
    return picture == 0


def put(image, dark, middle, colour):
    """Draw dark modules around a place in pixels."""
    top, left = (round(m - d / 2) for m, d in zip(middle[::-1], dark.shape, strict=True))
    part = image[top : top + dark.shape[0], left : left + dark.shape[1]]
    part[dark] = colour


def draw_mat(mat=None, ink=INK):
    """A copy of the mat as it is drawn, to be drawn upon."""
    return (_usual_mat(ink) if mat is None else _drawn_mat(mat, ink)).copy()


@functools.cache
def _usual_mat(ink):
    return _drawn_mat(None, ink)


def _drawn_mat(mat, ink):
    """The first two sheets of a mat, edge to edge; without one, of the mat that `mat_said` describes."""
    tint, (wide, high) = (TINT, SHEET) if mat is None else (mat.tint, mat.sheet)
    width, height = (round(one * FINE) for one in (2 * wide + 2 * FLOOR, high + 2 * FLOOR))
    image = np.full((height, width, 3), (128, 124, 120), np.uint8)
    corner = round(FLOOR * FINE)
    image[corner : corner + round(high * FINE), corner : corner + round(2 * wide * FINE)] = tint
    for number, across, down, size in own_tags() if mat is None else tags_of(mat):
        dark = code(cv2.aruco.DICT_APRILTAG_36h11, number, size)
        put(image, dark, ((FLOOR + across) * FINE, (FLOOR + down) * FINE), ink if mat is None else mat.ink)
    return image


def own_tags():
    for sheet in range(2):
        for k, (x, y) in enumerate(tag_places()):
            yield 12 * sheet + k, sheet * SHEET[0] + x - MARGIN, PAGE[1] - MARGIN - y, TAG


def tags_of(mat):
    for tag in mat.tags:
        if (sheet := mat.pages.index(tag.page)) < 2:
            yield tag.id, sheet * mat.sheet[0] + tag.centre[0] - mat.trim[0], mat.trim[3] - tag.centre[1], tag.size


def drawn(places):
    """From mm on the mat to pixels of what is drawn."""
    return (np.asarray(places, float) * (1, -1) + FLOOR) * FINE


def draw_panel(box, panel, colour, marks, through, family=cv2.aruco.DICT_4X4_50):
    """The panel and where it is, out of a box of drawn pixels: left, top, right, bottom."""
    left, top, right, bottom = box
    image = np.full((bottom - top, right - left, 3), colour, np.uint8)
    seen = np.zeros(image.shape[:2], np.uint8)
    inner = np.array(Polygon(panel).buffer(-0.5 / FINE).exterior.coords)  # fillPoly fills each pixel that it touches
    places = drawn(inner) - (left, top) - 0.5
    cv2.fillPoly(seen, [np.round(places * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    for number, at in marks.items():
        middle = drawn(at) - (left, top)
        cv2.circle(image, np.round(middle).astype(int).tolist(), 10 * FINE, (245, 245, 245), -1)
        put(image, code(family, number, 14.0), middle, (50, 50, 50))
    for at in through:
        cv2.circle(seen, np.round(drawn(at) - (left, top)).astype(int).tolist(), 4 * FINE, 0, -1)
    return image, seen


@dataclass(frozen=True)
class Stand:
    """Where a photo is taken from: over which place, how high, how far to the side; mm."""

    foot: tuple[float, float] = (198.0, -142.0)
    height: float = 800.0
    aim: tuple[float, float] = (198.0, -142.0)
    roll: float = 0.0

    def pose(self):
        """Rotation (world to camera) and centre."""
        centre = np.array([*self.foot, self.height])
        forward = np.array([*self.aim, 0.0]) - centre
        forward /= np.linalg.norm(forward)
        right = np.array([np.cos(self.roll), np.sin(self.roll), 0.0])
        right -= forward * (right @ forward)
        right /= np.linalg.norm(right)
        return np.stack([right, np.cross(forward, right), forward]), centre


LEFT = Stand(foot=(60.0, -120.0))
RIGHT = Stand(foot=(330.0, -200.0), height=850.0, roll=0.1)
ABOVE = Stand()


def plane_to_photo(stand, height):
    """The homography from drawn pixels, lying at a height, to the photo."""
    rotation, centre = stand.pose()
    k = np.array([[FOCAL, 0, SIZE[0] / 2 - 0.5], [0, FOCAL, SIZE[1] / 2 - 0.5], [0, 0, 1.0]])
    to_photo = k @ np.column_stack([rotation[:, 0], rotation[:, 1], rotation @ (np.array([0, 0, height]) - centre)])
    to_mm = np.array([[1 / FINE, 0, -FLOOR], [0, -1 / FINE, FLOOR], [0, 0, 1.0]])
    return to_photo @ to_mm


def photograph(
    stand,
    *,
    height=20.0,
    colour=(180, 30, 30),
    panel=PANEL,
    marks=MARKS,
    through=(THROUGH,),
    blur=0.8,
    on=None,
    ink=INK,
    mat=None,
):
    """An RGB photo of the panel that stands `height` mm above the mat, or above another mat (`on`, or drawn: `mat`)."""
    mat = draw_mat(on, ink) if mat is None else mat
    flags = {"flags": cv2.INTER_AREA, "borderMode": cv2.BORDER_REPLICATE}
    photo = cv2.warpPerspective(cv2.LUT(mat, LIGHT), plane_to_photo(stand, 0.0), SIZE, **flags)
    if panel is not None:
        family = cv2.aruco.DICT_4X4_50 if on is None else cv2.aruco.DICT_5X5_250
        box = box_around(panel, mat)
        image, seen = draw_panel(box, panel, colour, marks, through, family)
        above = plane_to_photo(stand, height) @ moved(box[:2])
        part = part_of_photo(above, image)  # nothing else of the photo shows the panel
        above = moved((-part[1].start, -part[0].start)) @ above
        size = photo[part].shape[1::-1]
        cover = cv2.warpPerspective(seen.astype(np.float32) / 255, above, size, flags=cv2.INTER_AREA)[..., None]
        covering = cv2.warpPerspective(cv2.LUT(image, LIGHT), above, size, **flags)
        photo[part] = np.rint(photo[part] * (1 - cover) + covering * cover)
    photo = cv2.GaussianBlur(photo, (0, 0), blur)
    return np.clip(GREY[photo] + noise(), 0, 255).astype(np.uint8)


# Light in 65535 steps, as it adds up; grey levels as they are stored.
LIGHT = np.rint((np.arange(256) / 255) ** 2.2 * 65535).astype(np.uint16)
GREY = ((np.arange(65536) / 65535) ** (1 / 2.2) * 255).astype(np.float32)


@functools.cache
def noise():
    return np.random.default_rng(1).normal(0, 2.0, SIZE[::-1]).astype(np.float32)[..., None]


def moved(by):
    return np.array([[1, 0, by[0]], [0, 1, by[1]], [0, 0, 1.0]])


def box_around(panel, mat):
    """The drawn pixels in which a panel lies, and some more; as far as the mat and its floor are drawn."""
    places = drawn(panel)
    left, top = np.maximum(places.min(axis=0).astype(int) - 2 * FINE, 0).tolist()
    right, bottom = np.minimum(places.max(axis=0).astype(int) + 2 * FINE, mat.shape[1::-1]).tolist()
    return left, top, right, bottom


def part_of_photo(to_photo, image):
    """Rows and columns in which what is drawn comes to lie."""
    height, width = image.shape[:2]
    corners = np.array([[[0, 0], [width, 0], [width, height], [0, height]]], float)
    places = cv2.perspectiveTransform(corners, to_photo)[0]
    (left, top), (right, bottom) = np.floor(places.min(axis=0)) - 2, np.ceil(places.max(axis=0)) + 3
    return slice(max(0, int(top)), max(0, int(bottom))), slice(max(0, int(left)), max(0, int(right)))


def jpeg(rgb, *, focal35=FOCAL35, orientation=None):
    exif = Image.Exif()
    if focal35:
        exif.get_ifd(0x8769)[0xA405] = focal35
    if orientation:
        exif[0x0112] = orientation
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, "JPEG", quality=92, exif=exif)
    return out.getvalue()


@functools.cache
def usual(stand):
    """The usual panel on the usual mat as a JPEG file, which many tests look at."""
    return jpeg(photograph(stand))
