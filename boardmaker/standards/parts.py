"""Parts by designation: from `ISO 7380-2 - M6 x 16 - 10.9` to thread, length, class, head and drive.

In: one line as on a parts list. Out: a `Part`, or a ValueError that says which standards, sizes or classes are known.
Apart from threads and heads because only a designation ties the two together. Tables: `parts` (which columns of which
table hold a standard's head and drive), `other_names` (withdrawn and undivided standards).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from boardmaker.standards.heads import part_standards, read_head
from boardmaker.standards.reading import read_table
from boardmaker.standards.strength import check_class
from boardmaker.standards.threads import Thread, metric_pitches, metric_thread, tapping_thread
from boardmaker.standards.wording import NUMBER, TIMES, format_number, rank_words, read_number, suggest

_BREAK = r"(?:\s*[-–—]\s*|\s+)"
_DESIGNATION = re.compile(
    r"(?P<standard>[A-Z][A-Z ]*\d++(?:-\d++)?(?:\s+small|[-\s]*CE?(?=[-–—\s]))?)"  # C, CE: forms of DIN 7500
    r"(?::\d{4})?\s*[-–—]?\s*"  # a year may follow the number
    rf"(?P<letters>M|ST|)\s*(?P<size>{NUMBER})"
    rf"(?:{TIMES}(?P<first>{NUMBER}))?(?:{TIMES}(?P<second>{NUMBER}))?"
    rf"(?:{_BREAK}(?P<class>(?![CFRHZ]\b)\w.*?))?"
    rf"(?:{_BREAK}(?P<point>[CFR]))?(?:{_BREAK}(?P<recess>[HZ]))?",  # of a tapping screw; type of a cross recess
    re.IGNORECASE,
)
_LONGEST = 1000.0


@dataclass(frozen=True)
class Part:
    """What a designation says. Words as in the bike file, lengths in mm; `length` is None where none was written.

    A shoulder screw is named by its shoulder's length; `length` is the whole, with the thread that the standard adds.

    A washer's or nut's head is the whole part: its diameter over everything and its thickness.
    """

    standard: str
    thread: Thread
    length: float | None
    property_class: str
    kind: str
    head_shape: str
    head_diameter: float
    head_height: float
    drive: str
    shoulder: tuple[float, float] | None = None  # length and diameter


def parse_part(text: str) -> Part:
    """Read a designation such as `ISO 4762 - M8x1 x 25 - 8.8`; spaces and the class may be left out.

    After M and the size, a single number is the pitch if that size has such a pitch, else the length. Any length above
    0 and below 1000 mm is taken, not only the preferred ones. Raises ValueError for an unknown standard, size, thread,
    length or class, saying which are known.
    """
    match = _DESIGNATION.fullmatch(text.strip())
    part = _find_standard(match["standard"]) if match else {}
    if match is None or (not match["letters"] and part["kind"] != "washer"):  # a washer goes by its bare size
        raise ValueError(f"{text!r} is not a part designation: write ISO 7380-2 - M6 x 16 - 10.9")
    size = _find_size(part, match["letters"].upper() or "M", read_number(match["size"]))
    pitch, length = _read_dimensions(part["kind"], match)
    _check_dimensions(part["kind"], pitch, length)
    _check_letters(part, match)
    head = read_head(part, size)
    return Part(
        standard=part["standard"],
        thread=_read_thread(part["kind"], float(size["d"]), pitch),
        length=length + float(size["b"]) if length is not None and "ds" in size else length,
        property_class=check_class(match["class"], part["kind"]) if match["class"] else "",
        kind=part["kind"],
        head_shape=head.shape,
        head_diameter=head.diameter,
        head_height=head.height,
        drive=_read_drive(part, size, match["recess"] or ""),
        shoulder=(length, float(size["ds"])) if length is not None and "ds" in size else None,
    )


def _find_standard(words: str) -> Mapping[str, str]:
    """Find the row of `parts`; national prefixes (DIN EN ISO 4762) are dropped, other names resolved."""
    letters, number, series = re.findall(r"(JIS [A-Z]|[A-Z]+)\s*(\d+(?:-\d+)?)[-\s]*(SMALL|CE?\b|)", words.upper())[-1]
    name = f"{letters} {number} {'small' if series == 'SMALL' else series}".rstrip()
    for other in read_table("other_names"):
        if other["name"] == name:
            name = _resolve_name(other)
    known = part_standards()
    if name not in known:
        ranked = rank_words(name, known)
        raise ValueError(f"{name} is not a known standard: known are {', '.join(ranked)}{suggest(name, known)}")
    return known[name]


def _resolve_name(other: Mapping[str, str]) -> str:
    """Return the standard that a name stands for, ValueError where the parts differ."""
    if other["same"] == "yes":
        return other["standard"]
    relation = "it follows" if other["name"].startswith("JIS") else "it was replaced by"
    raise ValueError(
        f"{other['name']} is not in the tables, {relation} {other['standard']}: "
        f"write {other['standard']} if the part is to that standard ({other['note']})"
    )


def _find_size(part: Mapping[str, str], letters: str, diameter: float) -> Mapping[str, str]:
    """Find the row of the size in the part's own table."""
    own_letters = "ST" if part["kind"] == "tapping screw" else "M"
    rows = {float(row["d"]): row for row in read_table(part["table"])}
    if letters == own_letters and diameter in rows:
        return rows[diameter]
    nearest_first = sorted(rows, key=lambda size: (abs(size - diameter), size))
    known = ", ".join(f"{own_letters}{format_number(size)}" for size in nearest_first)
    written = f"{letters}{format_number(diameter)}"
    raise ValueError(f"{part['standard']} ({part['title']}) has no {written} in the table: known are {known}")


