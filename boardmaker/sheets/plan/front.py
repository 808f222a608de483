"""What stands before the removal sheets and between removal and refit: cautions, tools, supplies, torques, renewals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from boardmaker.display_list import Path
from boardmaker.fonts import text_width
from boardmaker.model import Fastener, Job, TorqueRow
from boardmaker.service import Plan, Renewal, Service
from boardmaker.typeset.blocks import Block
from boardmaker.typeset.cells import (
    Column,
    Sizes,
    box,
    columns_cell,
    flowing,
    heading,
    kept_together,
    paragraph,
    ruled,
    set_line,
    ticked,
    ticked_line,
    with_marks,
)
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import printable, shown_name
from boardmaker.typeset.table import Cell, stacked
from boardmaker.wording.cautions import (
    BEFORE_THE_RIDE,
    CHECKED,
    HELD_CAUTION,
    MANUAL_FIRST,
    PLAN_CAUTIONS,
    PLAN_TRUST,
    TORQUE_CAUTION,
    UNCHECKED,
)
from boardmaker.wording.fasteners import drive_text, size_words
from boardmaker.wording.numbers import NO_BREAK_SPACE
from boardmaker.wording.preparation import (
    RENEW_OLD_FIRST,
    have_too,
    no_tool_text,
    renewal_text,
    ride_checks,
    stage_texts,
    supply_text,
    wrench_note,
    wrench_texts,
)
from boardmaker.wording.steps import must_nots, torque_text, with_text
from boardmaker.wording.torque_rows import row_details, stage_notes
from boardmaker.wording.torques import TorqueStyle, torque_second_text

SECOND = TorqueStyle(in_words=True)
FASTENER_SHARES = (0.2, 1.0, 0.3, 0.3)  # of the width at most: count and key, size, tool, torque
MOST_BOXES = 6  # pairs of boxes for the pieces of one part; with more, one pair and the number


def front_blocks(plan: Plan, width: float, height: float, sizes: Sizes) -> Iterator[Block]:
    """Yield whose plan this is and what to have ready."""
    yield Block(_title(plan, width, sizes), (), Cell(width, 0.0))
    parts = {
        "Before you start": _cautions(plan, width, sizes),
        "Tools": _tools(plan, width, sizes),
        "Parts and supplies": [*_jobs(plan, width, height, sizes), *_parts(plan, width, height, sizes)],
        "Fasteners that come out": _fasteners(plan, width, height, sizes),
    }
    yield from (_section(title, rows, width, sizes) for title, rows in parts.items() if rows)


def service_blocks(plan: Plan, width: float, height: float, sizes: Sizes) -> Iterator[Block]:
    """Yield the torques of the jobs and the parts to renew; nothing where there is neither."""
    caution = paragraph(TORQUE_CAUTION, sizes.note, width, air=0.6)
    for service in plan.services:
        if service.rows:
            rows = [cell for row in service.rows for cell in _torque_row(row, width, height, sizes)]
            yield _section(f"Torques: {_job_name(service)}", [*caution, *rows], width, sizes)
            caution = []
    if plan.renewals:
        yield _section("Parts to renew", _renewals(plan, width, height, sizes), width, sizes)


def closing_block(plan: Plan, width: float, sizes: Sizes) -> Block:
    """Return the last look before the ride."""
    how = paragraph(BEFORE_THE_RIDE, sizes.note, width, air=0.8)
    rows = [cell for text in ride_checks(plan) for cell in ticked_line(text, sizes, width)]
    return replace(_section("Before you ride", [*how, *rows], width, sizes), whole=True)


def _section(title: str, rows: Sequence[Cell], width: float, sizes: Sizes) -> Block:
    again = heading(f"{title} (continued)", sizes, width)
    return Block(heading(title, sizes, width), tuple(rows), again, whole=False, underlined=True)


def _job_name(service: Service) -> str:
    return shown_name(service.job) if service.job else "general"


def _title(plan: Plan, width: float, sizes: Sizes) -> Cell:
    work, bike = plan.work, plan.work.bike
    cells = paragraph("Removal and refit", sizes.line, width)
    cells += [
        columns_cell([Column(printable(bike.name, bike.file), 0.0, width, bold=True)], sizes.number, width, 3, air=0.8)
    ]
    facts = [bike.years, f"{_many(len(plan.removal), 'step')}, {_many(plan.count, 'fastener')} come out."]
    facts[1] = facts[1].replace("fastener come", "fastener comes")
    if work.equipment:
        names = dict(bike.equipment)
        facts.append(f"With: {', '.join(names[key] for key in work.equipment)}.")
    facts += [
        f"Source: {bike.source}." if bike.source else "",
        f"File {bike.file}, version {bike.sha256[:8]}. Words only: print at any size.",
    ]
    cells += [cell for fact in facts if fact for cell in paragraph(fact, sizes.note, width)]
    cells += paragraph(CHECKED if bike.checked else UNCHECKED, sizes.line, width, bold=not bike.checked)
    return stacked(cells, gap=0.0)


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def _cautions(plan: Plan, width: float, sizes: Sizes) -> list[Cell]:
    texts = (*must_nots(plan, shown_name), *plan.work.bike.cautions)
    own = [cell for text in texts for cell in _marked(text, sizes.line, width, bold=True)]
    usual = (MANUAL_FIRST, *PLAN_CAUTIONS, HELD_CAUTION, PLAN_TRUST)
    return own + [cell for text in usual for cell in _marked(text, sizes.note, width)]


def _marked(text: str, height: float, width: float, bold: bool = False) -> list[Cell]:
    """A paragraph with a dash before it."""
    first, *others = paragraph(text, height, width, 2 * height, bold, air=0.5)
    dash = set_line(Words("–", height, bold), 0.0, -0.5 - height)
    return [Cell(first.width, first.height, (dash, *first.labels), first.marks), *others]


def _tools(plan: Plan, width: float, sizes: Sizes) -> list[Cell]:
    cells = flowing([*map(drive_text, plan.tools), *wrench_texts(plan)], sizes, width)
    notes = (wrench_note(plan), no_tool_text(plan))
    return cells + [cell for note in notes if note for cell in paragraph(note, sizes.note, width)]


def _jobs(plan: Plan, width: float, height: float, sizes: Sizes) -> list[Cell]:
    jobs = [service.job for service in plan.services if service.job]
    return [cell for job in jobs for cell in kept_together(_job(job, width, sizes), height)]


def _job(job: Job, width: float, sizes: Sizes) -> list[Cell]:
    cells = paragraph(shown_name(job), sizes.line, width, bold=True, air=1.0)
    for text in (f"every {job.every}" if job.every else "", job.note):
        cells += paragraph(text, sizes.note, width) if text else []
    return cells + flowing([supply_text(supply) for supply in job.supplies], sizes, width)


def _parts(plan: Plan, width: float, height: float, sizes: Sizes) -> list[Cell]:
    """What the jobs' supplies do not name."""
    cells = []
    for title, texts in have_too(plan):
        titled = [*paragraph(title, sizes.line, width, bold=True, air=1.0), *flowing(texts, sizes, width)]
        cells += kept_together(titled, height)
    return cells


