"""The audit of a strip-down: columns `hole` (panel/id, or tag and number as on the board) and `found`.

`found` is `ok`, `missing`, `other` (a fastener that the bike file does not know), or the key or designation of the
fastener that was in it. A hole that is not listed, or has nothing under `found`, was not looked at; a line `others, ok`
says that all of those were ok.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from boardmaker.inputs.complaints import MOST_PROBLEMS
from boardmaker.inputs.lists.csv_reader import Row, cut_off, read_csv
from boardmaker.inputs.lists.fastener_names import UnknownFastener, fastener_named
from boardmaker.model import Audit, AuditFind, Bike
from boardmaker.problems import Problem, ProblemsFound, error, nearest

COLUMNS = ("hole", "found")
OTHERS = "others"
FORMS = "panel/id, such as seat/1, or tag and number as on the board, such as TC 1"
WORDS = ("ok", "missing", "other")


def read_audit(path: Path, bike: Bike, belongs: Mapping[str, str], marks: Mapping[str, str] | None = None) -> Audit:
    """Read an audit.

    `belongs`: fastener key by hole, of every hole whose fastener comes out; `marks`: the hole by what the board shows,
    such as `TC 1`.
    Raises ProblemsFound with every problem of the file.
    """
    if clash := [fastener.key for fastener in bike.fasteners if fastener.key.casefold() in WORDS]:
        message = f"an audit cannot tell the fastener {clash[0]} of {bike.file} from the word"
        raise ProblemsFound([error(message, hint="give that fastener another key")])
    listed = read_csv(path, COLUMNS)
    listed.need("hole")
    listed.need("found")
    holes = {_plain(mark): hole for mark, hole in (marks or {}).items()} | {_plain(hole): hole for hole in belongs}
    finds: dict[str, AuditFind] = {}
    problems: list[Problem] = []
    others_ok = False
    for row in listed.rows:
        try:
            if row.cells["hole"].casefold() == OTHERS:
                others_ok |= _others_ok(row)
            elif row.cells["found"]:
                _add(finds, row, bike, belongs, holes)
        except ProblemsFound as wrong:
            problems += wrong.problems
        if len(problems) >= MOST_PROBLEMS:
            break  # each looks for the nearest name among all
    if not finds and not others_ok and not problems:
        problems.append(error("nothing is filled in under `found`", listed.header, "write ok, missing or a key"))
    if problems:
        raise ProblemsFound(cut_off(problems))
    rest = [AuditFind(hole, "ok") for hole in belongs if others_ok and hole not in finds]
    return Audit((*finds.values(), *rest))


def _others_ok(row: Row) -> bool:
    found = row.cells["found"].casefold()
    if found in ("", "ok"):
        return found == "ok"
    raise ProblemsFound([error("all other holes can only be `ok`", row.place("found"), "list the holes that are not")])


def _plain(hole: str) -> str:
    """Capitals and blanks aside, as people copy `TC 1` off a board."""
    return "".join(hole.casefold().split())


def _add(
    finds: dict[str, AuditFind], row: Row, bike: Bike, belongs: Mapping[str, str], holes: Mapping[str, str]
) -> None:
    written = row.cells["hole"]
    if not written:
        raise ProblemsFound([error("this line names no hole", row.line, f"write {FORMS}")])
    hole = written if written in belongs else holes.get(_plain(written))
    if hole is None:
        near = nearest(written, belongs)
        hint = f'did you mean "{near}"? ' if near else ""
        hint += f"A hole is {FORMS}, and its fastener must come out in the chosen jobs with the chosen equipment"
        raise ProblemsFound([error(f'no fastener comes out of a hole "{written}"', row.place("hole"), hint)])
    if hole in finds:
        raise ProblemsFound([error(f"the hole {hole} is listed twice", row.place("hole"), "take one line out")])
    finds[hole] = _find(hole, row, bike, belongs[hole])


def _find(hole: str, row: Row, bike: Bike, belongs: str) -> AuditFind:
    found = row.cells["found"]
    if (word := found.casefold()) == "ok" or found == belongs:
        return AuditFind(hole, "ok")
    if word == "missing":
        return AuditFind(hole, "missing")
    if word == "other":
        return AuditFind(hole, "other")
    try:
        fastener = fastener_named(bike, found)
    except UnknownFastener as wrong:
        others = "write ok, missing, or other for one that the bike file does not know"
        hint = f"{wrong.hint} Or {others}" if wrong.hint.endswith("?") else f"{wrong.hint}; or {others}"
        raise ProblemsFound([error(str(wrong), row.place("found"), hint)]) from None
    return AuditFind(hole, "ok") if fastener.key == belongs else AuditFind(hole, "wrong", fastener.key)
