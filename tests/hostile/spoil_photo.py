"""Photos spoilt: what a camera writes beside the pixels, sizes that are not true, other forms of the same picture.

In: a JPEG or PNG photo and dice. Out: another. Exif 2.32 (CIPA DC-008): chapter 4.6 has the directories and tags.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Sequence
from random import Random

from PIL import Image
from spoil_picture import other_form, spoil_chunks

SIDES = (0, 1, 599, 600, 5000, 11_000, 14_142, 20_000, 65_535)  # 14 142 squared are 200 million pixels
TURN, MAKER, MODEL, DIRECTORY, FOCAL, PLACE = 0x0112, 0x010F, 0x0110, 0x8769, 0xA405, 0x8825
MOST_MADE = 20e6  # pixels
COUNTS = (0, 1, 1, 1, 2, 7, 65_535, 2**31 - 1, 2**32 - 1)
NUMBERS = (0, 1, 2, 6, 8, 9, 26, 255, 65_535, 2**31, 2**32 - 1)


def spoil_exif(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """The photo with Exif data that say absurd things, point at themselves or end anywhere."""
    data = exif_data(dice)
    if content.startswith(b"\x89PNG"):
        chunk = struct.pack(">I", len(data)) + b"eXIf" + data
        return content[:33] + chunk + struct.pack(">I", zlib.crc32(chunk[4:])) + content[33:]
    segment = b"Exif\0\0" + data[:65_000]
    return content[:2] + b"\xff\xe1" + struct.pack(">H", len(segment) + 2) + segment + content[2:]


def exif_data(dice: Random) -> bytes:
    """A header and directories, of which each may lead to any place."""
    order = dice.choice("<>")
    entries = [
        (dice.choice((TURN, MAKER, MODEL, DIRECTORY, FOCAL, PLACE, dice.randrange(65_536))), *_entry(dice))
        for _ in range(dice.choice((1, 3, 3, 40)))
    ]
    directory = struct.pack(f"{order}H", dice.choice((len(entries), len(entries), 65_535)))
    directory += b"".join(struct.pack(f"{order}HHII", *one) for one in entries)
    directory += struct.pack(f"{order}I", dice.choice((0, 8, 26, 2**32 - 1)))
    mark = b"II*\0" if order == "<" else b"MM\0*"
    first = struct.pack(f"{order}I", dice.choice((8, 8, 8, 0, 4, 60_000)))
    return mark + first + directory * dice.choice((1, 1, 3)) + b"x" * dice.choice((0, 9, 5000))


def _entry(dice: Random) -> tuple[int, int, int]:
    """A type, a count, a value or where it stands; often the place of a directory."""
    return dice.choice((2, 3, 3, 4, 4, 5, 7, 0, 99)), dice.choice(COUNTS), dice.choice((8, 8, *NUMBERS))


def spoil_size(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """Another size in the header than the pixels have, its sums right."""
    width, height = dice.choice(SIDES), dice.choice(SIDES)
    if content.startswith(b"\x89PNG"):
        head = b"IHDR" + struct.pack(">II", width, height) + content[24:29]
        return content[:12] + head + struct.pack(">I", zlib.crc32(head)) + content[33:]
    at = max(content.find(b"\xff\xc0"), content.find(b"\xff\xc2"), 0)
    return content[: at + 5] + struct.pack(">HH", height, width) + content[at + 9 :]


def plain_picture(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """A picture of one colour, large or long, that packs to little."""
    size = dice.choice(((600, 600), (601, 40_000), (9000, 9000), (11_401, 11_401), (14_142, 14_142)))
    out = io.BytesIO()
    Image.new(dice.choice(("1", "L", "P")), size, dice.randrange(2)).save(out, "PNG")
    return out.getvalue()


def same_in_another_form(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """The same photo in grey, with a palette, with 16 bits, in four inks, in several frames, turned."""
    picture = Image.open(io.BytesIO(content))
    if picture.width * picture.height > MOST_MADE:  # as a header may say; the memory would count for the program's
        return content
    picture = picture.convert("RGB")
    mode = dice.choice(("L", "P", "I;16", "CMYK", "RGBA", "LA", "1", "YCbCr"))
    out = io.BytesIO()
    made = picture.convert("L").convert("I").convert("I;16") if mode == "I;16" else picture.convert(mode)
    exif = Image.Exif()
    exif[TURN] = dice.choice((0, 1, 3, 5, 6, 8, 9, 65_535))
    if mode in ("CMYK", "YCbCr"):
        made.save(out, "JPEG", quality=85, exif=exif, progressive=dice.random() < 0.5)
    else:
        frames = {"save_all": True, "append_images": [made.rotate(3)] * 2} if dice.random() < 0.3 else {}
        made.save(out, "PNG", exif=exif, compress_level=1, **frames)
    return out.getvalue()


PHOTO = (
    *[spoil_exif] * 3, *[spoil_size] * 2, plain_picture, *[same_in_another_form] * 3, other_form, *[spoil_chunks] * 4,
)  # fmt: skip