def _fasteners(plan: Plan, width: float, height: float, sizes: Sizes) -> list[Cell]:
    texts = [_fastener_texts(one, count) for one, count in plan.fasteners]
    starts = _starts(texts, width, sizes)
    rows = (
        _fastener(one, columns, starts, width, sizes) for (one, _), columns in zip(plan.fasteners, texts, strict=True)
    )
    return [cell for row in rows for cell in kept_together(row, height)]


def _fastener_texts(fastener: Fastener, count: int) -> tuple[str, ...]:
    size = size_words(fastener).replace("shoulder ", f"shoulder{NO_BREAK_SPACE}")
    tool = drive_text(fastener.drive).replace(" ", NO_BREAK_SPACE)
    return f"{count} × {fastener.key}", size, tool, torque_text(fastener.torque)


def _starts(rows: Sequence[Sequence[str]], width: float, sizes: Sizes) -> tuple[float, ...]:
    """Where the columns begin: as wide as their texts up to a share, the rest for the size; the end is the last."""
    if not rows:
        return ()
    count, _, tool, torque = (
        min(max(text_width(text, sizes.line, bold=True) for text in texts) + 3.2, width * share)
        for texts, share in zip(zip(*rows, strict=True), FASTENER_SHARES, strict=True)
    )
    return 0.0, count, width - torque - tool, width - torque, width


def _fastener(
    fastener: Fastener, texts: Sequence[str], starts: Sequence[float], width: float, sizes: Sizes
) -> list[Cell]:
    columns = [
        Column(text, x, end - x - 2.0, bold=index == 0)
        for index, (text, x, end) in enumerate(zip(texts, starts, starts[1:], strict=False))
    ]
    if not sizes.columns:
        columns = [Column(", ".join(text for text in texts if text), 0.0, width)]
    x = starts[1] if sizes.columns else 0.0
    notes = [cell for text in _fastener_notes(fastener) for cell in paragraph(text, sizes.note, width, x)]
    return [ruled(columns_cell(columns, sizes.line, width)), *notes]


