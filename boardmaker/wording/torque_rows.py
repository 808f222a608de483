"""Rows of the torque strip in the words that are printed beside their torque."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import TorqueRow
from boardmaker.wording.fasteners import LOCKER_WORDS, drive_text, renew_text


def row_details(row: TorqueRow) -> Iterator[str]:
    """Yield what a torque row says beside its torque: thread, count, order, tool, what to renew, locker, notes."""
    if row.thread:
        yield f"{row.count} × {row.thread.designation}" if row.count > 1 else row.thread.designation
    elif row.count > 1:
        yield f"{row.count} of them"
    yield from (part for part in (row.order, drive_text(row.tool), row.lubricate) if part)
    if row.threadlocker in LOCKER_WORDS:
        yield LOCKER_WORDS[row.threadlocker]
    if row.renew:
        yield renew_text(row.renew)
    if row.note:
        yield row.note


def stage_notes(row: TorqueRow) -> Iterator[str]:
    """Yield how stages go over several screws and what to do before an angle (common practice, no source)."""
    if len(row.torque.stages) > 1 and (row.count > 1 or row.order):
        yield f"each stage on all {row.count if row.count > 1 else 'of them'} before the next"
    if any(stage.angle_deg is not None for stage in row.torque.stages):
        yield f"mark the head{'s' * (row.count > 1)} before the turn"
