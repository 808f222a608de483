"""A panel's outline and holes drawn on the mat with a felt pen, out of one photo.

In: the photo, the mat's `mat.json`, its bars as printed. Out: outline and holes with a stated uncertainty, or why not.
All of it lies on the mat, so that one photo says where everything is: no height, no second view. The flow on one
screen: pixels, tags, camera and sheets, the photo laid flat, ink, the way around, its line, loops.
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from boardmaker.geometry import Point
from boardmaker.photo.asked import AskedOfPhotos, PhotoFromAbove, TracedPhotos
from boardmaker.photo.camera import Geometry, SeenPhoto, fit_geometry
from boardmaker.photo.fitted_curve import fitted_curve
from boardmaker.photo.flattened import FINENESS, Plane, flattened, plane_of, print_of
from boardmaker.photo.known_mat import Floats, KnownMat
from boardmaker.photo.pen_ink import PenInk, pen_ink, shares_of_tint
from boardmaker.photo.pen_line import STEP, PenLine, pen_line
from boardmaker.photo.pen_loops import PenLoop, pen_loops
from boardmaker.photo.pen_print import Mask, printed_light
from boardmaker.photo.pen_way import PenWay, pen_way
from boardmaker.photo.pixels import PhotoPixels, read_pixels
from boardmaker.photo.right_mat import refuse_other_mat, scale_said
from boardmaker.photo.tags import cells_of_tags, find_tags
from boardmaker.problems import ProblemsFound, error
from boardmaker.tracing.curve import Curve, curve_ring, moved_curve
from boardmaker.tracing.found import FoundHole, FoundPanel, Tracing
from boardmaker.tracing.panel_frame import PanelFrame

LEAST_TAGS = 6
LARGEST_ERROR = 0.8  # mm by which the tags may disagree: beyond it the mat is not flat, or not this one
MOST_LEFT_OVER = 30.0  # mm of lines that are not the outline's
MOST_HIDDEN = 0.45  # of the outline
AT_RIM = 3.0  # mm from the mat's rim
NOISE = 0.12  # mm by which the line's middle is seen to one side, now to the other
# What the mean error of the outline stays below, from rendered scenes: the line itself, the tags' disagreement, and
# what is straight between places seen.
LINE = 0.15
BULGE, MOST_BULGE = 0.09, 5.0  # of a hidden stretch's length; mm
SCALE_READ, SCALE_UNKNOWN = 0.0015, 0.01  # relative: two lengths off a steel rule; a printer that nobody measured


def find_drawing(source: Path, mat: KnownMat, asked: AskedOfPhotos) -> TracedPhotos:
    """Return the panel that is drawn on the mat in a photo.

    Raises ProblemsFound where that cannot be told, with the reason.
    """
    cv2.setNumThreads(1)  # same input, same output
    pixels = read_pixels(source)
    tags = find_tags(pixels.rgb, mat)
    geometry = _geometry(pixels, tags, mat, asked.measured)
    plane = plane_of(geometry.mat)
    modules = cells_of_tags(mat)
    flat = flattened(pixels.rgb, geometry.cameras[0], plane)
    known = print_of(geometry.mat, plane, modules)
    light = shares_of_tint(flat, known)
    printed = printed_light(light, geometry.mat, geometry.cameras[0], plane, tags, modules)
    ink = pen_ink(flat, known, printed)
    way = _way(ink, pixels.name)
    line = pen_line(ink, way.places)
    _refuse_rim(ink, line, pixels.name)
    curve = fitted_curve(plane.places(line.places), NOISE)
    frame = PanelFrame(curve_ring(curve))
    panel = _panel(plane, frame, curve, pen_loops(ink, line))
    said = _said(geometry, _uncertainty(frame, line, geometry, asked.measured), asked)
    above = PhotoFromAbove(flat, frame.place((plane.left, plane.top)), FINENESS)
    return TracedPhotos(Tracing(source, (panel,), said), above)


def _geometry(pixels: PhotoPixels, tags: dict[int, Floats], mat: KnownMat, measured: Point | None) -> Geometry:
    if len(tags) < LEAST_TAGS:
        message = f"{pixels.name} shows {len(tags)} of the mat's codes; {LEAST_TAGS} are needed"
        raise ProblemsFound(
            [error(message, hint="the whole drawing with codes on all sides, sharp; is it this mat (--mat, --paper)?")]
        )
    height, width = pixels.rgb.shape[:2]
    seen = SeenPhoto(tags, pixels.focal, pixels.focal_told, (width, height), 0)
    geometry = fit_geometry([seen], mat, measured)
    refuse_other_mat([seen], geometry)
    if not geometry.error_mm <= LARGEST_ERROR:
        message = f"{pixels.name}: the mat's codes disagree by {geometry.error_mm:.1f} mm"
        raise ProblemsFound([error(message, hint="lay the sheets flat and edge to edge; hold the camera still")])
    return geometry


def _way(ink: PenInk, name: str) -> PenWay:
    way = pen_way(ink)
    if way is None:
        hint = "close the outline to 3 mm, with a felt pen of 1 mm or more, in a colour that stands out on the mat"
        raise ProblemsFound([error(f"{name}: no closed line is to be seen on the mat", hint=hint)])
    whole = way.seen + way.clean + way.hidden
    if way.hidden > MOST_HIDDEN * whole:
        message = f"{name}: the mat's print hides {100 * way.hidden / whole:.0f} % of the line"
        raise ProblemsFound([error(message, hint="draw it elsewhere on the mat, or with a broader pen")])
    if way.left_over > MOST_LEFT_OVER:
        message = f"{name}: beside the outline there are lines of about {way.left_over:.0f} mm"
        hint = "draw one panel on a mat: one closed line, and a loop of 5 to 9 mm around each hole"
        raise ProblemsFound([error(message, hint=hint)])
    return way


def _refuse_rim(ink: PenInk, line: PenLine, name: str) -> None:
    size = 2 * int(AT_RIM * FINENESS) + 1
    within = cv2.erode(ink.mat.astype(np.uint8), np.ones((size, size), np.uint8), borderValue=0)
    columns, rows = np.round(line.places).astype(int).T
    height, width = within.shape
    if not within[rows.clip(0, height - 1), columns.clip(0, width - 1)].all():
        raise ProblemsFound([error(f"{name}: the drawing reaches the mat's rim", hint="lay more sheets")])


def _panel(plane: Plane, frame: PanelFrame, curve: Curve, loops: tuple[PenLoop, ...]) -> FoundPanel:
    """The panel in its own frame, holes row by row from the top left."""
    places = [_in_frame(frame, plane.places(np.array(loop.middle))) for loop in loops]
    order = sorted(range(len(loops)), key=lambda index: (-places[index][1], places[index][0]))
    holes = (
        FoundHole(places[index], None, where=f"loop {number}", diameter=round(loops[index].diameter, 1))
        for number, index in enumerate(order, start=1)
    )
    return FoundPanel(None, frame.outline, tuple(holes), curve=moved_curve(curve, frame.place))


def _in_frame(frame: PanelFrame, place: Floats) -> Point:
    x, y = frame.place((float(place[0]), float(place[1])))
    return round(x, 2), round(y, 2)


def _uncertainty(frame: PanelFrame, line: PenLine, geometry: Geometry, measured: Point | None) -> float:
    """By how many mm the outline may be off in the mean."""
    x0, y0, x1, y1 = frame.polygon.bounds
    size = float(max(x1 - x0, y1 - y0))
    scale = SCALE_READ if measured else SCALE_UNKNOWN
    return round(LINE + geometry.error_mm + _bulge(line.seen) + scale * size / 4, 2)


def _bulge(seen: Mask) -> float:
    """By how many mm the line may be off because of what is hidden, in the mean: long stretches may bulge more."""
    start = int(np.argmax(seen))  # a closed line: begun where it is seen
    turned = np.roll(seen, -start)
    edges = np.flatnonzero(np.diff(np.r_[True, turned, True].astype(int)))
    lengths = (edges[1::2] - edges[::2]) * STEP
    return float((lengths * np.minimum(BULGE * lengths, MOST_BULGE)).sum() / (len(seen) * STEP))


def _said(geometry: Geometry, off: float, asked: AskedOfPhotos) -> str:
    """One line: how the scale came about, and how far the outline may be off."""
    return f"a drawing on the mat, {scale_said(geometry, asked)}; outline good to about {off:.1f} mm in the mean"
