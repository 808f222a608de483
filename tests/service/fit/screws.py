"""Screws, clips and holes to judge, in few words."""

from __future__ import annotations

from boardmaker.model import Fastener, Head, Hole, Shoulder, Torque, TorqueStage
from boardmaker.service import Measured
from boardmaker.standards import parse_thread


def screw(length=16.0, thread="M6", shoulder=None, shape="button", across=14.0, torque=None, **more):
    """A screw of the file; `shoulder` is its length, or length and diameter; `torque` in N·m."""
    plain = shoulder if isinstance(shoulder, tuple) or shoulder is None else (shoulder, 9.0)
    return Fastener(
        more.pop("key", "A"), more.pop("kind", "screw"), length, Head(shape, across, 3.3), parse_thread(thread),
        shoulder=Shoulder(*plain) if plain else None,
        torque=Torque((TorqueStage(torque, torque),)) if torque else None, **more,
    )  # fmt: skip


def clip(hole=8.0, kind="push clip", length=15.0, **more):
    """A clip of the file."""
    return Fastener("P", kind, length, Head("round", 18.0, 2.5), None, hole=hole, **more)


def hole(**keys):
    """A hole; without a word an M6 thread in aluminium, 14 mm deep, under 3 mm of panel."""
    usual = {"into": "metal thread", "stack": 3.0, "depth": 14.0}
    return Hole("1", (0.0, 0.0), "A", **{**usual, **keys})


def in_hand(fastener, **changes):
    """Everything that can be measured of a fastener of the file, as somebody would type it."""
    shoulder = fastener.shoulder
    known = {
        "thread": fastener.thread,
        "threadless": fastener.thread is None,
        "length": None if fastener.length_assumed else fastener.length,
        "shoulder": shoulder.length if shoulder else 0.0,
        "shoulder_diameter": shoulder.diameter if shoulder else None,
        "head": None if fastener.head.diameter_assumed else fastener.head.diameter,
        "drive": fastener.drive,
        "kind": fastener.kind,
        "head_shape": "" if fastener.head.shape_assumed else fastener.head.shape,
        "property_class": fastener.property_class,
        "clip_hole": fastener.hole,
    }
    return Measured(**{**known, **changes})
