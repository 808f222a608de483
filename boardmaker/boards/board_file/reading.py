"""A board file read back: the bike as it was, the setup, the scale, and where everything lay.

In: the path of a `board.json`. Out: a `BoardFile`. The bike stands in the board file itself, resolved, so that a board
can be packed again when the bike file is gone.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from boardmaker.boards.board_file.form import FORMAT, BikeEntry, BoardFile
from boardmaker.boards.board_file.numbers import far_numbers, odd_numbers
from boardmaker.boards.board_file.soundness import unsound
from boardmaker.model.setup import LARGEST_BOARD, SMALLEST_BOARD
from boardmaker.problems import Problem, ProblemsFound, error

LARGEST_FILE = 12_000_000  # bytes; a board of many hundred panels has 5 million, and these take 4 s and 400 MB
LARGEST_BIKE = 1_000_000  # bytes, as far as a bike file is read
REMEDY = "take the board.json as `boardmaker board` wrote it, or make the boards anew with `boardmaker board BIKE`"


def read_board_file(path: Path) -> BoardFile:
    """Return what the board file says. Raises ProblemsFound where it is no sound board file."""
    content = _content(path)
    if content.get("format") != FORMAT or "boards" not in content:
        raise _wrong(path, f"this is no board file of format {FORMAT}")
    try:
        kept = _shape().validate_python(content)
    except ValidationError as wrong:
        first = wrong.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise _wrong(path, f"at {where}: {first['msg'].lower()}") from None
    numbers = chain(odd_numbers(kept.setup, "setup"), odd_numbers(kept.bike.model, "bike.model"))
    if fault := next(chain(_faults(kept), far_numbers(kept.boards, "boards"), numbers, unsound(kept)), None):
        raise _wrong(path, fault)
    return kept


@cache  # it takes as long to make as to use
def _shape() -> TypeAdapter[BoardFile]:
    return TypeAdapter(BoardFile)


def _content(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise _wrong(path, "the file is too large for a board file")
        content = json.loads(path.read_bytes(), parse_constant=_no_number)
    except (ValueError, RecursionError) as wrong:
        raise _wrong(path, f"this is no JSON file ({f'{wrong}'[:80]})") from None
    except OSError as wrong:
        raise _wrong(path, f"it cannot be read ({wrong.strerror})") from None
    if not isinstance(content, dict):
        raise _wrong(path, "this is no board file")
    return content


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no length")


def _faults(kept: BoardFile) -> list[str]:
    """What the types alone do not say."""
    board = kept.setup.board
    sizes = (*board.size, *(side for shape in kept.boards for side in shape.stock))
    lengths = (board.thickness, board.margin, board.clearance, board.finger_room)
    checks = (
        (0.0 < kept.scale <= 1.0, f"a scale of {kept.scale:g} is not above 0 and at most 1"),
        (bool(kept.boards), "there are no boards in it"),
        (all(SMALLEST_BOARD <= side <= LARGEST_BOARD for side in sizes), "a board's size is out of all reason"),
        (all(0.0 <= length < LARGEST_BOARD for length in lengths), "a length of its setup is out of all reason"),
        (2 * board.margin < min(board.size), "the margin leaves nothing of the board"),
        (board.clearance < min(board.size), "the clearance between two figures is as much as the board"),
        (all(len(item.zone) >= 3 for shape in kept.boards for item in shape.items), "an item has no zone"),
    )
    return [message for sound, message in checks if not sound]


def _wrong(path: Path, what: str) -> ProblemsFound:
    return ProblemsFound([error(f"{path}: {what}", hint=REMEDY)])


def changed_since(kept: BikeEntry, places: Sequence[Path]) -> tuple[Path | None, bool]:
    """Return where the bike file is, the first of the places that has it, and whether it has changed since.

    A file that is too large for a bike has changed; one that cannot be read is not there.
    """
    for path in places:
        try:
            if path.is_file():
                same = path.stat().st_size <= LARGEST_BIKE and _digest(path) == kept.sha256
                return path, not same
        except (OSError, ValueError):
            continue
    return None, False


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def problem_without_bike(path: Path, kept: BikeEntry) -> Problem:
    """Return the error for a board file that does not hold its bike, where the bike file is gone too."""
    return error(
        f"{path} does not hold the bike, and {kept.file} is neither beside it nor here",
        hint=f"put {kept.file} beside the board file",
    )
