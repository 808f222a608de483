"""The make of a PDF, read with pypdf: page boxes, hints to the print dialog, fonts, the note of the printer's scale.

In come the bytes of a file, out comes a `Structure`. Whatever is wrong with the file as a file is said here: the
stages behind it meet only files that can be opened, with as many pages and as much on them as sheets have.
"""

from __future__ import annotations

import logging
import math
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject

from boardmaker.problems import Problem, ProblemsFound, error
from boardmaker.proof.contents import Contents
from boardmaker.proof.font_program import FontDamage
from boardmaker.proof.objects import TooMuch, resolved
from boardmaker.proof.report import Box

MM_PER_POINT = 25.4 / 72
MOST_PAGES = 500
MOST_OBJECTS = 100_000  # of the file; a sheet has about ten
LONGEST_SIDE = 14_400 * MM_PER_POINT  # mm, of a page with its UserUnit (ISO 32000-1, annex C: 14,400 units)
MAKE_IT_AGAIN = "make the file again with boardmaker, and print that file, not a copy that another program saved"
_INHERITED = ("/MediaBox", "/CropBox", "/Rotate", "/Resources")
_BOXES = ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox")
_METRES = f"{LONGEST_SIDE / 1000:.2f}"
_PRINTED_AREAS = ("/PrintArea", "/PrintClip")


@dataclass(frozen=True)
class PageMake:
    """How a page is made: boxes in mm, `boxes` by their names beside the media box; turn in degrees."""

    media: Box
    boxes: dict[str, Box]
    turn: float
    user_unit: float


@dataclass(frozen=True)
class Structure:
    """How a file is made; `printed_areas` tells which box is printed, `torn` that bytes of what is drawn are damaged.

    `fonts` tells of each whether the file brings it, `font_damages` of some what is wrong with what it brings.
    """

    pages: tuple[PageMake, ...]
    print_scaling: str
    printed_areas: tuple[str, ...]
    fonts: dict[str, bool]
    font_damages: dict[str, FontDamage]
    keywords: str
    torn: bool = False


def read_structure(content: bytes, name: str) -> Structure:
    """Read how a file is made; `name` is for messages. Raises ProblemsFound for what is no whole, open PDF."""
    if problem := _no_whole_pdf(content, name):
        raise ProblemsFound([problem])
    try:
        with _without_a_word():
            return _read(content, name)
    except (ProblemsFound, MemoryError):
        raise
    except TooMuch as much:
        raise ProblemsFound([error(f"{name}: {much}: this is no sheet of boardmaker", hint=MAKE_IT_AGAIN)]) from None
    # A damaged file makes the reader stumble in any way there is; what it stumbled over helps nobody at the printer.
    except Exception:
        raise ProblemsFound([_encrypted(name) if b"/Encrypt" in content else _damaged(name)]) from None


def _damaged(name: str) -> Problem:
    return error(f"{name} is damaged: it cannot be read as a PDF", hint=MAKE_IT_AGAIN)


def _encrypted(name: str) -> Problem:
    return error(
        f"{name} is encrypted: it cannot be measured",
        hint="make the file again with boardmaker, or save it without a password",
    )


def _no_whole_pdf(content: bytes, name: str) -> Problem | None:
    if not content:
        return error(f"{name} is empty", hint=MAKE_IT_AGAIN)
    if b"%PDF-" not in content[:1024]:
        return error(f"{name} is not a PDF", hint="give a file such as out/sheets.pdf or out/testpage.pdf")
    if b"%%EOF" not in content[-1024:]:
        return error(f"{name} is cut short: its end is missing", hint="copy or download it again")
    return None


@contextmanager
def _without_a_word() -> Iterator[None]:
    """Keep the reader's own remarks off the screen."""
    log = logging.getLogger("pypdf")
    level = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        log.setLevel(level)


