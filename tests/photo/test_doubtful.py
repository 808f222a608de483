"""Stretches of an outline on which two photos do not agree."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import box, union_all

from boardmaker.photo.doubtful import MOST, doubtful_stretches
from boardmaker.photo.joining import Joined, flat_surface
from boardmaker.tracing.panel_frame import PanelFrame

COUNT = 400
AROUND = 2 * np.pi * np.arange(COUNT) / COUNT
OUTLINE = np.column_stack([100 + 60 * np.cos(AROUND), 80 + 60 * np.sin(AROUND)])  # a place a mm
FRAME = PanelFrame(tuple(map(tuple, OUTLINE.tolist())))


def stretches(apart):
    return doubtful_stretches(Joined(OUTLINE, flat_surface(OUTLINE, 20.0), (0.0, 0.0), apart), FRAME)


def where(*places):
    apart = np.full(COUNT, 0.4)
    for start, end, mm in places:
        apart[np.arange(start, end) % COUNT] = mm
    return apart


def test_none_where_the_photos_agree():
    assert stretches(where()) == ()
    assert stretches(where((10, 12, 3.0))) == ()  # two places are noise


def test_the_worst_comes_first_and_lies_on_the_outline():
    """Round the line's beginning too, in the panel's frame; a short gap does not make two of one."""
    found = stretches(where((395, 410, 1.4), (100, 110, 2.2), (114, 125, 1.1)))
    assert [one.off for one in found] == [2.2, 1.4]
    first, last = found[0].line[0], found[0].line[-1]
    corner = OUTLINE.min(axis=0)
    assert first == pytest.approx(OUTLINE[100] - corner, abs=0.01)
    assert last == pytest.approx(OUTLINE[124] - corner, abs=0.01)
    assert found[1].line[0] == pytest.approx(OUTLINE[395] - corner, abs=0.01)
    assert found[1].line[-1] == pytest.approx(OUTLINE[9] - corner, abs=0.01)


def plate_with(*others, cut=False):
    """A plate of 120 x 80 with rounded corners and something added, or cut out, as it is found."""
    plate = box(3, 3, 117, 77).buffer(3)
    shape = plate.difference(union_all(others)) if cut else plate.union(union_all(others))
    frame = PanelFrame(tuple(shape.exterior.coords)[:-1])
    line = np.array(frame.outline)
    return doubtful_stretches(Joined(line, flat_surface(line, 0.0), (0.0, 0.0), np.zeros(len(line))), frame)


def test_what_no_panel_is_cut_like():
    """A nick of 2 x 4 mm and a thorn; not rounded corners, a slot for a hook of 6 mm, or a tab of 10."""
    assert plate_with() == ()
    assert plate_with(box(50, 70, 56, 81), cut=True) == ()
    assert plate_with(box(50, 70, 60, 95)) == ()
    (nick,) = plate_with(box(50, 76, 52, 81), cut=True)
    assert (nick.why, nick.off) == ("narrow", pytest.approx(4.0, abs=0.3))
    assert all(49 <= x <= 53 and 75 <= y <= 81 for x, y in nick.line)
    (thorn,) = plate_with(box(50, 79, 52, 84))
    assert (thorn.why, thorn.off) == ("narrow", pytest.approx(4.0, abs=0.3))


def test_all_around():
    """And no more than a mechanic can look at."""
    (whole,) = stretches(np.full(COUNT, 1.5))
    assert len(whole.line) > COUNT / 4
    many = stretches(where(*((start, start + 6, 1.0 + start / 400) for start in range(10, 390, 20))))
    assert len(many) == MOST
    assert many[0].off == max(one.off for one in many)
