"""DXF files spoilt as what they are: pairs of a group code and a value, as text or in the binary form.

The binary form is in the DXF reference of 2012, "Binary DXF Files": a sentinel, then each code as two bytes and its
value by the range that the code lies in.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence
from random import Random

from ezdxf.lldxf.tagger import binary_tags_loader
from spoil_text import NUMBERS, TEXTS

SENTINEL = b"AutoCAD Binary DXF\r\n\x1a\x00"
Pair = tuple[int, str]
HUGE = ("0", "-1", "1", "255", "32767", "32768", "65536", "1000000", "2147483647", "-2147483648", "4294967296")
REPEATED = (2, 50, 5000)


def spoil_pairs(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """Pairs lost, doubled, moved, their codes or values changed; a part said many times."""
    pairs = dxf_pairs(content)
    start = next((at for at, pair in enumerate(pairs) if pair == (2, "BLOCKS")), 0)
    for _ in range(dice.choice((1, 1, 1, 2, 4, 10))):
        at = dice.randrange(dice.choice((0, start, start)), len(pairs))
        pairs[at : at + 1] = _spoilt(pairs, at, dice)
    return in_text(pairs) if dice.random() < 0.7 else in_binary(pairs)


def _spoilt(pairs: Sequence[Pair], at: int, dice: Random) -> list[Pair]:
    code, value = pairs[at]
    other = dice.choice(pairs)
    piece = [*pairs[at : at + dice.randrange(1, 60)]]
    number, handle = dice.choice((NUMBERS, HUGE, HUGE)), 5
    return dice.choice(
        (
            [], [(code, value)] * 2, [other], [(code, value), other], [(code, other[1])], [(other[0], value)],
            [(code, dice.choice(number))], [(code, dice.choice(number))], [(code, dice.choice(TEXTS))],
            [(code, value * 30)], [(dice.choice((-5, 0, 2, 5, 10, 40, 70, 71, 73, 100, 330, 999, 1004, 1071)), value)],
            [one for one in piece if one[0] != handle] * dice.choice(REPEATED), piece[::-1], [*piece, (0, "ENDSEC")],
        )
    )  # fmt: skip


def dxf_pairs(content: bytes) -> list[Pair]:
    """The pairs of a sound file, text or binary."""
    if content.startswith(SENTINEL):
        return [(tag.code, _plain(tag.value)) for tag in binary_tags_loader(content)]
    lines = content.decode("utf-8", "surrogateescape").splitlines()
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=False)]


def _plain(value: object) -> str:
    return value.hex() if isinstance(value, bytes) else str(value)


def in_text(pairs: Sequence[Pair]) -> bytes:
    """The pairs as a text file."""
    return "".join(f"{code:>3}\n{value}\n" for code, value in pairs).encode("utf-8", "surrogatepass")


def in_binary(pairs: Sequence[Pair]) -> bytes:
    """The pairs in the binary form; a value that is none of its code's kind becomes nought, or is cut to its bits."""
    out = io.BytesIO()
    out.write(SENTINEL)
    for code, value in pairs:
        out.write(struct.pack("<H", code & 0xFFFF))
        out.write(_binary_value(code, value))
    return out.getvalue()


def _binary_value(code: int, value: str) -> bytes:
    for (first, last), form in FORMS:
        if first <= code <= last:
            return _packed(form, value)
    if code in BYTES:
        data = value.encode("utf-8", "surrogatepass")[:255]
        return bytes([len(data)]) + data
    return value.encode("utf-8", "surrogatepass").replace(b"\0", b"") + b"\0"


def _packed(form: str, value: str) -> bytes:
    try:
        number = float(value)
        if form == "<d":
            return struct.pack(form, number)
        size = struct.calcsize(form)
        return (int(number) & (256**size - 1)).to_bytes(size, "little")
    except (ValueError, OverflowError):
        return bytes(struct.calcsize(form))


FORMS = (
    ((10, 59), "<d"), ((60, 79), "<h"), ((90, 99), "<i"), ((110, 149), "<d"), ((160, 169), "<q"), ((170, 179), "<h"),
    ((210, 239), "<d"), ((270, 289), "<h"), ((290, 299), "<b"), ((370, 389), "<h"), ((400, 409), "<h"),
    ((420, 429), "<i"), ((440, 449), "<i"), ((460, 469), "<d"), ((1010, 1059), "<d"), ((1060, 1070), "<h"),
    ((1071, 1071), "<i"),
)  # fmt: skip
BYTES = (310, 311, 312, 313, 314, 315, 316, 317, 318, 319, 1004)
