"""A glyph of a TrueType font as SVG path data: whole font units in, short relative steps out.

Apart from the measures because fontTools has its one other door here. Quadratic curves stay quadratic curves.
"""

from __future__ import annotations

from typing import Any

from fontTools.pens.basePen import BasePen

Step = tuple[float, float]


def draw_outline(font: Any, name: str) -> tuple[tuple[int, int], str]:
    """Return the first point of glyph `name`, y up, and the rest of its outline relative to that point."""
    glyphs = font.getGlyphSet()
    pen = _RelativePen(glyphs)
    glyphs[name].draw(pen)
    return pen.start, "".join(pen.steps)


class _RelativePen(BasePen):  # type: ignore[misc]  # fontTools has no types
    """Writes each contour from where the last one began, so that a letter can be set down anywhere."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self.start = (0, 0)
        self.steps: list[str] = []
        self._contour: Step | None = None

    def _moveTo(self, point: Step) -> None:
        if self._contour is None:
            self.start = (round(point[0]), round(point[1]))
        else:
            self.steps.append("m" + _between(self._contour, point))
        self._contour = point

    def _lineTo(self, point: Step) -> None:
        self.steps.append("l" + _between(self._getCurrentPoint(), point))

    def _qCurveToOne(self, control: Step, point: Step) -> None:
        here = self._getCurrentPoint()
        self.steps.append(f"q{_between(here, control)} {_between(here, point)}")

    def _closePath(self) -> None:
        self.steps.append("z")


def _between(a: Step, b: Step) -> str:
    """Write the step from `a` to `b`; half units occur between two control points."""
    return f"{b[0] - a[0]:g} {b[1] - a[1]:g}"
