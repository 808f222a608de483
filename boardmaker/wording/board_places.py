"""Where on the boards a pocket is found, in words: which board of the set, which square of its grid.

In: fasteners and the pockets of the boards by `panel/hole`. Out: words, "" where the boards are not known or have no
grid. One source for the sheets, the plan, the tags and the screen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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


def square_text(freed: Freed, pockets: Pockets) -> str:
    """Return the square of one pocket, `B3`; of several boards with the board, `board 2 B3`; "" where none is known."""
    found = pockets.get(freed.hole_key)
    if found is None or not found.square:
        return ""
    several = any(one.board != found.board for one in pockets.values())
    return f"board {found.board} {found.square}" if several else found.square


def _found(freed: Sequence[Freed], pockets: Pockets) -> list[BoardPocket]:
    """The pockets of all; none where one is missing, or where no board has squares."""
    found = [pockets[one.hole_key] for one in freed if one.hole_key in pockets]
    return found if len(found) == len(freed) and any(one.square for one in found) else []
