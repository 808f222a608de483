"""A plan beside the board that it is for, in words: do the numbers agree, why not, what makes them agree.

In: `Plan` with its `BoardCheck`. Out: sentences, for the plan and for the screen.
"""

from __future__ import annotations

import shlex
from collections.abc import Collection, Iterator, Sequence

from boardmaker.service import BoardCheck, BoardPocket, Plan
from boardmaker.units import counted
from boardmaker.wording.board_places import place_text
from boardmaker.wording.steps import pocket_text

MOST_NAMED = 6  # pockets one by one; of more it is said how many


def board_lines(plan: Plan, board: str = "", bike: str = "") -> tuple[str, ...]:
    """Return what nobody may miss where plan and board do not agree; nothing where they do, or without a board.

    `board`, `bike`: their files as they were typed, for commands that can be typed again; without them their names.
    """
    check = plan.board
    if check is None or check.agrees:
        return ()
    name = check.board.name
    return (
        f"✖ The numbers of this plan are not those of {name}: {_why(plan, check)}.",
        *_pockets(plan, check),
        *_remedies(plan, board or name, bike or plan.work.bike.file),
    )


def board_fact(plan: Plan) -> str:
    """Return that the numbers are those of the board, and what was chosen otherwise without harm; else ""."""
    check = plan.board
    if check is None or not check.agrees:
        return ""
    differs = "; ".join(_differences(plan, check))
    return f"Pockets and numbers: those of {check.board.name}{f' ({differs})' if differs else ''}."


def _remedies(plan: Plan, board: str, bike: str) -> Iterator[str]:
    work = plan.work
    off = [key for key, _ in work.bike.equipment if key not in work.equipment]
    asked = [*(f"--job {job.key}" for job in work.jobs), *(f"--without {key}" for key in off)]
    yield f"To make them agree, a plan for this board: boardmaker plan --board {shlex.quote(board)}"
    yield f"or a board for this plan: {' '.join(['boardmaker board', shlex.quote(bike), *asked])}"


def _why(plan: Plan, check: BoardCheck) -> str:
    return "; ".join(_differences(plan, check)) or "it was made by another version of the program"


def _differences(plan: Plan, check: BoardCheck) -> Iterator[str]:
    names = dict(plan.work.bike.equipment)
    for there, here, keys in (("with", "without", check.only_board), ("without", "with", check.only_work)):
        if keys:
            yield f"the board was made {there} {_listed([names.get(key, key) for key in keys])}, the plan {here}"
    if check.other_jobs:
        yield f"the board was made for {_jobs(plan, check.board.jobs)}, the plan for {_jobs(plan)}"
    if check.other_file:
        yield "the bike file has changed since the board was made"


def _jobs(plan: Plan, keys: Sequence[str] | None = None) -> str:
    names = {job.key: job.name for job in plan.work.bike.jobs}
    chosen = [job.key for job in plan.work.jobs] if keys is None else keys
    return _listed([names.get(key, key) for key in chosen]) or "all jobs"


def _listed(names: Sequence[str]) -> str:
    *others, last = names or [""]
    return f"{', '.join(others)} and {last}" if others else last


def _pockets(plan: Plan, check: BoardCheck) -> Iterator[str]:
    known = {fastener.key for fastener in plan.work.bike.fasteners}
    other = [f"{one.panel.tag} {pocket_text(one)} is {_there(there, known)}" for one, there in check.other]
    missing = [f"{one.panel.tag} {pocket_text(one)}" for one in check.missing]
    if other:
        yield f"Other numbers: {_some(other)}."
    if missing:
        yield f"Without a pocket on {check.board.name}: {_some(missing)}."


def _there(pocket: BoardPocket, known: Collection[str]) -> str:
    """A pocket as the board names it, and where it is; of a fastener that the bike no longer has only that."""
    where = f" ({place_text(pocket)})" if pocket.square else ""
    return f"{pocket.number} {pocket.fastener if pocket.fastener in known else '(another kind)'} there{where}"


def _some(texts: Sequence[str]) -> str:
    left = len(texts) - MOST_NAMED
    return ", ".join(texts[:MOST_NAMED]) + (f", and {counted(left, 'more', 'more')}" if left > 0 else "")
