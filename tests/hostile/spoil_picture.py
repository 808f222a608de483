"""Scans spoilt: the same picture in other forms, and PNG and JPEG files with their parts changed."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator, Sequence
from random import Random

from PIL import Image, ImageCms

SIDES = (0, 1, 2, 7, 255, 1240, 1241, 20_000, 50_000, 50_001, 2**24, 2**31 - 1, 2**31, 2**32 - 1)


def other_form(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Another mode, format, size or turn; a whole picture."""
    picture = Image.open(io.BytesIO(content))
    size = dice.choice((picture.size, picture.size[::-1], (1, 1), (3000, 2), (2, 3000), (60, 80), (2480, 3508)))
    picture = picture.resize(size).convert(
        dice.choice(("L", "RGB", "RGBA", "P", "1", "LA", "I;16", "CMYK", "I", "F", "LAB", "HSV"))
    )
    written = io.BytesIO()
    more = {"dpi": dice.choice(((150, 150), (300, 72), (1, 1), (1e6, 1e6), (0, 0)))}
    if dice.random() < 0.3:
        more["exif"] = _exif(dice)
    if dice.random() < 0.3:
        more["icc_profile"] = dice.choice(
            (b"", b"x" * 5000, ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
        )
    form = dice.choice(
        ("PNG", "PNG", "JPEG", "JPEG", "TIFF", "GIF", "BMP", "WEBP", "PPM", "TGA", "ICO", "PDF", "JPEG2000")
    )
    try:
        picture.save(written, form, progressive=dice.random() < 0.5, **more)
    except (OSError, ValueError, KeyError, TypeError, struct.error):
        picture.convert("L").save(written, "PNG", dpi=(150, 150))
    return written.getvalue()


def _exif(dice: Random) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = dice.choice((0, 1, 3, 6, 8, 9, 65535))
    return exif


def spoil_chunks(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """A PNG file's chunks lost, doubled, moved or changed, their sums right or not; a JPEG file's segments."""
    if not content.startswith(b"\x89PNG"):
        return spoil_segments(content, dice)
    chunks = [*_chunks(content)]
    for _ in range(dice.choice((1, 1, 2, 4))):
        at = dice.randrange(len(chunks))
        kind, data = chunks[at]
        chunks[at : at + 1] = dice.choice(
            (
                [], [chunks[at]] * 2, [(kind, _spoilt(kind, data, dice))], [(kind, _spoilt(kind, data, dice))],
                [_odd(dice), chunks[at]],
                [chunks[at], _odd(dice)], [(kind, data[: len(data) // 2])], [(b"XxXx", data)],
                [(kind, data + b"\0" * 9)],
            )
        ) or [(b"teXt", b"")]  # fmt: skip
    bare = dice.random() < 0.2
    made = b"".join(_chunk(kind, data, dice if bare else None) for kind, data in chunks)
    return content[:8] + made[: dice.choice((len(made), len(made), len(made) // 2))]


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 8
    while at + 8 <= len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        yield content[at + 4 : at + 8], content[at + 8 : at + 8 + length]
        at += 12 + length


def _chunk(kind: bytes, data: bytes, dice: Random | None) -> bytes:
    length = len(data) if dice is None or dice.random() < 0.7 else dice.choice(SIDES)
    total = zlib.crc32(kind + data) if dice is None or dice.random() < 0.5 else dice.getrandbits(32)
    return struct.pack(">I", length) + kind + data + struct.pack(">I", total)


def _spoilt(kind: bytes, data: bytes, dice: Random) -> bytes:
    if kind == b"IHDR" and len(data) == 13:
        width, height, *rest = struct.unpack(">IIBBBBB", data)
        place = dice.randrange(3)
        if place == 0:
            width = dice.choice(SIDES)
        elif place == 1:
            height = dice.choice(SIDES)
        else:
            at = dice.randrange(5)  # depth, colour type, packing, filter, interlace
            rest[at] = dice.choice((0, 1, 2, 3, 4, 6, 8, 16, 255))
        return struct.pack(">IIBBBBB", width, height, *rest)
    if kind == b"pHYs":
        return struct.pack(">IIB", dice.choice(SIDES), dice.choice(SIDES), dice.choice((0, 1, 2)))
    if kind == b"IDAT":
        lines = dice.choice((b"\0", b"\x05", b"\xff")) * dice.choice((10, 10_000, 3_000_000))
        return dice.choice((zlib.compress(lines), data[:-9], bytes(reversed(data[:2000])), b""))
    return bytes(dice.randrange(256) for _ in range(len(data)))


def _odd(dice: Random) -> tuple[bytes, bytes]:
    large = zlib.compress(b"x" * dice.choice((10, 10_000_000)))
    return dice.choice(
        (
            (b"PLTE", bytes(range(256)) * 3), (b"PLTE", b"\0" * 7), (b"tRNS", b"\0" * 300),
            (b"iCCP", b"x\0\0" + large),
            (b"zTXt", b"Comment\0\0" + large), (b"iTXt", b"Comment\0\1\0\0\0" + large),
            (b"tEXt", b"\x1b[31m\0" + b"x" * 5000),
            (b"eXIf", b"MM\0*" + b"\xff" * 40), (b"gAMA", b"\0\0\0\0"), (b"acTL", b"\xff" * 8),
            (b"fcTL", b"\xff" * 26),
            (b"IEND", b""), (b"IDAT", b"\0" * 9), (b"CgBI", b"\0" * 4), (b"sBIT", b"\x20"), (b"IHDR", b"\0" * 13),
        )
    )  # fmt: skip


def spoil_segments(content: bytes, dice: Random) -> bytes:
    """A JPEG file's segments lost, doubled or changed."""
    at, pieces = 2, [content[:2]]
    while at + 4 <= len(content) and content[at] == 0xFF and content[at + 1] != 0xDA:
        (length,) = struct.unpack(">H", content[at + 2 : at + 4])
        pieces.append(content[at : at + 2 + length])
        at += 2 + length
    pieces.append(content[at:])
    for _ in range(dice.choice((1, 1, 3))):
        at = dice.randrange(len(pieces))
        piece = bytearray(pieces[at])
        if len(piece) > 9:
            place = dice.choice((1, 2, 3, 4, 5, 6, 7, 8, 9, dice.randrange(len(piece))))
            piece[min(place, len(piece) - 1)] = dice.choice((0, 1, 255, 0xC2, 0xC9, 0xDA, 17))
        pieces[at : at + 1] = dice.choice(
            ([bytes(piece)], [bytes(piece)], [pieces[at]] * 2, [b""], [pieces[at][: len(piece) // 2]])
        )
    return b"".join(pieces)
