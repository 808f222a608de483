"""On paper: boards as tiles, the case, the pages beside the bike, the plan, the test page; a room for each product.

In: drawings of boards, the work, the setup. Out: pages for a renderer, and for tiles which part of which board each one
shows. Apart from drawing because a board does not change with the paper.
"""

from boardmaker.sheets.board.laying import BoardOnPaper, Sheets, lay_sheets, picture_size
from boardmaker.sheets.board.patch_sheets import Sheet
from boardmaker.sheets.case.cutting_list import BoardInCase, cut_text, double_cuts, flat_text
from boardmaker.sheets.plan.pages import lay_plan
from boardmaker.sheets.reference.torque_strip import adapter_note, lay_torque_strip
from boardmaker.sheets.testpage.page import DOT, Dots, lay_testpage, testpage_bars, testpage_dots

__all__ = [
    "DOT",
    "BoardInCase",
    "BoardOnPaper",
    "Dots",
    "Sheet",
    "Sheets",
    "adapter_note",
    "cut_text",
    "double_cuts",
    "flat_text",
    "lay_plan",
    "lay_sheets",
    "lay_testpage",
    "lay_torque_strip",
    "picture_size",
    "testpage_bars",
    "testpage_dots",
]
