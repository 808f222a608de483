"""Whether a font that a PDF brings along can still be drawn with: in, the font's bytes; out, what is wrong with them.

Apart because it knows the insides of fonts and nothing of PDF. Every table of a TrueType font has a sum over its bytes
(ISO/IEC 14496-22, 4.5), so that a single wrong byte shows; of other fonts only the beginning is looked at.
"""

from __future__ import annotations

import struct
from enum import IntEnum

import numpy as np

_HEAD_MAGIC = 0x5F0F3CF5
_OUTLINES = {b"\0\1\0\0": (b"glyf", b"loca"), b"true": (b"glyf", b"loca"), b"OTTO": (b"CFF ",)}
_ALWAYS = (b"head", b"hhea", b"hmtx", b"maxp")


class FontDamage(IntEnum):
    """What became of a font's bytes: nothing, some are other ones, or they are no font any more."""

    NONE = 0
    ALTERED = 1
    BROKEN = 2


def damage_of(program: bytes) -> FontDamage:
    """Say what is wrong with a font program of any kind that a PDF may hold."""
    if program[:4] in _OUTLINES:
        return _damage_of_tables(program)
    type_1 = program.startswith((b"%!", b"\x80\x01"))
    compact = len(program) > 4 and program[0] == 1 and program[2] >= 4 and 1 <= program[3] <= 4
    return FontDamage.NONE if type_1 or compact else FontDamage.BROKEN


def _damage_of_tables(program: bytes) -> FontDamage:
    try:
        (count,) = struct.unpack_from(">H", program, 4)
        entries = [struct.unpack_from(">4sIII", program, 12 + 16 * number) for number in range(count)]
    except struct.error:
        return FontDamage.BROKEN
    tables = {tag: program[start : start + length] for tag, _, start, length in entries}
    whole = all(len(tables[tag]) == length for tag, _, _, length in entries)
    needed = (*_OUTLINES[program[:4]], *_ALWAYS)
    if not whole or not all(tables.get(tag) for tag in needed) or not _consistent(tables):
        return FontDamage.BROKEN
    unaltered = all(_sum(tag, tables[tag]) == total for tag, total, _, _ in entries)
    return FontDamage.NONE if unaltered else FontDamage.ALTERED


def _consistent(tables: dict[bytes, bytes]) -> bool:
    """Whether the head is one, and the list of places has one for each glyph, inside the outlines and in order."""
    head, maxp = tables[b"head"], tables[b"maxp"]
    if len(head) < 54 or len(maxp) < 6 or struct.unpack_from(">I", head, 12)[0] != _HEAD_MAGIC:
        return False
    if b"loca" not in tables:
        return True
    form, unit = (">u4", 1) if struct.unpack_from(">h", head, 50)[0] == 1 else (">u2", 2)
    size, count = np.dtype(form).itemsize, struct.unpack_from(">H", maxp, 4)[0] + 1
    if len(tables[b"loca"]) < size * count:
        return False
    places = np.frombuffer(tables[b"loca"], form, count).astype(np.int64) * unit
    return bool((np.diff(places) >= 0).all() and places[-1] <= len(tables[b"glyf"]))


def _sum(tag: bytes, table: bytes) -> int:
    """The sum over a table as numbers of four bytes; that of the head leaves out its own field for the whole file."""
    if tag == b"head":
        table = table[:8] + b"\0\0\0\0" + table[12:]
    padded = table + b"\0" * (-len(table) % 4)
    return int(np.frombuffer(padded, ">u4").sum(dtype=np.uint64)) & 0xFFFFFFFF
