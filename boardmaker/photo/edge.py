"""The panel's edge in a flattened photo, to a part of a pixel.

In: the mask and the flattened photo. Out: the closed line, a place about every mm, and how far each is to be trusted.
Along each normal the edge is where the light is half the panel's and half the mat's; where the mat's dark print meets
the edge, the mask's line stays, and counts for little.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import splu

from boardmaker.photo.closed_line import even_line, normals_of, smooth_line
from boardmaker.photo.flattened import FINENESS, Image, Plane
from boardmaker.photo.known_mat import Floats
from boardmaker.photo.tags import LIGHT
from boardmaker.photo.tint import PanelMask

STEP = 1.0  # mm from place to place
REACH = 3.6  # mm to both sides of the mask's line
FROM, TO = 1.6, 3.4  # mm: where the mat's colour is taken from
INNER = 1.8, 3.4  # mm: where the panel's is, as long as the edge is known roughly
RIM = 0.45, 1.0  # mm: where it is then; a rim is often rolled, and darker than the rest
FURTHEST = 1.8  # mm by which the edge may be off the mask's line
POOR = 0.1  # weight of a place where the print hides the edge, when views are joined
HIDDEN = 2e-3  # the same when the line is made smooth: it then bends over 5 mm instead of 1
ON_INK = 0.2  # where ink and panel are told apart by their colour: to 0.4 mm or so
STIFFNESS = 1.0  # mm2, of second differences
LEAST_CLEAR = 0.4  # of the mat's samples that must be free of print
CHANNEL_END = 0.93  # of the light at which a channel of the photo comes to its end
LEAST_CONTRAST = 1e-3  # of the light, squared, by which mat and panel must differ in colour
OWN_LIGHT = 3e-3  # of the light, squared, that the panel must have beside the mat's colour
SMOOTH = 0.7  # mm, of the mask's line, standard deviation


@dataclass(frozen=True)
class Edge:
    """A closed line, counter-clockwise, mm on the mat's plane; weights from 0 to 1; softness of the edge, mm."""

    places: Floats
    weights: Floats
    softness: float


