"""Texts and bytes spoilt in every way that a careless or hostile hand can: in, good bytes and dice; out, others."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from random import Random

NUMBERS = (
    "nan", ".nan", "inf", "-.inf", "Infinity", "1e308", "-1e308", "1e400", "1e-320", "-1", "0", "-0.0", "0.0000001",
    "99999999999", "1" * 400, "1e" + "9" * 40, "0x1F", "0o17", "1_000", "1:30", "1.2.3", "\uff11\uff12", "\u0663",
    "½",
    "1/0", "1 1/0 in", "1e5 mm", "-5 mm", "5 furlong", "1,5", "9 to 5 N·m", "90 deg", "[90 deg, 5 N·m]", "9" * 5000,
)  # fmt: skip
TEXTS = (
    "", " ", "null", "~", "true", "no", "[]", "{}", "[[]]", "{a: {b: c}}", "'", '"', "|", ">", "@", "`", "%", "&a *a",
    "*a", "&a [*a]", "!!int 5", "!x y", "!!python/object:os.system x", "<<", "=", "?", "- -", "#", "\t", "\x00",
    "\x1b]0;x\x07",
    "\x9b31m", "\x7f", "\u202e", "\u2066", "\u200b", "\u2028", "\x85", "\ufeff", "e\u0301" * 50, "\u0301" * 300,
    "\U0001f3cd\ufe0f", "\uffff", "\U000e0041", r'"\ud800"', r'"\e[31m"', r'"\0"', r'"\u202e"', "x" * 3000,
    "x" * 100_000,
    "../../../etc/passwd", "/dev/zero", "C:\\CON", "\uff1d1+1", "=1+1", "M6", "M6 x 16", "seat", "knee-left", "A",
    "1",
    "[seat, seat]", "left", "ISO 7380-2 - M6 x 16 - 10.9", "ISO " + "9" * 300, "2017-01-01",
)  # fmt: skip
ODD_BYTES = (
    b"\x00",
    b"\xff",
    b"\xfe\xff",
    b"\xef\xbb\xbf",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\xf4\x90\x80\x80",
    b"\r",
    b"\x0c",
)

Spoil = Callable[[bytes, Random, Sequence[bytes]], bytes]


def flip(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Change a few bytes."""
    made = bytearray(content)
    for _ in range(dice.choice((1, 1, 2, 5, 30))):
        if made:
            made[dice.randrange(len(made))] = dice.randrange(256)
    return bytes(made)


def cut(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Keep the start, the end, or all but a piece."""
    one, other = sorted(dice.randrange(len(content) + 1) for _ in range(2))
    return dice.choice((content[:one], content[one:], content[:one] + content[other:]))


def repeat(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Say a piece many times."""
    one, other = sorted(dice.randrange(len(content) + 1) for _ in range(2))
    other = min(other, one + 2000)
    return content[:one] + content[one:other] * dice.choice((2, 3, 50, 2000)) + content[other:]


def splice(content: bytes, dice: Random, others: Sequence[bytes]) -> bytes:
    """Go on with another file."""
    other = dice.choice(others) if others else content
    return content[: dice.randrange(len(content) + 1)] + other[dice.randrange(len(other) + 1) :]


def sprinkle(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Put odd bytes or odd letters somewhere."""
    for _ in range(dice.choice((1, 1, 3))):
        at = dice.randrange(len(content) + 1)
        odd = dice.choice((dice.choice(ODD_BYTES), dice.choice(TEXTS).encode("utf-8", "surrogatepass")))
        content = content[:at] + odd + content[at:]
    return content


def encode(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Save in another encoding, or with other line ends."""
    text = content.decode("utf-8", "replace")
    encoding = dice.choice(("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-8-sig", "latin-1", "cp1252", "utf-7"))
    ends = dice.choice(("\n", "\r\n", "\r", "\n\n", "\x85", "\u2028"))
    return text.replace("\n", ends).encode(encoding, "replace")


def nest(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Put brackets, lists or anchors without end somewhere."""
    depth = dice.choice((5, 40, 1000, 20_000))
    opened = dice.choice((b"[", b"{a: ", b"- ", b'[{"a":', b"<g>", b"(", b"<!--", b"? ", b"&a "))
    lines = content.split(b"\n")
    lines.insert(dice.randrange(len(lines) + 1), opened * depth + dice.choice((b"", b"1", b"]" * depth)))
    return b"\n".join(lines)


def bomb(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Aliases that grow, and keys or lines without end."""
    rows = [f"x{i}: &x{i} [{', '.join([f'*x{i - 1}'] * 9) if i else '1, 1, 1'}]" for i in range(dice.choice((3, 9)))]
    many = dice.choice((100, 3000, 20_000))
    made = dice.choice((rows, [f"k{i}: {i}" for i in range(many)], [""] * many, ["# x"] * many, ["\t" * many]))
    text = "\n".join(made).encode()
    return text + b"\n" + content if dice.random() < 0.5 else content + b"\n" + text


def change_lines(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Lines lost, doubled, moved, indented, cut, joined."""
    lines = content.split(b"\n")
    for _ in range(dice.randint(1, 4)):
        at = dice.randrange(len(lines))
        line = lines[at]
        other = dice.choice(lines)
        lines[at : at + 1] = dice.choice(
            (
                [],
                [line, line],
                [line, other],
                [b" " + line],
                [line[: len(line) // 2]],
                [line + b" " + other],
                [line] * 900,
            )
        ) or [b""]
    return b"\n".join(lines)


def change_values(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """Odd numbers and texts in the place of values, keys and numbers."""
    text = content.decode("utf-8", "replace")
    pattern = dice.choice((r"(?<=: )[^,{}\[\]#\n]+", r"-?\d+(?:\.\d+)?", r"[\w-]+(?=:)", r"[^,;\t\n]+", r"\w+"))
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        found = [*re.finditer(pattern, text)]
        if found:
            piece = dice.choice(found)
            text = text[: piece.start()] + dice.choice(dice.choice((NUMBERS, TEXTS))) + text[piece.end() :]
    return text.encode("utf-8", "surrogatepass")


ANY: tuple[Spoil, ...] = (flip, cut, repeat, splice, sprinkle)
TEXT: tuple[Spoil, ...] = (*ANY, encode, nest, bomb, change_lines, change_values, change_values, change_values)
