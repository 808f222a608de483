"""Fasteners in the words that are printed."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Fastener
from boardmaker.units import with_article
from boardmaker.wording.numbers import decimal
from boardmaker.wording.torques import torque_nm_text

LOCKER_WORDS = {"light": "light threadlocker", "medium": "medium threadlocker", "strong": "strong threadlocker"}
HEAD_WORDS = {"hex": "hexagon head", "cylinder": "cylinder head"}


def size_text(fastener: Fastener) -> str:
    """Return what a fastener is in a few marks: `M6 × 21`, `clip for 8 mm hole`."""
    if fastener.thread:
        return f"{fastener.thread.designation} × {decimal(fastener.length)}"
    return f"{fastener.kind}, hole {decimal(fastener.diameter)}"


def drive_text(drive: str) -> str:
    """Return a drive in words that tell an inner from an outer hexagon."""
    if drive.startswith("hex "):
        return f"hex socket {drive.removeprefix('hex ')}"
    return f"hex head {drive.removeprefix('hexagon ')}" if drive.startswith("hexagon ") else drive


def short_words(fastener: Fastener) -> str:
    """Return a fastener in few words, to tell it from the others: `M6 × 21, shoulder 11, T30`."""
    return ", ".join(part for part in (size_words(fastener), drive_text(fastener.drive)) if part)


def size_words(fastener: Fastener) -> str:
    """Return size and shoulder, by which screws with the same head and drive are told apart: `M6 × 21, shoulder 11`."""
    shoulder = f", shoulder {decimal(fastener.shoulder.length)}" if fastener.shoulder else ""
    return f"{size_text(fastener)}{shoulder}"


def fastener_words(fastener: Fastener) -> str:
    """Return a fastener as one would say it over a counter: kind, size, head, drive, class."""
    return ", ".join(part for part in _fastener_parts(fastener) if part)


def _fastener_parts(fastener: Fastener) -> Iterator[str]:
    length = "length not known" if fastener.length_assumed else f"{decimal(fastener.length)} mm long"
    if fastener.thread:
        yield f"{fastener.kind} {fastener.thread.designation}"
    else:
        yield f"{fastener.kind} for {with_article(decimal(fastener.diameter))} mm hole"
    yield length
    if fastener.shoulder:
        yield f"shoulder {decimal(fastener.shoulder.length)} mm long and {decimal(fastener.shoulder.diameter)} mm thick"
    yield head_words(fastener)
    yield drive_text(fastener.drive)
    yield f"class {fastener.property_class}" if fastener.property_class else ""


def head_words(fastener: Fastener) -> str:
    """Return a head in words; its diameter only where somebody measured it or a standard says it."""
    head = fastener.head
    shape = HEAD_WORDS.get(head.shape, f"{head.shape} head")
    return shape if head.diameter_assumed else f"{shape} {decimal(head.diameter)} mm across"


def fastener_details(fastener: Fastener) -> Iterator[str]:
    """Yield the further lines of a screw key row: shoulder, tool and torque, what goes with it, notes."""
    if fastener.shoulder:
        yield f"shoulder {decimal(fastener.shoulder.length)} × ⌀{decimal(fastener.shoulder.diameter)}"
    work = [drive_text(fastener.drive), torque_nm_text(fastener.torque) if fastener.torque else ""]
    if any(work):
        yield " · ".join(part for part in work if part)
    extras = [
        f"with {', '.join(fastener.with_it)}" if fastener.with_it else "",
        LOCKER_WORDS.get(fastener.threadlocker, ""),
    ]
    extras.append(renew_text(fastener.renew))
    if any(extras):
        yield ", ".join(part for part in extras if part)
    if fastener.note:
        yield fastener.note


def renew_text(renew: str) -> str:
    """Return what to renew; "" for nothing."""
    return {"": "", "yes": "renew"}.get(renew, f"renew {renew}")
