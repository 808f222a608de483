"""Which hole of a drawing is which hole of the bike file: the nearest of those within reach, one to one.

In: two lists of places in one frame. Out: pairs, and what cannot be told apart. Apart from the merge because it knows
places only, and because two holes that lie equally close are never guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.geometry import Point, bounds, distance

REACH = 3.0  # mm; a place measured with a tape is seldom further off, and two screws are seldom nearer to each other
TIE = 0.1  # mm; ways to pair that differ by less in the sum of their distances are equally good
ONE_PLACE = 1.0  # mm; two holes of a drawing that are nearer to each other are one that was drawn twice
LARGEST_GROUP = 12  # holes within reach of each other, in a chain; more are no holes of a panel
MOST_SHIFTED = 100  # holes of a panel whose frame is found from its holes; a large panel has 30

_Way = tuple[float, tuple[tuple[int, int], ...]]  # the sum of the distances, and the pairs


@dataclass(frozen=True)
class Matching:
    """Pairs (place in the drawing's list, place in the file's list), and groups that can be paired in two ways."""

    pairs: tuple[tuple[int, int], ...]
    unclear: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...] = ()


def match_holes(found: Sequence[Point], there: Sequence[Point]) -> Matching:
    """Pair the places that lie within `REACH` of each other so that the distances are the least in their sum."""
    pairs: list[tuple[int, int]] = []
    unclear = []
    for some, others in _groups(found, there):
        ways = _two_best(found, there, some, others) if max(len(some), len(others)) <= LARGEST_GROUP else ()
        if not ways or (len(ways) > 1 and ways[1][0] - ways[0][0] < TIE):
            unclear.append((some, others))
        else:
            pairs += ways[0][1]
    return Matching(tuple(sorted(pairs)), tuple(unclear))


def _groups(found: Sequence[Point], there: Sequence[Point]) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """The holes that hang together by being within reach, those of the drawing and those of the file."""
    near = {i: {j for j, old in enumerate(there) if _within(new, old)} for i, new in enumerate(found)}
    left = [i for i in near if near[i]]
    while left:
        some, others = {left[0]}, set(near[left[0]])
        while more := {i for i in left if i not in some and near[i] & others}:
            some |= more
            others |= {j for i in more for j in near[i]}
        left = [i for i in left if i not in some]
        yield tuple(sorted(some)), tuple(sorted(others))


def _within(new: Point, old: Point) -> bool:
    return distance(new, old) <= REACH + 1e-9


def _two_best(
    found: Sequence[Point], there: Sequence[Point], some: Sequence[int], others: Sequence[int]
) -> tuple[_Way, ...]:
    """The two cheapest ways to pair a group; a hole without a partner costs as much as one at the end of the reach."""
    ways: dict[frozenset[int], list[_Way]] = {frozenset(): [(0.0, ())]}
    for i in some:
        longer: dict[frozenset[int], list[_Way]] = {}
        for used, reached in ways.items():
            for cost, pairs in reached:
                longer.setdefault(used, []).append((cost + REACH, pairs))
                for j in others:
                    if j not in used and _within(found[i], there[j]):
                        way = cost + distance(found[i], there[j]), (*pairs, (i, j))
                        longer.setdefault(used | {j}, []).append(way)
        ways = {used: sorted(reached)[:2] for used, reached in longer.items()}
    ended = [
        (cost + REACH * (len(others) - len(used)), pairs) for used, reached in ways.items() for cost, pairs in reached
    ]
    return tuple(sorted(ended)[:2])


def drawn_twice(found: Sequence[Point]) -> tuple[tuple[int, int], ...]:
    """Return the places that are an earlier one drawn again, each with the first such one."""
    firsts = (
        (next((i for i, one in enumerate(found[:j]) if distance(one, other) < ONE_PLACE), None), j)
        for j, other in enumerate(found)
    )
    return tuple((i, j) for i, j in firsts if i is not None)


def shift_to(found: Sequence[Point], there: Sequence[Point]) -> Point | None:
    """Return the way from the drawing's frame to that of holes without an outline; None where it cannot be told.

    It is the one by which most holes come to lie within reach; with fewer than two of them, or another way that does
    as well, nothing is told, but for one hole on each side.
    """
    if len(found) == len(there) == 1:
        return there[0][0] - found[0][0], there[0][1] - found[0][1]
    if not found or not there or max(len(found), len(there)) > MOST_SHIFTED:
        return None
    new, old = np.array(found), np.array(there)
    ways = (old[None, :, :] - new[:, None, :]).reshape(-1, 2)
    counts = np.array([_covered(new + way, old) for way in ways])
    best = ways[counts == counts.max()]
    x0, y0, x1, y1 = bounds([(float(x), float(y)) for x, y in best])
    if counts.max() < 2 or distance((x0, y0), (x1, y1)) > 2 * REACH:
        return None
    return _mean_way(new, old, ways[int(np.argmax(counts))])


def _covered(moved: np.ndarray, old: np.ndarray) -> int:
    """How many holes of the file have one of the drawing within reach."""
    return int((np.hypot(*(moved[:, None, :] - old[None, :, :]).transpose(2, 0, 1)).min(axis=0) <= REACH).sum())


def _mean_way(new: np.ndarray, old: np.ndarray, way: np.ndarray) -> Point:
    """The way by which the holes keep their places in the mean."""
    apart = old[None, :, :] - new[:, None, :] - way
    nearest = np.hypot(apart[..., 0], apart[..., 1]).argmin(axis=0)
    rest = apart[nearest, np.arange(len(old))]
    rest = rest[np.hypot(rest[:, 0], rest[:, 1]) <= REACH]
    x, y = way + rest.mean(axis=0)
    return round(float(x), 3), round(float(y), 3)
