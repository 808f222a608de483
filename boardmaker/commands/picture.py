"""`picture`: panels as the file describes them, or the whole bike, with what is odd about it."""

from __future__ import annotations

from boardmaker.commands.common import say_warnings, write_and_say
from boardmaker.commands.doubts import look_at
from boardmaker.commands.picture_files import picture_files
from boardmaker.commands.requests import PictureRequest
from boardmaker.picture import PictureLook
from boardmaker.units import counted


def draw_pictures(request: PictureRequest) -> None:
    """Say every problem of the file, and write the picture: also of a file with mistakes, as far as it goes.

    Errors do not stop this command: whoever wants to know by the exit code asks `check`. Raises ProblemsFound where
    nothing can be made of the file, or a panel is asked for that does not stand in it.
    """
    read = look_at(request.bike)
    files = picture_files(read, request.panels, PictureLook(request.ink != "black"))
    problems = counted(len(read.problems), "problem") if read.problems else "nothing odd"
    drawn = ", ".join(request.panels) or counted(len(read.bike.panels), "panel")
    say_warnings(read.problems)
    lines = [f"{request.bike}: {drawn} drawn, {problems} found"]
    write_and_say("picture", files, lines, request.output)
