"""Which codes the hole marks of a fastener have.

In: keys of fasteners. Out: numbers of codes. A letter from A to Z has the same codes on every mat, whatever bike it was
printed for: the bike file may change between printing and photographing, and a mark must not become another fastener's.
The few codes that are left go to keys that are no such letter, each by its own digest, so that only two keys that meet
at one code (which the order of the keys then settles) depend on what other keys there are.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from boardmaker.mat.codes import MARK_CODES
from boardmaker.mat.parts import LETTERS
from boardmaker.problems import ProblemsFound, error

EACH = 8  # codes of a letter: two marks of one code on a panel are more easily taken for each other than two others
MOST = MARK_CODES[-1].count


def letter_codes(letter: str) -> tuple[int, ...]:
    """Return the codes of a letter from A to Z."""
    first = EACH * LETTERS.index(letter)
    return tuple(range(first, first + EACH))


def is_letter(key: str) -> bool:
    """Say whether a key is one of the letters that have codes of their own."""
    return len(key) == 1 and key in LETTERS


def mark_codes(keys: Sequence[str]) -> dict[str, tuple[int, ...]]:
    """Return the codes of each key's marks, in the order of the keys. Raises ProblemsFound for more keys than codes."""
    letters = {key: letter_codes(key) for key in keys if is_letter(key)}
    others = [key for key in keys if key not in letters]
    free = [*range(EACH * len(LETTERS), MOST)]
    if len(others) > len(free):
        free += [code for letter in LETTERS if letter not in letters for code in letter_codes(letter)]
    if len(others) > len(free):
        message = f"there are too few codes for marks: {len(keys)} kinds of fasteners, {MOST} codes, {EACH} a letter"
        raise ProblemsFound([error(message, hint="split the bike file, or leave BIKE away and use letters")])
    found = letters | _by_digest(others, free)
    return {key: found[key] for key in keys}


def _by_digest(keys: Sequence[str], codes: Sequence[int]) -> dict[str, tuple[int, ...]]:
    """A code for each key, from the place that its digest names on: the next one that no key before it has."""
    left = dict(enumerate(codes))
    found: dict[str, tuple[int, ...]] = {}
    for key in keys:
        digest = hashlib.sha256(key.encode("utf-8", "surrogatepass")).digest()
        first = int.from_bytes(digest[:8], "big") % len(codes)
        place = next(one for step in range(len(codes)) if (one := (first + step) % len(codes)) in left)
        found[key] = (left.pop(place),)
    return found
