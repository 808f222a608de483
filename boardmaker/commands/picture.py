"""`picture`: panels as the file describes them, or the whole bike, with what is odd about it."""

from __future__ import annotations

from boardmaker.commands.common import say_warnings, write_and_say
from boardmaker.commands.doubts import has_errors, look_at
from boardmaker.commands.picture_files import picture_files
from boardmaker.commands.requests import PictureRequest
from boardmaker.inputs import in_file_order
from boardmaker.picture import PictureLook
from boardmaker.problems import ProblemsFound
from boardmaker.units import counted


def draw_pictures(request: PictureRequest) -> None:
    """Write the picture, also of a file with mistakes, as far as it goes; then say every problem.

    Raises ProblemsFound with them where one is an error: the picture is written all the same.
    """
    read = look_at(request.bike)
    files = picture_files(read, request.panels, PictureLook(request.ink != "black"))
    problems = counted(len(read.problems), "problem") if read.problems else "nothing odd"
    drawn = ", ".join(request.panels) or counted(len(read.bike.panels), "panel")
    lines = [f"{request.bike}: {drawn} drawn, {problems} found"]
    if has_errors(read.problems):
        write_and_say("picture", files, lines, request.output)
        raise ProblemsFound(in_file_order(read.problems))
    say_warnings(in_file_order(read.problems))
    write_and_say("picture", files, lines, request.output)
