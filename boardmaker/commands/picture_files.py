"""The files of a picture, for `picture` and for the watch of `check`.

In: a bike file as far as it could be read. Out: each file's bytes by name.
"""

from __future__ import annotations

import math

from boardmaker.display_list import Drawing, Page
from boardmaker.inputs import BikeInPart
from boardmaker.inputs.findings import suggestion
from boardmaker.picture import PictureLook, draw_bike, draw_panels, find_oddities, lost_panels
from boardmaker.problems import ProblemsFound, error
from boardmaker.render.png import render_png
from boardmaker.render.svg import render_svg

DPI = 130.0  # small words (2.2 mm) are then 11 dots high
MOST_DOTS = 14e6  # of a picture of very many panels; whoever wants it finer opens the SVG


def picture_files(
    read: BikeInPart, panels: tuple[str, ...], look: PictureLook, name: str = "picture"
) -> dict[str, bytes]:
    """Return `NAME.png` and `NAME.svg`: these panels, or the whole bike where none is named.

    Raises ProblemsFound for a panel that does not stand in the file.
    """
    lost = lost_panels(read.bike, read.entries)
    _check_keys(panels, [*(panel.key for panel in read.bike.panels), *lost], read.bike.file)
    oddities = find_oddities(read.bike, read.problems, read.entries)
    wanted = tuple(dict.fromkeys(panels))
    drawing = draw_panels(read.bike, oddities, wanted, look) if wanted else draw_bike(read.bike, oddities, lost, look)
    return _rendered(drawing, name, f"{read.bike.name}: {', '.join(wanted) or 'all panels'}")


def _check_keys(asked: tuple[str, ...], known: list[str], file: str) -> None:
    unknown = [key for key in dict.fromkeys(asked) if key not in known]
    if unknown:
        raise ProblemsFound([error(f'no panel "{key}" in {file}', hint=suggestion(key, known)) for key in unknown])


def _rendered(drawing: Drawing, name: str, title: str) -> dict[str, bytes]:
    page = Page(drawing.width, drawing.height, drawing.items)
    dpi = min(DPI, math.sqrt(MOST_DOTS / (page.width * page.height)) * 25.4)
    return {f"{name}.png": render_png([page], dpi=dpi, quick=True), f"{name}.svg": render_svg(drawing, title=title)}
