"""`tally`: how many of each fastener, what to carry as spares, what a bag lacks, what a strip-down brought to light."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from boardmaker.commands.common import existing, load_work, say_warnings, staying_warnings, write_and_say
from boardmaker.commands.requests import OutputChoice, TallyRequest
from boardmaker.inputs import read_audit, read_bag
from boardmaker.problems import WrongUsage, error
from boardmaker.service import Verdict, Work
from boardmaker.service.counting.audit import AuditCheck, Harm, check_audit
from boardmaker.service.counting.bag import BagCheck, Held, StandIn, check_bag
from boardmaker.service.counting.shopping import Purchase, buy_after_audit, buy_for_bag
from boardmaker.service.counting.tally import SPARE_RULE, Tally, count_work
from boardmaker.text.owner_note import (
    advice,
    audit_summary,
    differs_words,
    hole_words,
    left_over_words,
    move_words,
    owner_note,
    reason_words,
)
from boardmaker.text.tally_rows import (
    audit_template,
    bag_template,
    purchase_words,
    renew_words,
    renewal_words,
    shopping_csv,
    tally_csv,
)
from boardmaker.units import counted
from boardmaker.wording.fasteners import short_words

SCREEN = 110  # letters in a line of running text
TEMPLATE_LINES = (
    "bag.csv: count what is in the bag, and write the number under `count`",
    "audit.csv: write ok, missing, other or the key of what you found under `found`; a hole left empty counts as",
    "not looked at, unless the last line (others) says ok",
)


def make_tally(request: TallyRequest) -> None:
    """Write `tally.csv` and show the count; hold a bag or an audit against it.

    With `template` only the two lists to fill in are written, so that a filled one is never in the way.
    """
    if (request.bag is not None) + (request.audit is not None) + request.template > 1:
        raise WrongUsage([error("--bag, --audit and --template are three jobs", hint="give one of them at a time")])
    work, warnings = load_work(request.work)
    say_warnings((*warnings, *staying_warnings(work)))
    tally, output = count_work(work), request.output
    if request.template:
        _write_templates(tally, output)
        return
    lines, more = _held_against(tally, request.bag, request.audit)
    files = {"tally.csv": tally_csv(tally), **more}
    write_and_say("tally", files, lines, output)


def _held_against(tally: Tally, bag: Path | None, audit: Path | None) -> tuple[list[str], dict[str, bytes]]:
    """What the screen shows and the files beside the tally."""
    if bag:
        return _bag_result(tally, check_bag(tally, read_bag(existing(bag), tally.work.bike)))
    if audit:
        belongs = {one.hole_key: one.fastener.key for one in tally.work.freed}
        marks = {f"{one.panel.tag} {one.number}": one.hole_key for one in tally.work.freed}
        found = read_audit(existing(audit), tally.work.bike, belongs, marks)
        return _audit_result(tally, check_audit(tally.work, found))
    return [*_tally_lines(tally)], {}


def _write_templates(tally: Tally, output: OutputChoice) -> None:
    files = {"bag.csv": bag_template(tally), "audit.csv": audit_template(tally)}
    write_and_say("tally template", files, TEMPLATE_LINES, output)


def _bag_result(tally: Tally, check: BagCheck) -> tuple[list[str], dict[str, bytes]]:
    purchases = buy_for_bag(tally, check)
    return [*_bag_lines(tally, check), *_shopping_lines(purchases)], {"shopping.csv": shopping_csv(purchases)}


def _bag_lines(tally: Tally, check: BagCheck) -> Iterator[str]:
    held = [*check.fasteners, *(check.items or ())]
    yield _heading(tally)
    yield ""
    rows = [(_held_name(one), _held_words(one), one.needed, one.in_bag, one.missing, one.over) for one in held]
    yield from table_lines(("key", "what", "needed", "in the bag", "missing", "over"), rows)
    if check.items is None and any(kind.companions for kind in tally.kinds):
        yield "washers and the like: this list counts none, so nothing is said about them"
    yield ""
    missing, over = sum(one.missing for one in held), sum(one.over for one in held)
    yield f"{missing} missing, {over} left over" if missing or over else "nothing missing, nothing left over"
    yield from _stand_in_lines(check)


def _held_name(one: Held) -> str:
    return f"{one.fastener.key} + {one.item}" if one.item else one.fastener.key


def _held_words(one: Held) -> str:
    return f"{one.item} with it" if one.item else short_words(one.fastener)


def _stand_in_lines(check: BagCheck) -> Iterator[str]:
    for held in check.fasteners:
        ones = [one for one in check.stand_ins if one.freed.fastener is held.fastener]
        for one in ones:
            yield _stand_in_words(one)
        if held.missing and (left := check.open_after(held)):
            yield f"for {left} missing {held.fastener.key} nothing that is left over can stand in"
    if check.stand_ins:
        yield "the proper ones go into the other holes; a stand-in is for the way to the shop; the manual comes first"


def _stand_in_words(one: StandIn) -> str:
    proper, hole = one.freed.fastener.key, one.freed.hole_key
    place = f"{one.fastener.key} for {proper} in {hole} ({one.freed.panel.tag} {one.freed.number} on the board)"
    behind = f"; the {one.freed.hole.behind} is behind it: measure first" if one.freed.hole.behind else ""
    verdict = "may stand in" if one.fit.verdict is Verdict.FITS else one.fit.verdict.words
    return f"{verdict}: {place}: {one.fit.reason}{differs_words(one.fastener, one.freed)}{behind}"


def _audit_result(tally: Tally, check: AuditCheck) -> tuple[list[str], dict[str, bytes]]:
    purchases = buy_after_audit(tally, check)
    bought = [_purchase_line(one) for one in purchases]
    note = owner_note(tally.work, check, purchases, short_words, bought)
    files = {"shopping.csv": shopping_csv(purchases), "owner-note.md": note}
    return [_heading(tally), *_audit_lines(check), *_shopping_lines(purchases)], files


def _audit_lines(check: AuditCheck) -> Iterator[str]:
    yield audit_summary(check)
    for one in check.wrong:
        instead = f"{one.found.key if one.found else 'other'} for {one.freed.fastener.key}"
        yield f"{HARM_WORDS[one.harm]}: {hole_words(one.freed)}: {instead}: {reason_words(one)}"
        if told := advice(one):
            yield f"  {told}"
    for freed in check.missing:
        yield f"missing: {hole_words(freed)}: {freed.fastener.key}"
    yield from (move_words(move) for move in check.moves)
    yield from (left_over_words(one) for one in check.left_over)


HARM_WORDS = {
    Harm.REACHES: "DANGEROUS",
    Harm.MAY_REACH: "TAKE AS DANGEROUS",
    Harm.MUST_NOT: "MUST NOT",
    Harm.DOUBTFUL: "doubtful",
    Harm.CANNOT_SAY: "cannot say",
    Harm.HARMLESS: "harmless",
}


def _shopping_lines(purchases: Sequence[Purchase]) -> Iterator[str]:
    yield "to buy:" if purchases else "to buy: nothing"
    yield from (f"  {_purchase_line(one)}" for one in purchases)


def _purchase_line(one: Purchase) -> str:
    key = f"{one.fastener.key}: " if one.fastener and not one.item else ""
    return f"{one.count} × {key}{purchase_words(one)}; {one.reason}"


def _tally_lines(tally: Tally) -> Iterator[str]:
    yield _heading(tally)
    yield ""
    yield from table_lines(("panel", "name", "count", "of which"), _panel_rows(tally))
    yield ""
    yield from table_lines(("key", "what", "count", "spares", "why so many spares"), _kind_rows(tally))
    yield from _companion_lines(tally)
    yield from _renewal_lines(tally)
    yield ""
    yield from textwrap.wrap(f"spares: {SPARE_RULE}", SCREEN)


def _heading(tally: Tally) -> str:
    work = tally.work
    panels = counted(len({share.panel.key for share in tally.shares}), "panel")
    fasteners, kinds = counted(len(work.freed), "fastener"), counted(len(tally.kinds), "kind")
    return f"{work.bike.name}, {jobs_words(work)}: {fasteners} of {kinds} on {panels}"


def jobs_words(work: Work) -> str:
    """Return which jobs the work is for."""
    return ", ".join(job.name for job in work.jobs) if work.jobs else "every panel off"


def _panel_rows(tally: Tally) -> Iterator[tuple[str | int, ...]]:
    for key in dict.fromkeys(share.panel.key for share in tally.shares):
        freed = tally.work.freed_of(key)
        kinds = Counter(one.fastener.key for one in freed)
        parts = ", ".join(f"{count} {fastener}" for fastener, count in sorted(kinds.items()))
        yield freed[0].panel.tag, freed[0].panel.name, len(freed), parts


def _kind_rows(tally: Tally) -> Iterator[tuple[str | int, ...]]:
    for kind in tally.kinds:
        yield kind.fastener.key, short_words(kind.fastener), kind.count, kind.spares.count, kind.spares.reason


def _companion_lines(tally: Tally) -> Iterator[str]:
    companions = [one for kind in tally.kinds for one in kind.companions]
    for item in dict.fromkeys(one.item for one in companions):
        ones = [one for one in companions if one.item == item]
        parts = ", ".join(f"{one.count} with {one.fastener.key}" for one in ones)
        yield f"kept with them: {sum(one.count for one in ones)} × {item}: {parts}"


def _renewal_lines(tally: Tally) -> Iterator[str]:
    for kind in tally.to_renew:
        words = renew_words(kind.fastener.renew)
        yield f"renew: {kind.count} × {kind.fastener.key}{'' if words == 'renew' else f': {words}'}"
    for one in tally.renewals:
        yield f"renew: {renewal_words(one)}"


def table_lines(columns: Sequence[str], rows: Iterable[Sequence[str | int]]) -> Iterator[str]:
    """Yield a table for the screen: numbers to the right, words to the left."""
    cells = [columns, *rows]
    widths = [max(len(str(row[place])) for row in cells) for place in range(len(columns))]
    numbers = [all(isinstance(row[place], int) for row in cells[1:]) for place in range(len(columns))]
    for row in cells:
        yield "  ".join(
            f"{cell:>{width}}" if number else f"{cell:<{width}}"
            for cell, width, number in zip(row, widths, numbers, strict=True)
        ).rstrip()
