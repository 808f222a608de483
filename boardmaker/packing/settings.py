"""Every number in this folder that was chosen and not derived, one frozen dataclass for each module that uses it.

Apart so that a reader finds them all, and how each was found. "By trial" means that it was kept because the problems of
`tests/benchmarks` and the demo bikes came out better or sooner; where the history of changes tells more, it is said.
Figures of single trials were not recorded. Tolerances of plain rounding stay with the code that rounds.

Work is counted in units of one cell of a cost map, a few nanoseconds.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class WorkSettings:
    """How much work an effort is, and what the steps of a search count as."""

    # By trial: first "about 12 and 30 seconds on the tourer", then raised as the engine became faster.
    quick: float = 6e9
    normal: float = 2.5e10
    thorough: float = 4e10
    # Prices of the steps; chosen so that a unit takes about the same time everywhere, the timing was not recorded.
    step: float = 5000  # of handling one no-fit raster, whatever its size
    map: float = 15_000  # of one cost map, whatever is added up in it
    cell: float = 20  # of making one cell of a no-fit raster
    compaction: float = 5e6
    piece: float = 1e5  # of compacting one convex piece
    reading: float = 2e4  # of reading one layout
    report: float = 1e8  # between two reports, about a quarter of a second


@dataclass(frozen=True)
class GeometrySettings:
    """How exactly outlines are followed."""

    surplus: float = 0.002  # mm more of clearance and margin than asked for: more than two roundings to 3 decimals err
    coarse: float = 0.1  # mm by which a ring may be simplified outward; by trial
    rough: float = 1.0  # mm, for long steps of a compaction: three times as fast, and the next steps make up for it
    corners: int = 8  # of a piece: few, so that pieces are near only where the bodies are; by trial


@dataclass(frozen=True)
class RasterSettings:
    """How fine the raster is, and how much of it is kept."""

    nodes: float = 24_000  # in all containers; 48 000 found no more, since the compaction is exact
    finest: float = 0.5  # mm between nodes; chosen, not recorded
    most_cells: float = 1e7  # of no-fit rasters in memory, 40 MB: more saves no time; results do not depend on it
    most_spectra: int = 400  # of footprints in memory, some 8 MB; likewise


@dataclass(frozen=True)
class WindowSettings:
    """How strictly items keep to their windows."""

    slack: float = 8.0  # nodes of choice for an item that no window has room for; chosen


@dataclass(frozen=True)
class SeparationSettings:
    """Guided local search. The first two are those of Gardeyn et al. (see `packing/__init__`)."""

    heavier: tuple[float, float] = (1.2, 2.0)  # by which a weight grows: the smallest and the largest overlap
    lighter: float = 0.95  # by which a weight shrinks where there is no overlap
    heaviest: float = 1e6  # of a weight: keeps costs finite
    progress: float = 0.999  # of the least overlap so far: less than this counts as progress; chosen, not recorded
    alike: float = 0.5  # of all exchanges are between items of like size; by trial
    once: float = 0.6  # of all disturbances exchange just two items; by trial
    nearly: float = 2.0  # of overlap for each item, in roots of cells: a compaction makes up for so much; by trial


@dataclass(frozen=True)
class CompactionSettings:
    """Steps of a compaction; by trial where nothing else is said."""

    first_step: float = 4.0  # mm: how far a body may slide in one step; 8 before there were rough pieces
    last_step: float = 0.05  # mm
    fine_step: float = 1.0  # mm; longer steps are taken with rough pieces
    loss: float = 0.06  # by which the factor may fall in one step
    growth: float = 0.02  # by which it may rise for each mm of step: little, so that few pieces can come near
    gain: float = 1e-4  # of the factor per mm of step: less is no progress at this length of step
    enough: float = 2e-7  # of the factor: so near to the ceiling is there; 0.0001 mm on half a metre
    true: float = 1e-4  # mm by which a row may fail; the surplus of the clearance covers it
    astray: float = 0.05  # mm that an item may be outside its fence and is still kept from going further; chosen
    shrink: float = 0.96  # of the factor, where a step's rows cannot all hold
    steps: int = 40
    hope: float = 15  # times the last gain: more is not to be expected of all steps to come
    hopeless: float = 0.95  # of the wanted factor: where bodies that small do not fit yet
    priced: float = 0.02  # of the highest price: what costs less hardly stands in the way


@dataclass(frozen=True)
class InteriorPointSettings:
    """Clarabel's settings that are not its own."""

    close: float = 1e-7  # of the gain, and of what rows and prices are off: a step of 0.05 mm is the shortest


