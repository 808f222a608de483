"""The note for the bike's owner: plain words, the dangerous first, in Markdown.

In: a work and its `AuditCheck`, the shopping list. Out: the text of `owner-note.md`. It says what was found and what
the file's numbers make of it, and leaves the last word to the maker's manual and a workshop.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from boardmaker.model import Fastener
from boardmaker.service.counting.audit import AuditCheck, Harm, Move, Wrong, is_fuel
from boardmaker.service.counting.shopping import Purchase
from boardmaker.service.fit.differences import differences
from boardmaker.service.removal.work import Freed, Work
from boardmaker.text.markdown import escaped, wrapped
from boardmaker.units import counted

SECTIONS = (
    ((Harm.REACHES,), "Dangerous: read this first"),
    ((Harm.MAY_REACH,), "Take as dangerous until measured"),
    ((Harm.MUST_NOT,), "Must not stay in"),
    ((Harm.DOUBTFUL,), "Doubtful"),
    ((Harm.CANNOT_SAY,), "Wrong, and the bike file cannot say how bad"),
    ((Harm.HARMLESS,), "Wrong, but harmless by the bike file's numbers"),
)
CAUTIONS = (
    "This note is only as good as the bike file behind it; the maker's manual comes first. Whoever refits the bike: "
    "torques from the manual, bike on a firm stand, engine cool, no flame or spark near fuel.",
)
Words = Callable[[Fastener], str]


def owner_note(
    work: Work, check: AuditCheck, purchases: Sequence[Purchase], words: Words, bought: Sequence[str]
) -> bytes:
    """Return the note. `words` names a fastener, `bought` says each purchase; both come from the files' own words."""
    blocks = [*_opening(work, check), *_wrong_blocks(check, words), *_missing_blocks(check, words)]
    blocks += [
        *_move_blocks(check),
        *_left_over_blocks(check),
        *_purchase_blocks(purchases, bought),
        *_closing(work, check),
    ]
    return ("\n\n".join(blocks) + "\n").encode("utf-8")


def _opening(work: Work, check: AuditCheck) -> Iterator[str]:
    jobs = ", ".join(job.name for job in work.jobs) or "every panel off"
    yield f"# What we found: {escaped(work.bike.name)}"
    yield wrapped(f"Work: {escaped(jobs)}. {audit_summary(check)}")


def audit_summary(check: AuditCheck) -> str:
    """Return the result in a few sentences: how many holes were looked at, and what was in them."""
    seen = len(check.ok) + len(check.missing) + len(check.wrong)
    dangerous = sum(one.harm in (Harm.REACHES, Harm.MAY_REACH) for one in check.wrong)
    holes = counted(seen + len(check.not_looked_at), "hole")
    text = counted(seen, f"of {holes} was looked at", f"of {holes} were looked at") + f": {len(check.ok)} right, "
    text += f"{len(check.wrong)} with a wrong fastener ({dangerous} dangerous), {len(check.missing)} without one."
    if check.not_looked_at:
        unseen = counted(
            len(check.not_looked_at),
            "was not looked at, and nothing is said about it",
            "were not looked at, and nothing is said about them",
        )
        text += f" {unseen}."
    return text


def _wrong_blocks(check: AuditCheck, words: Words) -> Iterator[str]:
    for harms, title in SECTIONS:
        ones = [one for one in check.wrong if one.harm in harms]
        if ones:
            yield f"## {title}"
            yield "\n".join(_item(_wrong_text(one, words)) for one in ones)


def _wrong_text(one: Wrong, words: Words) -> str:
    found = (
        f"{escaped(one.found.key)} ({escaped(words(one.found))})" if one.found else "a fastener that is not in the file"
    )
    proper = one.freed.fastener
    return (
        f"**{escaped(hole_words(one.freed))}**: found {found}, there belongs {escaped(proper.key)} "
        f"({escaped(words(proper))}). {escaped(_sentence(reason_words(one)))} {escaped(advice(one))}".rstrip()
    )


