"""Mat or panel? By the tint, whatever the light: a shadow makes the tint darker, not less green.

In: a flattened photo and the mat's print. Out: for every pixel how far it is from the tint, the mask of the panel, and
the reasons not to trust it. Where the print is dark nothing can be told by the tint; there the neighbours decide, but
what is too light or too coloured for ink is panel.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.flattened import FINENESS, Image, Print
from boardmaker.photo.known_mat import Floats
from boardmaker.problems import Problem, ProblemsFound, error

SMOOTHING = 0.35  # mm, standard deviation: noise goes, an edge stays where it is
FURTHEST = 0.13  # of the relative differences between channels: what is further off is not the tint
NOISE = 5.0  # grey levels by which differences between channels are off, in the shadows of a photo
THIN = 1.3  # mm: half the width of what is too thin to be a panel: bars, joins between sheets, letters
INK_LIGHT = 0.13  # of the tint's brightness, by which ink may be lighter than the tint's weaker channels
SURE_TINT = -0.05  # what is as near to the tint is neither ink nor panel
CLEAR = 0.1  # from the limit: what is further off is no clearer
CLIPPED = 250.0  # grey levels; from there on the strongest channel may have come to its end
BEYOND = 1.55  # times the end: what is brighter is white with whatever colour
UNLIKE = 0.3  # of the proportions: by as much printers and lamps change the tint
LEAST_TINT = 1500  # pixels out of the fifth that are looked at
INK_COLOUR = 0.25  # of the proportions, by which black ink may have a colour
TELLING = 0.35  # of the proportions: an ink that is as far from grey tells itself from a grey panel
CORE = 1.3  # mm from the rim of the print's dark cells, as they are known, to where nothing but ink shows
INK_DARKER = 0.8  # of the tint's brightness, which ink has at most by itself
DARKER = 0.92  # of the tint's brightness: what is lighter shows no ink
LEAST_LIGHT = 16.0  # grey levels; in what is darker no colour is to be seen
SMALLEST = 900.0  # mm2 of a panel
OTHER = 0.15  # of the largest part's area, from which a second part is another panel
OF_RIM = 12.0  # mm along which a panel may touch the mat's rim before it leaves it

Reals = NDArray[np.float32]
Colours = tuple[tuple[int, int, int], tuple[int, int, int]]  # tint and ink; red, green, blue from 0 to 255


@dataclass(frozen=True)
class Tint:
    """The tint as one photo shows it."""

    at: tuple[float, float]  # the weaker channels as parts of the strongest
    strongest: int
    weaker: tuple[int, int]


@dataclass(frozen=True)
class PanelMask:
    """Where the panel is seen, and how far each pixel is from the tint (above 0: not the tint)."""

    mask: Image
    off: Reals
    ink: NDArray[np.bool_]  # where the print's dark cells are seen
    unknown: NDArray[np.bool_]  # where the print hides what there is


def panel_mask(flat: Image, known: Print, printed: Colours, name: str) -> PanelMask:
    """Return where the panel is seen in a flattened photo; `printed`: tint and ink as they were sent to the printer.

    Raises ProblemsFound where that cannot be told.
    """
    smooth = cv2.GaussianBlur(flat, (0, 0), SMOOTHING * FINENESS).astype(np.float32)
    tint = _tint(smooth, known, printed, name)
    first, second, strong = _channels(smooth, tint)
    off = _off_tint(first, second, strong, tint)
    dark = (known.dark > 0) & (off > SURE_TINT)
    relative = strong / _brightness(strong, off, known)
    own_colour = _ink((first, second, strong), relative, known, tint, printed[1])
    if own_colour is None:
        ink = dark & _may_be_ink(first, second, relative, tint)
        unknown = ink
    else:
        may_be = dark & (relative < DARKER)
        off_ink, off_both = _off_print(first, second, strong, tint, own_colour)
        off = np.where(may_be, np.minimum(off, off_ink), off)
        unknown = dark & (strong < LEAST_LIGHT) | (may_be & (off > 0) & (off_both < 0) & (_core(known) == 0))
        ink = dark & (off < 0)
    unknown = unknown | (known.joins > 0)
    off = _from_neighbours(off, unknown)
    panel = ((off > 0) & (known.mat > 0)).astype(np.uint8)
    round_brush = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * int(THIN * FINENESS) + 1,) * 2)
    panel = cv2.morphologyEx(panel, cv2.MORPH_OPEN, round_brush)
    return PanelMask(_largest(panel, known, name), off, ink | unknown, unknown)


def _may_be_ink(first: Reals, second: Reals, strong: Reals, tint: Tint) -> NDArray[np.bool_]:
    """Whether a pixel may show ink, or ink and tint at once; `strong` in parts of the tint's brightness around it.

    Ink is as dark as the tint's weaker channels are, or darker, and without a colour of its own.
    """
    way = np.array(tint.at) - 1.0
    along = np.clip(((first - 1) * way[0] + (second - 1) * way[1]) / (way @ way), 0, 1)
    coloured = np.hypot(first - 1 - along * way[0], second - 1 - along * way[1]) > INK_COLOUR
    light = (first * strong > tint.at[0] + INK_LIGHT) | (second * strong > tint.at[1] + INK_LIGHT) | (strong > 1.0)
    may_be: NDArray[np.bool_] = ~(coloured | light)
    return may_be


def _channels(smooth: Reals, tint: Tint) -> tuple[Reals, Reals, Reals]:
    """The two weaker channels as parts of the strongest one, and that one, put right where the photo is too bright.

    Where the strongest channel has come to its end and the other two go on in the tint's proportion, it is the tint in
    too much light.
    """
    one, two = (smooth[..., channel] + 1.0 for channel in tint.weaker)
    strong = smooth[..., tint.strongest] + 1.0
    beyond = np.minimum(np.minimum(one / tint.at[0], two / tint.at[1]), 256.0 * BEYOND)
    strong = np.where(strong > CLIPPED, np.maximum(strong, beyond), strong)
    return one / strong, two / strong, strong


def _tint(smooth: Reals, known: Print, colours: Colours, name: str) -> Tint:
    """The tint where most of the mat has it, from what is not too bright; else in the proportions of the print."""
    printed = colours[0]
    strongest = int(np.argmax(printed))
    weaker = tuple(channel for channel in range(3) if channel != strongest)
    seen = (known.mat > 0) & (known.dark == 0) & (smooth.max(axis=2) > 12)
    one, two, strong = (smooth[..., channel][seen][::5] + 1.0 for channel in (*weaker, strongest))
    expected = np.array([printed[channel] / printed[strongest] for channel in weaker])
    dull = strong < CLIPPED - 4
    at = _mode(one[dull] / strong[dull], two[dull] / strong[dull], expected)
    if at is None and dull.mean() < 0.7:  # too bright all over: of the proportions, that of the weaker two is seen
        ratio = np.median(one[~dull] / two[~dull])
        skew = np.sqrt(ratio / (expected[0] / expected[1]))
        at = expected * (skew, 1 / skew) if 0.8 < skew < 1.25 else None
    if at is None:
        raise ProblemsFound([_no_tint(name)])
    return Tint((float(at[0]), float(at[1])), strongest, (weaker[0], weaker[1]))


def _ink(
    seen: tuple[Reals, Reals, Reals], relative: Reals, known: Print, tint: Tint, printed: tuple[int, int, int]
) -> tuple[float, float] | None:
    """The ink's weaker channels as parts of its strongest, as the middle of the dark cells has them.

    None where it is black, or hardly to be seen. `seen`: the same of each pixel, and the strongest channel.
    """
    bright, one, two = (float(printed[channel]) for channel in (tint.strongest, *tint.weaker))
    if bright <= 0 or np.hypot(one / bright - 1, two / bright - 1) < TELLING:
        return None
    first, second, strong = seen
    ink = (_core(known) > 0) & (strong > LEAST_LIGHT) & (relative < INK_DARKER)
    at = _mode(first[ink], second[ink], np.array([one / bright, two / bright]))
    return None if at is None or np.hypot(*(at - 1.0)) < TELLING else (float(at[0]), float(at[1]))


def _mode(one: Reals, two: Reals, expected: Floats) -> Floats | None:
    """The most frequent proportions near the expected ones; None where hardly anything has such."""
    near = np.hypot(one - expected[0], two - expected[1]) < UNLIKE
    if near.sum() < LEAST_TINT:
        return None
    counts, ones, twos = np.histogram2d(one[near], two[near], bins=60, range=((0, 1.2), (0, 1.2)))
    counts = cv2.GaussianBlur(counts, (0, 0), 1.0)
    row, column = np.unravel_index(counts.argmax(), counts.shape)
    at = np.array([ones[row] + 0.01, twos[column] + 0.01])
    for _ in range(6):
        around = np.hypot(one - at[0], two - at[1]) < 0.08
        at = np.array([np.median(one[around]), np.median(two[around])])
    return at


def _brightness(strong: Reals, off: Reals, known: Print) -> Reals:
    """The tint's grey level around each pixel: what shadows and the photo's corners do to it."""
    weight = ((off < 0) & (known.mat > 0) & (known.dark == 0)).astype(np.float32)
    near, wide = (2 * int(mm / 2 * FINENESS) + 1 for mm in (12.0, 72.0))
    total, broad = (cv2.blur(weight, (size, size)) for size in (near, wide))
    closely = cv2.blur(weight * strong, (near, near)) / np.maximum(total, 1e-6)
    roughly = cv2.blur(weight * strong, (wide, wide)) / np.maximum(broad, 1e-6)
    brightness: Reals = np.maximum(np.where(total > 0.02, closely, roughly), 1.0)
    return brightness


def _off_tint(first: Reals, second: Reals, strong: Reals, tint: Tint) -> Reals:
    """How far from the tint beyond what noise does; in the dark noise does more."""
    away = np.hypot(first - tint.at[0], second - tint.at[1])
    off: Reals = away - FURTHEST - NOISE / np.maximum(strong, 8.0)
    return off


def _core(known: Print) -> Image:
    """Where nothing but ink shows of the mat."""
    size = 2 * round(CORE * FINENESS) + 1
    return np.asarray(cv2.erode(known.dark, cv2.getStructuringElement(cv2.MORPH_RECT, (size, size))), np.uint8)


def _off_print(first: Reals, second: Reals, strong: Reals, tint: Tint, ink: tuple[float, float]) -> tuple[Reals, Reals]:
    """How far from the ink, and from the way between tint and ink, on which what shows both at once lies."""
    off_ink = np.hypot(first - ink[0], second - ink[1]) - FURTHEST - NOISE / np.maximum(strong, 8.0)
    way = np.subtract(ink, tint.at)
    along = np.clip(((first - tint.at[0]) * way[0] + (second - tint.at[1]) * way[1]) / (way @ way), 0, 1)
    away = np.hypot(first - tint.at[0] - along * way[0], second - tint.at[1] - along * way[1])
    return off_ink, away - FURTHEST - NOISE / np.maximum(strong, 8.0)


def _from_neighbours(off: Reals, unknown: NDArray[np.bool_]) -> Reals:
    """The same, with the unknown filled in from what is known around it."""
    known = (~unknown).astype(np.float32)
    clear = np.clip(off, -CLEAR, CLEAR)
    filled, left = off.copy(), unknown.copy()
    for reach in (1.0, 2.5, 7.0):  # mm
        sigma = reach / 2 * FINENESS
        weight = cv2.GaussianBlur(known, (0, 0), sigma)
        mean = cv2.GaussianBlur(known * clear, (0, 0), sigma) / np.maximum(weight, 1e-6)
        now = left & (weight > 0.1)
        filled[now] = mean[now]
        left &= ~now
    filled[left] = mean[left]
    return filled


def _largest(panel: Image, known: Print, name: str) -> Image:
    """The largest part, filled. Raises ProblemsFound where there is none, a second one, or it leaves the mat."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(panel, connectivity=4)
    areas = stats[1:, cv2.CC_STAT_AREA] / FINENESS**2
    if not len(areas) or areas.max() < SMALLEST:
        hint = "is it in the mat's colour? print the mat with --tint magenta then; else lay it in the middle of the mat"
        raise ProblemsFound([error(f"{name}: no panel can be told from the mat", hint=hint)])
    order = np.argsort(areas)
    rim = (cv2.erode(known.mat, np.ones((5, 5), np.uint8)) == 0) & (known.mat > 0)
    best = labels == order[-1] + 1
    if (best & rim).sum() / 2 > OF_RIM * FINENESS:
        hint = "lay more sheets, or the panel into the middle; hold the camera above it"
        raise ProblemsFound([error(f"{name}: the panel's outline leaves the mat", hint=hint)])
    second = len(order) > 1 and areas[order[-2]] > OTHER * areas[order[-1]]
    if second and not ((labels == order[-2] + 1) & rim).any():
        hint = "photograph one panel at a time, with nothing else on the mat"
        raise ProblemsFound([error(f"{name} shows two things on the mat, and one panel is read", hint=hint)])
    contours, _ = cv2.findContours(best.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    whole = np.zeros_like(panel)
    cv2.drawContours(whole, [max(contours, key=cv2.contourArea)], -1, 1, cv2.FILLED)
    return whole


def _no_tint(name: str) -> Problem:
    hint = "more light, no flash; is it this mat (--mat, --tint)?"
    return error(f"{name}: the mat's tint is not to be seen", hint=hint)
