"""`trace` as the mechanic meets it: what is written, what is said, and what stays untouched."""

from __future__ import annotations

import re
import shutil
import time
from pathlib import Path

import pytest
from PIL import Image

from boardmaker.command_line import run
from boardmaker.commands import trace
from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.output import change, change_file, write_set
from boardmaker.problems import ProblemsFound

NAKED = "kestmark-590-naked.yaml"
DRAWING = """\
<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" viewBox="0 0 400 400">
  <g id="{key}">
    <path d="M 20 20 L 320 30 L 330 200 L 20 210 Z"/>
    <circle id="A-1" cx="40" cy="40" r="4"/>
    <circle id="c9" cx="{x}" cy="60" r="4"/>
    <ellipse id="e" cx="200" cy="150" rx="6" ry="4"/>
  </g>
</svg>
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    shutil.copytree(demo_folder(), tmp_path / "layouts")
    monkeypatch.chdir(tmp_path / "layouts")
    return tmp_path / "layouts"


def draw(folder, key="knee-left", x=300, name="s.svg", text=DRAWING):
    (folder / name).write_text(text.format(key=key, x=x), encoding="utf-8")
    return name


def everything(folder):
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def beside_pictures(folder):
    return {name: content for name, content in everything(folder).items() if not name.startswith("out/")}


@pytest.mark.slow
def test_a_new_panel_and_then_again(folder, capsys):
    """Outline, holes, picture, what was said; the second run moves one hole, the third changes nothing."""
    before = (folder / NAKED).read_text(encoding="utf-8")
    assert run(["trace", NAKED, "knee-left", draw(folder), "--fastener", "B"]) == 0
    out = capsys.readouterr().out
    assert "a new panel, Left knee, left; 2 holes: 2 new" in out
    assert "hole 2 (B) is new, at [280, 150]: circle 'c9'" in out
    assert "ignored: ellipse 'e' at [180, 60]: it is not round" in out
    new = (folder / NAKED).read_text(encoding="utf-8")
    start = new.index("  knee-left:")
    assert new[:start] + new[new.index("jobs:", start) :] == before
    panel = read_bike(folder / NAKED)[0].panel("knee-left")
    assert [(hole.id, hole.at, hole.fastener) for hole in panel.holes] == [
        ("1", (20, 170), "A"),
        ("2", (280, 150), "B"),
    ]
    assert sorted(panel.outline) == [(0, 0), (0, 190), (300, 180), (310, 10)]
    with Image.open(folder / "out" / "knee-left-traced.png") as picture:
        assert min(picture.size) > 500

    assert run(["trace", NAKED, "knee-left", draw(folder, x=301.5)]) == 0
    assert "hole 2 (B) moved by 1.50 mm, [280, 150] to [281.5, 150]" in capsys.readouterr().out
    assert (folder / NAKED).read_text(encoding="utf-8") == new.replace("[280, 150]", "[281.5, 150]")
    kept = beside_pictures(folder)
    assert run(["trace", NAKED, "knee-left", "s.svg"]) == 0
    assert "not changed" in capsys.readouterr().out
    assert beside_pictures(folder) == kept


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["knee-left", "s.svg"], "circle 'c9' at [280, 150] has no fastener"),
        (["knee-left", "s.svg", "--fastener", "Z"], "no fastener Z"),
        (["tail-left", "other.svg", "--fastener", "A"], "none says that it is `tail-left`"),
        (["knee-left", "s.svg", "--fastener", "A", "--side", "right"], "says left"),
        (["all", "s.svg", "--name", "x"], "--name is for one panel"),
        (["knee-left", "no.svg"], "there is no file"),
        (["knee-left", NAKED], "no drawing that can be traced"),
        (["shroud-right", "other.svg", "--fastener", "A"], "mirrors `shroud-left`"),
    ],
)
def test_nothing_is_written_where_something_is_unclear(folder, capsys, arguments, said):
    """Exit 1, what and where; not one file comes or changes."""
    draw(folder)
    draw(folder, "shroud-right", name="other.svg")
    before = everything(folder)
    assert run(["trace", NAKED, *arguments]) == 1
    assert said in capsys.readouterr().err
    assert everything(folder) == before


def test_problems_that_the_file_would_have_stop_it(folder, capsys):
    """A list with a word that the bike file does not know: said with its line, nothing written."""
    (folder / "p.csv").write_text("panel,x,y,fastener,into\ntank,0,60,E,thin air\n", encoding="utf-8")
    before = everything(folder)
    assert run(["trace", NAKED, "tank", "p.csv"]) == 1
    said = capsys.readouterr().err
    assert "would have problems; nothing was written" in said
    assert re.search(rf"{NAKED}:\d+:\d+: error: .*thin air", said)
    assert everything(folder) == before


@pytest.mark.slow
def test_an_outline_that_was_edited_is_not_overwritten(folder, capsys):
    """Without --force; a file that we wrote and nobody touched is."""
    assert run(["trace", NAKED, "knee-left", draw(folder), "--fastener", "B", "--quiet"]) == 0
    outline = folder / "outlines" / "knee-left.svg"
    outline.write_bytes(outline.read_bytes().replace(b"310", b"309"))
    before = everything(folder)
    text = DRAWING.replace("L 320 30", "L 318 30")
    assert run(["trace", NAKED, "knee-left", draw(folder, text=text), "--out", "elsewhere"]) == 1
    assert "was edited since" in capsys.readouterr().err
    changed = {name for name, content in everything(folder).items() if before.get(name) != content}
    assert changed == {"s.svg", "elsewhere/.boardmaker.json"} | {
        f"elsewhere/knee-left-traced.{kind}" for kind in ("png", "html")
    }
    assert run(["trace", NAKED, "knee-left", "s.svg", "--force", "--quiet"]) == 0
    assert run(["trace", NAKED, "knee-left", draw(folder), "--quiet"]) == 0


def test_a_drawing_that_is_a_panels_outline_already_is_referred_to(folder, capsys):
    """Beside the bike file, with its lower left at the origin: no copy."""
    path = '<path d="M0 0H80V60H0Z"/>'
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">{path}</svg>'
    (folder / "outlines" / "lid.svg").write_text(text, encoding="utf-8")
    assert run(["trace", NAKED, "lid-left", "outlines/lid.svg"]) == 0
    assert "now from outlines/lid.svg" in capsys.readouterr().out
    assert "outline: { file: outlines/lid.svg }" in (folder / NAKED).read_text(encoding="utf-8")
    assert not (folder / "outlines" / "lid-left.svg").exists()


@pytest.mark.parametrize("panel", ["mask", "belly-left"])
def test_a_demo_outline_traced_again_stays(folder, panel):
    """The drawing that the file names already."""
    before = everything(folder)
    assert run(["trace", NAKED, panel, f"outlines/kestmark-{panel}.svg", "--quiet"]) == 0
    assert beside_pictures(folder) == before


@pytest.mark.slow
def test_all_panels_of_a_drawing(folder, capsys):
    """Each that the drawing names; forty of them in good time."""
    panel = '<g id="{key}"><path d="M {x} 0 h 90 v 60 h -90 Z"/><circle id="A" cx="{m}" cy="30" r="3"/></g>'
    keys = [f"part-{number}" for number in range(40)]
    entries = "".join(f"  {key}: {{ name: {key}, side: left, holes: [] }}\n" for key in keys)
    file = folder / "bike.yaml"
    head = "format: 1\nbike: { name: T }\nfasteners: { A: { part: ISO 7380-2 - M6 x 16 - 10.9 } }\npanels:\n"
    file.write_text(head + entries, encoding="utf-8")
    groups = "".join(panel.format(key=key, x=100 * number, m=100 * number + 45) for number, key in enumerate(keys))
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="4000mm" height="100mm" viewBox="0 0 4000 100">{groups}</svg>'
    )
    (folder / "all.svg").write_text(drawing, encoding="utf-8")
    begun = time.process_time()
    assert run(["trace", "bike.yaml", "all", "all.svg"]) == 0
    assert time.process_time() - begun < 10
    bike, _ = read_bike(file)
    assert all(panel.outline and panel.holes[0].at == (45, 30) for panel in bike.panels)
    assert len(list((folder / "out").glob("*.png"))) == 40
    assert run(["trace", "bike.yaml", "part-1", "s.svg"]) == 1
    assert len(list((folder / "out").glob("*.png"))) == 40


def test_a_drawing_that_names_nothing_is_not_all(folder, capsys):
    """It takes one PANEL."""
    assert run(["trace", NAKED, "all", draw(folder, key="layer1")]) == 1
    assert "names no panel" in capsys.readouterr().err


def test_links_and_read_only_files_are_refused(folder, capsys):
    """A link's target may have its outlines elsewhere."""
    (folder / "link.yaml").symlink_to(NAKED)
    assert run(["trace", "link.yaml", "knee-left", draw(folder)]) == 1
    (folder / NAKED).chmod(0o444)
    assert run(["trace", NAKED, "knee-left", "s.svg"]) == 1
    said = capsys.readouterr().err
    assert "is a link" in said
    assert "read-only" in said


