"""Fasteners in the words that are printed."""

from __future__ import annotations

import re
from collections.abc import Iterator

from boardmaker.model import Fastener, Shoulder
from boardmaker.units import inches_as_written, parse_length, with_article
from boardmaker.wording.numbers import decimal, with_mm, with_mm_if_inches
from boardmaker.wording.torques import torque_line

LOCKER_WORDS = {"light": "light threadlocker", "medium": "medium threadlocker", "strong": "strong threadlocker"}
HEXAGONS = {"hex": "hex socket", "hexagon": "hex head"}
TOOLS = {"hex": "hex bit", "hexagon": "socket"}  # what a mechanic takes out of the box for it
LENGTH_UNKNOWN = "length not known"  # and not the length that it is drawn with
HEAD_WORDS = {"hex": "hexagon head", "cylinder": "cylinder head"}


def size_text(fastener: Fastener) -> str:
    """Return what a fastener is in a few marks: `M6 × 21`, `M8, 6.8 high` for a nut, `push clip for ⌀8`."""
    if fastener.thread and _is_bare_nut(fastener):
        return f"{fastener.thread.designation}{_height(fastener, '')}"
    if fastener.thread and fastener.length_assumed:
        return f"{fastener.thread.designation}, {LENGTH_UNKNOWN}"
    if fastener.thread:
        return f"{fastener.thread.designation} × {with_mm_if_inches(fastener.length, fastener.length_written)}"
    return f"{fastener.kind} for ⌀{with_mm_if_inches(fastener.diameter, fastener.hole_written)}"


def drive_text(drive: str) -> str:
    """Return a drive in words that tell an inner from an outer hexagon; one in inches in mm too."""
    word, _, size = drive.partition(" ")
    if word not in HEXAGONS or not size:
        return drive
    written = inches_as_written(size)
    return f"{HEXAGONS[word]} {with_mm(parse_length(size), written) if written else size}"


def tool_to_have(drive: str) -> str:
    """Return a drive or a row's tool as the tool that fits it: `4 mm hex bit` for an inner hexagon, `8 mm socket`."""
    word, _, size = drive.partition(" ")
    if word not in TOOLS or not size:
        return drive
    written = inches_as_written(size)
    metric = re.fullmatch(r"\d+(?:\.\d+)?", size)
    across = with_mm(parse_length(size), written) if written else f"{size}{' mm' if metric else ''}"
    return f"{across} {TOOLS[word]}"


def short_words(fastener: Fastener) -> str:
    """Return a fastener in few words, to tell it from the others: `M6 × 21, shoulder 11, T30`."""
    return ", ".join(part for part in (size_words(fastener), drive_text(fastener.drive)) if part)


def size_words(fastener: Fastener) -> str:
    """Return size and shoulder, by which screws with the same head and drive are told apart: `M6 × 21, shoulder 11`."""
    plain = fastener.shoulder
    shoulder = f", shoulder {with_mm_if_inches(plain.length, plain.length_written)}" if plain else ""
    return f"{size_text(fastener)}{shoulder}"


def shoulder_text(plain: Shoulder) -> str:
    """Return a shoulder in a few marks: `shoulder 11 × ⌀9`."""
    across = with_mm_if_inches(plain.diameter, plain.diameter_written)
    return f"shoulder {with_mm_if_inches(plain.length, plain.length_written)} × ⌀{across}"


def fastener_words(fastener: Fastener) -> str:
    """Return a fastener as one would say it over a counter: kind, size, head, drive, class."""
    return ", ".join(part for part in _fastener_parts(fastener) if part)


def _fastener_parts(fastener: Fastener) -> Iterator[str]:
    long = f"{with_mm(fastener.length, fastener.length_written)} long"
    if fastener.thread:
        yield f"{fastener.kind} {fastener.thread.designation}"
    else:
        yield f"{fastener.kind} for {with_article(with_mm(fastener.diameter, fastener.hole_written))} hole"
    if _is_bare_nut(fastener):
        yield _height(fastener, " mm").removeprefix(", ")
    else:
        yield LENGTH_UNKNOWN if fastener.length_assumed else long
    if plain := fastener.shoulder:
        thick = with_mm(plain.diameter, plain.diameter_written)
        yield f"shoulder {with_mm(plain.length, plain.length_written)} long and {thick} thick"
    yield head_words(fastener)
    yield drive_text(fastener.drive)
    yield f"class {fastener.property_class}" if fastener.property_class else ""


def _is_bare_nut(fastener: Fastener) -> bool:
    """A nut has no length of its own, but a height; some write one all the same."""
    return fastener.kind == "nut" and fastener.length_assumed


def _height(fastener: Fastener, unit: str) -> str:
    return "" if fastener.head.height_assumed else f", {decimal(fastener.head.height)}{unit} high"


def head_words(fastener: Fastener) -> str:
    """Return a head in words; its diameter only where somebody measured it or a standard says it."""
    head = fastener.head
    shape = HEAD_WORDS.get(head.shape, f"{head.shape} head")
    return shape if head.diameter_assumed else f"{shape} {with_mm(head.diameter, head.diameter_written)} across"


def fastener_details(fastener: Fastener, with_torque: bool = True) -> Iterator[str]:
    """Yield the further lines of a screw key row: shoulder, tool and torque, what goes with it, notes."""
    if fastener.shoulder:
        yield shoulder_text(fastener.shoulder)
    work = [drive_text(fastener.drive), torque_line(fastener.torque) if fastener.torque and with_torque else ""]
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
