r"""A stranger's text made harmless: every character that nobody can see, or that steers what shows it, is written out.

In: any text, also one with lone surrogates. Out: the same with `\x1b` for an escape character, `\u202e` for a mark
that turns the reading direction; for cells of a list also with an apostrophe before what a spreadsheet would run. Apart
from the stages because the screen, lists and drawings must all do it alike; imports none of them.

Which characters: the controls C0, DEL and C1; what Unicode calls default ignorable (UAX #44: zero-width and bidi marks,
tags, fillers) but for the variation selectors, which only choose between two looks of a letter; line and paragraph
separators; surrogates and noncharacters, which no file of ours may hold (XML 1.0, 2.2). The ranges stand here and not
in `unicodedata`, so that the same text gives the same bytes under every version of Python.
"""

from __future__ import annotations

import re

_PLANES = "".join(f"\\U{plane:04x}fffe\\U{plane:04x}ffff" for plane in range(17))
HIDDEN = re.compile(  # one such character
    "[\\x00-\\x1f\\x7f-\\x9f\\xad\\u034f\\u061c\\u115f\\u1160\\u17b4\\u17b5\\u180b-\\u180f\\u200b-\\u200f\\u2028-\\u202e"
    "\\u2060-\\u206f\\u3164\\ud800-\\udfff\\ufdd0-\\ufdef\\ufeff\\uffa0\\ufff0-\\ufffb\\U000e0000-\\U000e00ff"
    "\\U000e01f0-\\U000e0fff" + _PLANES + "]"
)

# An apostrophe of the cell's own before the sign gets another one, so that what is read back is always what was meant.
_FORMULA = re.compile("(^|;)([\\s\"']*[=+\\-@\uff1d\uff0b\uff0d\uff20])")
_DEFUSED = re.compile("(^|;)'([\\s\"']*[=+\\-@\uff1d\uff0b\uff0d\uff20])")


def shown(text: str) -> str:
    """Return one line in which nothing is hidden and nothing acts: tabs and line ends are written out as well."""
    return HIDDEN.sub(_written_out, text)


def spaced(text: str) -> str:
    """Return a text for a cell or a line of a file: tabs and line ends become spaces, all else as `shown`."""
    return shown(re.sub("\r\n|[\t\n\v\f\r\x85\u2028\u2029]", " ", text))


def defused(cell: str) -> str:
    """Return a cell for a list in which no piece is a formula: an apostrophe stands in front of each that would be one.

    A piece begins at the cell's start and behind each semicolon, at which some lists are cut; blanks and quotes before
    it are passed over, as spreadsheets do. The wide signs are those of East Asian keyboards, which they take as well.
    """
    return _FORMULA.sub(r"\1'\2", cell)


def as_meant(cell: str) -> str:
    """Return what a cell said before it was `defused`."""
    return _DEFUSED.sub(r"\1\2", cell)


def _written_out(found: re.Match[str]) -> str:
    number = ord(found[0])
    named = {0x09: "\\t", 0x0A: "\\n", 0x0D: "\\r"}.get(number)
    if named:
        return named
    return f"\\x{number:02x}" if number < 0x100 else f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"
