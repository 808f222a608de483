"""Round dark blobs of a picture, and which of them lie like the discs of the page.

Neither needs the resolution to be right, only its ratio of across to down: what the picture says may be wrong, and
then the discs tell. Centres are good to a pixel here; `centres` does better.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from boardmaker.scan.fit import Floats, Places, fit_columns, page_design
from boardmaker.scan.picture import Picture

LEVELS = (50, 80, 110, 140, 170, 200, 225)  # grey: some of them lie between any ink and any paper
SEARCH_FINENESS = 6.0  # pixels a mm (150 dpi) are enough to see a disc
LEAST_PIXELS = 5.0  # across a disc
LEAST_SHARE = 0.1  # of the diameter that a disc has if the page fills the picture: the smallest page on a large glass
ROUND = 0.93  # area by that of the disc with equal moments; a square has 0.955, a crescent or a ring far less
LONGEST = 1.35  # long by short side of a blob: stretch and blur
ALIKE = 1.4  # a blob's diameter by that of a disc at this scale, or the reverse: blur and ink spread
MOST_BLOBS = 60  # the largest: dots of letters are smaller than the discs, and hardly anything round is larger
NEAR_ENOUGH = 1.5, 0.06  # mm, and share of the distance from a known disc: two discs know nothing of the stretch
CHANCE = 0.3  # mm: four blobs that fit no better than this are not discs; any page of text has such
STRAY = 3.0  # mm from a disc's place on the fitted page: a photograph's discs are still found, to be complained about


@dataclass(frozen=True)
class Blobs:
    """Round dark blobs: centres and diameters, mm of the picture."""

    centres: Places
    diameters: Floats


def find_discs(picture: Picture, drawn: Places, diameter: float) -> Places:
    """Return where the discs drawn at `drawn` (mm on the page, the orientation disc last) are; NaN for a missing one.

    All are NaN where nothing looks like the page. Tried on a coarse picture first, which is fast.
    """
    best = np.full(len(drawn), complex(np.nan))
    coarse = [max(1, int(density / SEARCH_FINENESS)) for density in picture.pixels_per_mm]
    for across, down in sorted({(coarse[0], coarse[1]), (1, 1)}, reverse=True):
        blobs = find_blobs(picture.reduced(across, down), float(_extent(drawn)), diameter)
        best = max(best, match_discs(blobs, drawn, diameter), key=lambda found: _merit(found, drawn))
        if _count(best) >= len(drawn) - 1 and not np.isnan(best[-1]):
            break
    chance = _count(best) == 4 and -_merit(best, drawn)[2] > CHANCE
    return np.full(len(drawn), complex(np.nan)) if chance else best


def find_blobs(picture: Picture, extent: float, diameter: float) -> Blobs:
    """Return dark blobs that are round and large enough for a page whose discs lie up to `extent` mm apart."""
    most = 1.2 * diameter * math.hypot(*picture.size) / extent
    pixel = 1.0 / min(picture.pixels_per_mm)
    least = max(LEAST_SHARE * most, LEAST_PIXELS * pixel)
    blur = min(max(0.6, most / pixel / 18), 2.5)  # closes the dots of a grey print
    smooth = ndimage.gaussian_filter(picture.grey, blur)
    found = [blob for level in LEVELS for blob in _largest(_blobs_darker_than(smooth, level, picture, (least, most)))]
    found = _largest(_without_doubles(found))
    return Blobs(np.array([blob[2] for blob in found]), np.array([blob[1] for blob in found]))


_Blob = tuple[float, float, complex]  # roundness, diameter, centre


def _largest(blobs: Iterable[_Blob]) -> list[_Blob]:
    return sorted(blobs, key=lambda blob: -blob[1])[:MOST_BLOBS]


def _blobs_darker_than(
    smooth: NDArray[np.uint8], level: int, picture: Picture, sizes: tuple[float, float]
) -> Iterator[_Blob]:
    labels, _ = ndimage.label(smooth < level)
    for number, box in enumerate(ndimage.find_objects(labels), start=1):
        height = (box[0].stop - box[0].start) / picture.pixels_per_mm[1]
        width = (box[1].stop - box[1].start) / picture.pixels_per_mm[0]
        if sizes[0] <= min(width, height) and max(width, height) <= min(sizes[1], LONGEST * min(width, height)):
            roundness, diameter, centre = measure_blob(labels[box] == number, picture.pixels_per_mm)
            if roundness >= ROUND:
                yield roundness, diameter, picture.place(box[0].start + centre[0], box[1].start + centre[1])


def measure_blob(mask: NDArray[np.bool_], pixels_per_mm: tuple[float, float]) -> tuple[float, float, Floats]:
    """Return roundness (1 for a disc, less for all else; 0 for a lengthy blob), diameter in mm, row and column."""
    pixels = np.argwhere(mask)
    centre = pixels.mean(axis=0)
    off = (pixels - centre) / (pixels_per_mm[1], pixels_per_mm[0])
    across, down = 1.0 / pixels_per_mm[0], 1.0 / pixels_per_mm[1]
    moments = off.T @ off / len(pixels) + np.diag((down**2, across**2)) / 12  # a pixel is a square, not a point
    short, long = np.sqrt(np.linalg.eigvalsh(moments))
    area = len(pixels) * across * down
    roundness = area / (4 * math.pi * short * long) if long < LONGEST * short else 0.0
    return float(roundness), 2 * math.sqrt(area / math.pi), centre


def _without_doubles(blobs: list[_Blob]) -> list[_Blob]:
    """Of blobs that lie on each other, the same thing seen at several levels, keep the one of middle size.

    Near the paper's grey a disc is blown up by all of its blur, near its own grey it shrinks.
    """
    groups: list[list[_Blob]] = []
    for blob in blobs:
        for group in groups:
            if abs(blob[2] - group[0][2]) < 0.3 * max(blob[1], group[0][1]):
                group.append(blob)
                break
        else:
            groups.append([blob])
    return [sorted(group, key=lambda blob: blob[1])[len(group) // 2] for group in groups]


def match_discs(blobs: Blobs, drawn: Places, diameter: float) -> Places:
    """Return the blobs' centres in the order of the discs that they look like; NaN for a disc without one."""
    best = np.full(len(drawn), complex(np.nan))
    if len(blobs.centres) < 3:
        return best
    for one, other in _far_pairs(drawn[:-1]):
        for start, step in _pages_through(blobs, drawn[one], drawn[other], diameter):
            near = np.minimum(abs(drawn - drawn[one]), abs(drawn - drawn[other]))
            rough = _nearest(blobs, start + step * drawn, abs(step), NEAR_ENOUGH[0] + NEAR_ENOUGH[1] * near, diameter)
            rough[-1] = np.nan  # another disc lies so near that it can be mistaken until the stretch is known
            if _count(rough) >= 4:
                best = max(best, _refined(blobs, drawn, rough, diameter), key=lambda found: _merit(found, drawn))
        if _count(best) == len(drawn):
            break
    return best


