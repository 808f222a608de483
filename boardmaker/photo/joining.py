"""Several views of one edge joined: how high the edge stands above the mat, so that all views agree on it.

In: each photo's edge on the mat's plane, and where it was taken from. Out: the outline as seen from straight above, the
heights, and how far the views disagree. The height is a smooth surface over the panel's middle, of the third degree
at most; with one view it is one given height. A place that stands h above the mat is seen displaced by h / H of its way
to the camera's foot, H being the camera's height: the rest is a least squares fit of normal distances.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from boardmaker.photo.edge import Edge
from boardmaker.photo.known_mat import Floats

HIGHEST = 90.0  # mm an edge may stand above the mat
NEAR = 14.0  # mm: what is further apart does not belong together
OUTLIER = 0.8  # mm, from which distances count less
GENTLE = (1e-5, 1e-5, 3e-4, 2e-3)  # by degree: how much a surface is held back from rising, mm2 of residual a mm2
ROUNDS = 14


@dataclass(frozen=True)
class Surface:
    """Heights over the mat: a polynomial in places about a middle."""

    middle: Floats
    size: float
    coefficients: Floats

    def height(self, places: Floats) -> Floats:
        """Return the heights (n,) at places (n, 2), mm."""
        raw = _terms((places - self.middle) / self.size)[:, : len(self.coefficients)] @ self.coefficients
        heights: Floats = np.clip(raw, -5.0, HIGHEST + 10)
        return heights


@dataclass(frozen=True)
class Joined:
    """The outline from straight above, mm, and what is known of how good it is."""

    outline: Floats
    surface: Surface
    disagreement: tuple[float, float]  # mm between the views: the mean, and what 95 % keep below; 0 with one view
    apart: Floats  # for each place of the outline, how far the first view and another are apart there at most, mm


def flat_surface(places: Floats, height: float) -> Surface:
    """Return a surface of one height."""
    middle = (places.min(axis=0) + places.max(axis=0)) / 2
    size = float(np.hypot(*(places - middle).T).max())
    return Surface(middle, size, np.array([height]))


def above(places: Floats, centre: Floats, surface: Surface) -> Floats:
    """Return where what is seen at places of the mat's plane lies, as it stands on the surface."""
    lifted = places
    for _ in range(6):
        lifted = places + (surface.height(lifted) / centre[2])[:, None] * (centre[:2] - places)
    return lifted


def join(edges: Sequence[Edge], centres: Sequence[Floats], height: float | None) -> Joined:
    """Return the outline; `height` (mm) is the edge's where it is told, or where there is one view."""
    if len(edges) == 1 or height is not None:
        surface = flat_surface(edges[0].places, height or 0.0)
    else:
        surface = _fitted(edges, centres)
    lines = [above(edge.places, centre, surface) for edge, centre in zip(edges, centres, strict=True)]
    if len(edges) == 1:
        return Joined(lines[0], surface, (0.0, 0.0), np.zeros(len(lines[0])))
    there = [_distances(lines[0], other) for other in lines[1:]]
    back = [_distances(other, lines[0]) for other in lines[1:]]
    apart = np.concatenate([*there, *back])
    disagreement = float(apart.mean()), float(np.percentile(apart, 95))
    return Joined(_middle_line(lines, edges), surface, disagreement, np.max(there, axis=0))


def _terms(places: Floats) -> Floats:
    x, y = places.T
    one = np.ones_like(x)
    return np.column_stack([one, x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3])


def _fitted(edges: Sequence[Edge], centres: Sequence[Floats]) -> Surface:
    """The surface, first level, then tilted, then curved: each from the one before."""
    start = flat_surface(edges[0].places, 0.0)
    tried = [_refined(edges, centres, Surface(start.middle, start.size, np.array([h])), 1) for h in (3.0, 20.0, 45.0)]
    best = min(tried, key=lambda one: _cost(edges, centres, one))
    for terms in (3, 6, 10):
        grown = np.r_[best.coefficients, np.zeros(terms - len(best.coefficients))]
        best = _refined(edges, centres, Surface(best.middle, best.size, grown), terms)
    return best


