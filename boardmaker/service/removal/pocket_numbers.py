"""Which pocket each hole is on the board where everything comes off, also in a file that is not yet right.

In: a bike, which may name fasteners that could not be read. Out: the number of each hole, and messages that say both
names of a hole, since hole 1 of the file may well be pocket 3. Apart from `holes`, which is for files without mistakes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from boardmaker.model import Bike, Fastener, Head
from boardmaker.problems import Problem, ProblemsFound
from boardmaker.service.removal.holes import holes_on_board

_HOLE_KEY = re.compile(r"(?<![^\s(\"'`:])[^\s/\"'`(]+/[^\s/\"'`,;:)]+")
_ANY = Head("pan", 10.0, 3.0)  # numbers do not depend on it


def pocket_numbers(bike: Bike) -> Mapping[str, int]:
    """Return the number of each hole (`panel/hole`) that has a pocket; nothing where no order can be found.

    Nothing either where a hole has no place: the numbers count it.
    """
    if any(panel.unplaced for panel in bike.panels):
        return {}
    known = {fastener.key for fastener in bike.fasteners}
    unread = dict.fromkeys(hole.fastener for panel in bike.panels for hole in panel.holes if hole.fastener not in known)
    stand_ins = (Fastener(key, "screw", 10.0, _ANY) for key in unread)
    try:
        holes = holes_on_board(replace(bike, fasteners=(*bike.fasteners, *stand_ins)))
    except ProblemsFound:
        return {}
    return {one.key: one.number for one in holes if one.number is not None}


def with_pockets(problems: Iterable[Problem], bike: Bike) -> tuple[Problem, ...]:
    """Return the problems; where a hole that one names is another pocket on the board, the message says that too."""
    said = tuple(problems)
    if not said:  # numbers of a large bike take their time
        return ()
    tags = {panel.key: panel.tag for panel in bike.panels}
    marks = {
        key: f"{key} (pocket {tags[panel]} {number})" if tags[panel] else f"{key} (pocket {number})"
        for key, number in pocket_numbers(bike).items()
        for panel, hole in [key.rsplit("/", 1)]
        if hole != str(number) and panel in tags
    }

    def named(found: re.Match[str]) -> str:
        return marks.get(found[0], found[0])

    return tuple(replace(one, message=_HOLE_KEY.sub(named, one.message)) for one in said)