def _fastener_notes(fastener: Fastener) -> list[str]:
    return [text for text in (with_text(fastener), fastener.note) if text]


def _torque_row(row: TorqueRow, width: float, height: float, sizes: Sizes) -> list[Cell]:
    """What is tightened and its torque, below it how; in a narrow column one under the other; a box a stage."""
    details = " · ".join(part for part in (torque_second_text(row.torque, SECOND), *row_details(row)) if part)
    notes = [(text, True) for text in stage_notes(row)] + [(details, False)] * bool(details)
    under = [cell for text, bold in notes for cell in paragraph(text, sizes.note, width, sizes.indent, bold, air=0.6)]
    stages = stage_texts(row)
    rows = _staged(row, stages, width, sizes) if stages else _single(row, width, sizes)
    return kept_together([*rows, *under], height)


def _single(row: TorqueRow, width: float, sizes: Sizes) -> list[Cell]:
    room = width - sizes.indent
    torque_width = width * 0.34 if sizes.columns else room
    columns = [Column(_what(row), sizes.indent, room - torque_width - 2.0 if sizes.columns else room)]
    torque = Column(torque_text(row.torque), width - torque_width, torque_width, bold=True, at_end=sizes.columns)
    below = [] if sizes.columns else [columns_cell([torque], sizes.line, width, air=0.3)]
    columns += [torque] if sizes.columns else []
    return [ruled(ticked(columns_cell(columns, sizes.line, width), sizes)), *below]


def _staged(row: TorqueRow, stages: Sequence[str], width: float, sizes: Sizes) -> list[Cell]:
    """A tick a stage, so that nobody loses count between them."""
    room = width - sizes.indent
    lines = [columns_cell([Column(stage, sizes.indent, room, bold=True)], sizes.line, width) for stage in stages]
    what = columns_cell([Column(_what(row), sizes.indent, room)], sizes.line, width)
    return [ruled(what), *(ticked(line, sizes) for line in lines)]


def _what(row: TorqueRow) -> str:
    return f"{printable(row.what, row.key)}{f' ({row.where_on_bike})' if row.where_on_bike else ''}"


def _renewals(plan: Plan, width: float, height: float, sizes: Sizes) -> list[Cell]:
    rows = (_renewal(renewal, width, sizes) for renewal in plan.renewals)
    how = paragraph(RENEW_OLD_FIRST, sizes.note, width, air=0.8)
    return [*how, *(cell for row in rows for cell in kept_together(row, height))]


def _renewal(renewal: Renewal, width: float, sizes: Sizes) -> list[Cell]:
    """The part in words, below it its boxes: old off, new on; a box a piece where they are few."""
    first, *others = paragraph(renewal_text(renewal), sizes.line, width, air=1.1)
    return [ruled(first), *others, *_boxes(renewal, width, sizes)]


def _boxes(renewal: Renewal, width: float, sizes: Sizes) -> list[Cell]:
    """The boxes beside each other in equal columns where there is room for that."""
    boxes = renewal.count if renewal.count <= MOST_BOXES else 1
    parts = [_boxed_word(word, boxes, sizes) for word in _box_words(renewal)]
    share = width / len(parts)
    if max(part.width for part in parts) + 4.0 > share:
        return parts
    placed = [part.at((index * share, 0.0)) for index, part in enumerate(parts)]
    labels = tuple(label for part in placed for label in part.labels)
    marks = tuple(mark for part in placed for mark in part.marks)
    return [Cell(width, parts[0].height, labels, marks)]


def _box_words(renewal: Renewal) -> tuple[str, ...]:
    """What is ticked: for each piece, or once for all where they are many; not all are renewed where it depends."""
    many = renewal.count > MOST_BOXES
    if renewal.is_conditional:
        return ("worn ones off", "new ones on", "the rest still good") if many else ("old off", "new on", "still good")
    return (f"all {renewal.count} old off", f"all {renewal.count} new on") if many else ("old off", "new on")


def _boxed_word(word: str, boxes: int, sizes: Sizes) -> Cell:
    """So many tick boxes and a word behind them."""
    marks: list[Path] = []
    x, middle = 0.0, -0.8 - sizes.line / 2
    for _ in range(boxes):
        marks.append(box(x, middle, sizes.box))
        x += sizes.box + 1.6
    own = text_width(word, sizes.line)
    cell = columns_cell([Column(word, x + 0.8, own + 0.1)], sizes.line, x + 0.8 + own, air=0.8)
    return with_marks(cell, *marks)
