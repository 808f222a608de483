"""Rows of the torque strip in the words that are printed beside their torque."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from boardmaker.model import TorqueRow
from boardmaker.service import CONDITIONS
from boardmaker.wording.cautions import SAFETY_CAUTION, SAFETY_MARK
from boardmaker.wording.fasteners import LOCKER_WORDS, drive_text, renew_text

# What brakes, steers, carries a wheel or keeps the bike upright (common practice, no source).
SAFETY_WORDS = (
    r"\baxle", r"\bwheel", r"\bbrak", r"\bcal+iper", r"(?<!clutch )(?<!friction )\bdis[ck]s?\b",
    r"\bhandle ?bar", r"(?<!crash )(?<!tie )\bbars?\b", r"\bsteer", r"\byoke", r"\btriple (?:clamp|tree)",
    r"(?<!shift )(?<!selector )(?<!clutch )\bforks?\b", r"\bswing ?arm", r"\bshock\b", r"\bsuspension",
    r"(?<!paddock )\bstands?\b",
)  # fmt: skip
_SAFETY = re.compile("|".join(SAFETY_WORDS), re.IGNORECASE)


def is_for_safety(row: TorqueRow) -> bool:
    """Say whether brakes, steering, wheels or stands hang on a row, as far as its words tell."""
    return bool(_SAFETY.search(f"{row.what} · {row.where_on_bike}"))


def marked_name(row: TorqueRow, name: str) -> str:
    """Return the name of a row, with the mark of `safety_caution` where that is about it."""
    return f"{SAFETY_MARK} {name}" if is_for_safety(row) else name


def safety_caution(rows: Iterable[TorqueRow]) -> str:
    """Return what stands with rows of which one at least bears the mark; else ""."""
    return f"{SAFETY_MARK} {SAFETY_CAUTION}" if any(map(is_for_safety, rows)) else ""


def row_details(row: TorqueRow) -> Iterator[str]:
    """Yield what a torque row says beside its torque: thread, count, order, tool, locker, what to renew, notes."""
    yield from row_facts(row)
    if row.renew:  # of several it is they that are new, not what they hold
        yield f"renew all {row.count}" if row.renew == "yes" and row.count > 1 else renew_text(row.renew)
    if row.note:
        yield row.note


def row_facts(row: TorqueRow, *, oiled: bool = True) -> Iterator[str]:
    """Yield the same without what to renew and notes, for those that give these a line of their own.

    What is `oiled` too may be said elsewhere. In which order stages go is said by `stage_notes`.
    """
    if row.thread:
        yield f"{row.count} × {row.thread.designation}" if row.count > 1 else row.thread.designation
    elif row.count > 1:
        yield f"{row.count} of them"
    order = "" if len(row.torque.stages) > 1 else row.order
    yield from (part for part in (order, drive_text(row.tool), row.lubricate if oiled else "") if part)
    if row.threadlocker in LOCKER_WORDS:
        yield LOCKER_WORDS[row.threadlocker]


def new_part_text(row: TorqueRow) -> str:
    """Return what is fitted new under this torque; "" where nothing is, or only if worn."""
    if row.renew == "yes":
        return "new ones" if row.count > 1 else "a new one"
    if not row.renew or row.renew.startswith(CONDITIONS):
        return ""
    return f"new {row.renew.removeprefix('new ')} on"


def worn_text(row: TorqueRow) -> Iterator[str]:
    """Yield when a part is renewed, where that depends."""
    if row.renew.startswith(CONDITIONS):
        yield renew_text(row.renew)


def stage_notes(row: TorqueRow) -> Iterator[str]:
    """Yield how stages go over several screws and what to do before an angle (common practice, no source)."""
    if len(row.torque.stages) > 1 and (row.count > 1 or row.order):
        order = f", {row.order}" if row.order else ""
        yield f"each stage on all {row.count if row.count > 1 else 'of them'}{order}, before the next"
    if any(stage.angle_deg is not None for stage in row.torque.stages):
        yield f"mark the head{'s' * (row.count > 1)} before the turn"
