"""What the photos show, put together: the flow of the room, in the guarded process.

In: files, the mat, what the user says. Out: a `Tracing` with its uncertainty and a picture from straight above; or
ProblemsFound with the reason why it is not to be trusted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path

import cv2
import numpy as np

from boardmaker.photo.asked import AskedOfPhotos, PhotoFromAbove, TracedPhotos
from boardmaker.photo.camera import Geometry, SeenPhoto, fit_geometry
from boardmaker.photo.doubtful import doubtful_stretches
from boardmaker.photo.edge import Edge, edge_of
from boardmaker.photo.fitted_curve import fitted_curve
from boardmaker.photo.flattened import FINENESS, Image, Plane, Print, flattened, plane_of, print_of
from boardmaker.photo.joining import Joined, join
from boardmaker.photo.known_mat import Floats, KnownMat
from boardmaker.photo.lifting import angle_between
from boardmaker.photo.marks import MarksRead, read_marks
from boardmaker.photo.pixels import PhotoPixels, read_pixels
from boardmaker.photo.right_mat import refuse_other_mat, scale_said
from boardmaker.photo.tags import cells_of_tags, find_tags, softness
from boardmaker.photo.through import ProposedHole, propose_holes, spots_in
from boardmaker.photo.tint import PanelMask, panel_mask
from boardmaker.problems import Problem, ProblemsFound, error
from boardmaker.tracing.curve import Curve, curve_ring, moved_curve
from boardmaker.tracing.found import FoundHole, FoundPanel, Ignored, Tracing
from boardmaker.tracing.panel_frame import PanelFrame

LEAST_TAGS = 5  # in a photo; one that lies askew is then outvoted
LEAST_SPREAD = 150.0  # mm from the middle of the tags to the furthest one
SOFTEST = 0.28  # of a tag's module: more is blurred; much more, and no tag is read any more
LOOSEST = 0.9  # mm, root mean square, by which tags may be off where a mat that lies flat has them
LEAST_ANGLE = 5.0  # degrees between two views, for heights
MOST_APART = 3.0  # mm within which 95 % of two views' outlines must agree
LEAST_COLOUR = 0.015  # by which most of the panel must be off the tint; two views disagree on what is taken wrongly
LEAST_COLOUR_ALONE = 0.05
CLEAR_COLOUR = 0.12  # from which on no part of a panel is lost in the mat; below it is said
DOUBTED = 1.2  # times the views' disagreement: so that 95 % of the outline are as near as is said, mostly
HIGHEST = 0.5  # of the camera's height above the mat: an edge that stands higher is not seen as a panel's any more
OF_A_MARK = 11.0  # mm around a mark's middle in which nothing else is a hole
CERTAIN = 0.6  # mm that every outline may be off: the edge's shadow, the steel rule, the paper
UNREADABLE = "its code cannot be read: photos in softer light, or from nearer; or add the hole on the page"
NOISE = 0.2  # mm by which an edge is seen now further in, now further out
MARGIN = 12.0  # mm around the panel in the picture


@dataclass(frozen=True)
class _View:
    """One photo as it is worked on."""

    photo: PhotoPixels
    flat: Image
    panel: PanelMask
    edge: Edge
    colour: float  # how far most of the panel is off the tint


def find_panel(sources: Sequence[Path], mat: KnownMat, asked: AskedOfPhotos) -> TracedPhotos:
    """Return the panel that the photos show. Raises ProblemsFound."""
    cv2.setNumThreads(1)  # same input, same output
    photos = [read_pixels(source) for source in sources]
    _refuse_same(photos)
    geometry = _geometry(photos, mat, asked)
    _refuse_height(asked.height, geometry)
    plane = plane_of(geometry.mat)
    printed = print_of(geometry.mat, plane, cells_of_tags(mat))
    views = [_view(photo, number, geometry, plane, printed) for number, photo in enumerate(photos)]
    centres = [camera.centre for camera in geometry.cameras]
    joined = join([view.edge for view in views], centres, asked.height)
    _refuse_doubtful(views, geometry, joined)
    marks = read_marks([view.photo.rgb for view in views], geometry.cameras, joined.outline, joined.surface, mat)
    spots = [spots_in(view.flat, view.panel.mask, printed, plane, int(np.argmax(mat.tint))) for view in views]
    proposed = propose_holes(spots, centres, joined.surface)
    curve = fitted_curve(joined.outline, NOISE)
    frame = PanelFrame(curve_ring(curve))
    panel = _panel(frame, curve, marks, _clear_of(proposed, marks), asked)
    panel = replace(panel, doubtful=doubtful_stretches(joined, frame))
    said = _said(photos, geometry, joined, asked) + _alike(views)
    return TracedPhotos(Tracing(sources[0], (panel,), said), _from_above(views, geometry, joined, frame))


# Cameras


def _refuse_same(photos: Sequence[PhotoPixels]) -> None:
    for one, other in combinations(photos, 2):
        if one.digest == other.digest or (
            one.rgb.shape == other.rgb.shape and np.array_equal(one.rgb[::50, ::50], other.rgb[::50, ::50])
        ):
            message = f"{one.name} and {other.name} are the same photo"
            raise ProblemsFound([error(message, hint="take the second one from another place, a step aside")])


def _geometry(photos: Sequence[PhotoPixels], mat: KnownMat, asked: AskedOfPhotos) -> Geometry:
    phones = sorted({photo.phone for photo in photos})
    seen = []
    problems: list[Problem] = []
    for photo in photos:
        tags = find_tags(photo.rgb, mat)
        problems += _wrong_with(photo, tags, mat)
        height, width = photo.rgb.shape[:2]
        phone = phones.index(photo.phone)
        seen.append(SeenPhoto(tags, photo.focal, photo.focal_told, (width, height), phone))
    if problems:
        raise ProblemsFound(problems)
    geometry = fit_geometry(seen, mat, asked.measured)
    refuse_other_mat(seen, geometry)
    if not geometry.error_mm < LOOSEST:
        message = f"the mat's tags are {geometry.error_mm:.1f} mm off where they should be"
        hint = (
            "lay the mat flat, its sheets edge to edge as mat.pdf says; --mat or --paper must say which one you printed"
        )
        raise ProblemsFound([error(message, hint=hint)])
    return geometry


def _refuse_height(height: float | None, geometry: Geometry) -> None:
    lowest = min(float(camera.centre[2]) for camera in geometry.cameras)
    if height is not None and height > HIGHEST * lowest:
        message = f"--height: {height:g} mm, and the photo was taken from {lowest:.0f} mm above the mat"
        raise ProblemsFound([error(message, hint="how high the panel's edge stands above the mat, such as 20 mm")])


def _wrong_with(photo: PhotoPixels, tags: dict[int, Floats], mat: KnownMat) -> list[Problem]:
    """Why a photo cannot be placed: too few tags, all in one corner, or blurred."""
    if len(tags) < LEAST_TAGS:
        message = f"{photo.name} shows {len(tags)} of the mat's tags that can be read; {LEAST_TAGS} are needed"
        hint = "photograph the whole mat, sharp and in even light; is it this mat (--mat, --paper)?"
        return [error(message, hint=hint)]
    places = np.array([mat.middle(mat.tags[n].sheet) + mat.tags[n].centre for n in tags])
    if np.hypot(*(places - places.mean(axis=0)).T).max() < LEAST_SPREAD:
        return [error(f"{photo.name} shows tags in one corner of the mat only", hint="photograph the whole mat")]
    if (soft := softness(photo.rgb, tags)) > SOFTEST:
        message = f"{photo.name} is blurred: edges are smeared over {soft:.1f} of a tag's module"
        return [error(message, hint="hold the phone still, tap on the mat to focus, more light")]
    return []


# The outline


def _view(photo: PhotoPixels, number: int, geometry: Geometry, plane: Plane, printed: Print) -> _View:
    flat = flattened(photo.rgb, geometry.cameras[number], plane)
    panel = panel_mask(flat, printed, (geometry.mat.mat.tint, geometry.mat.mat.ink), photo.name)
    colour = float(np.median(panel.off[(panel.mask > 0) & ~panel.ink]))
    if colour < (LEAST_COLOUR if len(geometry.cameras) > 1 else LEAST_COLOUR_ALONE):
        hint = "print the mat with the other tint (--tint), or stick paper tape over the panel's edge"
        raise ProblemsFound([error(f"{photo.name}: the panel has nearly the mat's colour", hint=hint)])
    return _View(photo, flat, panel, edge_of(panel, flat, plane), colour)


def _refuse_doubtful(views: Sequence[_View], geometry: Geometry, joined: Joined) -> None:
    """Raise ProblemsFound where the views do not show one panel from different places."""
    if len(views) == 1:
        return
    pairs = combinations(geometry.cameras, 2)
    widest = max(angle_between(joined.outline, one.centre, other.centre) for one, other in pairs)
    names = " and ".join(view.photo.name for view in views)
    if widest < LEAST_ANGLE:
        message = f"{names} are taken from nearly the same place ({widest:.0f}° apart)"
        raise ProblemsFound([error(message, hint="take the second photo a step aside, 15° to 30° away from the first")])
    if joined.disagreement[1] > MOST_APART:
        message = f"{names} disagree about the outline by {joined.disagreement[1]:.1f} mm"
        hint = "was the panel moved, or is it another one? take both photos anew, in softer light"
        raise ProblemsFound([error(message, hint=hint)])


def _said(photos: Sequence[PhotoPixels], geometry: Geometry, joined: Joined, asked: AskedOfPhotos) -> str:
    """One line: how the scale came about, and how far all this may be off."""
    count = f"{len(photos)} photos" if len(photos) > 1 else "one photo"
    return f"{count}, {scale_said(geometry, asked)}; {_uncertainty(geometry, joined, asked)}{_focal(photos)}"


def _uncertainty(geometry: Geometry, joined: Joined, asked: AskedOfPhotos) -> str:
    if len(geometry.cameras) > 1:
        off = CERTAIN + DOUBTED * joined.disagreement[1]
        heights = joined.surface.height(joined.outline)
        levels = f"edge {max(0.0, heights.min()):.0f} to {max(0.0, heights.max()):.0f} mm above the mat"
        doubt = "; look closely, the views agree badly" if joined.disagreement[1] > MOST_APART / 2 else ""
        return f"outline good to about {off:.1f} mm ({levels}{', as told' if asked.height is not None else ''}){doubt}"
    centre = geometry.cameras[0].centre
    lean = np.hypot(*(joined.outline - centre[:2]).T) / centre[2]
    per_cm = 10 * float(np.percentile(lean, 95))
    if asked.height is None:
        high, where = 3, "if its edge stands up to 3 cm above the mat; a second photo finds how high it is"
    else:
        high, where = 1, f"if its edge stands {asked.height:g} mm high, give or take 1 cm"
    good = f"outline good to about {CERTAIN + high * per_cm:.1f} mm, {where}"
    return f"{good}: every cm displaces it by up to {per_cm:.1f} mm"


def _alike(views: Sequence[_View]) -> str:
    if min(view.colour for view in views) > CLEAR_COLOUR:
        return ""
    return "; the panel has nearly the mat's colour: look along the whole edge, or print the mat with the other --tint"


def _focal(photos: Sequence[PhotoPixels]) -> str:
    untold = [photo.name for photo in photos if not photo.focal_told]
    return f"; no focal length in {', '.join(untold)}: taken as a phone's" if untold else ""


# Holes


def _clear_of(proposed: Sequence[ProposedHole], marks: MarksRead) -> list[ProposedHole]:
    taken = [np.array(at) for at in (*(hole.at for hole in marks.holes), *marks.doubtful)]
    return [one for one in proposed if all(np.hypot(*(at - one.at)) > OF_A_MARK for at in taken)]


def _panel(
    frame: PanelFrame, curve: Curve, marks: MarksRead, proposed: Sequence[ProposedHole], asked: AskedOfPhotos
) -> FoundPanel:
    holes = [
        FoundHole(frame.place(one.at), one.fastener, where=f"mark {one.fastener}", decides=True) for one in marks.holes
    ]
    ignored = [
        Ignored("a hole mark", "two marks lie there with different letters", frame.place(at)) for at in marks.doubtful
    ]
    ignored += [Ignored("a square like a hole mark's", UNREADABLE, frame.place(at)) for at in marks.unread]
    spots = [
        FoundHole(
            frame.place(one.at), None, where=f"a round spot, {one.width:.0f} mm wide", diameter=round(one.width, 1)
        )
        for one in proposed
    ]
    taken, left = (spots, []) if asked.take_holes else ([], spots)
    outline = moved_curve(curve, frame.place)
    return FoundPanel(None, frame.outline, (*holes, *taken), tuple(ignored), proposed=tuple(left), curve=outline)


# The picture


def _from_above(views: Sequence[_View], geometry: Geometry, joined: Joined, frame: PanelFrame) -> PhotoFromAbove:
    """The photo that was taken most from above, laid on the panel's surface, around the panel."""
    foot = joined.outline.mean(axis=0)
    lean = [float(np.hypot(*(camera.centre[:2] - foot)) / camera.centre[2]) for camera in geometry.cameras]
    best = int(np.argmin(lean))
    (left, low), (right, top) = joined.outline.min(axis=0) - MARGIN, joined.outline.max(axis=0) + MARGIN
    plane = Plane(float(left), float(top), int((right - left) * FINENESS), int((top - low) * FINENESS))
    rgb = flattened(views[best].photo.rgb, geometry.cameras[best], plane, joined.surface.height)
    at = frame.place((float(left), float(top)))
    return PhotoFromAbove(rgb, at, FINENESS)
