"""The print of the mat's codes, as a photo shows it: how much light each place would have without any pen.

In: the light of a flattened photo as shares of the tint's, the mat, its codes. Out: the shares that the print alone
leaves, and how far off they may be. Each code is laid over the photo where it fits best: a flattened photo shows it a
tenth of a millimetre off or so, and a line across a code must not be taken for its cells, nor they for a line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.camera import Camera, LaidMat
from boardmaker.photo.flattened import FINENESS, Plane
from boardmaker.photo.known_mat import Floats

FINE = 4.0  # pixels a mm of a code as it is drawn here
RIM = 3.0  # mm around a code that its blur may reach
SOFT = (0.2, 0.3, 0.4, 0.55, 0.75)  # mm, standard deviations of the photo's blur that are tried
CORE = 0.85  # of a dark cell's share of the print: its middle, whatever the blur
PLACED = 0.12  # mm by which a code may still be off its place when it is laid where it fits best
UNLIKE = 1.4  # times darker or lighter than in other codes: where the photo is too bright, ink and tint come nearer
COARSE, CLOSE = (0.9, 0.3), (0.15, 0.05)  # mm: how far, and in which steps, a code's place is looked for
MOST_SHIFT = 1.5  # mm by which a code may be seen off its place
TRIMMED = 0.7  # of a code's pixels that fit best say how well it fits: the pen may be on the others

Mask = NDArray[np.bool_]
Reals = NDArray[np.floating]
Modules = Sequence[tuple[int, NDArray[np.bool_]]]  # each tag's number and its cells, True where dark


@dataclass(frozen=True)
class PrintedLight:
    """Shares of the tint's light that the print leaves, how far off they may be, and where codes are."""

    share: Reals
    doubt: Reals
    square: Mask


@dataclass(frozen=True)
class _CodePlace:
    """The part of the plane around a code: its first column and row, and each pixel's place in the code, mm."""

    number: int
    cells: NDArray[np.bool_]
    size: float
    column: int
    row: int
    across: Reals
    down: Reals

    def of(self, image: Reals) -> Reals:
        """The part of an image."""
        height, width = self.across.shape
        return image[self.row : self.row + height, self.column : self.column + width]


def code_squares(laid: LaidMat, plane: Plane, modules: Modules) -> Mask:
    """Return where codes are, and a little around them."""
    squares = np.zeros((plane.height, plane.width), np.uint8)
    for number, _ in modules:
        tag = laid.mat.tags[number]
        if tag.sheet in laid.sheets:
            ring = np.round(plane.pixels(laid.place(tag.sheet, tag.corners)) * 16).astype(np.int32)
            cv2.fillConvexPoly(squares, ring, 1, cv2.LINE_8, 4)
    return np.asarray(cv2.dilate(squares, np.ones((2 * round(FINENESS) + 1,) * 2, np.uint8)) > 0)


def printed_light(
    light: Reals, laid: LaidMat, camera: Camera, plane: Plane, seen: Mapping[int, Floats], modules: Modules
) -> PrintedLight:
    """Return what the print leaves of the tint's light.

    `light`: the photo's, as shares of the tint's around; `seen`: the corners of tags that were found.
    """
    share = np.ones((plane.height, plane.width), np.float32)
    patches = list(_patches(laid, plane, modules))
    usual = _dark_share(light, patches)
    softness = _softness(light, patches, usual)
    for patch in patches:
        drawn = _drawn(patch, softness)
        dark = float(np.clip(_dark_share(light, [patch]), usual / UNLIKE, usual * UNLIKE))
        start = _seen_shift(laid, camera, seen, patch.number)
        shift = np.zeros(2) if start is None else start
        for search in (COARSE, CLOSE) if start is None else (CLOSE,):
            shift = _best_shift(patch, light, drawn, dark, shift, search)
        part = patch.of(share)
        np.minimum(part, _shares(patch, drawn, dark, shift), out=part)
    across, down = (cv2.Sobel(share, cv2.CV_32F, *way, ksize=3, scale=FINENESS / 8) for way in ((1, 0), (0, 1)))
    doubt = PLACED * np.hypot(across, down) / share
    return PrintedLight(share, doubt, code_squares(laid, plane, modules))


