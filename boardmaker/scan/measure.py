"""A scan from its bytes to the printer's scale, or to what is wrong with it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boardmaker.geometry import Point
from boardmaker.problems import Problem, ProblemsFound, error
from boardmaker.scan.centres import is_covered, measure_centre, middle_grey
from boardmaker.scan.fit import LEAST_DISCS, PageFit, Places, fit_page
from boardmaker.scan.model import ScanMarks, ScanMeasurement
from boardmaker.scan.picture import USUAL_RESOLUTIONS, Picture, read_picture
from boardmaker.scan.search import find_discs

COARSEST = 100.0  # dpi: 3 mm are 12 pixels then
PLAUSIBLE = 0.05  # a printer that is off by more than this did what its dialog told it to
GRAIN = 0.03  # pixels: one sigma of a centre of weight in a picture of pixels without noise
FLATNESS = 0.2, 0.0005  # mm, and share of the discs' largest distance: a disc that is farther off is not where it was
SQUARENESS = 0.5  # degrees; printers and scanners do better, cameras do not


def measure_scan(content: bytes, name: str, marks: ScanMarks, dots_per_inch: float | None) -> ScanMeasurement:
    """Return by how much the printed page in the picture `content` is larger than drawn.

    `name` is the file's, for messages; `dots_per_inch` (above 0) overrules the file's own resolution. One disc may be
    missing or spoilt where 5 others fit, but not the orientation disc. Raises ProblemsFound where the file is no such
    picture, has no resolution or too low a one, does not show the discs, where they do not fit a flat page, or where
    the page is more than 5 % off.
    """
    if dots_per_inch is not None and not 0 < dots_per_inch < math.inf:
        raise ValueError("a resolution is more than 0 dpi")
    picture = read_picture(content, name, dots_per_inch)
    told = f"--dpi {dots_per_inch:g}" if dots_per_inch is not None else f"the file says {_resolution(picture)}"
    drawn = np.array([complex(*place) for place in marks.places])
    fit = _fit(picture, name, drawn, marks, told)
    _refuse_resolution(name, fit, picture, told)
    _refuse_stretch(name, fit)
    return ScanMeasurement(
        scale=fit.scale,
        uncertainty=fit.uncertainty,
        dots_per_inch=picture.dots_per_inch,
        turn_deg=fit.turn_deg,
        largest_residual=fit.largest_residual,
        discs=len(fit.drawn),
        is_check_page=_is_check_page(picture, fit, marks),
    )


def _fit(picture: Picture, name: str, drawn: Places, marks: ScanMarks, told: str) -> PageFit:
    """Find the discs and fit the page to them; refuse what does not fit."""
    rough = find_discs(picture, drawn, marks.diameter)
    seen = _measured(picture, rough, drawn, marks.diameter)
    known = ~np.isnan(seen)
    if known.sum() < max(LEAST_DISCS, len(drawn) - 1) or not known[-1]:
        raise ProblemsFound([_not_found(name, known, min(picture.dots_per_inch) < COARSEST, told)])
    worst = max(FLATNESS[0], FLATNESS[1] * float(abs(drawn[:, None] - drawn).max()))
    fit = fit_page(drawn, seen, GRAIN / min(picture.pixels_per_mm), worst)
    if fit.largest_residual > worst or abs(fit.skew_deg) > SQUARENESS:
        raise ProblemsFound([_not_flat(name, fit)])
    return fit


def _measured(picture: Picture, rough: Places, drawn: Places, diameter: float) -> Places:
    """Return the discs' centres, measured as large as they are in this picture."""
    known = ~np.isnan(rough)
    if known.sum() < LEAST_DISCS:
        return rough
    size = diameter * PageFit(drawn[known], rough[known], 0.0).mean_scale
    return np.array([place if np.isnan(place) else measure_centre(picture, place, size) for place in rough])


