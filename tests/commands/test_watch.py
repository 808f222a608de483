"""`check --watch`: on each save anew; whatever an editor does to the file, nothing half-written is read."""

from __future__ import annotations

import os
from itertools import count
from pathlib import Path

import pytest
from bikes import bike_text

from boardmaker.commands.requests import CheckRequest
from boardmaker.commands.watch import GONE, settled, stamp_of, watch_bike
from boardmaker.problems import Interrupted, ProblemsFound

LID = "  lid: {{ name: Lid, side: left, outline: {{ file: lid.svg }}, holes: [ {} ] }}"
HOLES = "{ at: [10, 10], fastener: A }, { at: [20, 20], fastener: B }, { at: [30, 10], fastener: C }"
GOOD = bike_text(LID.format(f"{HOLES}, {{ at: [20, 40], fastener: P }}"))
ODD = bike_text(LID.format(f"{HOLES}, {{ at: [20, 400], fastener: P }}"))
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="90mm" viewBox="0 0 {0} 90">'
    '<path d="M0 0H{0}V90H0z"/></svg>'
)


class Editor:
    """What happens between two looks: a list of acts, each in its turn; then Ctrl-C."""

    def __init__(self, *acts):
        self.acts = iter(acts)

    def __call__(self):
        try:
            act = next(self.acts)
        except StopIteration:
            raise KeyboardInterrupt from None
        if act:
            act()


@pytest.fixture
def bike(tmp_path):
    path = tmp_path / "bike.yaml"
    clock = count(1_700_000_000)

    def save(text, name="bike.yaml"):
        """Write a file with a time of its own, however coarse the file system's clock is."""
        (tmp_path / name).write_text(text, encoding="utf-8")
        os.utime(tmp_path / name, (next(clock),) * 2)

    save(SVG.format(90), "lid.svg")
    save(GOOD)
    return path, save


@pytest.fixture
def watch(bike, tmp_path, capsys, monkeypatch):
    """Return a function that watches while an editor acts, and returns the last lines of each look and all errors."""
    monkeypatch.setattr("boardmaker.commands.watch.watched_pictures", _pictures_of)

    def watched(*acts, share=False):
        request = CheckRequest(bike[0], False, share, True, tmp_path / "out", False, False)
        with pytest.raises(Interrupted) as stopped:
            watch_bike(request, Editor(*acts))
        said, errors = capsys.readouterr()
        return said.splitlines(), errors, str(stopped.value)

    return watched


def _pictures_of(read):
    """In place of the pictures, which are drawn elsewhere: what they would be drawn from."""
    return {"picture.svg": repr(read.bike.panels).encode()}


def changes(said):
    """What each look has found; the looks are counted."""
    told = [line.split(": ") for line in said if ": " in line]
    assert [one[1] for one in told] == [f"look {number}" for number in range(1, len(told) + 1)]
    return [one[2].split(";")[0] for one in told]


def test_the_first_look_is_told_at_once(watch):
    """And nothing more while nothing changes."""
    said, errors, stopped = watch(None, None, None, None)
    assert changes(said) == ["no problems"]
    assert errors == ""
    assert "stay in" in stopped


def test_a_save_is_told_with_what_has_changed(watch, bike):
    """A new problem, the same with lines put in above it, none."""
    save = bike[1]
    moved = ODD.replace("fasteners:", "# a line more\nfasteners:")
    acts = (lambda: save(ODD), None, lambda: save(moved), None, lambda: save(GOOD), None, None)
    said, errors, _ = watch(None, *acts)
    assert changes(said) == ["no problems", "1 problem, 1 new", "1 problem", "no problems, 1 gone"]
    assert errors.count("lies 310 mm outside") == 2


def test_an_outline_counts_as_the_file_itself(watch, bike):
    """Its save alone makes all anew."""
    save = bike[1]
    said, errors, _ = watch(None, lambda: save(SVG.format(25), "lid.svg"), None, None)
    assert changes(said) == ["no problems", "1 problem, 1 new"]
    assert "lies 5 mm outside" in errors


def test_an_outline_that_is_named_later_is_watched_too(watch, bike, tmp_path):
    """The list is that of the last file that could be read."""
    save = bike[1]
    other = GOOD.replace("lid.svg", "other.svg")
    acts = (lambda: (save(SVG.format(90), "other.svg"), save(other)), None, None)
    said, _, _ = watch(None, *acts, None, lambda: save(SVG.format(25), "other.svg"), None, None)
    assert changes(said)[-1] == "1 problem, 1 new"


