"""The story in `examples/new-bike`, played: its commands in their order, and what they answer.

After an answer or a file has changed on purpose, `python tests/new_bike_story.py` plays it and writes the story anew.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parent.parent
STORY = ROOT / "examples" / "new-bike"
BIKE = "sorrel-410.yaml"
GIVEN = ("README.md", "panels.svg", "lid.csv", "2-edited.yaml", "4-measured.yaml", "5-finished.yaml")
STAGES = {"new": "1-begun.yaml", "trace": "3-traced.yaml"}  # the bike file after the last command of this name
MADE = ("board/board.json", "board/preview.png")
Answered = Callable[[list[str], Path], str]
_BLOCK = re.compile(r"```text\n(.*?)```", re.DOTALL)


def workbench(folder: Path) -> Path:
    """What the story starts from, beside the bundled bikes; the folder to play it in."""
    place = folder / "examples" / "new-bike"
    place.mkdir(parents=True)
    for name in GIVEN:
        shutil.copy(STORY / name, place)
    shutil.copytree(ROOT / "layouts", folder / "layouts")
    return place


def played(told: str, place: Path, answered: Answered | None = None) -> str:
    """The story with every answer as it is given now in the folder; stages of the bike file are kept there.

    `answered` says what the program answers; where it is not given, the program is started for each command.
    """
    answered = answered or started

    def block(found: re.Match[str]) -> str:
        commands = [line for line in found[1].split("\n") if line.startswith("$ ")]
        lines = [f"{line}\n{_done(shlex.split(line[2:]), place, answered)}" for line in commands]
        return f"```text\n{''.join(lines)}```"

    return _BLOCK.sub(block, told)


def started(words: list[str], place: Path) -> str:
    """What a process of its own answers, warnings first, as in a terminal; it searches as long as the user's."""
    command = [sys.executable, "-m", *words]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    said = subprocess.run(command, capture_output=True, encoding="utf-8", check=True, cwd=place, env=environment)
    return said.stderr + said.stdout


def _done(words: list[str], place: Path, answered: Answered) -> str:
    """What a command answers."""
    if words[0] == "cp":
        shutil.copy(*(place / name for name in words[1:]))
        return ""
    said = answered(words, place)
    if words[1] in STAGES:
        shutil.copy(place / BIKE, place / STAGES[words[1]])
    return said


def _write_anew() -> None:
    """Play it and put answers, stages and what was made into the story."""
    with tempfile.TemporaryDirectory() as folder:
        place = workbench(Path(folder))
        told = played((STORY / "README.md").read_text(encoding="utf-8"), place)
        (STORY / "README.md").write_text(told, encoding="utf-8")
        (STORY / "board").mkdir(exist_ok=True)
        for name in (*STAGES.values(), *MADE):
            shutil.copy(place / name, STORY / name)


if __name__ == "__main__":
    _write_anew()
