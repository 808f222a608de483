"""Figures at their places become a display list: device-independent, in millimetres, at true size.

In: figures and placements. Out: one `Drawing` a board. Apart from the renderers, which see nothing else; whatever is
drawn is decided here, so that every format shows the same board.
"""

from boardmaker.display_list import Circle, DisplayItem, Drawing, Page, Path, Text, Window
from boardmaker.drawing.board import draw_board
from boardmaker.drawing.cut_lengths import CutLine
from boardmaker.drawing.grid import MOST_IN_A_ROW, BoardGrid, board_grid, grid_marks
from boardmaker.drawing.placed import Placed, place_figure
from boardmaker.typeset.lettering import label_items

__all__ = [
    "MOST_IN_A_ROW",
    "BoardGrid",
    "Circle",
    "CutLine",
    "DisplayItem",
    "Drawing",
    "Page",
    "Path",
    "Placed",
    "Text",
    "Window",
    "board_grid",
    "draw_board",
    "grid_marks",
    "label_items",
    "place_figure",
]
