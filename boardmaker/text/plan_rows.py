"""The plan as a table (RFC 4180, UTF-8): one row for every fastener, for what is let go by hand, for every torque."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.service import Freed, Group, Plan, RemovalStep
from boardmaker.text.csv_text import write_csv
from boardmaker.wording.fasteners import drive_text, size_text
from boardmaker.wording.steps import by_hand_text, hole_cautions, minded, pocket_text, torque_text
from boardmaker.wording.torque_rows import row_details, safety_caution, stage_notes

COLUMNS = (
    "row", "step", "refit_step", "side", "panel", "name", "tag", "hole", "pocket", "board", "square", "fastener",
    "also_holds", "size", "tool", "torque", "threadlocker", "with_it", "renew", "out", "in", "note", "caution",
)  # fmt: skip

Row = dict[str, str | int]


def write_rows(plan: Plan) -> bytes:
    """Return the table with a line of headings; `row` says what each line is: fastener, by hand or torque."""
    rows = (*_removal(plan), *_torques(plan))
    return write_csv(COLUMNS, ([row.get(column, "") for column in COLUMNS] for row in rows))


def _removal(plan: Plan) -> Iterator[Row]:
    out, back = 0, _back(plan)
    for step in plan.removal:
        place: Row = {"step": step.number, "refit_step": len(plan.removal) + 1 - step.number, "side": step.carrier.side}
        for group in step.groups:
            for freed in group.freed:
                out += 1
                turns: Row = {"out": out, "in": back[freed.hole_key]}
                yield place | _fastener(freed, group) | _on_board(freed, plan) | turns
        yield from (place | row for row in _by_hand(step))


def _back(plan: Plan) -> dict[str, int]:
    """At which place of the refit each fastener goes in: in a step clips after screws."""
    order = [freed.hole_key for step in plan.refit for group in step.groups for freed in group.freed]
    return {key: place for place, key in enumerate(order, start=1)}


def _fastener(freed: Freed, group: Group) -> Row:
    fastener, panel = freed.fastener, freed.panel
    alone = Group((freed,), group.done)
    return {
        "row": "fastener",
        "panel": panel.key,
        "name": panel.name,
        "tag": panel.tag,
        "hole": freed.hole.id,
        "pocket": pocket_text(freed),
        "fastener": fastener.key,
        "also_holds": ", ".join(freed.hole.also_holds),
        "size": size_text(fastener),
        "tool": drive_text(fastener.drive),
        "torque": torque_text(fastener.torque),
        "threadlocker": "" if fastener.threadlocker == "none" else fastener.threadlocker,
        "with_it": ", ".join(fastener.with_it),
        "renew": fastener.renew,
        "note": "; ".join(minded(note) for note in (freed.hole.note, fastener.note) if note),
        "caution": "; ".join(hole_cautions(alone)),
    }


def _on_board(freed: Freed, plan: Plan) -> Row:
    pocket = plan.pockets.get(freed.hole_key)
    return {"board": pocket.board, "square": pocket.square} if pocket else {}


def _by_hand(step: RemovalStep) -> Iterator[Row]:
    """What is let go by hand, and the panels' own notes."""
    for panel in (step.carrier, *step.step.riders):
        if panel.note or not step.groups:
            yield {"row": "panel", "panel": panel.key, "name": panel.name, "tag": panel.tag, "note": panel.note}
    for one in (*step.by_hand, *step.connections, *step.staying):
        panel = one.panel
        staying = "leave it done up: it holds this panel to the one that it rides on" if one in step.staying else ""
        row: Row = {"row": "by hand", "panel": panel.key, "name": panel.name, "tag": panel.tag}
        yield row | {"note": by_hand_text(one), "caution": staying}


def _torques(plan: Plan) -> Iterator[Row]:
    for service in plan.services:
        for row in service.rows:
            job = service.job.name if service.job else ""
            yield {
                "row": "torque",
                "name": row.what,
                "side": row.where_on_bike,
                "tool": drive_text(row.tool),
                "torque": torque_text(row.torque),
                "threadlocker": "" if row.threadlocker == "none" else row.threadlocker,
                "renew": row.renew,
                "note": "; ".join(part for part in (job, *row_details(row), *stage_notes(row)) if part),
                "caution": safety_caution([row]),
            }
