"""All geometry checks of a bike, but the holes outside of their panel, of which `board` warns too (`strays`)."""

from __future__ import annotations

from boardmaker.model import Bike
from boardmaker.problems import Problem
from boardmaker.service.doubts.geometry.behind import odd_behind
from boardmaker.service.doubts.geometry.doubled import doubled_holes
from boardmaker.service.doubts.geometry.measured import doubtful_distances
from boardmaker.service.doubts.geometry.sides import wrong_sides
from boardmaker.service.doubts.geometry.sizes import impossible_sizes
from boardmaker.service.doubts.geometry.symmetry import broken_pairs
from boardmaker.service.doubts.geometry.ties import untenable_ties

CHECKS = (
    impossible_sizes,
    wrong_sides,
    untenable_ties,
    broken_pairs,
    doubled_holes,
    doubtful_distances,
    odd_behind,
)


def misplaced(bike: Bike) -> tuple[Problem, ...]:
    """Return a warning for each panel and hole that cannot be where the file has it."""
    return tuple(problem for find in CHECKS for problem in find(bike))
