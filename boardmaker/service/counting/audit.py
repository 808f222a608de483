"""A strip-down held against the bike file: which wrong fasteners sat where, how bad that is, how it is put right.

In: `Work`, `Audit`. Out: `AuditCheck`. First the two of a swap go back into each other's place, then every other
wrong fastener into a hole that lacks one of its kind; what a hole lacks after that has to be bought. How many that are
does not depend on who goes where.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum

from boardmaker.model import Audit, AuditFind, Fastener, Hole
from boardmaker.service.fit.suitability import judge_fit
from boardmaker.service.fit.verdict import Fit, Verdict, cannot_say
from boardmaker.service.removal.work import Freed, Work


class Harm(IntEnum):
    """How bad a wrong fastener is; the worst is told first."""

    REACHES = 0  # its tip reaches what is behind the hole
    MAY_REACH = 1  # something is behind the hole, and nobody can say whether the tip reaches it
    MUST_NOT = 2
    DOUBTFUL = 3
    CANNOT_SAY = 4
    HARMLESS = 5


@dataclass(frozen=True)
class Wrong:
    """A hole (with what belongs into it) and what was in it; `found` is None for one that the file does not know."""

    freed: Freed
    found: Fastener | None
    fit: Fit
    harm: Harm


@dataclass(frozen=True)
class Move:
    """The fastener that sat in one hole belongs into another; with `swap`, and the other way round."""

    wrong: Wrong
    to: Freed
    swap: bool = False


@dataclass(frozen=True)
class AuditCheck:
    """The result. `wrong` begins with the worst; `to_buy` are the holes that lack theirs after all moves are made."""

    ok: tuple[Freed, ...]
    missing: tuple[Freed, ...]
    wrong: tuple[Wrong, ...]
    not_looked_at: tuple[Freed, ...]
    moves: tuple[Move, ...]
    left_over: tuple[Wrong, ...]
    to_buy: tuple[Freed, ...]


def check_audit(work: Work, audit: Audit) -> AuditCheck:
    """Hold an audit against the work."""
    finds = {find.hole_key: find for find in audit.finds}
    by_state: dict[str, list[Freed]] = {"ok": [], "missing": [], "other": [], "wrong": [], "": []}
    for freed in work.freed:
        by_state[finds[freed.hole_key].found if freed.hole_key in finds else ""].append(freed)
    wrong = [_wrong(work, freed, finds[freed.hole_key]) for freed in (*by_state["wrong"], *by_state["other"])]
    moves = _moves(wrong, by_state["missing"])
    filled = {move.to.hole_key for move in moves} | {move.wrong.freed.hole_key for move in moves if move.swap}
    moved = {move.wrong.freed.hole_key for move in moves} | {move.to.hole_key for move in moves if move.swap}
    lacking = [*(one.freed for one in wrong), *by_state["missing"]]
    return AuditCheck(
        ok=tuple(by_state["ok"]),
        missing=tuple(by_state["missing"]),
        wrong=tuple(sorted(wrong, key=_worst_first)),
        not_looked_at=tuple(by_state[""]),
        moves=moves,
        left_over=tuple(one for one in wrong if one.freed.hole_key not in moved),
        to_buy=tuple(freed for freed in lacking if freed.hole_key not in filled),
    )


def _worst_first(wrong: Wrong) -> tuple[int, bool]:
    """By harm; of those that reach something, fuel before the rest."""
    return wrong.harm, not is_fuel(wrong.freed.hole.behind)


def is_fuel(behind: str) -> bool:
    """Whether what is behind a hole holds fuel, as far as its name tells."""
    return any(word in behind.casefold() for word in ("tank", "fuel", "petrol"))


def _wrong(work: Work, freed: Freed, find: AuditFind) -> Wrong:
    hole = freed.hole
    if find.found == "other":
        said = "the bike file does not know this fastener"
        unknown = Fit((cannot_say("kind", said, "what it is: `boardmaker screw` judges it by its sizes"),))
        return Wrong(freed, None, unknown, Harm.MAY_REACH if hole.behind else Harm.CANNOT_SAY)
    found = work.bike.fastener(find.fastener)
    fit = judge_fit(found, hole, freed.fastener)
    return Wrong(freed, found, fit, _harm(fit, hole))


def _harm(fit: Fit, hole: Hole) -> Harm:
    tip = fit.worst_about("tip")
    if hole.behind and tip is Verdict.MUST_NOT:
        return Harm.REACHES if hole.room is not None else Harm.MAY_REACH
    if hole.behind and tip is Verdict.CANNOT_SAY:
        return Harm.MAY_REACH
    return _HARM[fit.verdict]


_HARM = {
    Verdict.MUST_NOT: Harm.MUST_NOT,
    Verdict.DOUBTFUL: Harm.DOUBTFUL,
    Verdict.CANNOT_SAY: Harm.CANNOT_SAY,
    Verdict.FITS: Harm.HARMLESS,
}


def _moves(wrong: Sequence[Wrong], missing: Sequence[Freed]) -> tuple[Move, ...]:
    """Swaps first, for they explain most; then each wrong fastener to the first hole that lacks its kind."""
    swaps = _swaps(wrong)
    settled = {key for move in swaps for key in (move.wrong.freed.hole_key, move.to.hole_key)}
    loose = [one for one in wrong if one.freed.hole_key not in settled]
    open_holes: dict[str, list[Freed]] = {}
    for hole in (*(one.freed for one in loose), *missing):
        open_holes.setdefault(hole.fastener.key, []).append(hole)
    moves = list(swaps)
    for one in loose:
        lacking = open_holes.get(one.found.key) if one.found else None
        if lacking:
            moves.append(Move(one, lacking.pop(0)))
    return tuple(moves)


def _swaps(wrong: Sequence[Wrong]) -> list[Move]:
    """Pairs of holes that hold each other's fastener: all that can be on one panel, then the others; in file order."""
    place = {one.freed.hole_key: number for number, one in enumerate(wrong)}
    swaps = [*_paired(wrong, on_one_panel=True)]
    settled = {key for move in swaps for key in (move.wrong.freed.hole_key, move.to.hole_key)}
    swaps += _paired([one for one in wrong if one.freed.hole_key not in settled], on_one_panel=False)
    return sorted(swaps, key=lambda move: place[move.wrong.freed.hole_key])


def _paired(wrong: Sequence[Wrong], *, on_one_panel: bool) -> Iterator[Move]:
    """Pair each hole with the first that it can be swapped with: what is in each belongs into the other."""
    waiting: dict[tuple[str, str, str], list[Wrong]] = {}  # by what is in a hole, what belongs there, and the panel
    for one in wrong:
        if one.found is None:
            continue
        panel = one.freed.panel.key if on_one_panel else ""
        if partners := waiting.get((one.freed.fastener.key, one.found.key, panel)):
            yield Move(partners.pop(0), one.freed, swap=True)
        else:
            waiting.setdefault((one.found.key, one.freed.fastener.key, panel), []).append(one)