def _is_check_page(picture: Picture, fit: PageFit, marks: ScanMarks) -> bool:
    corner, across, along = fit.columns
    place = complex(corner + across * marks.check_place[0] + along * marks.check_place[1])
    size = marks.diameter * fit.mean_scale
    ink = float(np.median([middle_grey(picture, complex(disc), size) for disc in fit.seen]))
    return is_covered(picture, place, size, ink)


def _refuse_resolution(name: str, fit: PageFit, picture: Picture, told: str) -> None:
    """Complain about a resolution that cannot be right, or is right and too low."""
    stretched = any(abs(scale - 1) > PLAUSIBLE for scale in fit.scale)
    meant = _meant_resolution(fit.scale, picture.dots_per_inch) if stretched else None
    if meant is not None:
        raise ProblemsFound([_wrong_resolution(name, fit.scale, told, meant)])
    if min(picture.dots_per_inch) < COARSEST:
        raise ProblemsFound([_too_coarse(name, told)])


def _meant_resolution(scale: Point, dots_per_inch: Point) -> int | None:
    """Return the usual resolution at which the page would be about as large as drawn; the nearest of several."""

    def off(usual: float) -> float:
        return max(abs(math.log(one * dpi / usual)) for one, dpi in zip(scale, dots_per_inch, strict=True))

    nearest = min(USUAL_RESOLUTIONS, key=off)
    return nearest if off(nearest) <= PLAUSIBLE else None


def _refuse_stretch(name: str, fit: PageFit) -> None:
    if any(abs(scale - 1) > PLAUSIBLE for scale in fit.scale):
        raise ProblemsFound([_print_dialog(name, fit.scale)])


def _resolution(picture: Picture) -> str:
    across, down = picture.dots_per_inch
    return f"{across:.5g} dpi" if across == down else f"{across:.5g} x {down:.5g} dpi"


def _not_found(name: str, known: NDArray[np.bool_], coarse: bool, told: str) -> Problem:
    if coarse and not known.any():
        return _too_coarse(name, told)
    found = int(known.sum())
    which = "" if known[-1] or found < len(known) - 1 else ", but not the one that tells which way the page lies"
    return error(
        f"{name}: {found} of the {len(known)} black discs of the test page were found{which}",
        hint="scan the whole test page, nothing cut off, with the lid closed; a photograph cannot be measured; "
        "the paper in the setup file must be the one that the page was made for; the resolution must be right "
        f"({told})",
    )


def _not_flat(name: str, fit: PageFit) -> Problem:
    return error(
        f"{name}: the black discs do not lie as on the test page: up to {fit.largest_residual:.2f} mm off, "
        f"its corners {abs(fit.skew_deg):.1f} degrees out of square",
        hint="a photograph cannot be measured, nor a creased page or one that was not flat on the glass: scan it on a "
        "flatbed scanner; the paper in the setup file must be the one that the page was made for",
    )


def _wrong_resolution(name: str, scale: Point, told: str, meant: int) -> Problem:
    option = "or leave --dpi away" if told.startswith("--") else "look it up in the scan program"
    return error(
        f"{name}: {told}, at which the page would be {_percent(scale)}",
        hint=f"if it was scanned at {meant} dpi, say --dpi {meant} ({option})",
    )


def _too_coarse(name: str, told: str) -> Problem:
    return error(
        f"{name}: {told}, which is too coarse to measure; at least {COARSEST:g} dpi are needed",
        hint="scan at 200 to 400 dpi; if the file is wrong about it, say the true resolution, such as --dpi 300",
    )


def _print_dialog(name: str, scale: Point) -> Problem:
    return error(
        f"{name}: the printed page is {_percent(scale)}; a printer alone is not more than {PLAUSIBLE:.0%} off",
        hint="your print dialog scaled the page: print it at 100 % (“actual size”), without “fit” or “shrink”; "
        "the paper in the setup file must be the one that the page was made for",
    )


def _percent(scale: Point) -> str:
    return f"{scale[0]:.1%} of its width and {scale[1]:.1%} of its height"
