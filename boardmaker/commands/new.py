"""`new`: a bike file to begin with, and the schema that an editor completes it by."""

from __future__ import annotations

import os
import shlex
import tempfile
from pathlib import Path

from boardmaker.commands.common import existing, is_there, say
from boardmaker.commands.editor_files import BIKE_SCHEMA, check_schemas, in_the_way, write_file, write_schemas
from boardmaker.commands.requests import NewRequest
from boardmaker.inputs import read_bike
from boardmaker.inputs.starter import carried_text, starter_text
from boardmaker.model import Bike
from boardmaker.problems import Interrupted, ProblemsFound, WrongUsage, error
from boardmaker.units import counted


def make_bike_file(request: NewRequest) -> None:
    """Write the bike file and its schema, and say what is in it. Raises ProblemsFound, with no bike file written."""
    path, other = request.file, request.from_
    if not request.force and (is_there(path) or path.is_symlink()):
        raise ProblemsFound([in_the_way(path)])
    if other is not None and is_there(path) and os.path.samefile(path, existing(other)):
        raise WrongUsage([error(f"{path} cannot be begun from itself", hint="choose another name")])
    text = starter_text(path) if other is None else carried_text(path, existing(other))
    bike = _proved(text, other)
    check_schemas([path.parent / BIKE_SCHEMA], request.force)
    write_file(path, text.encode("utf-8"), request.force)
    try:
        write_schemas(path.parent, [BIKE_SCHEMA], request.force)
        _say_written(path, bike, other, request.quiet)
    except KeyboardInterrupt:
        raise Interrupted(f"{path} was written") from None


def _proved(text: str, other: Path | None) -> Bike:
    """The bike of the new text. Raises ProblemsFound where what came from another file does not stand by itself."""
    with tempfile.TemporaryDirectory() as folder:  # no file that it names is beside it: it has no outlines
        trial = Path(folder) / "new.yaml"
        trial.write_text(text, encoding="utf-8")
        try:
            return read_bike(trial)[0]
        except ProblemsFound as found:
            hint = f"what is wrong there: {found.problems[0].message}"
            raise ProblemsFound([error(f"the sections of {other} do not stand without its rest", hint=hint)]) from None


def _say_written(path: Path, bike: Bike, other: Path | None, quiet: bool) -> None:
    kinds, jobs = counted(len(bike.fasteners), "kind"), counted(len(bike.jobs), "job")
    rows, typed = counted(len(bike.torques), "torque row"), shlex.quote(str(path))
    if other is None:
        panels = counted(len(bike.panels), "panel")
        say(f"wrote {path}: {panels}, {kinds} of fastener, {jobs}, {rows}, all invented", quiet)
        say(f"it makes a board as it stands (boardmaker board {typed}); put your own bike in, panel by panel", quiet)
    else:
        say(f"wrote {path}: {kinds} of fastener, {jobs}, {rows} from {other}; no panels yet", quiet)
        say("the commented lines under `panels` show the first panel; jobs wait for the panels they remove", quiet)
    say(f"wrote {path.parent / BIKE_SCHEMA}: by it an editor completes keys and words, and marks mistakes", quiet)
    say(f"then: boardmaker check {typed}", quiet)
