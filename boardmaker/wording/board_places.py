"""Where on the boards a pocket is found, in words: which board of the set, which square of its grid.

In: fasteners and the pockets of the boards by `panel/hole`. Out: words, "" where the boards are not known or have no
grid. One source for the sheets, the plan, the tags and the screen.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from boardmaker.model import Panel
from boardmaker.service import BoardPocket, Freed

Pockets = Mapping[str, BoardPocket]


def place_text(pocket: BoardPocket) -> str:
    """Return where one pocket is: `board 1, B3`."""
    return f"board {pocket.board}{f', {pocket.square}' if pocket.square else ''}"


def places_text(freed: Sequence[Freed], pockets: Pockets) -> str:
    """Return where these pockets are, their squares in the same order, each once: `board 1, B3, C3`.

    "" where one of them is not known, or none of them has a square.
    """
    found = _found(freed, pockets)
    on_board: dict[int, dict[str, None]] = {}
    for one in found:
        on_board.setdefault(one.board, {}).update({one.square: None} if one.square else {})
    return "; ".join(", ".join([f"board {board}", *squares]) for board, squares in on_board.items())


def numbered_places_texts(freed: Sequence[Freed], carrier: Panel, pockets: Pockets) -> Iterator[str]:
    """Yield for each panel where each of its pockets is: `pockets on board 1: 1 to 3 in B3, 4 in C3`."""
    for panel in dict.fromkeys(one.panel.key for one in freed):
        of_panel = [one for one in freed if one.panel.key == panel]
        if found := _found(of_panel, pockets):
            tag = "" if panel == carrier.key else f"{of_panel[0].panel.tag} "
            runs = groupby(sorted(found, key=lambda one: one.number), key=lambda one: one.square)
            said = ", ".join(_run([one.number for one in run], square) for square, run in runs)
            yield f"{tag}pocket{'s' * (len(found) > 1)} on board {found[0].board}: {said}"


def _found(freed: Sequence[Freed], pockets: Pockets) -> list[BoardPocket]:
    """The pockets of all; none where one is missing, or where no board has squares."""
    found = [pockets[one.hole_key] for one in freed if one.hole_key in pockets]
    return found if len(found) == len(freed) and any(one.square for one in found) else []


def _run(numbers: Sequence[int], square: str) -> str:
    """Numbers that follow each other in one square: `1 in B3`, `1 and 2 in B3`, `1 to 3 in B3`."""
    joined = " to " if len(numbers) > 2 else " and "
    return f"{joined.join(f'{one}' for one in dict.fromkeys((numbers[0], numbers[-1])))} in {square}"