def _read(content: bytes, name: str) -> Structure:
    reader = PdfReader(BytesIO(content))
    if "/Encrypt" in reader.trailer:
        raise ProblemsFound([_encrypted(name)])
    _refuse_many_objects(reader, name)
    root = resolved(reader.trailer["/Root"])
    pages, contents = _pages(root, name), Contents()
    makes = tuple(_page_make(page) for page in pages)
    _refuse_large_pages(makes, name)
    for page in pages:
        contents.look_through(page)
    preferences = resolved(root.get("/ViewerPreferences")) or {}
    areas = (str(resolved(preferences.get(area, ""))) for area in _PRINTED_AREAS)
    return Structure(
        makes,
        str(resolved(preferences.get("/PrintScaling", ""))).removeprefix("/"),
        tuple(area for area in areas if area in _BOXES),
        dict(sorted(contents.fonts.embedded.items())),
        dict(sorted(contents.fonts.damages.items())),
        str((resolved(reader.trailer.get("/Info")) or {}).get("/Keywords") or ""),
        contents.torn,
    )


def _pages(root: DictionaryObject, name: str) -> tuple[dict[str, Any], ...]:
    """All pages in order, each with what it inherits. Raises ProblemsFound for none or too many."""
    pages: list[dict[str, Any]] = []
    waiting: list[tuple[Any, dict[str, Any]]] = [(root["/Pages"], {})]
    for _ in range(4 * MOST_PAGES):  # a tree that runs in a circle ends here
        if not waiting or len(pages) > MOST_PAGES:
            break
        node, inherited = waiting.pop()
        node = resolved(node)
        inherited = inherited | {key: node[key] for key in _INHERITED if key in node}
        kids = resolved(node.get("/Kids"))
        if isinstance(kids, ArrayObject):
            waiting += [(kid, inherited) for kid in reversed(kids[: MOST_PAGES + 1])]
        else:
            pages.append({**inherited, **node})
    if waiting or len(pages) > MOST_PAGES:
        raise ProblemsFound([error(f"{name} has more than {MOST_PAGES} pages: it cannot all be measured")])
    if not pages:
        raise ProblemsFound([error(f"{name} has no pages", hint=MAKE_IT_AGAIN)])
    return tuple(pages)


def _refuse_many_objects(reader: PdfReader, name: str) -> None:
    objects = len(reader.xref_objStm) + sum(len(generation) for generation in reader.xref.values())
    if objects > MOST_OBJECTS:
        message = f"{name} consists of {objects:,} objects: more than {MOST_OBJECTS:,} are not looked through"
        raise ProblemsFound([error(message, hint=MAKE_IT_AGAIN)])


def _refuse_large_pages(makes: Sequence[PageMake], name: str) -> None:
    """Raise ProblemsFound for the first page that no reader needs to show: it would fill the memory."""
    for number, make in enumerate(makes, start=1):
        if not 0.0 < make.user_unit < math.inf:
            message = f"{name}: page {number} has a unit of its own that cannot be (UserUnit {make.user_unit:g})"
            raise ProblemsFound([error(message, hint=MAKE_IT_AGAIN)])
        for x0, y0, x1, y1 in (make.media, *make.boxes.values()):
            longest = max(x1 - x0, y1 - y0) * make.user_unit
            if not longest <= LONGEST_SIDE + 0.01:
                message = f"{name}: page {number} is {longest / 1000:,.1f} m long; a PDF's page has {_METRES} m at most"
                raise ProblemsFound([error(message, hint=MAKE_IT_AGAIN)])


def _page_make(page: dict[str, Any]) -> PageMake:
    boxes = {name: _box(page[name]) for name in _BOXES if name in page}
    turn, unit = resolved(page.get("/Rotate", 0)), resolved(page.get("/UserUnit", 1))
    return PageMake(_box(page["/MediaBox"]), boxes, float(turn), float(unit))


def _box(value: object) -> Box:
    x0, y0, x1, y1 = (float(resolved(number)) * MM_PER_POINT for number in resolved(value))
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
