"""What a page draws with: its fonts, in forms and appearances too, and how much there is to draw.

Apart from the rest of the structure because a file may nest forms in forms: each is looked at once, however often and
wherever it is drawn, and what would take for ever to draw is refused before anybody draws it.
"""

from __future__ import annotations

import re
import zlib
from collections import Counter
from collections.abc import Iterator
from typing import Any

from pypdf.generic import ArrayObject, DictionaryObject, StreamObject

from boardmaker.proof.calls import drawn_names
from boardmaker.proof.file_fonts import FileFonts
from boardmaker.proof.objects import TooMuch, resolved

MOST_CONTENT = 6_000_000  # bytes of a page with each form as often as it is drawn; a crowded sheet has 0.3 million
MOST_OF_ALL = 30_000_000  # bytes of all pages together
MOST_RESOURCES = 20_000  # of fonts, forms and patterns
DEEPEST = 24  # forms in forms; PDFium stops soon after
_OVERHEAD = 100  # bytes that drawing an empty form costs as much as
# A name may write a letter as # and two hex digits (ISO 32000-1, 7.3.5).
_HEX_LETTER = re.compile(rb"#([0-9A-Fa-f]{2})")


class Contents:
    """Looks through pages; `fonts` gathers their fonts, `torn` says that bytes of what is drawn are not as packed."""

    def __init__(self) -> None:
        self.fonts = FileFonts(self._unpacked)
        self.torn = False
        self._seen: set[int] = set()
        self._weights: dict[int, int | None] = {}  # None while a form is being weighed
        self._weight_of_all = 0

    def look_through(self, page: dict[str, Any]) -> None:
        """Gather the fonts of a page, its forms and its appearances. Raises TooMuch."""
        appearances = list(_appearances(page))
        weight = self._weigh(page.get("/Resources"), b"".join(self._streams(page.get("/Contents"))), 0)
        weight += sum(self._weigh_form(form, 1) for form in appearances)
        self._weight_of_all += _refuse_above(weight)
        _refuse_above(self._weight_of_all, MOST_OF_ALL)
        self._gather_fonts([page.get("/Resources"), *(form.get("/Resources") for form in appearances)])

    def _weigh(self, resources: object, content: bytes, depth: int) -> int:
        """Bytes to read for drawing `content`, forms in it counted as often as it draws them."""
        times = Counter(_plain_name(name) for name in drawn_names(content))
        weight = _OVERHEAD + len(content)
        for name, form in _forms(resolved(resources)):
            if count := times[_plain_name(name[1:].encode("latin-1", "replace"))]:
                weight = _refuse_above(weight + count * self._weigh_form(form, depth + 1))
        return weight

    def _weigh_form(self, form: StreamObject, depth: int) -> int:
        if depth > DEEPEST:
            raise TooMuch("forms are nested too deep")
        if id(form) not in self._weights:
            self._weights[id(form)] = None
            self._weights[id(form)] = self._weigh(form.get("/Resources"), self._drawn(form), depth)
        weight = self._weights[id(form)]
        if weight is None:
            raise TooMuch("a form draws itself")
        return weight

    def _streams(self, contents: object) -> Iterator[bytes]:
        """The parts of a page's content, with white space between them as a reader puts it."""
        parts = resolved(contents)
        weight = 0
        for part in parts if isinstance(parts, ArrayObject) else [parts]:
            stream = resolved(part)
            if isinstance(stream, StreamObject):
                data = self._drawn(stream)
                weight = _refuse_above(weight + len(data) + 1)
                yield data
                yield b"\n"

    def _drawn(self, stream: StreamObject) -> bytes:
        """What a stream draws, as far as it can be read."""
        data, torn = _data(stream)
        self.torn = self.torn or torn
        return data

    def _gather_fonts(self, waiting: list[object]) -> None:
        """Look at all fonts that the resources name, drawn with or not, in forms too."""
        while waiting:
            resources = resolved(waiting.pop())
            if not isinstance(resources, DictionaryObject) or id(resources) in self._seen:
                continue
            self._seen.add(id(resources))
            if len(self._seen) > MOST_RESOURCES:
                raise TooMuch("it has more fonts and forms than can be looked through")
            waiting += [form.get("/Resources") for _, form in _forms(resources)]
            for _, font in _entries(resources, "/Font"):
                if isinstance(font, DictionaryObject):
                    self.fonts.note(font)
                    waiting.append(font.get("/Resources"))

    def _unpacked(self, stream: StreamObject) -> bytes:
        """What a stream holds, counted with all that there is to read."""
        data, _ = _data(stream)  # what is wrong with a font is said of the font
        self._weight_of_all += len(data)
        _refuse_above(self._weight_of_all, MOST_OF_ALL)
        return data


def _refuse_above(weight: int, most: int = MOST_CONTENT) -> int:
    if weight > most:
        raise TooMuch("it draws more than can be looked through")
    return weight


def _data(stream: StreamObject) -> tuple[bytes, bool]:
    """The decoded bytes of a stream, and whether they are torn: not those packed (a sum is packed along, RFC 1950).

    Raises TooMuch before they fill the memory: flate makes a thousand of one.
    """
    torn = False
    filters = resolved(stream.get("/Filter", ()))
    data: bytes = stream._data  # as it is in the file, for which pypdf has no other name
    for one in filters if isinstance(filters, ArrayObject) else [filters]:
        if resolved(one) not in ("/FlateDecode", "/Fl"):
            break
        try:
            unpacking = zlib.decompressobj()
            data = unpacking.decompress(data, MOST_CONTENT + 1)
        except zlib.error:
            torn = True
            break  # pypdf takes what it can
        _refuse_above(len(data))
        torn = torn or not unpacking.eof
    decoded: bytes = stream.get_data()
    return decoded, torn


def _plain_name(name: bytes) -> bytes:
    return _HEX_LETTER.sub(lambda match: bytes([int(match[1], 16)]), name)


def _entries(resources: object, kind: str) -> Iterator[tuple[str, Any]]:
    named = resolved(resources.get(kind)) if isinstance(resources, DictionaryObject) else None
    if isinstance(named, DictionaryObject):
        for name, value in named.items():
            yield str(name), resolved(value)


def _forms(resources: object) -> Iterator[tuple[str, StreamObject]]:
    """Forms, and patterns, which are drawn like forms."""
    for kind in ("/XObject", "/Pattern"):
        for name, value in _entries(resources, kind):
            if isinstance(value, StreamObject) and value.get("/Subtype") != "/Image":
                yield name, value


def _appearances(page: dict[str, Any]) -> Iterator[StreamObject]:
    """What the page's notes, stamps and fields look like."""
    annotations = resolved(page.get("/Annots"))
    for annotation in annotations if isinstance(annotations, ArrayObject) else ():
        note = resolved(annotation)
        looks = resolved(note.get("/AP")) if isinstance(note, DictionaryObject) else None
        normal = resolved(looks.get("/N")) if isinstance(looks, DictionaryObject) else None
        if isinstance(normal, StreamObject):
            yield normal
