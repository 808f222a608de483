"""The files of a set of boards, which `board` and `repack` write alike.

In: the finished boards. Out: each file's bytes by name, or the files in their folder and what is said about them.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardmaker.boards import BoardSet
from boardmaker.boards.board_file.writing import write_board_file
from boardmaker.commands.common import write_and_say
from boardmaker.commands.options import choose_pages
from boardmaker.commands.requests import OutputChoice
from boardmaker.display_list import Drawing, Page
from boardmaker.problems import Interrupted
from boardmaker.render.dxf import render_dxf
from boardmaker.render.pdf import render_pdf
from boardmaker.render.png import render_png
from boardmaker.render.svg import render_svg

PREVIEW_DPI = 72.0


def write_boards(built: BoardSet, pages: str | None, lines: Iterable[str], output: OutputChoice) -> None:
    """Write the files and print the lines about them; `pages` are those wanted in sheets.pdf (None: all).

    Raises Interrupted, with all written and said, where Ctrl-C cut the search short; ProblemsFound for pages that are
    not there and for files that are not ours to overwrite.
    """
    write_and_say("board", board_files(built, pages), lines, output)
    if built.cut_short:
        raise Interrupted("the best boards so far were written; a longer search may find a larger drawing")


def board_files(built: BoardSet, pages: str | None = None) -> dict[str, bytes]:
    """Return the content of every file of a set, by name."""
    name = built.work.bike.name
    chosen = choose_pages(built.sheets, pages)
    files = {"sheets.pdf": render_pdf(chosen, title=f"{name}: board sheets", printer_scale=built.setup.printer.scale)}
    for number, board in enumerate(built.boards, start=1):
        files[f"board-{number}.svg"] = render_svg(board.drawing, title=f"{name}: board {number}")
        files[f"board-{number}.dxf"] = render_dxf(board.drawing)
    files["preview.png"] = render_png([_preview(board.drawing) for board in built.boards], dpi=PREVIEW_DPI)
    files["board.json"] = write_board_file(built)
    return files


def _preview(drawing: Drawing) -> Page:
    return Page(drawing.width, drawing.height, drawing.items)