def test_a_file_that_an_editor_replaces_is_followed(watch, bike, tmp_path):
    """Written beside it and renamed, of the same size and with the same time."""
    path = bike[0]

    def replace():
        found = path.stat()
        beside = tmp_path / "bike.yaml.new"
        beside.write_text(GOOD.replace("[20, 40]", "[20, 99]"), encoding="utf-8")
        os.utime(beside, ns=(found.st_atime_ns, found.st_mtime_ns))
        beside.replace(path)
        assert path.stat().st_size == found.st_size

    said, errors, _ = watch(None, replace, None, None)
    assert changes(said) == ["no problems", "1 problem, 1 new"]
    assert "lies 9 mm outside" in errors


def test_a_file_that_is_being_written_is_not_read(watch, bike):
    """It grows from look to look; only the whole is told."""
    save = bike[1]
    pieces = [lambda end=end: save(ODD[:end]) for end in (20, 200, 500, len(ODD))]
    said, errors, _ = watch(None, *pieces, None, None)
    assert changes(said) == ["no problems", "1 problem, 1 new"]
    assert "error" not in errors


def test_a_file_that_vanishes_for_a_moment_is_waited_for(watch, bike):
    """Gone for two looks, then back with something new; nobody complains."""
    path, save = bike
    said, errors, _ = watch(None, path.unlink, None, lambda: save(ODD), None, None)
    assert changes(said) == ["no problems", "1 problem, 1 new"]
    assert "no file" not in errors


def test_a_file_that_stays_away_is_said_once(watch, bike):
    """And still waited for."""
    path, save = bike
    said, _, _ = watch(None, path.unlink, *[None] * (2 * GONE), lambda: save(ODD), None, None)
    assert [line for line in said if "not there any more" in line] == [f"{path} is not there any more; waiting for it"]
    assert changes(said)[-1] == "1 problem, 1 new"


def test_a_half_made_file_is_told_and_the_pictures_stay(watch, bike, tmp_path):
    """What cannot be read at all; then it can."""
    save = bike[1]
    said, errors, _ = watch(None, lambda: save("panels: ["), None, lambda: save(GOOD), None, None)
    assert changes(said) == ["no problems", "1 problem, 1 new", "no problems, 1 gone"]
    assert "the pictures stay as they were" in said[1]
    assert "error" in errors
    assert b"lid" in (tmp_path / "out" / "picture.svg").read_bytes()


def test_pictures_are_written_anew(watch, bike, tmp_path):
    """Those of the last save are there in the end."""
    save = bike[1]
    watch(None, lambda: save(GOOD.replace("name: Lid", "name: Cover")), None, None)
    assert b"Cover" in (tmp_path / "out" / "picture.svg").read_bytes()


def test_a_strangers_picture_is_not_written_over(bike, tmp_path):
    """The watch ends with the reason."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "picture.png").write_bytes(b"mine")
    with pytest.raises(ProblemsFound, match="was not written by boardmaker"):
        watch_bike(CheckRequest(bike[0], False, False, True, tmp_path / "out", False, False), Editor(None, None))
    assert (tmp_path / "out" / "picture.png").read_bytes() == b"mine"


def test_no_such_file(tmp_path):
    """Said at once."""
    with pytest.raises(ProblemsFound, match="there is no file"):
        watch_bike(CheckRequest(tmp_path / "none.yaml", False, False, True, tmp_path, False, False), Editor())


def test_with_share_the_gaps_are_told_on_each_save(watch):
    """Before the last line."""
    said, _, _ = watch(None, None, share=True)
    assert any("that a stranger would miss" in line for line in said)


def test_real_pictures_are_drawn(bike, tmp_path, capsys):
    """The whole bike and every panel."""
    with pytest.raises(Interrupted):
        watch_bike(CheckRequest(bike[0], False, False, True, tmp_path / "out", False, True), Editor(None, None))
    names = {one.name for one in (tmp_path / "out").iterdir()}
    assert names == {"picture.png", "picture.svg", "panels.png", "panels.svg", ".boardmaker.json"}
    assert capsys.readouterr().out == ""


A, B = Path("bike.yaml"), Path("lid.svg")


@pytest.mark.parametrize(
    ("looks", "told"),
    [
        ("1", ""),
        ("11", "1"),
        ("111", "1"),
        ("1122", "12"),
        ("11233", "13"),
        ("11-11", "1"),
        ("11-22", "12"),
        ("1-2-3-", ""),
        ("11221", "12"),
        ("112211", "121"),
    ],
)
def test_a_look_counts_once_two_in_a_row_agree(looks, told):
    """A digit is what the file is like, a dash that it is gone."""
    stamps = [((A, None if one == "-" else (int(one), 0, 0)), (B, None)) for one in looks]
    found = [str(one[0][1][0]) for one in settled(stamps, lambda: None)]
    assert "".join(found) == told


def test_a_stamp_tells_size_time_and_file_apart(tmp_path):
    """And what is not there."""
    path = tmp_path / "a"
    assert stamp_of(path) is None
    path.write_bytes(b"1")
    first = stamp_of(path)
    assert first == stamp_of(path)
    os.utime(path, ns=(1, 2))
    assert stamp_of(path) != first
