"""The frame of a key letter tells the fastener's family, and keeps off the letter."""

from __future__ import annotations

from itertools import combinations

import pytest
from shapely import Polygon, box

from boardmaker.figures.key_frames import FAMILIES, family_of, frame_legend, frame_room, key_frame
from boardmaker.inputs.values import KINDS
from boardmaker.model import Fastener, Head, Shoulder
from boardmaker.standards import parse_thread

HEAD = Head("button", 14.0, 3.3)
M6, TAPPING = parse_thread("M6"), parse_thread("ST4.2")
SAMPLES = {
    "screw": Fastener("A", "screw", 20.0, HEAD, M6),
    "shoulder screw": Fastener("B", "shoulder screw", 20.0, HEAD, M6, shoulder=Shoulder(10.0, 9.0)),
    "tapping screw": Fastener("C", "tapping screw", 20.0, HEAD, TAPPING),
    "clip": Fastener("D", "push clip", 20.0, HEAD, None, hole=8.0),
}
BOX = (0.0, 0.0, 4.4, 5.0)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_family(kind):
    """No kind of the bike file is without a frame."""
    thread = (
        None if kind in ("push clip", "screw rivet", "quarter turn") else TAPPING if kind == "tapping screw" else M6
    )
    plain = Shoulder(10.0, 9.0) if kind == "shoulder screw" else None
    assert family_of(Fastener("A", kind, 15.0, HEAD, thread, hole=8.0, shoulder=plain)) in FAMILIES


def test_a_bolt_with_a_shoulder_is_a_shoulder_screw():
    """What it looks like decides, not what it is called."""
    assert family_of(Fastener("A", "bolt", 20.0, HEAD, M6, shoulder=Shoulder(10.0, 9.0))) == "shoulder screw"


def test_the_four_frames_differ_at_5_mm():
    """Any two by more than 3 % of the box, without colour."""
    shapes = [Polygon(key_frame(one, BOX)[0].points) for one in SAMPLES.values()]
    assert all(shape.is_valid for shape in shapes)
    areas = [one.symmetric_difference(other).area for one, other in combinations(shapes, 2)]
    assert min(areas) > 0.03 * 22.0
    assert all(mark.fill is None and mark.ink == 0.0 for one in SAMPLES.values() for mark in key_frame(one, BOX))


@pytest.mark.parametrize("family", FAMILIES)
def test_the_letter_stands_clear_inside(family):
    """A letter with 0.9 mm beside it and 0.7 mm above stays inside the frame; that stays in the room that it says."""
    shape = Polygon(key_frame(SAMPLES[family], BOX)[0].points)
    side, below = frame_room([family], 5.0)
    assert shape.buffer(-0.175).contains(box(0.9, 0.7, 3.5, 4.3))
    assert box(-side, -below, 4.4 + side, 5.0).buffer(1e-6).contains(shape)


def test_the_legend_names_what_occurs():
    """Drawn, with its word; one family alone needs none."""
    legend = frame_legend([SAMPLES["screw"], SAMPLES["clip"], SAMPLES["screw"]])
    assert [label.text for label in legend.labels] == ["screw", "clip"]
    assert len(legend.marks) == 2
    assert frame_legend([SAMPLES["screw"]]) is None
