"""Two small pictures for the README: the mat from above with a panel on it, and from where the photos are taken.

Drawn with the program's own mat, codes, bike file and renderer; `python tests/photo_pictures.py` writes them anew. The
panel is one of an invented bike, true to scale on its mat.
"""

from __future__ import annotations

import io
import math
from pathlib import Path as File

from PIL import Image

from boardmaker.display_list import Circle, Page, Path, Text
from boardmaker.geometry import bounds, box_ring
from boardmaker.inputs import read_bike
from boardmaker.mat import TINTS, standard_mat
from boardmaker.mat.codes import MARK_CODES, SHEET_CODES, code_cells, draw_code
from boardmaker.mat.mark_codes import letter_codes
from boardmaker.model import Setup
from boardmaker.render.png import GAP, render_png

ROOT = File(__file__).parent.parent
FOLDER = ROOT / "examples" / "new-bike"
SIZE = (98.0, 68.0)  # mm
DPI = 105.0
TITLE, WORDS = 2.6, 2.2  # mm
GREEN = tuple(channel / 255 for channel in TINTS["green"])
RED = (0.72, 0.16, 0.16)
BLOCK = (3, 2)  # columns and rows of sheets
ABOVE, SIDE = 9.6, 20.0  # so many mm are one
LEFT, TOP = 2.0, SIZE[1] - 6.5


def pictures():
    """Both pictures as PNG by their file names."""
    return {
        "photos-from-above.png": _rendered([*from_above()]),
        "photos-from-the-side.png": _rendered([*from_the_side()]),
    }


def _rendered(items):
    """A page as PNG, without the grey around it."""
    picture = Image.open(io.BytesIO(render_png([Page(*SIZE, tuple(items))], dpi=DPI)))
    gap = round(GAP / 25.4 * DPI)
    out = io.BytesIO()
    picture.crop((gap, gap, picture.width - gap, picture.height - gap)).save(out, "PNG", optimize=True)
    return out.getvalue()


# From above


def from_above():
    """Six sheets, edge to edge; the panel in their middle, a mark over each of its holes; words beside it."""
    mat = standard_mat(Setup(), "A", "green")
    bike, _ = read_bike(ROOT / "layouts" / "fjellvik-820-tourer.yaml")
    panel = bike.panel("tank-side-left")
    wide, high = (side / ABOVE for side in mat.sheet)
    yield Text((LEFT, SIZE[1] - 3.8), "1. Lay it on the mat", TITLE, bold=True)
    for row in range(BLOCK[1]):
        for column in range(BLOCK[0]):
            yield from _sheet(mat, row, column)
    x0, y0, x1, y1 = bounds(panel.outline)
    middle = LEFT + BLOCK[0] * wide / 2 - (x0 + x1) / 2 / ABOVE, TOP - BLOCK[1] * high / 2 - (y0 + y1) / 2 / ABOVE
    holes = [(hole.fastener, _placed(hole.at, middle)) for hole in panel.holes]
    yield Path(tuple(_placed(one, middle) for one in panel.outline), closed=True, line_width=0.3, fill=RED)
    for key, at in holes:
        yield Circle(at, 23.0 / ABOVE, 0.1, ink=0.5, fill=1.0)
        yield from draw_code(code_cells(MARK_CODES[-1], letter_codes(key)[0]), at, 14.0 / ABOVE)
    right = max(holes, key=lambda one: one[1][0])[1]
    yield from _words_beside(LEFT + BLOCK[0] * wide, _placed(panel.outline[0], middle), right)


def _placed(point, origin):
    return origin[0] + point[0] / ABOVE, origin[1] + point[1] / ABOVE


def _sheet(mat, row, column):
    wide, high = (side / ABOVE for side in mat.sheet)
    x0, y0 = LEFT + column * wide, TOP - (row + 1) * high
    yield Path(box_ring(x0, y0, x0 + wide, y0 + high), closed=True, line_width=0.15, ink=0.3, fill=GREEN)
    page = mat.pages[row * mat.columns + column]
    for tag in mat.tags:
        if tag.page == page:
            at = x0 + (tag.centre[0] - mat.trim[0]) / ABOVE, y0 + (tag.centre[1] - mat.trim[1]) / ABOVE
            yield from draw_code(code_cells(SHEET_CODES, tag.id), at, tag.size / ABOVE)


def _words_beside(edge, panel, mark):
    x = edge + 4.0
    yield from _pointed(x, 56.0, ("sheets edge to edge,", "codes to be seen", "on every side"), (edge - 1.0, 53.5))
    yield from _pointed(x, 39.5, ("the panel alone,", "outside up"), (panel[0] + 6.0, 37.5))
    yield from _pointed(x, 27.0, ("a mark over each hole,", "as its screw comes out"), mark)
    yield from (
        Text((x, 14.0 - 3.4 * line), words, WORDS)
        for line, words in enumerate(("both bars of sheet A1", "measured before you", "trim it: --measured"))
    )


