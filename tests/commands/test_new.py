"""`new`: a bike file that is valid at once, from nothing or from another bike; and the schemas beside it."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from boardmaker.command_line import run
from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.inputs.yaml.reader import read_yaml

DEMOS = sorted(demo_folder().glob("*.yaml"))


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def bare(panel, **entries):
    """A small bike file whose job takes off its one panel; further lines by section."""
    rows = {"equipment": "", "fasteners": "  A: { thread: M6 }", "jobs": "  oil: { name: Oil, remove: [p] }", **entries}
    sections = "\n".join(f"{key}:\n{text}" for key, text in rows.items() if text)
    return f"format: 1\nbike: {{ name: Old }}\npanels:\n  p: {{ name: P, side: left, {panel} }}\n{sections}\n"


HOLES = "holes: [ { at: [0, 0], fastener: A } ]"


def test_the_starter_has_nothing_wrong_and_teaches_the_first_keys(folder, capsys):
    """Valid without a warning; its name is the file's; a pair, a bare centre panel, a job, a row, a caution."""
    assert run(["new", "my-old_bike.yaml"]) == 0
    assert run(["check", "my-old_bike.yaml", "--strict"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "nothing wrong found" in said.out
    bike, _ = read_bike(folder / "my-old_bike.yaml")
    assert bike.name == "My old bike"
    assert {panel.side for panel in bike.panels} == {"left", "right", "centre"}
    assert any(panel.outline_drawn for panel in bike.panels)
    assert all((bike.cautions, bike.jobs, bike.torques))
    text = (folder / "my-old_bike.yaml").read_text(encoding="utf-8")
    assert "boardmaker check my-old_bike.yaml" in text
    assert {"mirrors:", "on_bike:", "behind:", "after:"} <= set(re.findall(r"\w+:", text))
    assert max(map(len, text.splitlines())) <= 120


@pytest.mark.slow
def test_the_starter_makes_a_board(capsys):
    """As it stands."""
    assert run(["new", "my-bike.yaml"]) == 0
    quick = ["--effort", "quick", "--boards", "1", "--arrange", "0", "--print", "whole", "--board", "400 x 300 mm"]
    assert run(["board", "my-bike.yaml", *quick]) == 0
    assert "3 panels, 9 fasteners" in capsys.readouterr().out


@pytest.mark.slow
def test_two_runs_write_the_same_bytes(folder):
    """No clock, no machine."""
    for place in ("one", "two"):
        assert run(["new", f"{place}/my-bike.yaml", "--quiet"]) == 0
        assert run(["new", f"{place}/next.yaml", "--from", str(DEMOS[0]), "--quiet"]) == 0
    for name in ("my-bike.yaml", "next.yaml", "bike.schema.json"):
        assert (folder / "one" / name).read_bytes() == (folder / "two" / name).read_bytes()
    assert sorted(path.name for path in (folder / "one").iterdir()) == ["bike.schema.json", "my-bike.yaml", "next.yaml"]


@pytest.mark.parametrize("words", [["new", "bike.yaml"], ["new", "bike.yaml", "--from", str(DEMOS[0])]])
def test_a_file_that_is_there_stays(folder, capsys, words):
    """Not without --force; a link to nowhere counts too."""
    (folder / "bike.yaml").write_text("mine", encoding="utf-8")
    assert run(words) == 1
    assert "bike.yaml is there already" in capsys.readouterr().err
    assert [path.read_text(encoding="utf-8") for path in folder.iterdir()] == ["mine"]
    assert run([*words, "--force"]) == 0
    (folder / "bike.yaml").unlink()
    (folder / "bike.yaml").symlink_to("nowhere.yaml")
    assert run(words) == 1
    assert (folder / "bike.yaml").is_symlink()


def test_a_schema_of_somebody_else_stays(folder, capsys):
    """Then no bike file is written either; one of another version of ours is replaced."""
    (folder / "bike.schema.json").write_text("{}", encoding="utf-8")
    assert run(["new", "bike.yaml"]) == 1
    assert "bike.schema.json is there already" in capsys.readouterr().err
    assert [path.name for path in folder.iterdir()] == ["bike.schema.json"]
    (folder / "bike.schema.json").write_text('{\n "title": "boardmaker: bike file, old"\n}', encoding="utf-8")
    assert run(["new", "bike.yaml"]) == 0
    assert "properties" in (folder / "bike.schema.json").read_text(encoding="utf-8")


def test_no_file_is_begun_from_itself(folder, capsys):
    """Its panels would be lost."""
    (folder / "bike.yaml").write_bytes(DEMOS[0].read_bytes())
    assert run(["new", "bike.yaml", "--from", "bike.yaml", "--force"]) == 2
    assert (folder / "bike.yaml").read_bytes() == DEMOS[0].read_bytes()
    assert "cannot be begun from itself" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "called"),
    [
        ("bike.yaml", "Bike"),
        ("2031.yaml", "2031"),
        ("it's: #1.yaml", "It's: #1"),
        ("true.yaml", "True"),
        ("ö.yaml", "Ö"),
    ],
)
def test_any_file_name_makes_a_name(folder, name, called):
    """Also one that YAML would take for something else."""
    assert run(["new", name, "--quiet"]) == 0
    assert read_bike(folder / name)[0].name == called