def _patches(laid: LaidMat, plane: Plane, modules: Modules) -> Iterator[_CodePlace]:
    """Each code that lies there and the part of the plane around it."""
    for number, cells in modules:
        tag = laid.mat.tags[number]
        if tag.sheet not in laid.sheets:
            continue
        middle = laid.place(tag.sheet, np.array([tag.centre]))[0]
        column, row = np.round(plane.pixels(middle)).astype(int)
        reach = int((0.75 * tag.size + RIM) * FINENESS)
        left, top = max(0, column - reach), max(0, row - reach)
        right, bottom = min(plane.width, column + reach), min(plane.height, row + reach)
        if right - left < reach or bottom - top < reach:
            continue
        columns, rows = np.meshgrid(np.arange(left, right), np.arange(top, bottom))
        places = plane.places(np.column_stack([columns.ravel(), rows.ravel()])) - middle
        turn = laid.sheets[tag.sheet][2]
        c, s = np.cos(turn), np.sin(turn)
        local = (places @ np.array([[c, -s], [s, c]]) / laid.scale).reshape(*columns.shape, 2).astype(np.float32)
        yield _CodePlace(number, cells, tag.size, left, top, local[..., 0], -local[..., 1])


def _drawn(patch: _CodePlace, softness: float) -> Reals:
    """A code's dark cells with a rim around them, about FINE pixels a mm, as blurred as the photo."""
    cell = round(patch.size * FINE / len(patch.cells))
    drawn = np.pad(np.kron(patch.cells, np.ones((cell, cell))), round(RIM * FINE)).astype(np.float32)
    blurred: Reals = cv2.GaussianBlur(drawn, (0, 0), softness * FINE)
    return blurred


def _covered(patch: _CodePlace, drawn: Reals, shift: Floats) -> Reals:
    """How much of each pixel of a patch the code's dark cells cover."""
    per_mm = (drawn.shape[0] - 2 * round(RIM * FINE)) / patch.size
    middle = drawn.shape[0] / 2 - 0.5
    x = ((patch.across - np.float32(shift[0])) * per_mm + middle).astype(np.float32)
    y = ((patch.down + np.float32(shift[1])) * per_mm + middle).astype(np.float32)
    covered: Reals = cv2.remap(drawn, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
    return covered


def _shares(patch: _CodePlace, drawn: Reals, dark: float, shift: Floats) -> Reals:
    return 1.0 - (1.0 - dark) * _covered(patch, drawn, shift)


def _dark_share(light: Reals, patches: Sequence[_CodePlace]) -> float:
    """The share of the tint's light that the ink of dark cells leaves: what most codes have in their cells' middles."""
    nowhere = np.zeros(2)
    cores = [
        np.median(patch.of(light)[core])
        for patch in patches
        if (core := _covered(patch, _drawn(patch, SOFT[-1]), nowhere) > CORE).any()
    ]
    return float(np.clip(np.median(cores), 0.02, 0.9)) if cores else 0.3


def _softness(light: Reals, patches: Sequence[_CodePlace], dark: float) -> float:
    """The blur with which the codes look most like the photo, by a dozen of them."""
    some = patches[:: max(1, len(patches) // 12)]

    def misfit(softness: float) -> float:
        fits = []
        for patch in some:
            drawn = _drawn(patch, softness)
            shift = _best_shift(patch, light, drawn, dark, np.zeros(2), COARSE)
            fits.append(_misfit(patch.of(light), _shares(patch, drawn, dark, shift)))
        return float(np.median(fits))

    return min(SOFT, key=misfit) if some else SOFT[1]


def _seen_shift(laid: LaidMat, camera: Camera, seen: Mapping[int, Floats], number: int) -> Floats | None:
    """How far off its place the photo shows a code (mm), by its corners; None for one that is not found."""
    if number not in seen:
        return None
    tag = laid.mat.tags[number]
    shift: Floats = (camera.ground(seen[number]) - laid.place(tag.sheet, tag.corners)).mean(axis=0)
    return shift if np.hypot(*shift) < MOST_SHIFT else None


def _best_shift(
    patch: _CodePlace, light: Reals, drawn: Reals, dark: float, start: Floats, search: tuple[float, float]
) -> Floats:
    """The shift around `start` with which the code fits the photo best; `search`: how far, in which steps, mm."""
    reach, step = search
    steps = np.arange(-reach, reach + step / 2, step)
    part = patch.of(light)
    tried = [start + np.array([x, y]) for y in steps for x in steps]
    misfits = [_misfit(part, _shares(patch, drawn, dark, shift)) for shift in tried]
    best: Floats = tried[int(np.argmin(misfits))]
    return best


def _misfit(light: Reals, shares: Reals) -> float:
    """How badly they agree where they agree best: the mean of the smaller differences."""
    away = np.abs(light - shares).ravel()
    count = int(TRIMMED * away.size)
    return float(np.partition(away, count)[:count].mean())