def edge_of(panel: PanelMask, flat: Image, plane: Plane) -> Edge:
    """Return the panel's edge."""
    contours, _ = cv2.findContours(panel.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    line = max(contours, key=cv2.contourArea).reshape(-1, 2).astype(float)
    line = even_line(smooth_line(line, SMOOTH * FINENESS), STEP * FINENESS)
    for rim in (INNER, RIM):  # first roughly: the mask's line lies up to 1 mm outside
        line, width, good = _moved(line, panel, flat, rim)
    softness = float(np.median(width[good])) if good.any() else float("nan")
    return Edge(plane.places(line)[::-1].copy(), np.where(good, 1.0, POOR)[::-1].copy(), softness)


def _moved(
    line: Floats, panel: PanelMask, flat: Image, rim: tuple[float, float]
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """The line moved along its normals to the edge and made smooth; the edge's softness, and where it was seen well."""
    normals = _outward(line)
    where = np.arange(-REACH, REACH + 0.01, 0.2)
    samples = (line[:, None] + normals[:, None] * (where * FINENESS)[None, :, None]).astype(np.float32)
    told = cv2.remap(1.0 - panel.unknown.astype(np.float32), samples, None, cv2.INTER_LINEAR)
    light = cv2.remap(LIGHT[flat], samples, None, cv2.INTER_LINEAR).astype(float)
    hidden = cv2.remap(panel.ink.astype(np.float32), samples, None, cv2.INTER_LINEAR)
    shift, width, good = _crossings(light, hidden, where, rim)
    shift = _without_outliers(np.where(good, shift, _from_good(shift, good)))
    moved = line + normals * (shift * FINENESS)[:, None]
    clear = told[:, np.abs(where) < FURTHEST].min(axis=1) > 0.5
    return _faired(moved, np.where(good, 1.0, np.where(clear, ON_INK, HIDDEN))), width, good


def _faired(line: Floats, weights: Floats) -> Floats:
    """The closed line made smooth, more where it is hidden: least squares with its second differences (Whittaker)."""
    count = len(line)
    one = sparse.identity(count, format="csc")
    bend = sparse.csc_array(sparse.vstack([one[1:], one[:1]]) - 2 * one + sparse.vstack([one[-1:], one[:-1]]))
    system = sparse.csc_matrix(sparse.diags_array(weights) + STIFFNESS * (bend.T @ bend))
    faired: Floats = splu(system).solve(line * weights[:, None])
    return faired


def _outward(line: Floats) -> Floats:
    """Unit normals that point outward, whichever way the line runs."""
    x, y = line.T
    outward: Floats = normals_of(line) * np.sign(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    return outward


def _crossings(
    light: Floats, hidden: Floats, where: Floats, rim: tuple[float, float]
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """How far out from the mask's line the edge is, how soft it is (mm), and whether that is to be trusted."""
    inside, outside = (where < -rim[0]) & (where > -rim[1]), (where > FROM) & (where < TO)
    clear = 1.0 - np.clip(hidden, 0, 1)
    mat = (light * (clear * outside)[..., None]).sum(1) / np.maximum((clear * outside).sum(1), 1e-6)[:, None]
    panel = np.median(light[:, inside], axis=1)
    share, contrast = _share_of_mat(light, mat, panel)
    step = where[1] - where[0]
    shift = where[-1] + step / 2 - share.sum(axis=1) * step
    rest = share * (1 - share)
    width = rest.sum(axis=1) * step * 1.77  # of a blurred step: its standard deviation
    middle = np.abs(where) < FURTHEST
    free = (clear[:, middle].min(axis=1) > 0.5) & (clear[:, outside].mean(axis=1) > LEAST_CLEAR)
    good = free & (np.abs(shift) < FURTHEST) & (contrast > LEAST_CONTRAST)
    return shift, width, good


def _share_of_mat(light: Floats, mat: Floats, panel: Floats) -> tuple[Floats, Floats]:
    """How much of each sample is mat (0 to 1), and how well that can be told.

    Where the panel has light of its own, by what of it the mat's colour does not have, however dark the panel's own
    shadow makes the mat beside it; where it is dark, by the way from its light to the mat's. A channel of the photo
    that has come to its end tells nothing.
    """
    open_channels = (mat < CHANNEL_END).astype(float)
    open_channels[open_channels.sum(axis=1) < 2] = 1.0
    mat, panel = mat * open_channels, panel * open_channels
    way = mat - panel
    contrast = (way**2).sum(axis=1)
    plain = ((light - panel[:, None]) * way[:, None]).sum(axis=2) / np.maximum(contrast, 1e-9)[:, None]
    own = panel - mat * ((mat * panel).sum(axis=1) / ((mat**2).sum(axis=1) + 1e-6))[:, None]
    strength = (panel * own).sum(axis=1)
    coloured = 1.0 - (light * own[:, None]).sum(axis=2) / np.maximum(strength, 1e-9)[:, None]
    share = np.where((strength > OWN_LIGHT)[:, None], coloured, plain)
    return np.clip(share, 0, 1), contrast


def _from_good(shift: Floats, good: NDArray[np.bool_]) -> Floats:
    """Along the line from the good places to the others; no shift where none is good."""
    if not good.any():
        return np.zeros_like(shift)
    count = len(shift)
    index = np.flatnonzero(good)
    around = np.r_[index - count, index, index + count]
    filled: Floats = np.interp(np.arange(count), around, np.tile(shift[index], 3))
    return np.clip(filled, -0.5, 0.5)


def _without_outliers(shift: Floats) -> Floats:
    """Each value held to the median of its neighbours, give or take 0.3 mm."""
    around = np.stack([np.roll(shift, k) for k in range(-4, 5)])
    middle = np.median(around, axis=0)
    return np.clip(shift, middle - 0.3, middle + 0.3)
