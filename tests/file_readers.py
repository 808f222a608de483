"""Lengths read back out of finished files by engines that did not write them; all in mm.

PDF by pdfplumber and by PDFium, SVG by svgelements, pictures of both by PDFium and resvg.
"""

from __future__ import annotations

import ctypes
import io
import math
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pdfplumber
import pypdfium2
import pypdfium2.raw as pdfium
import resvg_py
from PIL import Image
from svgelements import SVG
from svgelements import Circle as SvgCircle
from svgelements import Path as SvgPath

MM_PER_POINT = 25.4 / 72
SVG_NAMESPACE = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Measured:
    """What is on a page: its size, straight lines as (width, height), boxes around curves as (x0, y0, x1, y1), y up."""

    size: tuple[float, float]
    lines: tuple[tuple[float, float], ...]
    curves: tuple[tuple[float, float, float, float], ...]

    @property
    def lengths(self) -> list[float]:
        return [math.hypot(*line) for line in self.lines]

    @property
    def diameters(self) -> list[tuple[float, float]]:
        return [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in self.curves]


def read_with_pdfplumber(file: bytes, page: int = 0) -> Measured:
    """Read a page with pdfplumber (pdfminer.six underneath)."""
    with pdfplumber.open(io.BytesIO(file)) as document:
        sheet = document.pages[page]
        height = float(sheet.height)
        lines = tuple(_scale(line["width"], line["height"]) for line in sheet.lines)
        curves = tuple(
            _scale(curve["x0"], height - curve["bottom"], curve["x1"], height - curve["top"]) for curve in sheet.curves
        )
        return Measured(_scale(sheet.width, sheet.height), lines, curves)


def read_with_pdfium(file: bytes, page: int = 0) -> Measured:
    """Read a page with PDFium: the points of each path through its matrix (its own boxes include line widths)."""
    document = pypdfium2.PdfDocument(file)
    sheet = document[page]
    lines, curves = [], []
    for item in sheet.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        points, kinds = zip(*_path_points(item), strict=True)
        if pdfium.FPDF_SEGMENT_BEZIERTO in kinds:
            across, up = zip(*points, strict=True)
            curves.append((min(across), min(up), max(across), max(up)))
        else:
            lines += [(abs(b[0] - a[0]), abs(b[1] - a[1])) for a, b in pairwise(points)]
    size = _scale(*sheet.get_size())
    document.close()
    return Measured(size, tuple(lines), tuple(curves))


def _path_points(item: pypdfium2.PdfObject) -> Iterator[tuple[tuple[float, float], int]]:
    matrix = item.get_matrix()
    for index in range(pdfium.FPDFPath_CountSegments(item.raw)):
        segment = pdfium.FPDFPath_GetPathSegment(item.raw, index)
        x, y = ctypes.c_float(), ctypes.c_float()
        pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        yield _scale(*matrix.on_point(x.value, y.value)), pdfium.FPDFPathSegment_GetType(segment)


def _scale(*points: float) -> tuple[float, ...]:
    return tuple(float(value) * MM_PER_POINT for value in points)


def read_svg(file: bytes) -> Measured:
    """Read an SVG file with svgelements at 25.4 pixels to the inch, so that its pixels are millimetres."""
    parsed = SVG.parse(io.BytesIO(file), ppi=25.4)
    lines, curves = [], []
    for element in parsed.elements():
        if isinstance(element, SvgCircle):
            x0, y0, x1, y1 = element.bbox()
            curves.append((x0, parsed.height - y1, x1, parsed.height - y0))
        elif isinstance(element, SvgPath) and "aria-label" not in element.values["attributes"]:
            x0, y0, x1, y1 = element.bbox()
            lines.append((x1 - x0, y1 - y0))
    return Measured((float(parsed.width), float(parsed.height)), tuple(lines), tuple(curves))


def draw_pdf(file: bytes, dpi: float, page: int = 0) -> np.ndarray:
    """Return the ink of a page as PDFium draws it: True where it is darker than middle grey.

    pypdfium2 rounds the picture up to whole pixels and stretches the page to it: the scale is a millionth smaller so
    that a page of whole pixels stays one.
    """
    document = pypdfium2.PdfDocument(file)
    picture = document[page].render(scale=dpi / 72 * (1 - 1e-6)).to_pil().convert("L")
    document.close()
    return np.asarray(picture) < 128


def draw_svg(file: bytes, dpi: float) -> np.ndarray:
    """Return the ink of an SVG file as resvg draws it on white."""
    picture = bytes(resvg_py.svg_to_bytes(svg_string=file.decode(), dpi=dpi, background="white"))
    return np.asarray(Image.open(io.BytesIO(picture)).convert("L")) < 128


def ink_box(ink: np.ndarray, dpi: float) -> tuple[float, float, float, float]:
    """Return [x0, y0, x1, y1] of all ink in mm, y up from the lower edge of the picture."""
    rows, columns = np.nonzero(ink)
    pixels = (columns.min(), ink.shape[0] - 1 - rows.max(), columns.max() + 1, ink.shape[0] - rows.min())
    return tuple(float(pixel) * 25.4 / dpi for pixel in pixels)


def svg_elements(file: bytes, tag: str, group: str) -> list[ET.Element]:
    """Return the elements of one tag in one named group."""
    root = ET.fromstring(file)
    return root.findall(f".//{SVG_NAMESPACE}g[@id='{group}']//{SVG_NAMESPACE}{tag}")
