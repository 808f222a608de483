"""Screw silhouettes are true to size in length, head and shoulder."""

from __future__ import annotations

import pytest

from boardmaker.figures.silhouette import draw_silhouette
from boardmaker.inputs.values import HEAD_SHAPES
from boardmaker.model import Fastener, Head, Shoulder
from boardmaker.standards import parse_thread


def extent(silhouette):
    points = [point for mark in silhouette.marks for point in mark.points]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return max(xs) - min(xs), max(ys) - min(ys)


@pytest.mark.parametrize("shape", HEAD_SHAPES)
def test_length_and_head_are_true_to_size(shape):
    """True to size: length runs from under the head to the tip, over everything for a countersunk head."""
    screw = Fastener("A", "screw", 20.0, Head(shape, 14.0, 3.3), parse_thread("M6"))
    length, height = extent(draw_silhouette(screw))
    assert length == pytest.approx(20.0 if "countersunk" in shape else 23.3)
    assert height == pytest.approx(14.0)


def test_the_shoulder_is_part_of_the_length():
    """21 mm with an 11 mm shoulder leave 10 mm of thread."""
    screw = Fastener(
        "A", "shoulder screw", 21.0, Head("button", 14.0, 3.3), parse_thread("M6"), shoulder=Shoulder(11.0, 9.0)
    )
    silhouette = draw_silhouette(screw)
    assert extent(silhouette)[0] == pytest.approx(24.3)
    shoulder = next(m for m in silhouette.marks if m.closed and max(y for _, y in m.points) == pytest.approx(4.5))
    assert {round(x, 6) for x, _ in shoulder.points} == {3.3, 14.3}


@pytest.mark.parametrize("kind", ["push clip", "screw rivet", "quarter turn", "nut", "tapping screw"])
def test_every_kind_has_a_picture(kind):
    """Also what has no thread, or no shank."""
    thread = parse_thread("ST4.2") if kind == "tapping screw" else parse_thread("M6") if kind == "nut" else None
    length, height = extent(draw_silhouette(Fastener("A", kind, 15.0, Head("round", 18.0, 3.0), thread, hole=8.0)))
    assert length > 0
    assert height == pytest.approx(18.0)