def test_a_file_edited_meanwhile_is_left_alone(tmp_path):
    """And nothing is written beside it; who may read the file stays."""
    path = tmp_path / "bike.yaml"
    path.write_bytes(b"mine")
    with pytest.raises(ProblemsFound, match="changed meanwhile"):
        change_file(path, b"yours", b"new", "outlines", {"a.svg": b"x"})
    assert list(tmp_path.iterdir()) == [path]
    path.chmod(0o640)
    change_file(path, b"mine", b"new", "outlines", {"a.svg": b"x"})
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640
    assert sorted(one.name for one in (tmp_path / "outlines").iterdir()) == [".boardmaker.json", "a.svg"]


def test_pictures_of_what_was_not_traced_are_told_of(folder, capsys, monkeypatch):
    """Another program saves the bike file in between: it keeps that, and the pictures are told of."""

    def and_somebody_saves(*arguments, **options):
        write_set(*arguments, **options)
        Path(NAKED).write_bytes(Path(NAKED).read_bytes() + b"# mine\n")

    monkeypatch.setattr(trace, "write_set", and_somebody_saves)
    assert run(["trace", NAKED, "knee-left", draw(folder), "--fastener", "B"]) == 1
    said = capsys.readouterr().err
    assert "was changed meanwhile" in said
    assert "nothing was written" not in said
    assert "the pictures in out show what would have been traced" in said
    assert Path(NAKED).read_bytes().endswith(b"# mine\n")


