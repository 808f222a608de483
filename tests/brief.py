"""How long boards are searched for in the tests.

Most tests ask whether a board is right, few how large its drawing is. What is right after a short search is right after
a long one: the same stages, fewer moves. So `--effort quick` is a twentieth of itself in the tests, and so is each
smaller search on the way; where one asks how large, it names the work. Figures are drawn anew for a fiftieth of the
scale, not for a few thousandths. Seams between tiles are tried every few
millimetres and words at two larger sizes only; `sheets/board/test_tiling.py` and `boards/test_growing.py`, which ask
about these, try all. Apart from `conftest`, for tests that start a Python of their own.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from boardmaker.boards import growing, search
from boardmaker.packing import refinement, scale_search
from boardmaker.packing.arrange import _WORK_OF as ARRANGING
from boardmaker.packing.effort import WORK_OF
from boardmaker.packing.settings import SCALE_SEARCH
from boardmaker.sheets.board import tiling

SHARE = 1 / 20
SEAM_STEP = 4.0  # mm
LARGER = (1.1, 2.0)  # times the usual type
ROUGH = replace(SCALE_SEARCH, refinements=2, worth=1.02, last_worth=1.005)


def make_brief(patch: pytest.MonkeyPatch) -> None:
    """Make `--effort quick` brief, also behind the command line."""
    for work in (WORK_OF, ARRANGING):
        patch.setitem(work, "quick", work["quick"] * SHARE)
    patch.setattr(search, "SHORT", search.SHORT * SHARE)
    for module in (refinement, scale_search):
        patch.setattr(module, "SCALE_SEARCH", ROUGH)
    patch.setattr(tiling, "STEP", SEAM_STEP)
    patch.setattr(growing, "STEPS", LARGER)