@pytest.mark.slow
@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_from_another_bike_come_its_fasteners_jobs_and_torques(folder, capsys, demo):
    """As they mean, and as they are written; no panels."""
    assert run(["new", "next.yaml", "--from", str(demo)]) == 0
    old, new = read_yaml(demo).data, read_yaml(folder / "next.yaml").data
    assert (new["fasteners"], new["torques"], new["panels"]) == (old["fasteners"], old["torques"], {})
    for key, job in old["jobs"].items():
        assert new["jobs"][key] == {name: value for name, value in job.items() if name not in ("remove", "apart")}
    wanted, written = (path.read_text(encoding="utf-8") for path in (demo, folder / "next.yaml"))
    for section in ("fasteners:", "torques:"):
        lines = wanted[wanted.index(f"\n{section}") :].split("\n\n")[0].rstrip("\n")
        assert lines in written
    assert "# remove: [" in written
    capsys.readouterr()
    assert run(["check", "next.yaml"]) == 0
    said = capsys.readouterr()
    assert said.err.count("warning") == 1
    assert "no panels yet" in said.err


def test_a_board_of_a_bike_without_panels_is_refused(capsys):
    """With what to do."""
    assert run(["new", "next.yaml", "--from", str(DEMOS[0]), "--quiet"]) == 0
    assert run(["board", "next.yaml"]) == 1
    assert "no panels yet" in (said := capsys.readouterr().err)
    assert "hint: write the first one under `panels`" in said


def test_the_commented_panel_is_one(folder, capsys):
    """With the braces away and the marks off its lines it reads, and nothing about it is odd."""
    assert run(["new", "next.yaml", "--from", str(DEMOS[1]), "--quiet"]) == 0
    text = (folder / "next.yaml").read_text(encoding="utf-8").replace("panels: {}", "panels:")
    (folder / "next.yaml").write_text(re.sub(r"^#(?=  )", "", text, flags=re.MULTILINE), encoding="utf-8")
    assert len(read_bike(folder / "next.yaml")[0].panels) == 2


def test_equipment_that_a_row_needs_comes_along(folder):
    """And no other; a job in braces has an empty list; comments within a list go with it; a key keeps its quotes."""
    old = bare(
        HOLES.replace("A }", "'no' }"),
        equipment="  audio: Speakers  # loud\n  grips: Heated grips",
        fasteners="  'no': { thread: M6 }  # the only one",
        jobs="  oil: { name: Oil, remove: [p,\n    p], every: year }\n"
        "  air:\n    name: Air\n    remove:\n      - p  # one\n      # not q\n      - p\n    # last\n    every: never",
        torques="  a: { what: Amp, torque: 5 N·m, with: [audio], jobs: [oil] }",
    )
    (folder / "old.yaml").write_bytes(b"\xef\xbb\xbf" + old.replace("\n", "\r\n").encode())
    assert run(["new", "new.yaml", "--from", "old.yaml", "--quiet"]) == 0
    text = (folder / "new.yaml").read_text(encoding="utf-8")
    data = read_yaml(folder / "new.yaml").data
    assert data["equipment"] == {"audio": "Speakers"}
    assert data["jobs"] == {
        "oil": {"name": "Oil", "remove": [], "every": "year"},
        "air": {"name": "Air", "every": "never"},
    }
    assert "    # remove:\n    #   - p  # one\n    #   # not q\n    #   - p\n    # last\n    every: never" in text
    assert "  'no': { thread: M6 }  # the only one" in text
    assert "fastener: 'no'" in text


def test_what_cannot_be_cut_out_is_said(folder, capsys):
    """A file in braces; a section that leans on the panels; a file that is wrong itself."""
    (folder / "old.yaml").write_text("{format: 1, bike: {name: Old}, panels: {}}", encoding="utf-8")
    assert run(["new", "new.yaml", "--from", "old.yaml"]) == 1
    assert "lines of their own" in capsys.readouterr().err
    leaning = bare(HOLES + ", note: &text over the tank", fasteners="  A: { thread: M6, note: *text }")
    (folder / "old.yaml").write_text(leaning, encoding="utf-8")
    assert run(["new", "new.yaml", "--from", "old.yaml"]) == 1
    assert "do not stand without its rest" in capsys.readouterr().err
    (folder / "old.yaml").write_text(bare(HOLES).replace("thread", "tread"), encoding="utf-8")
    assert run(["new", "new.yaml", "--from", "old.yaml"]) == 1
    assert "old.yaml:6:8: error: unknown key `tread`" in capsys.readouterr().err
    assert not (folder / "new.yaml").exists()


def test_the_line_for_the_editor_leads_to_the_schema(folder):
    """Beside the file, so that it works without a network; the file is valid by it."""
    assert run(["new", "bikes/my-bike.yaml", "--quiet"]) == 0
    first = (folder / "bikes" / "my-bike.yaml").read_text(encoding="utf-8").splitlines()[0]
    schema = folder / "bikes" / first.removeprefix("# yaml-language-server: $schema=")
    data = read_yaml(folder / "bikes" / "my-bike.yaml").data
    assert list(jsonschema.Draft7Validator(json.loads(schema.read_bytes())).iter_errors(data)) == []


def test_schema_writes_both(folder, capsys):
    """For files that are there already."""
    assert run(["schema", "bikes"]) == 0
    assert sorted(path.name for path in (folder / "bikes").iterdir()) == ["bike.schema.json", "setup.schema.json"]
    assert "# yaml-language-server: $schema=setup.schema.json" in capsys.readouterr().out
    assert run(["schema", "bikes"]) == 0
    (folder / "bikes" / "setup.schema.json").write_text("mine", encoding="utf-8")
    assert run(["schema", "bikes"]) == 1
    assert (folder / "bikes" / "setup.schema.json").read_text(encoding="utf-8") == "mine"


def test_a_place_that_cannot_be_written_is_said(folder, capsys):
    """A folder of that name; a file for a folder."""
    (folder / "bike.yaml").mkdir()
    assert run(["new", "bike.yaml", "--force"]) == 1
    (folder / "file").write_text("", encoding="utf-8")
    assert run(["new", "file/bike.yaml"]) == 1
    assert capsys.readouterr().err.count("error: cannot ") == 2
