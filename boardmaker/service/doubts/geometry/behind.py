"""What is said to be behind a hole and is no thing, or is one that the file spells otherwise elsewhere.

In: a bike. Out: warnings. `behind` is a free text, and it decides whether a screw that is too long is an error.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from boardmaker.model import Bike
from boardmaker.problems import Problem, nearest, warning
from boardmaker.service.doubts.geometry.standing import own_holes

USUAL = (  # common practice, no source
    "fuel tank", "radiator", "battery", "wiring", "wiring harness", "brake hose", "brake line", "fuel hose",
    "fuel pump", "oil cooler", "oil tank", "oil line", "coolant hose", "exhaust", "air box", "control unit", "frame",
    "engine", "tyre", "speaker", "lamp", "horn", "regulator",
)  # fmt: skip
_LENGTH = re.compile(r"[-+\d.,/\s]*\d\s*(mm|cm|in|inch|\"|″)?", re.IGNORECASE)
_NOTHING = {"no", "none", "nothing", "-", "?", "unknown", "yes", "free", "air", "n/a"}


def odd_behind(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each `behind` that is a length, nothing, a panel, or a slip of another word."""
    said = Counter(hole.behind.casefold() for panel in bike.panels for hole in panel.holes if hole.behind)
    keys = {panel.key.casefold() for panel in bike.panels}
    for panel in bike.panels:
        for hole in own_holes(bike, panel):
            word = hole.behind.casefold()
            if word and (hint := _hint(word, keys, said)):
                yield warning(f'{panel.key}/{hole.id}: "{hole.behind}" behind it is odd', hole.where, hint)


def _hint(word: str, keys: set[str], said: Counter[str]) -> str:
    if _LENGTH.fullmatch(word):
        return "say what is there, such as behind: fuel tank; how far away it is goes under `room`"
    if word in _NOTHING:
        return "take `behind` out where nothing is there, else say what"
    if word in keys:
        return "a panel that the screw holds too goes under `also_holds`; say here what it could damage"
    known = [one for one in said if said[one] > said[word]]
    near = nearest(word, [*known, *USUAL]) if word not in USUAL else ""
    return f'did you mean "{near}"?' if near and _is_slip(word, near) else ""


def _is_slip(word: str, near: str) -> bool:
    """Whether letters changed places, or one is missing or too much; a plural is no slip."""
    if word == near or word.rstrip("s") == near.rstrip("s"):
        return False
    missing, spare = Counter(near) - Counter(word), Counter(word) - Counter(near)
    return missing.total() + spare.total() <= 1 and word[0] == near[0]
