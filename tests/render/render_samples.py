"""Drawings and pages that the render tests share: invented, small, with every kind of item at every turn."""

from __future__ import annotations

from boardmaker.display_list import Circle, Drawing, Page, Path, Text, Window

BAR = 100.0  # the test bar of every sheet, mm
HOLE = 5.1
HEAD = 14.0

RED, PALE_BLUE = (0.8, 0.0, 0.1), (0.8, 0.9, 1.0)

INSET = (
    Circle((5, 5), 8, fill=0.5),
    Path(((-10, -5), (30, 15)), line_width=0.7),
    Text((2, 2), "Cut off here", 3),
)

BOARD = Drawing(
    width=200,
    height=140,
    cut=(Path(((20, 0), (200, 0), (200, 140), (0, 140), (0, 20)), closed=True, line_width=0.18),),
    holes=tuple(Circle((40 + 20 * index, 60), HOLE, 0.18) for index in range(3)),
    print=(
        Path(((20, 40), (100, 40), (100, 85), (60, 95), (20, 85)), closed=True, line_width=0.35, fill=0.93),
        *(Circle((40 + 20 * index, 60), HEAD, dash=(1, 1)) for index in range(3)),
        Text((60, 78), "Left knee cover ½ Ж Ω é ▲✓ ⌀6", 2.5, "middle"),
        Text((60, 45), "1 A  5 N·m", 3.5, "middle", bold=True),
        Text((130, 20), "Turned", 5, "start", 90, ink=0.4),
        Text((140, 60), "turned, to its end", 3.5, "end", 90, bold=True),
        Text((190, 120), "to its end", 3.5, "end"),
        Path(((105, 105), (115, 105), (110, 114)), closed=True, line_width=0.7, ink=RED, fill=PALE_BLUE),
        Text((120, 125), "red", 3.5, ink=RED),
        Path(((150, 120), (150, 100)), dash=(3, 1, 0.5, 1)),
        Window(INSET, (0, 0, 20, 10), (160, 60)),
        Window(INSET, (0, 0, 20, 10), (160, 80), turn_deg=90),
        Window((Window(INSET, (0, 0, 20, 10), (160, 60), 90),), (155, 65, 168, 85), (170, 20)),
    ),
)

WHOLE = Page(BOARD.width, BOARD.height, BOARD.items, "1", "Board 1")

BARS = Page(
    210,
    297,
    (
        Path(((10, 20), (10 + BAR, 20))),
        Path(((10, 20), (10, 20 + BAR))),
        Circle((60, 60), HEAD),
    ),
    "test",
)


def show(drawing: Drawing, source: tuple[float, float, float, float], turn_deg: int = 0) -> Page:
    """Return an A4 page with one window on a drawing, 10 mm from the left and 12 mm from below."""
    return Page(210, 297, (Window(drawing.items, source, (10, 12), turn_deg),))