@dataclass(frozen=True)
class ExplorationSettings:
    """How a line of finds is followed; all by trial on the problems of the benchmark and on the tourer."""

    patience: int = 20  # rounds of separation without progress; 60 at first, then 40
    haste: int = 20  # the same while nothing fits: a smaller target is the better hope
    steps: tuple[float, float] = (1.02, 1.006)  # from one target to the next, the large one only while it is easy
    easy: float = 4e7  # of work: a separation that took less asks for a large step
    back: float = 0.95  # of the target: how to retreat while nothing fits
    farthest: float = 0.8  # of the first target: how far to retreat at most
    nearly_as_large: float = 0.995  # as the line's last find: good enough to go on from, so that no line stands still
    pause: float = 6e8  # of work without gain, a few attempts: time for true zones, where they have drifted
    fresh: float = 0.98  # of the best scale: what a line from elsewhere is first asked for
    stall: float = 1e9  # of work without gain, or as much as the line took to get there: time for another line
    late_stall: float = 0.07  # of all work so far: the same, the longer the search
    alike: float = 0.01  # of the area: zones that differ less from those of the reference need no new rasters


@dataclass(frozen=True)
class ScaleSearchSettings:
    """How the scale is guessed, and when figures are asked anew; by trial where nothing else is said."""

    dense: float = 0.75  # share of the containers' area, zones with their clearance, at which the search starts
    guesses: int = 3  # at that scale
    # Power of a zone's growth with which the scale grows: heads and words do not. 1.16 to 1.39 on 13 bikes.
    usual: float = 1.25
    close: float = 0.03  # of the scale: a guess that changes less is the last
    drift: float = 1.12  # a factor further from 1 asks for the true zones
    drifted: float = 1.004  # a growth that is worth true zones,
    alike: float = 1e-4  # unless zones grow like the scale within so much
    floor: float = 1e-3  # of a growth, or mm² of all items: keeps quotients finite
    retreat: float = 0.7  # of the scale, where nothing was found
    grace: float = 3.0  # times the work at most, while nothing fits: a small drawing is better than none
    shares: float = 3  # of the work, while nothing fits, for as many reference scales
    late: float = 0.5  # of the work, which what fitted only late gets to grow
    cautious: float = 0.9985  # of the scale at which true zones are first asked for
    worth: float = 1.003  # a larger factor is worth another look at the true zones: an exploration makes up for less
    last_worth: float = 1.0005  # the same at the end, when no exploration follows
    refinements: int = 5  # looks at true zones in one go
    beyond: float = 1.25  # times what is missing is taken off a scale that is too large: looks end and do not creep
    notch: float = 1 - 1e-6  # and at least so much: what fits but for rounding does not stay so for ever
    less: float = 0.998  # of a scale at which the judge found something
    apart: float = 1.04  # of two scales, whose zones tell how fast zones grow
    too_crowded: float = 1 + 1e-9  # of the area; 1 is a perfect dissection, so this is derived
    flattest: float = 1.0  # power of the scale with which areas of zones grow at least
    steepest: float = 2.0  # and at most, where nothing is of true size: derived


@dataclass(frozen=True)
class NearFitSettings:
    """A search for nothing but a fit; chosen, not recorded."""

    first: float = 0.34  # of the work for the first share, where it may be begun with a smaller one
    hardly: float = 0.999  # share of what fits but for rounding


@dataclass(frozen=True)
class ArrangementSettings:
    """Exchanges for a board that reads better; chosen by trial on the demo bikes, not recorded."""

    quick: float = 5e8  # of work, each time
    normal: float = 2e9
    thorough: float = 5e9
    patience: int = 12  # rounds of separation without progress
    better: float = 1e-6  # of the reading; less is no gain
    alike: float = 0.3  # of the logarithm of two items' sizes: more alike ones disturb no less when exchanged
    lost: float = 0.002  # of the reading, in all, for items that should lie aside
    aside: float = 0.1  # of the reading: what all of them at the rim are worth when moves are compared
    for_aside: float = 0.3  # of the work above, besides
    rim: float = 0.25  # of a region's shorter side: as far from the rim is no better than in the middle
    standing: float = 0.5  # of being at the rim: what standing upright is worth beside it


@dataclass(frozen=True)
class RestorationSettings:
    """Ways back to former places; chosen, not recorded."""

    rounds: int = 6
    shares: tuple[float, ...] = (1.0, 0.8, 0.6, 0.4, 0.2, 0.1)  # of the way home, farthest first
    around: tuple[float, ...] = (8.0, 16.0, 32.0, 64.0)  # mm around home, where it is taken
    directions: int = 12
    step: float = 0.5  # mm nearer to home; less is not worth a move
    away: float = 1000.0  # mm that another region or turn counts
    arc: float = 1.01  # times a margin around a keep-out: more than the polygon of an arc errs inward


@dataclass(frozen=True)
class DiagnosisSettings:
    """How exactly it is said what is missing; chosen, not recorded."""

    nodes: float = 20_000
    missing: float = 0.001  # mm: less is rounding
    fine: float = 0.002  # of the factor, before the item is slid


WORK = WorkSettings()
GEOMETRY = GeometrySettings()
RASTER = RasterSettings()
WINDOWS = WindowSettings()
SEPARATION = SeparationSettings()
COMPACTION = CompactionSettings()
INTERIOR_POINT = InteriorPointSettings()
EXPLORATION = ExplorationSettings()
SCALE_SEARCH = ScaleSearchSettings()
NEAR_FIT = NearFitSettings()
ARRANGEMENT = ArrangementSettings()
RESTORATION = RestorationSettings()
DIAGNOSIS = DiagnosisSettings()
