"""The boards that a case takes: which size, which straight cuts at which corners, lying where, at which height.

In: the setup (stock, case) and the heights at which the boards lie. Out: the shape of each board. Apart from packing,
which is told a polygon and does not ask why it has that form.
"""

from boardmaker.case.cuts import CornerCut, cut_triangle
from boardmaker.case.fitting import Blank, InCase, Span, boards_from_sheet, boards_on_sheet, shape_boards, still_fits
from boardmaker.case.section import section as case_section
from boardmaker.case.stack import Layer, layer_of, stack_heights, stack_problem

__all__ = [
    "Blank",
    "CornerCut",
    "InCase",
    "Layer",
    "Span",
    "boards_from_sheet",
    "boards_on_sheet",
    "case_section",
    "cut_triangle",
    "layer_of",
    "shape_boards",
    "stack_heights",
    "stack_problem",
    "still_fits",
]