def _read_dimensions(kind: str, match: re.Match[str]) -> tuple[float | None, float | None]:
    """Return pitch and length in mm, None where not written."""
    first, second = (read_number(text) if text else None for text in match.group("first", "second"))
    pitches = metric_pitches().get(read_number(match["size"]), {}).values()
    if second is not None or kind == "nut" or any(first in series for series in pitches):
        return first, second
    return None, first


def _check_dimensions(kind: str, pitch: float | None, length: float | None) -> None:
    if length is not None and kind in ("nut", "washer"):
        raise ValueError(f"a {kind} has no length: leave out x {format_number(length)}")
    if pitch is not None and kind in ("washer", "tapping screw"):
        raise ValueError(f"a {kind} is not named with a pitch: leave out x {format_number(pitch)}")
    if length is not None and not 0 < length < _LONGEST:
        raise ValueError(f"a length of {format_number(length)} mm is not allowed: it must be above 0 and below 1000 mm")


def _check_letters(part: Mapping[str, str], match: re.Match[str]) -> None:
    if match["point"] and part["kind"] != "tapping screw":
        raise ValueError(f"{match['point']} is the point of a tapping screw, {part['standard']} has none: leave it out")
    if match["recess"] and part["drive"] != "PH":
        raise ValueError(f"{match['recess']} is the type of a cross recess, {part['standard']} has none: leave it out")


def _read_thread(kind: str, diameter: float, pitch: float | None) -> Thread:
    return tapping_thread(diameter) if kind == "tapping screw" else metric_thread(diameter, pitch)


def _read_drive(part: Mapping[str, str], size: Mapping[str, str], recess: str) -> str:
    """Return the drive in the words of the bike file: `hex 4`, `hexagon 10`, `T30`, `PH2`; recess type Z is `PZ2`."""
    if not part["drive"]:
        return ""
    word = "PZ" if part["drive"] == "PH" and recess.upper() == "Z" else part["drive"]
    return f"{word}{' ' if word in ('hex', 'hexagon') else ''}{size[part['drive_column']]}"
