"""Layouts whose best scale is known."""

import json
from math import cos, pi, sin, sqrt
from pathlib import Path

import pytest

from boardmaker.packing import largest_scale, violations
from boardmaker.packing.problem import Item, Pose, Region
from boardmaker.packing.settings import WORK

pytestmark = pytest.mark.slow

FIXTURES = Path(__file__).parents[2] / "fixtures" / "packing"


def turned(ring, turn_deg, scale=1.0):
    """A ring turned about the origin and enlarged."""
    angle = turn_deg * pi / 180
    across, up = cos(angle) * scale, sin(angle) * scale
    return tuple((across * x - up * y, up * x + across * y) for x, y in ring)


def items_of(rings, turns, flips=(1,)):
    """Items at a scale from rings at scale 1, in all turns and flips."""

    def items_at(scale):
        return tuple(
            Item(
                key,
                tuple(
                    Pose(turn, turned([(flip * x, y) for x, y in ring], turn, scale))
                    for flip in flips
                    for turn in turns
                ),
            )
            for key, ring in rings.items()
        )

    return items_at


def rectangle(width, height):
    """A rectangle from the origin."""
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def solve(items_at, region, clearance, highest, **options):
    """The largest scale found, judged."""
    found = largest_scale(items_at, [region], clearance=clearance, lowest=highest / 10, highest=highest, **options)
    assert found is not None
    assert violations(items_at(found.scale), found.placements, [region], clearance) == ()
    return found.scale


def test_rectangle_on_a_board_with_cut_corners():
    """One rectangle w x h on W x H with corner cuts c: (w + h) s / 2 = (W + H) / 2 - c - margin * sqrt(2)."""
    wide, high, cut, margin = 762.0, 508.0, 80.0, 8.0
    board = ((cut, 0.0), (wide - cut, 0.0), (wide, cut), (wide, high - cut))
    board += tuple((wide - x, high - y) for x, y in board)
    expected = (wide + high - 2 * cut - 2 * margin * sqrt(2)) / (300 + 200)
    scale = solve(items_of({"a": rectangle(300.0, 200.0)}, (0,)), Region(board, margin), 6.0, 3.0)
    assert scale == pytest.approx(expected, abs=2e-4)
    assert scale <= expected


def test_two_triangles_make_a_square():
    """Two right triangles in a square of side L with clearance c have legs L - c / sqrt(2)."""
    triangle = ((0.0, 0.0), (100.0, 0.0), (0.0, 100.0))
    items_at = items_of({"a": triangle, "b": triangle}, (0, 90, 180, 270))
    expected = (300 - 6 / sqrt(2)) / 100
    scale = solve(items_at, Region(rectangle(300.0, 300.0)), 6.0, 4.0, effort=WORK.quick / 8)
    assert expected - 2e-3 <= scale <= expected


def test_tangram():
    """The seven pieces come near to their square (0.9 of it, an eighth of quick) and never above it."""
    tangram = json.loads((FIXTURES / "tangram.json").read_text())
    items_at = items_of(tangram["pieces"], range(0, 360, 45), (1, -1))
    scale = solve(items_at, Region(rectangle(400.0, 400.0)), 0.0, 150.0, effort=WORK.quick / 8)
    print(f"tangram: {scale / 100:.4f} of the square")
    assert 90 <= scale <= 100


def test_pentominoes():
    """The twelve pentominoes come near to their 6 x 10 rectangle (0.85 of it, an eighth of quick), never above it."""
    pentominoes = json.loads((FIXTURES / "pentominoes.json").read_text())
    items_at = items_of(pentominoes["pieces"], (0, 90, 180, 270), (1, -1))
    wide, high = pentominoes["rectangle"]
    scale = solve(items_at, Region(rectangle(60.0 * wide, 60.0 * high)), 0.0, 80.0, effort=WORK.quick / 8)
    print(f"pentominoes: {scale / 60:.4f} of the rectangle")
    assert 0.85 * 60 <= scale <= 60


# Duijvestijn, "Simple perfect squared square of lowest order", J. Combinatorial Theory B 25 (1978): order 21, side 112.
# Its Bouwkamp code is written here from memory; the first test below proves that it tiles the square.
SQUARED_SQUARE = 112
BOUWKAMP = (
    (50, 35, 27), (8, 19), (15, 17, 11), (6, 24), (29, 25, 9, 2), (7, 18), (16,), (42,), (4, 37), (33,),
)  # fmt: skip


def laid_out(code, width):
    """Squares (x, y, side) of a Bouwkamp code: each bracket fills the lowest level, from its leftmost place on."""
    levels, squares = [0] * width, []
    for bracket in code:
        at = levels.index(min(levels))
        for side in bracket:
            assert set(levels[at : at + side]) == {levels[at]}
            squares.append((at, levels[at], side))
            levels[at : at + side] = [levels[at] + side] * side
            at += side
    return squares


def test_published_squared_square_tiles():
    """The 21 squares are all different, their areas add up, and their places fill the square without overlap."""
    squares = laid_out(BOUWKAMP, SQUARED_SQUARE)
    assert len({side for _, _, side in squares}) == 21
    assert sum(side**2 for _, _, side in squares) == SQUARED_SQUARE**2
    cells = {(x + i, y + j) for x, y, side in squares for i in range(side) for j in range(side)}
    assert cells == {(x, y) for x in range(SQUARED_SQUARE) for y in range(SQUARED_SQUARE)}


def test_perfect_squared_square():
    """The 21 squares come near to their square (0.85 of it, an eighth of quick) and never above it."""
    rings = {str(side): rectangle(side, side) for bracket in BOUWKAMP for side in bracket}
    side = 5.0 * SQUARED_SQUARE
    scale = solve(items_of(rings, (0,)), Region(rectangle(side, side)), 0.0, 6.0, effort=WORK.quick / 8)
    print(f"squared square: {scale / 5:.4f} of the square")
    assert 0.85 * 5 <= scale <= 5
