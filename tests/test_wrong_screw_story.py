"""The story in `examples/wrong-screw`: its commands are run, and what it shows is what the program says today."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from boardmaker.command_line import run
from boardmaker.commands.common import demo_folder

STORY = Path(__file__).parent.parent / "examples" / "wrong-screw"
WRITTEN = ("plan", "lists", "result", "bag")


@pytest.fixture
def workbench(tmp_path, monkeypatch):
    """A copy of what the story starts from, beside the bike files, as the working folder."""
    folder = tmp_path / "examples" / "wrong-screw"
    folder.mkdir(parents=True)
    for name in ("audit.csv", "bag.csv"):
        shutil.copy(STORY / name, folder)
    shutil.copytree(demo_folder(), tmp_path / "layouts")
    monkeypatch.chdir(folder)
    return folder


def blocks():
    """Each command of the story with the answer that stands under it, "" where none does."""
    for block in re.findall(r"```text\n(.*?)```", (STORY / "README.md").read_text(encoding="utf-8"), re.DOTALL):
        command, _, answer = block.partition("\n")
        yield shlex.split(command.removeprefix("$ "))[1:], answer


@pytest.mark.slow
def test_the_story_is_what_the_program_does(workbench, capsys):
    """Every answer word for word, every text file byte for byte."""
    told = list(blocks())
    assert sum(bool(answer) for _, answer in told) >= len(WRITTEN)
    for words, answer in told:
        assert run(words) == 0
        said = capsys.readouterr().out
        assert not answer or said == answer
    for folder in WRITTEN:
        names = sorted(path.name for path in (STORY / folder).iterdir() if not path.name.startswith("."))
        assert names == sorted(path.name for path in (workbench / folder).iterdir() if not path.name.startswith("."))
        for name in (name for name in names if not name.endswith(".pdf")):  # a PDF's bytes depend on its library
            assert (workbench / folder / name).read_bytes() == (STORY / folder / name).read_bytes(), name


def test_the_refit_of_the_story_is_that_of_the_plan():
    """The excerpt stands in `plan.md` as it is, under "Refit"."""
    told = (STORY / "README.md").read_text(encoding="utf-8")
    refit = (STORY / "plan" / "plan.md").read_text(encoding="utf-8").partition("## Refit")[2]
    excerpts = re.findall(r"```markdown\n(.*?)```", told, re.DOTALL)
    assert excerpts
    assert all(excerpt in refit for excerpt in excerpts)


def test_the_lists_of_the_story_are_the_templates_filled_in():
    """Nothing but the last column was touched."""
    for name in ("audit.csv", "bag.csv"):
        filled, empty = ((STORY / part / name).read_text(encoding="utf-8").splitlines() for part in ("", "lists"))
        assert [line.rsplit(",", 1)[0] for line in filled] == [line.rsplit(",", 1)[0] for line in empty]
        assert all(line.endswith(",") for line in empty[1:])
