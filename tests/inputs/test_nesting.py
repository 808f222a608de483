"""What stands under which key: read off the shapes, so every shape must be found and no key be missed."""

from __future__ import annotations

import pytest

from boardmaker.inputs import schema
from boardmaker.inputs.nesting import keys_of, path_of, sections_of, shape_of
from boardmaker.inputs.schema import BikeFileShape, SetupFileShape, Shape

NESTING = [
    (BikeFileShape, (), BikeFileShape),
    (BikeFileShape, ("bike",), schema.BikeShape),
    (BikeFileShape, ("fasteners", "A"), schema.FastenerShape),
    (BikeFileShape, ("fasteners", "A", "head"), schema.HeadShape),
    (BikeFileShape, ("fasteners", "A", "shoulder"), schema.ShoulderShape),  # may be left out
    (BikeFileShape, ("panels", "seat"), schema.PanelShape),
    (BikeFileShape, ("panels", "holes", "holes", 3), schema.HoleShape),  # a panel may be called like a key
    (BikeFileShape, ("panels", "seat", "fixings", 0), schema.FixingShape),
    (BikeFileShape, ("panels", "seat", "outline"), schema.OutlineFile),  # one of two forms
    (BikeFileShape, ("jobs", "oil"), schema.JobShape),
    (BikeFileShape, ("jobs", "oil", "supplies", 0), schema.SupplyShape),
    (BikeFileShape, ("torques", "plug"), schema.TorqueRowShape),
    (SetupFileShape, (), SetupFileShape),
    (SetupFileShape, ("board",), schema.BoardShape),
    (SetupFileShape, ("case",), schema.CaseShape),
    (SetupFileShape, ("cases", "bag"), schema.CaseShape),
    (SetupFileShape, ("case", "keep_out", 1), schema.KeepOutShape),
    (SetupFileShape, ("printer",), schema.PrinterShape),
    (SetupFileShape, ("printer", "margins"), schema.MarginsShape),
]


@pytest.mark.parametrize(("root", "path", "shape"), NESTING)
def test_the_shape_at_a_path(root, path, shape):
    """As the example files nest their keys."""
    assert shape_of(root, path) is shape


def test_every_shape_of_the_schema_stands_somewhere():
    """The table above has all of them."""
    assert {shape for _, _, shape in NESTING} == set(Shape.__subclasses__())


@pytest.mark.parametrize(
    "path",
    [("panels",), ("equipment", "audio"), ("bike", "name"), ("panels", "seat", "outline", 0), ("nothing",),
     ("panels", "seat", "nothing", "holes"), ("bike", 0)],
)  # fmt: skip
def test_where_no_shape_stands(path):
    """A section of entries, a plain value, a key that is not there."""
    assert shape_of(BikeFileShape, path) is None


def test_the_keys_are_those_of_the_file():
    """`with` and `class` are words of Python, and yet keys."""
    assert keys_of(schema.KeepOutShape) == ("at", "size")
    assert {"with", "without"} <= set(keys_of(schema.HoleShape))
    assert "class" in keys_of(schema.FastenerShape)


def test_sections_whose_entries_stand_for_themselves():
    """One wrong fastener must not hide the others."""
    assert sections_of(BikeFileShape) == ("equipment", "fasteners", "panels", "jobs", "torques")
    assert sections_of(SetupFileShape) == ("cases",)


@pytest.mark.parametrize("form", ["mapping", "plain", "[key]", "(mapping)"])
def test_a_path_has_every_key_of_the_file_and_no_other_step(form):
    """pydantic names the form that it took for an outline; a key may well be called the same."""
    assert path_of(BikeFileShape, (form, "x")) == (form, "x")
    assert path_of(BikeFileShape, ("panels", form, "side")) == ("panels", form, "side")
    assert path_of(BikeFileShape, ("panels", form, "outline", "mapping", form)) == ("panels", form, "outline", form)
    assert path_of(BikeFileShape, ("panels", form, "outline", "plain")) == ("panels", form, "outline")
