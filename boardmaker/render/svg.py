"""A board into an SVG file with svgwrite, at true size, in the groups that a cutter tells apart.

In comes a drawing in mm, y up; out come the bytes of a file whose unit is the millimetre. The flip to SVG's y down is
written into the coordinates, so that a program which ignores transforms still cuts and drills in the right place.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import svgwrite

from boardmaker.display_list import Circle, DisplayItem, Drawing, Ink, Path, Point, Text, Window
from boardmaker.fonts import outline_data, unit_size
from boardmaker.plain_text import shown
from boardmaker.render.placing import Boxes, Matrix, closed_ring, text_matrix, window_matrix

_GROUP_TITLES = {"cut": "Cut along these lines", "holes": "Punch or drill these holes", "print": "Print or engrave"}
_NO_INK = "M0 0"  # what a text of blanks looks like; a path needs its data


def render_svg(drawing: Drawing, *, title: str) -> bytes:
    """Return an SVG 1.1 file of the whole drawing, 1 user unit = 1 mm, text as outlines of the shipped font."""
    width, height = _number(drawing.width), _number(drawing.height)
    file = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    file.set_desc(title=shown(title))
    pencil = _Pencil(file)
    for name, items in drawing.groups():
        group = file.g(id=name, stroke_linejoin="round", stroke_linecap="butt")
        group.set_desc(title=_GROUP_TITLES[name])
        pencil.draw(items, group, drawing.height)
        file.add(group)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{file.tostring()}\n'.encode()


class _Pencil:
    """Turns items into elements of one file; `top` is the height that becomes y = 0."""

    def __init__(self, file: Any) -> None:
        self._file = file
        self._boxes = Boxes()
        self._windows = 0

    def draw(self, items: Iterable[DisplayItem], group: Any, top: float) -> None:
        """Add items to a group, in their order."""
        for item in items:
            match item:
                case Path():
                    group.add(self._file.path(d=_path_data(item, top), **_strokes(item)))
                case Circle():
                    group.add(self._circle(item, top))
                case Text():
                    group.add(self._text(item, top))
                case Window():
                    group.add(self._window(item, top))

    def _circle(self, item: Circle, top: float) -> Any:
        x, y = item.centre
        centre = (_number(x), _number(top - y))
        return self._file.circle(center=centre, r=_number(item.diameter / 2), **_strokes(item))

    def _text(self, item: Text, top: float) -> Any:
        size = unit_size(item.height, item.bold)
        a, b, c, d, e, f = text_matrix(item)
        matrix = _write_matrix((a * size, -b * size, c * size, -d * size, e, top - f))
        outline = self._file.path(
            d=outline_data(item.text, item.bold) or _NO_INK, fill=_colour(item.ink), transform=matrix
        )
        outline.attribs.update({"aria-label": shown(item.text), "role": "img"})
        return outline

    def _window(self, window: Window, top: float) -> Any:
        """Make a clipped group; the inner items are flipped about their own y = 0."""
        a, b, c, d, e, f = window_matrix(window)
        inner = self._file.g(transform=_write_matrix((a, -b, -c, d, e, top - f)))
        self.draw(self._boxes.visible(window), inner, 0.0)
        outer = self._file.g(clip_path=f"url(#{self._add_frame(window, top)})")
        outer.add(inner)
        return outer

    def _add_frame(self, window: Window, top: float) -> str:
        self._windows += 1
        width, height = window.size
        frame = self._file.clipPath(id=f"window-{self._windows}")
        corner = (_number(window.at[0]), _number(top - window.at[1] - height))
        frame.add(self._file.rect(insert=corner, size=(_number(width), _number(height))))
        self._file.defs.add(frame)
        return str(frame.get_id())


def _path_data(path: Path, top: float) -> str:
    steps = "L".join(_write_point(point, top) for point in closed_ring(path))
    return f"M{steps}{'Z' if path.closed else ''}"


def _write_point(point: Point, top: float) -> str:
    return f"{_number(point[0])} {_number(top - point[1])}"


def _strokes(item: Path | Circle) -> dict[str, str]:
    """Return the attributes for line and fill, all said on the element since some cutters' programs inherit nothing."""
    strokes = {"fill": "none" if item.fill is None else _colour(item.fill)}
    if item.line_width > 0:
        strokes |= {"stroke": _colour(item.ink), "stroke_width": _number(item.line_width)}
        if item.dash:
            strokes["stroke_dasharray"] = " ".join(map(_number, item.dash))
    return strokes


def _colour(ink: Ink) -> str:
    red_green_blue = ink if isinstance(ink, tuple) else (ink, ink, ink)
    return "#" + "".join(f"{round(part * 255):02x}" for part in red_green_blue)


def _number(value: float) -> str:
    """Write a length in mm to 0.0001 mm, without idle zeros and without a negative zero."""
    written = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def _write_matrix(matrix: Matrix) -> str:
    """Write a transform; factors go to 9 digits, since a long text is 100 000 font units wide."""
    factors = " ".join(f"{factor:.9g}" for factor in matrix[:4])
    return f"matrix({factors} {_number(matrix[4])} {_number(matrix[5])})"