def _pointed(x, y, lines, at):
    """Words with a line to what they are about."""
    yield Path(((x - 0.8, y + 0.8), at), line_width=0.5, ink=1.0)
    yield Path(((x - 0.8, y + 0.8), at), line_width=0.2)
    yield Circle(at, 0.9, 0.1, ink=1.0, fill=0.0)
    yield from (Text((x, y - 3.4 * line), words, WORDS) for line, words in enumerate(lines))


# From the side

FOOT = (30.0, 9.0)  # where both photos aim at
HEIGHT = 900.0  # mm
LEANS = -6.0, 24.0  # degrees from upright


def from_the_side():
    """Two places of the phone, a step apart, about 1 m away, one of them tilted by nearly 25 degrees."""
    yield Text((LEFT, SIZE[1] - 3.8), "2. Two photos, a step apart", TITLE, bold=True)
    yield Path(((LEFT, FOOT[1] - 0.6), (SIZE[0] - LEFT, FOOT[1] - 0.6)), line_width=0.3, ink=0.5)
    half = 275.0 / SIDE
    yield Path(
        box_ring(FOOT[0] - half, FOOT[1] - 0.6, FOOT[0] + half, FOOT[1]), closed=True, line_width=0.1, fill=GREEN
    )
    yield Path(tuple(_bowed()), closed=True, line_width=0.2, fill=RED)
    places = [_phone_place(lean) for lean in LEANS]
    for number, (lean, at) in enumerate(zip(LEANS, places, strict=True), start=1):
        for end in (-half, half):
            yield Path((at, (FOOT[0] + end, FOOT[1])), line_width=0.15, ink=0.55, dash=(1.2, 0.9))
        yield Path((at, FOOT), line_width=0.25)
        yield from _phone(at, lean)
        yield Text((at[0] + (-3.4 if number == 1 else 3.0), at[1] + 3.0), f"{number}", TITLE, "middle", bold=True)
    yield from _upright_and_angle()
    yield from _step(*places)
    x = 61.0
    yield Text((places[0][0] - 4.4, 38.0), "about 1 m", WORDS, "end")
    said = ("the phone’s ordinary lens,", "no zoom", "", "even light, no flash,", "nothing moves", "in between")
    yield from (Text((x, 36.0 - 3.4 * line), words, WORDS) for line, words in enumerate(said))
    yield Text((FOOT[0], FOOT[1] - 4.8), "panel on the mat", WORDS, "middle")


def _phone_place(lean):
    far = HEIGHT / math.cos(math.radians(lean)) / SIDE
    return FOOT[0] + far * math.sin(math.radians(lean)), FOOT[1] + far * math.cos(math.radians(lean))


def _bowed():
    """A panel of 430 mm, 60 mm high in its middle."""
    outer = [(share, 60.0 * math.sin(math.pi * share) ** 0.7) for share in (k / 24 for k in range(25))]
    inner = [(share, max(0.0, high - 9.0)) for share, high in reversed(outer)]
    for share, high in (*outer, *inner):
        yield FOOT[0] + (share - 0.5) * 430.0 / SIDE, FOOT[1] + high / SIDE


def _phone(at, lean):
    """Seen from its edge, square to its sight."""
    angle = math.radians(lean)
    across, back = (math.cos(angle), -math.sin(angle)), (math.sin(angle), math.cos(angle))
    corners = ((-3.7, 0.0), (3.7, 0.0), (3.7, 0.9), (-3.7, 0.9))
    ring = tuple((at[0] + u * across[0] + v * back[0], at[1] + u * across[1] + v * back[1]) for u, v in corners)
    yield Path(ring, closed=True, line_width=0.2, fill=0.15)


def _upright_and_angle():
    top = FOOT[1] + HEIGHT / SIDE - 4.0
    yield Path((FOOT, (FOOT[0], top)), line_width=0.15, ink=0.4, dash=(0.5, 0.7))
    arc = [math.radians(LEANS[1] * k / 12) for k in range(13)]
    radius = 26.0
    yield Path(tuple((FOOT[0] + radius * math.sin(a), FOOT[1] + radius * math.cos(a)) for a in arc), line_width=0.2)
    yield Text((FOOT[0] + 1.0, FOOT[1] + radius + 1.6), "≤ 25°", WORDS)


def _step(one, other):
    """The double arrow between both places."""
    y = max(one[1], other[1]) + 5.0
    start, end = (one[0], y), (other[0], y)
    yield Path((start, end), line_width=0.25)
    for tip, way in ((start, 1.0), (end, -1.0)):
        barbs = ((tip[0] + 1.8 * way, y + 0.6), (tip[0] + 1.8 * way, y - 0.6))
        yield Path((tip, *barbs), closed=True, line_width=0.0, fill=0.0)
    yield Text(((one[0] + other[0]) / 2, y + 1.0), "a step", WORDS, "middle")


if __name__ == "__main__":
    for name, content in pictures().items():
        (FOLDER / name).write_bytes(content)