def test_outlines_that_are_a_link_are_refused(tmp_path):
    """They could lead anywhere."""
    path = tmp_path / "bike.yaml"
    path.write_bytes(b"mine")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "outlines").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ProblemsFound, match="is a link"):
        change_file(path, b"mine", b"new", "outlines", {"a.svg": b"x"})
    assert path.read_bytes() == b"mine"
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_change_that_fails_half_way_is_taken_back(tmp_path, monkeypatch):
    """The outline took its place already when the bike file could not: both are as they were."""
    path = tmp_path / "bike.yaml"
    path.write_bytes(b"mine")
    change_file(path, b"mine", b"first", "outlines", {"a.svg": b"x"})
    before = everything(tmp_path)
    put = change._put

    def fail_at_the_bike_file(folder, stage, number, step):
        if step.name == "bike.yaml":
            raise OSError(28, "No space left on device", str(path))
        put(folder, stage, number, step)

    monkeypatch.setattr(change, "_put", fail_at_the_bike_file)
    with pytest.raises(ProblemsFound, match="No space left"):
        change_file(path, b"first", b"second", "outlines", {"a.svg": b"y"})
    assert everything(tmp_path) == before


def test_a_change_that_was_killed_half_way_is_finished_by_the_next(tmp_path, monkeypatch):
    """From the journal in the bike file's folder."""
    path = tmp_path / "bike.yaml"
    path.write_bytes(b"mine")
    put = change._put

    def killed_at_the_bike_file(folder, stage, number, step):
        if step.name == "bike.yaml":
            raise SystemExit
        put(folder, stage, number, step)

    with monkeypatch.context() as patched:
        patched.setattr(change, "_put", killed_at_the_bike_file)
        patched.setattr(change, "_take_back_or_say", lambda *_: None)
        with pytest.raises(SystemExit):
            change_file(path, b"mine", b"new", "outlines", {"a.svg": b"x"})
    assert path.read_bytes() == b"mine"
    change_file(path, b"new", b"newer", "outlines", {"a.svg": b"y"})
    assert path.read_bytes() == b"newer"
    assert (tmp_path / "outlines" / "a.svg").read_bytes() == b"y"
    assert not [one for one in tmp_path.iterdir() if one.name.startswith(".boardmaker-")]


