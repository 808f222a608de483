"""Tags: one to three letters that stand for a panel on the board, made from its name where the file gives none."""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from boardmaker.fonts import missing_glyphs
from boardmaker.model import Panel


def with_tags(panels: Sequence[Panel], fasteners: Iterable[str] = ()) -> tuple[Panel, ...]:
    """Return the panels, each with a tag; a made one is no other panel's, and no key of a fastener.

    `S 1` of panel S beside `1 S` of fastener S would be one mark with two meanings.
    """
    taken = {panel.tag for panel in panels if panel.tag} | {key.upper() for key in fasteners}
    tagged = []
    for panel in panels:
        tag = panel.tag or next(tag for tag in _candidates(panel) if tag not in taken)
        taken.add(tag)
        tagged.append(replace(panel, tag=tag))
    return tuple(tagged)


def _candidates(panel: Panel) -> Iterator[str]:
    """Initials of the name, then of the key, then with further letters, then any letters."""
    for words in (_words(panel.name), _words(panel.key)):
        initials = "".join(word[0] for word in words)[:3]
        made = [initials, *(initials[:2] + letter for word in words for letter in word[1:])]
        yield from (tag for tag in made if tag and not missing_glyphs(tag))
    for length in (1, 2, 3):
        yield from ("".join(letters) for letters in itertools.product(string.ascii_uppercase, repeat=length))


def _words(text: str) -> list[str]:
    """Runs of letters, in capitals."""
    runs = "".join(letter if letter.isalpha() else " " for letter in text).split()
    return [word.upper() for word in runs]