def _far_pairs(drawn: Places) -> list[tuple[int, int]]:
    """Pairs of discs that lie far apart, the farthest first."""
    pairs = sorted(combinations(range(len(drawn)), 2), key=lambda pair: -abs(drawn[pair[0]] - drawn[pair[1]]))
    return [pair for pair in pairs if abs(drawn[pair[0]] - drawn[pair[1]]) > 0.5 * _extent(drawn)]


def _extent(drawn: Places) -> float:
    return float(abs(drawn[:, None] - drawn).max())


def _pages_through(blobs: Blobs, one: complex, other: complex, diameter: float) -> Iterator[tuple[complex, complex]]:
    """All ways to lay the page so that two of its discs fall on two blobs: where its corner is, and its x direction.

    Only those where the blobs are as large as discs would be then.
    """
    steps = (blobs.centres[None, :] - blobs.centres[:, None]) / (other - one)
    expected = np.abs(steps).astype(np.float64) * diameter + 1e-9
    fitting = _alike(blobs.diameters[:, None], expected) & _alike(blobs.diameters[None, :], expected)
    for first, second in np.argwhere(fitting):
        step = steps[first, second]
        yield complex(blobs.centres[first] - step * one), complex(step)


def _alike(one: Floats, other: Floats | float) -> NDArray[np.bool_]:
    return (one < ALIKE * other) & (other < ALIKE * one)


def _nearest(blobs: Blobs, places: Places, scale: float, reach: Floats | float, diameter: float) -> Places:
    """Return for each place the nearest blob of the right size within reach (mm on the page), else NaN."""
    apart = abs(places[:, None] - blobs.centres)
    apart[:, ~_alike(blobs.diameters, scale * diameter)] = np.inf
    found: Places = blobs.centres[apart.argmin(axis=1)]
    found[apart.min(axis=1) > scale * reach] = np.nan
    return found


def _refined(blobs: Blobs, drawn: Places, found: Places, diameter: float) -> Places:
    """Fit the page, which may be stretched, to the discs found so far, and look again; twice."""
    for _ in range(2):
        known = ~np.isnan(found)
        if np.linalg.matrix_rank(page_design(drawn[known]), tol=1e-6) < 3:
            break
        columns = fit_columns(drawn[known], found[known])
        scale = math.sqrt(abs((columns[1].conj() * columns[2]).imag))
        found = _nearest(blobs, page_design(drawn) @ columns, scale, STRAY, diameter)
    return found


def _merit(found: Places, drawn: Places) -> tuple[bool, int, float]:
    """How good a match is: the right way round, then how many discs, then how well they lie."""
    known = ~np.isnan(found)
    if known.sum() < 4 or np.linalg.matrix_rank(page_design(drawn[known]), tol=1e-6) < 3:
        return False, 0, 0.0
    columns = fit_columns(drawn[known], found[known])
    off = abs(page_design(drawn[known]) @ columns - found[known]).max() / abs(columns[1])
    return bool(known[-1]), int(known.sum()), -float(off)


def _count(found: Places) -> int:
    return int((~np.isnan(found)).sum())