def reason_words(one: Wrong) -> str:
    """Return why a wrong fastener is as bad as it is said to be, and how a harmless one differs from the proper one."""
    differs = differs_words(one.found, one.freed) if one.found and one.harm is Harm.HARMLESS else ""
    return f"{one.fit.reason}{differs}"


def differs_words(other: Fastener, freed: Freed) -> str:
    """Return what is not the same, to go behind a reason; "" where nothing is."""
    found = differences(other, freed.fastener, freed.hole)
    return f"; differs: {', '.join(found)}" if found else ""


def advice(one: Wrong) -> str:
    """Return what to look at before the bike is used again."""
    behind = one.freed.hole.behind
    if one.harm in (Harm.REACHES, Harm.MAY_REACH):
        start = f"The {behind} is behind this hole. " if one.harm is Harm.MAY_REACH else ""
        if is_fuel(behind):
            return (
                f"{start}Before the bike is filled, started or ridden, look at the {behind} behind this hole for a "
                "dent, a crack or damp; keep flames and sparks away; in doubt have it tested by a workshop."
            )
        return f"{start}Before the bike is ridden, look at the {behind} behind this hole for damage."
    if one.harm is Harm.MUST_NOT:
        held = "thread" if one.freed.fastener.thread else "hole"
        return f"Look at the {held} and at the part that it held before the proper one goes in."
    return ""


def hole_words(freed: Freed) -> str:
    """Return a hole as the mechanic and the owner find it: panel, number on the board, id in the file."""
    return f"{freed.panel.name}, {freed.panel.tag} {freed.number} on the board ({freed.hole_key})"


def _missing_blocks(check: AuditCheck, words: Words) -> Iterator[str]:
    if check.missing:
        yield "## Missing"
        yield "\n".join(
            _item(f"**{escaped(hole_words(one))}**: {escaped(one.fastener.key)} ({escaped(words(one.fastener))}).")
            for one in check.missing
        )


def _move_blocks(check: AuditCheck) -> Iterator[str]:
    if check.moves:
        yield "## How it is put right"
        yield "\n".join(_item(escaped(move_words(move))) for move in check.moves)


def move_words(move: Move) -> str:
    """Return where a wrong fastener goes; a swap of two explains both."""
    key = move.wrong.found.key if move.wrong.found else ""
    here, there = move.wrong.freed.hole_key, move.to.hole_key
    if move.swap:
        other = move.wrong.freed.fastener.key
        return f"A swap of two explains both: the {key} in {here} and the {other} in {there} change places."
    return f"The {key} in {here} belongs into {there}."


def _left_over_blocks(check: AuditCheck) -> Iterator[str]:
    if check.left_over:
        yield "## Left over"
        yield "\n".join(_item(escaped(left_over_words(one))) for one in check.left_over)


def left_over_words(one: Wrong) -> str:
    """Return what becomes of a fastener that no hole lacks."""
    what = f"the {one.found.key}" if one.found else "the unknown fastener"
    return f"No hole that was looked at lacks {what} found in {one.freed.hole_key}: keep it apart."


def _purchase_blocks(purchases: Sequence[Purchase], bought: Sequence[str]) -> Iterator[str]:
    yield "## To buy"
    if not purchases:
        yield "Nothing: all that is needed is there."
        return
    yield "\n".join(_item(escaped(line)) for line in bought)


def _closing(work: Work, check: AuditCheck) -> Iterator[str]:
    yield "## Before the bike goes back on the road"
    if not work.bike.checked:
        yield wrapped("The bike file is not checked: nobody has yet built and used a board from it.")
    cautions = [wrapped(escaped(text)) for text in (*work.bike.cautions, *CAUTIONS)]
    yield from cautions
    if check.not_looked_at:
        holes = ", ".join(one.hole_key for one in check.not_looked_at)
        yield wrapped(f"Not looked at: {escaped(holes)}.")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _item(text: str) -> str:
    return f"- {wrapped(text, '  ')}"
