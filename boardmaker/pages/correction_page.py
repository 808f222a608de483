"""The page on which a traced panel is put right by hand, with mouse, finger or keys.

In: a panel as plain data, the fasteners that its holes may have, the picture of it if there is one. Out: one HTML file
that works offline and whose save is a drawing that `trace` takes. What is shown and done there is in `correction/`;
here its parts become one file, with what is a bike file's in it as data. A room of its own because nothing else here
is run by a browser.
"""

from __future__ import annotations

import json
import math
import re
from base64 import b64decode
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from boardmaker.geometry import Point
from boardmaker.model import Fastener
from boardmaker.pages.assembly import data_text, data_uri, filled, is_picture, policy, shown_html
from boardmaker.plain_text import shown
from boardmaker.wording.fasteners import short_words

SCRIPTS = (
    "geometry",
    "curves",
    "words",
    "state",
    "view",
    "drawing",
    "panel_of_words",
    "edits",
    "pointer",
    "keys",
    "saving",
    "start",
)
LARGEST_MARK, SMALLEST_MARK = 30.0, 1.0  # mm across, of a hole as it is saved: what is wider than 60 is no hole
FARTHEST = 10_000.0  # mm
FINENESS = 3  # digits of a millimetre, as in the outlines that `trace` writes
_PICTURE = re.compile(r'<image id="picture" href="data:image/[a-z]+;base64,([A-Za-z0-9+/=]+)"')
_DATA = re.compile(r'<script type="application/json" id="data">([^<]+)</script>')


@dataclass(frozen=True)
class PageHole:
    """A hole on the page: its place in mm in the panel's frame, its fastener's key, "" for none.

    `there`: the bike file has it. `proposed`: nobody has said yet that it is one; it is saved once it has a letter.
    """

    id: str
    at: Point
    fastener: str
    state: Literal["there", "new", "proposed"] = "there"


@dataclass(frozen=True)
class PagePanel:
    """A panel on the page: outline and holes in its own frame, mm, y up.

    A point of the outline is x, y; where the outline is curved there also dx, dy of the way back to the inner point of
    the cubic Bézier curve that comes to it, and dx, dy of the way on to the inner point of the one that leaves it.
    """

    key: str
    name: str
    seen: str  # from where: "as seen from the left, front on the left"
    outline: tuple[tuple[float, ...], ...]
    holes: tuple[PageHole, ...]
    notes: tuple[str, ...] = ()  # what is to be known of it, one line each
    doubtful: tuple[tuple[Point, ...], ...] = ()  # stretches of the outline that want to be looked at


@dataclass(frozen=True)
class PagePicture:
    """The panel from straight above, JPEG or PNG, and where its edges lie in the panel's frame, mm."""

    content: bytes
    box: tuple[float, float, float, float]  # x0, y0, x1, y1


def correction_page(
    panel: PagePanel, fasteners: Sequence[Fastener], picture: PagePicture | None, file_name: str, command: str
) -> str:
    """Return the page.

    `file_name` is what its drawing is saved as, `command` the line that takes that drawing. Raises ValueError for a
    panel without outline or with a place that is no number, and for a picture that is neither JPEG nor PNG.
    """
    if len(panel.outline) < 3 or not all(map(math.isfinite, _numbers(panel, picture))):
        raise ValueError(f"{panel.key} has nothing to put right")
    style, script = _part("correction.css"), _script()
    return filled(
        _part("correction.html"),
        {
            "policy": policy(script, style),
            "title": shown_html(panel.name),
            "key": shown_html(panel.key),
            "seen": shown_html(panel.seen),
            "notes": "".join(f"<li>{shown_html(note)}</li>" for note in panel.notes),
            "picture": _picture_element(picture),
            "data": data_text(_data(panel, fasteners, picture, file_name, command)),
            "style": style,
            "script": script,
        },
    )


def picture_of_page(page: str, key: str) -> PagePicture | None:
    """Return the picture of a page that was made before for this panel; None where it has none, or is no such page."""
    picture, data = _PICTURE.search(page), _DATA.search(page)
    if picture is None or data is None:
        return None
    try:
        content, said = b64decode(picture[1], validate=True), json.loads(data[1])
        x0, y0, x1, y1 = map(float, said["box"])
        is_own = said["key"] == key
    except (ValueError, TypeError, KeyError, RecursionError, OverflowError):
        return None
    is_box = -FARTHEST < x0 < x1 < FARTHEST and -FARTHEST < y0 < y1 < FARTHEST
    return PagePicture(content, (x0, y0, x1, y1)) if is_own and is_box and is_picture(content) else None


@cache
def _part(name: str) -> str:
    return (files("boardmaker.pages") / "correction" / name).read_text(encoding="utf-8").replace("\r\n", "\n")


@cache
def _script() -> str:
    """All parts in one function, so that nothing of them is seen from outside."""
    return '(() => {\n"use strict";\n' + "\n".join(_part(f"{name}.js") for name in SCRIPTS) + "})();\n"


def _picture_element(picture: PagePicture | None) -> str:
    """The element of the picture; its place and size are the script's to say."""
    if picture is None:
        return ""
    return f'<image id="picture" href="{data_uri(picture.content)}" preserveAspectRatio="none"/>'


def _numbers(panel: PagePanel, picture: PagePicture | None) -> list[float]:
    places = [*panel.outline, *(hole.at for hole in panel.holes), *(at for line in panel.doubtful for at in line)]
    return [number for place in places for number in place] + [*(picture.box if picture else ())]


def _data(
    panel: PagePanel, fasteners: Sequence[Fastener], picture: PagePicture | None, file_name: str, command: str
) -> dict[str, Any]:
    return {
        "key": panel.key,
        "name": panel.name,
        "outline": [_numbers_of(point) for point in panel.outline],
        "holes": [
            {"id": shown(hole.id), "at": _place(hole.at), "fastener": hole.fastener, "state": hole.state}
            for hole in panel.holes
        ],
        "fasteners": [_fastener(one) for one in fasteners],
        "doubtful": [[_place(point) for point in line] for line in panel.doubtful],
        "box": [round(number, FINENESS) for number in picture.box] if picture else None,
        "file": file_name,
        "command": shown(command),
    }


def _fastener(one: Fastener) -> dict[str, Any]:
    across = min(LARGEST_MARK, max(SMALLEST_MARK, one.diameter))
    return {"key": one.key, "words": shown(short_words(one)), "across": round(across, FINENESS)}


def _place(point: Point) -> list[float]:
    return _numbers_of(point)


def _numbers_of(point: Sequence[float]) -> list[float]:
    return [round(number, FINENESS) + 0.0 for number in point]
