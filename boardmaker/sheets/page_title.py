"""The title on top of a page that is no picture of a board: what it is, before its words and tables are read."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.drawing import Text
from boardmaker.fonts import text_width
from boardmaker.sheets.paper import MARKS, PageLayout
from boardmaker.typeset.lettering import HEADING, SMALL, broken

TITLE_HEIGHT = 10.0  # mm of a page's picture that a title takes


def page_title(layout: PageLayout, text: str, top: float | None = None) -> Iterator[Text]:
    """Yield a title as large as the page is wide for, `TITLE_HEIGHT` mm below `top`, else below the picture's edge."""
    x0, _, x1, y1 = layout.picture
    y1 = y1 if top is None else top
    height = min(HEADING, HEADING * (x1 - x0) / text_width(text, HEADING, bold=True))
    if height < SMALL:
        text, height = broken(text, SMALL, x1 - x0, bold=True)[0], SMALL
    yield Text((x0, y1 - HEADING), text, height, bold=True)


def title_above(layout: PageLayout, text: str) -> Iterator[Text]:
    """Yield a small title in the strip above the picture, for a page whose picture is full."""
    x0, _, x1, y1 = layout.picture
    yield Text((x0, y1 + MARKS - SMALL), broken(text, SMALL, x1 - x0, bold=True)[0], SMALL, bold=True)