def _cost(edges: Sequence[Edge], centres: Sequence[Floats], surface: Surface) -> float:
    lines = [above(edge.places, centre, surface) for edge, centre in zip(edges, centres, strict=True)]
    return sum(float(np.minimum(_distances(lines[0], other), 5.0).mean()) for other in lines[1:])


def _refined(edges: Sequence[Edge], centres: Sequence[Floats], surface: Surface, terms: int) -> Surface:
    """Gauss and Newton with the nearest places of each pair of views, outliers held back."""
    pairs = [(i, j) for i in range(len(edges)) for j in range(len(edges)) if i != j]
    degree = np.array([0, 1, 1, 2, 2, 2, 3, 3, 3, 3])[:terms]
    for _ in range(ROUNDS):
        lines = [above(edge.places, centre, surface) for edge, centre in zip(edges, centres, strict=True)]
        blocks = [_pair(edges, centres, lines, surface, pair, terms) for pair in pairs]
        jacobian, residual, weight = (np.concatenate(part) for part in zip(*blocks, strict=True))
        held = np.diag(np.array(GENTLE)[degree]) * len(residual) * 0.01
        normal = jacobian.T @ (jacobian * weight[:, None]) + held
        right = jacobian.T @ (weight * residual) + held @ surface.coefficients
        change = -np.linalg.solve(normal, right)
        surface = Surface(surface.middle, surface.size, surface.coefficients + change)
        if np.abs(change).max() < 0.02:
            break
    return surface


def _pair(
    edges: Sequence[Edge],
    centres: Sequence[Floats],
    lines: Sequence[Floats],
    surface: Surface,
    pair: tuple[int, int],
    terms: int,
) -> tuple[Floats, Floats, Floats]:
    """What one view's places say against another view's line: derivatives, distances, weights."""
    i, j = pair
    foot, normals, index = _nearest_on_line(lines[i], lines[j])
    residual = ((lines[i] - foot) * normals).sum(axis=1)
    away = np.hypot(*(lines[i] - foot).T)
    basis = [_terms((line - surface.middle) / surface.size)[:, :terms] for line in (lines[i], foot)]
    ways = [(centres[k][:2] - edges[k].places[at]) / centres[k][2] for k, at in ((i, slice(None)), (j, index))]
    jacobian = (normals * ways[0]).sum(axis=1)[:, None] * basis[0] - (normals * ways[1]).sum(axis=1)[:, None] * basis[1]
    weight = edges[i].weights * edges[j].weights[index] / (1 + (residual / OUTLIER) ** 2)
    return jacobian, residual, np.where(away < max(NEAR, np.percentile(away, 60)), weight, 0.0)


def _nearest_on_line(places: Floats, line: Floats) -> tuple[Floats, Floats, np.ndarray]:
    """For each place the foot on a closed line, the line's normal there, and the number of the line's place."""
    _, index = cKDTree(line).query(places)
    before, after = line[index - 1], line[(index + 1) % len(line)]
    along = after - before
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normals = np.column_stack([along[:, 1], -along[:, 0]])
    off = ((places - line[index]) * normals).sum(axis=1)
    tangent = np.clip(((places - line[index]) * along).sum(axis=1), -1.0, 1.0)
    del off
    return line[index] + along * tangent[:, None], normals, index


def _distances(places: Floats, line: Floats) -> Floats:
    foot, _, _ = _nearest_on_line(places, line)
    distances: Floats = np.hypot(*(places - foot).T)
    return distances


def _middle_line(lines: Sequence[Floats], edges: Sequence[Edge]) -> Floats:
    """The first line moved along its normals to the weighted middle of all, as far as they agree."""
    first = lines[0]
    shift, total = np.zeros(len(first)), edges[0].weights.copy()
    normals = np.zeros_like(first)
    for other, edge in zip(lines[1:], edges[1:], strict=True):
        foot, normals, index = _nearest_on_line(first, other)
        off = ((foot - first) * normals).sum(axis=1)
        weight = np.where(np.abs(off) < 2.0, edge.weights[index], 0.0)
        shift += weight * off
        total += weight
    moved: Floats = first + normals * (shift / np.maximum(total, 1e-6))[:, None]
    return moved
