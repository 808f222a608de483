"""The fonts that a PDF names: of each, whether the file brings it along, and whether what it brings is whole.

In: one font dictionary of pypdf after the other. Apart from `contents`, which finds them wherever they are named.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from pypdf.generic import DictionaryObject, StreamObject

from boardmaker.proof.font_program import FontDamage, damage_of
from boardmaker.proof.objects import TooMuch, resolved

LONGEST_NAME = 80  # letters of a font's name that are said
_PROGRAMS = ("/FontFile", "/FontFile2", "/FontFile3")


class FileFonts:
    """Gathers fonts by their names; `unpack` returns what a stream holds."""

    def __init__(self, unpack: Callable[[StreamObject], bytes]) -> None:
        self.embedded: dict[str, bool] = {}
        self.damages: dict[str, FontDamage] = {}
        self._unpack = unpack
        self._looked_at: dict[int, FontDamage] = {}

    def note(self, font: DictionaryObject) -> None:
        """Add a font. Raises TooMuch where its bytes are more than can be looked through."""
        name = _name(font)
        programs = [_program(one) for one in _bearers(font)]
        # The shapes of a Type 3 font are drawn by the file itself.
        there = font.get("/Subtype") == "/Type3" or (bool(programs) and None not in programs)
        self.embedded[name] = self.embedded.get(name, True) and there
        for program in filter(None, programs):
            if damage := self._damage(program):
                self.damages[name] = max(damage, self.damages.get(name, damage))

    def _damage(self, program: StreamObject) -> FontDamage:
        if id(program) not in self._looked_at:
            self._looked_at[id(program)] = self._damage_of(program)
        return self._looked_at[id(program)]

    def _damage_of(self, program: StreamObject) -> FontDamage:
        try:
            return damage_of(self._unpack(program))
        except (TooMuch, MemoryError):
            raise
        except Exception:  # pypdf stumbles over broken streams in any way there is
            return FontDamage.BROKEN


def _name(font: DictionaryObject) -> str:
    name = str(font.get("/BaseFont", font.get("/Name", "without a name"))).removeprefix("/")
    name = re.sub(r"^[A-Z]{6}\+", "", name)  # a subset's mark
    return name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}…"


def _bearers(font: DictionaryObject) -> Iterator[object]:
    """The dictionaries that describe a font's shapes: its own, or those of what it is composed of."""
    if font.get("/Subtype") == "/Type0":
        yield from (resolved(one) for one in resolved(font.get("/DescendantFonts")) or ())
    else:
        yield font


def _program(font: object) -> StreamObject | None:
    descriptor = resolved(font.get("/FontDescriptor")) if isinstance(font, DictionaryObject) else None
    if not isinstance(descriptor, DictionaryObject):
        return None
    programs = (resolved(descriptor[key]) for key in _PROGRAMS if key in descriptor)
    return next((one for one in programs if isinstance(one, StreamObject)), None)
