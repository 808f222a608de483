"""Defaults stand in the model alone: what a file leaves out comes out as if the model had been made without it."""

from __future__ import annotations

import dataclasses

import pytest
from pydantic_core import PydanticUndefined

from boardmaker import model
from boardmaker.inputs import read_bike, read_setup, schema

# The shape of the file, what becomes of it, and keys that go by another name there.
PAIRS = [
    (schema.BikeShape, model.Bike, {}),
    (schema.FastenerShape, model.Fastener, {}),
    (schema.ShoulderShape, model.Shoulder, {}),
    (schema.HoleShape, model.Hole, {}),
    (schema.FixingShape, model.Fixing, {}),
    (schema.SupplyShape, model.Supply, {}),
    (schema.JobShape, model.Job, {}),
    (schema.TorqueRowShape, model.TorqueRow, {"where": "where_on_bike"}),
    (schema.BoardShape, model.BoardSetup, {}),
    (schema.KeepOutShape, model.KeepOut, {}),
    (schema.CaseShape, model.CaseSetup, {}),
    (schema.MarginsShape, model.Margins, {}),
    (schema.PrinterShape, model.PrinterSetup, {}),
]
# Every key may be left out of these: a mirror image keeps its original's, a head its part's.
LEFT_OPEN = {schema.PanelShape, schema.HeadShape}
# These have no counterpart with defaults.
NO_MODEL = {schema.OutlineFile, schema.BikeFileShape, schema.SetupFileShape}
# What has another form in the file than in the model: nothing written is an empty one there.
OTHER_FORM = {"part", "shoulder", "torque", "supplies", "keep_out", "outline", "margins"}


def defaults_of(kind):
    return {field.name: field.default for field in dataclasses.fields(kind) if field.default is not dataclasses.MISSING}


@pytest.mark.parametrize(("shape", "kind", "names"), PAIRS, ids=lambda value: getattr(value, "__name__", ""))
def test_a_shape_has_the_defaults_of_the_model(shape, kind, names):
    """Key by key; a value that the model can do without, the file can do without."""
    wanted = defaults_of(kind) | defaults_of(model.Equipment)
    found = {
        names.get(key, key): info.default
        for key, info in shape.model_fields.items()
        if key not in OTHER_FORM and names.get(key, key) in wanted
    }
    assert found == {name: wanted[name] for name in found}
    assert PydanticUndefined not in found.values()


def test_every_shape_is_looked_at():
    """Those without a counterpart have no default of their own but none, false and empty ones."""
    assert {shape for shape, _, _ in PAIRS} | LEFT_OPEN | NO_MODEL == set(schema.Shape.__subclasses__())
    for shape in LEFT_OPEN | NO_MODEL:
        for info in shape.model_fields.values():
            default = info.default
            assert not default or default is PydanticUndefined or default == type(default)()


def test_a_bike_file_that_says_only_what_it_must(tmp_path):
    """Every record is the model's with its required fields alone."""
    path = tmp_path / "bike.yaml"
    path.write_text(
        """format: 1
bike: { name: Test bike }
fasteners: { A: { thread: M6, length: 16, head: { shape: pan, diameter: 12, height: 4 } } }
panels: { lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: A } ], fixings: [ { kind: hook } ] } }
jobs: { oil: { name: Oil, supplies: [ { what: Oil } ] } }
torques: { plug: { what: Plug, torque: 5 N·m } }
""",
        encoding="utf-8",
    )
    bike, _ = read_bike(path)
    (screw,), (panel,), (job,), (row,) = bike.fasteners, bike.panels, bike.jobs, bike.torques
    assert screw == model.Fastener("A", "screw", 16.0, model.Head("pan", 12.0, 4.0), screw.thread)
    hole, fixing = model.Hole("1", (0.0, 0.0), "A"), model.Fixing("hook")
    outline = panel.outline
    assert panel == model.Panel("lid", "Lid", "L", "left", "side", outline, (hole,), (fixing,), outline_drawn=True)
    assert job == model.Job("oil", "Oil", supplies=(model.Supply("Oil"),))
    assert row == model.TorqueRow("plug", "Plug", model.Torque((model.TorqueStage(5.0, 5.0),)))
    only_needed = model.Bike("Test bike", path.name, bike.sha256, bike.fasteners, bike.panels)
    assert bike == dataclasses.replace(only_needed, jobs=bike.jobs, torques=bike.torques)


@pytest.mark.parametrize("written", ["", "board: {}", "printer: {}", "printer: { margins: {} }", "cases: {}"])
def test_a_setup_file_that_says_nothing(tmp_path, written):
    """An empty section is as good as none."""
    path = tmp_path / "setup.yaml"
    path.write_text(f"format: 1\n{written}\n", encoding="utf-8")
    assert read_setup(path) == (model.Setup(), ())


def test_a_case_that_says_only_its_size(tmp_path):
    """Sharp corners, upright walls, no height limit, no clearance."""
    path = tmp_path / "setup.yaml"
    path.write_text("format: 1\ncase: { inside: 560 x 400 mm }\n", encoding="utf-8")
    assert read_setup(path)[0].case == model.CaseSetup((560.0, 400.0))
