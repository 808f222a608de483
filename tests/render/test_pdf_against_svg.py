"""The same board as PDF (drawn by PDFium) and as SVG (drawn by resvg) has the same ink."""

import dataclasses

import numpy as np
import pytest
from file_readers import draw_pdf, draw_svg
from PIL import Image, ImageFilter
from render_samples import BOARD, WHOLE

from boardmaker.display_list import Drawing, Page, Text
from boardmaker.render.pdf import render_pdf
from boardmaker.render.svg import render_svg

DPI = 254  # 10 pixels to the millimetre: every picture has whole pixels and one grid


def thicken(ink: np.ndarray) -> np.ndarray:
    """Return the ink grown by 2 pixels, 0.2 mm: what two engines may differ at an edge."""
    return np.asarray(Image.fromarray(ink.astype(np.uint8) * 255).filter(ImageFilter.MaxFilter(5))) > 0


def ink_of_one_only(page: Page, board: Drawing) -> int:
    """Return how many pixels of one file have no ink of the other nearby."""
    a, b = draw_pdf(render_pdf([page], title="a"), DPI), draw_svg(render_svg(board, title="b"), DPI)
    assert a.shape == b.shape
    assert min(a.sum(), b.sum()) > 1000
    return int((a & ~thicken(b)).sum() + (b & ~thicken(a)).sum())


@pytest.mark.slow
def test_both_files_show_the_same_board():
    """Lines, dashes, fills, circles, windows and every letter of the text."""
    assert ink_of_one_only(WHOLE, BOARD) == 0


@pytest.mark.parametrize("bold", [False, True])
def test_a_label_ends_at_the_same_place(bold):
    """Sums of advances in both: no kerning creeps in (AV, To). PDFium cuts widths to 1/1000 em, so not too long."""
    text = Text((5, 20), "AVAVAVAVAVAV To Ty Left tank side cover, 5 N·m", 2.5, bold=bold)
    board = Drawing(100, 40, (), (), (text,))
    assert ink_of_one_only(Page(100, 40, board.items), board) == 0


@pytest.mark.slow
def test_the_comparison_can_fail():
    """One label moved by half a millimetre is seen."""
    moved = [
        dataclasses.replace(item, at=(item.at[0] + 0.5, item.at[1])) if getattr(item, "text", "") == "Turned" else item
        for item in BOARD.print
    ]
    assert ink_of_one_only(WHOLE, dataclasses.replace(BOARD, print=tuple(moved))) > 50
