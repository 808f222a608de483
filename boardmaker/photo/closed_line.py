"""Closed lines of places: smoothed, in even steps, with their normals. Whatever the unit, (n, 2)."""

from __future__ import annotations

import numpy as np

from boardmaker.photo.known_mat import Floats


def smooth_line(line: Floats, sigma: float) -> Floats:
    """Return a closed line of even steps smoothed by a bell curve of `sigma` steps."""
    reach = min(int(4 * sigma) + 1, len(line))
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    kernel /= kernel.sum()
    padded = np.vstack([line[-reach:], line, line[:reach]])
    return np.column_stack([np.convolve(padded[:, k], kernel, "valid") for k in (0, 1)])


def even_line(line: Floats, step: float) -> Floats:
    """Return places on a closed line, about a step apart."""
    closed = np.vstack([line, line[:1]])
    along = np.r_[0, np.cumsum(np.hypot(*np.diff(closed, axis=0).T))]
    at = np.linspace(0, along[-1], max(12, round(along[-1] / step)), endpoint=False)
    return np.column_stack([np.interp(at, along, closed[:, k]) for k in (0, 1)])


def normals_of(line: Floats) -> Floats:
    """Return unit normals of a closed line: to the right of its way."""
    along = np.roll(line, -2, axis=0) - np.roll(line, 2, axis=0)
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normals: Floats = np.column_stack([along[:, 1], -along[:, 0]])
    return normals