OTHER = """format: 1
bike: { name: Other }
fasteners: { A: { part: ISO 7380-2 - M6 x 20 - 10.9 }, B: { part: ISO 7380-2 - M6 x 16 - 10.9 } }
panels:
  knee-left: { name: Knee, side: left, outline: [[0, 0], [290, 0], [290, 150], [0, 150]],
               holes: [ { at: [20, 100], fastener: A } ] }
"""


@pytest.mark.slow
def test_two_bikes_in_one_folder_keep_their_outlines_apart(folder, capsys):
    """The second one's is called after its file, and that is said; traced again it keeps that name."""
    other = "other.yaml"
    (folder / other).write_text(OTHER, encoding="utf-8")
    assert run(["trace", NAKED, "knee-left", draw(folder), "--fastener", "B", "--quiet"]) == 0
    first = (folder / "outlines" / "knee-left.svg").read_bytes()
    smaller = DRAWING.replace("L 320 30", "L 318 30")
    assert run(["trace", other, "knee-left", draw(folder, text=smaller), "--fastener", "B"]) == 0
    said = capsys.readouterr().out
    assert "now from outlines/other-knee-left.svg" in said
    assert "OUTLINE REPLACED: the one of before was up to " in said
    assert "outlines/knee-left.svg is there already, and not this panel's alone: it stays" in said
    assert "with outlines/other-knee-left.svg" in said
    assert run(["trace", other, "knee-left", draw(folder), "--quiet"]) == 0
    assert (folder / "outlines" / "knee-left.svg").read_bytes() == first
    assert sorted(path.name for path in (folder / "outlines").glob("*other-knee*")) == ["other-knee-left.svg"]
    assert run(["trace", NAKED, "knee-left", draw(folder, text=smaller), "--quiet"]) == 0
    assert (folder / "outlines" / "knee-left.svg").read_bytes() != first


UNFINISHED = """format: 1
bike: { name: T }
fasteners: { A: { part: ISO 7380-2 - M6 x 16 - 10.9 } }
panels:
  seat:
    name: Seat
    side: centre   # no holes yet
  tank: { name: Tank, side: centre }
  mask: { name: Mask, side: centre, holes: [ { at: [0, 0], fastener: A, also_holds: [knee-left, fin] } ] }
jobs:
  air: { name: Air filter, remove: [knee-left, fin] }
"""


