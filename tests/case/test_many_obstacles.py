"""Many locks, hinges and bays in one case: an answer all the same, and one as good as slow searches find.

The slow searches know nothing of the case's own code: a grid of cells, and lines past locks that shapely cuts along.
"""

from __future__ import annotations

import math
import random

import pytest
import shapely
from case_judge import keep_outs, largest_rectangle
from shapely import affinity

from boardmaker.case.convex import hull_and_obstacles, part_for, ways_past
from boardmaker.case.section import free_region
from boardmaker.model import CaseSetup, KeepOut

SIZE = (560.0, 400.0)
WALLS = [(x, y) for x in (0.0, 250.0, 530.0) for y in (0.0, 360.0)]


def best_part(case):
    """How many obstacles there are, how many ways past them, and the part of the first one."""
    ((hull, obstacles),) = hull_and_obstacles(free_region(case))
    ways = ways_past(hull, obstacles)
    return len(obstacles), len(ways), shapely.Polygon(part_for(hull, obstacles, ways[0]))


def lies_free(part, case):
    """Whether a part lies in the case and meets none of its keep-outs."""
    inside = shapely.box(0.0, 0.0, *case.inside).buffer(1e-6)
    return inside.covers(part) and all(part.intersection(one).area < 1e-6 for one in keep_outs(case))


@pytest.mark.slow
def test_past_every_post_of_a_grid():
    """A post every 60 mm: three directions past each of 63 would be 10³⁰ choices. The longest lane between posts is one
    of the best parts."""
    posts = tuple(KeepOut((x, y), (5.0, 5.0)) for x in range(20, 560, 60) for y in range(20, 400, 60))
    case = CaseSetup(SIZE, keep_out=posts)
    count, ways, best = best_part(case)
    assert count == len(posts) == 63
    assert ways < 1000
    assert best.is_valid
    assert lies_free(best, case)
    assert best.area >= 560.0 * 55.0 - 1e-6
    wide, deep = largest_rectangle(case, SIZE)
    assert best.area >= wide * deep - 1e-6


def past(lock, angle):
    """All that lies on the near side of the line that touches the lock, seen in this direction."""
    here = affinity.rotate(lock, -angle, origin=(0, 0))
    return affinity.rotate(shapely.box(-2000.0, -2000.0, here.bounds[0], 2000.0), angle, origin=(0, 0))


def outwards(lock, case):
    """The direction in which a lock lies from the middle, in steps of 5 degrees."""
    x, y = lock.centroid.x - case.inside[0] / 2, lock.centroid.y - case.inside[1] / 2
    return 5 * round(math.degrees(math.atan2(y, x)) / 5)


def slowly_found(case, dice):
    """The largest part from ten beginnings: one line after the other is turned to where it leaves the most."""
    inside, locks = shapely.box(0.0, 0.0, *case.inside), keep_outs(case)
    sides = [{angle: past(lock, angle) for angle in range(0, 360, 5)} for lock in locks]
    best = 0.0
    for _ in range(10):
        angles = [(outwards(lock, case) + dice.randrange(-75, 80, 5)) % 360 for lock in locks]
        for number in [*range(len(locks))] * 3:
            others = shapely.intersection_all(
                [inside, *(sides[one][angle] for one, angle in enumerate(angles) if one != number)]
            )
            angles[number] = max(sides[number], key=lambda angle: others.intersection(sides[number][angle]).area)
        best = max(best, others.intersection(sides[number][angles[number]]).area)
    return best


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.slow
def test_what_is_left_out_is_no_loss(seed):
    """Six locks at the walls: no search of ours finds a larger part than the first one, but for what lines in steps of
    15 degrees lose against steps of 5; and an upright rectangle of the grid is never larger."""
    dice = random.Random(seed)
    locks = tuple(KeepOut(at, (dice.uniform(10, 30), dice.uniform(10, 40))) for at in WALLS)
    case = CaseSetup(SIZE, keep_out=locks)
    _, _, best = best_part(case)
    assert best.is_valid
    assert lies_free(best, case)
    wide, deep = largest_rectangle(case, SIZE)
    assert best.area >= wide * deep - 1e-6
    assert best.area >= 0.99 * slowly_found(case, dice)


def scattered(count, dice):
    """So many keep-outs anywhere in the case, none touching another."""
    found = []
    while len(found) < count:
        size = dice.uniform(8, 30), dice.uniform(8, 30)
        at = dice.uniform(0, SIZE[0] - size[0]), dice.uniform(0, SIZE[1] - size[1])
        box = shapely.box(*at, at[0] + size[0], at[1] + size[1])
        if all(
            box.distance(shapely.box(*one.at, one.at[0] + one.size[0], one.at[1] + one.size[1])) > 1.0 for one in found
        ):
            found.append(KeepOut(at, size))
    return tuple(found)


@pytest.mark.parametrize("count", [3, 5, 6, 8, 11, 14])
@pytest.mark.parametrize("seed", [0, 1])
@pytest.mark.slow
def test_posts_anywhere_leave_at_least_an_upright_rectangle(count, seed):
    """No part may be smaller than a rectangle that a grid finds."""
    case = CaseSetup(SIZE, keep_out=scattered(count, random.Random(100 * count + seed)))
    _, _, best = best_part(case)
    assert best.is_valid
    assert lies_free(best, case)
    wide, deep = largest_rectangle(case, SIZE)
    assert best.area >= wide * deep - 1e-6