@pytest.mark.slow
def test_panels_that_are_still_to_be_traced_are_no_obstacle(folder, capsys):
    """Jobs and screws name a panel that this makes, and others that come later; panels stand there without holes."""
    file = folder / "bike.yaml"
    file.write_text(UNFINISHED, encoding="utf-8")
    assert run(["trace", "bike.yaml", "knee-left", draw(folder), "--fastener", "A"]) == 0
    said = capsys.readouterr().out
    assert 'still to be traced or written: there is no panel "fin"' in said
    assert "still to be traced or written: `seat` lacks the key `holes`" in said
    assert "knee-left" not in said[said.index("still") :]
    for panel in ("seat", "tank"):
        assert run(["trace", "bike.yaml", panel, draw(folder, key=panel), "--fastener", "A"]) == 0
    capsys.readouterr()
    text = file.read_text(encoding="utf-8")
    assert "    side: centre   # no holes yet\n" in text
    assert text.count("holes:") == 4
    assert run(["trace", "bike.yaml", "fin", draw(folder, key="fin"), "--fastener", "A", "--side", "centre"]) == 0
    assert "still" not in capsys.readouterr().out
    assert len(read_bike(file)[0].panels) == 5


def test_all_leaves_panels_without_holes_that_it_does_not_draw(folder, capsys):
    """Nothing is written into them."""
    file = folder / "bike.yaml"
    file.write_text(UNFINISHED, encoding="utf-8")
    assert run(["trace", "bike.yaml", "all", draw(folder, key="tank"), "--fastener", "A", "--quiet"]) == 0
    assert "    side: centre   # no holes yet\n  tank:" in file.read_text(encoding="utf-8")


def test_other_mistakes_of_the_file_come_first(folder, capsys):
    """A fastener that is not there: said, and nothing about panels that are only still to be traced."""
    (folder / "bike.yaml").write_text(UNFINISHED.replace("fastener: A", "fastener: Q"), encoding="utf-8")
    assert run(["trace", "bike.yaml", "knee-left", draw(folder), "--fastener", "A"]) == 1
    said = capsys.readouterr().err
    assert 'no fastener "Q"' in said
    assert "no panel" not in said


@pytest.mark.slow
def test_a_new_panel_in_the_middle_says_from_where_it_is_seen(folder, capsys):
    """From above unless --view says otherwise; for a panel of a side there is no question."""
    drawing = ["fin", draw(folder, key="fin"), "--fastener", "A", "--side", "centre"]
    assert run(["trace", NAKED, *drawing, "--view", "rear"]) == 0
    assert "a new panel, Fin, centre, seen from the rear; 2 holes" in capsys.readouterr().out
    assert read_bike(folder / NAKED)[0].panel("fin").view == "rear"
    (folder / "other.yaml").write_text(OTHER, encoding="utf-8")
    assert run(["trace", "other.yaml", *drawing]) == 0
    said = capsys.readouterr().out
    assert "a new panel, Fin, centre, seen from above (--view front or --view rear if it is not); 2 holes" in said
    assert run(["trace", NAKED, "fin-left", draw(folder, key="fin-left"), "--fastener", "A", "--view", "top"]) == 1
    assert "`fin-left` is on the left" in capsys.readouterr().err


def test_a_list_with_other_headings_says_which_it_did_not_read(folder, capsys):
    """The fasteners' column, and the panels'; of a list nobody gives a path or layer a name."""
    (folder / "p.csv").write_text("x;y;Schraube\n0;0;E\n", encoding="utf-8")
    assert run(["trace", NAKED, "lid-left", "p.csv"]) == 1
    said = capsys.readouterr().err
    assert "row 2 at [0, 0] has no fastener" in said
    assert "ignored: column 'Schraube': it is none of panel, x, y, fastener" in said
    (folder / "p.csv").write_text("Teil;x;y;fastener\nlid;0;0;E\n", encoding="utf-8")
    assert run(["trace", NAKED, "all", "p.csv"]) == 1
    said = capsys.readouterr().err
    assert "must be called `panel`" in said
    assert "ignored: column 'Teil'" in said
    assert "layer" not in said
