"""The board file: everything that the sheets show, as numbers, so that a board can be checked, reprinted, repacked.

Lengths in mm on the board, four decimals; the form is part of the promise to the user.
"""

from __future__ import annotations

import json
from dataclasses import MISSING, asdict, fields, is_dataclass
from typing import Any

from boardmaker import __version__
from boardmaker.boards.board_set import Board, BoardSet
from boardmaker.drawing import Placed
from boardmaker.figures import Pocket
from boardmaker.sheets import Sheet

FORMAT = 1
DECIMALS = 4


def write_board_file(boards: BoardSet) -> bytes:
    """Return `board.json`: one line an item, so that two boards can be compared by eye."""
    work = boards.work
    content = {
        "format": FORMAT,
        "boardmaker": __version__,
        "bike": {
            "name": work.bike.name,
            "file": work.bike.file,
            "sha256": work.bike.sha256,
            "jobs": [job.key for job in work.jobs],
            "equipment": list(work.equipment),
            "model": _plain(work.bike),
        },
        "setup": _rounded(asdict(boards.setup)),
        "scale": boards.scale,  # unrounded: figures are laid out anew from it
        "boards": [_board(board) for board in boards.boards],
        "sheets": [_sheet(sheet) for sheet in boards.sheets.tiles],
    }
    if boards.cut_short:
        content["interrupted"] = True
    return (_layout(content) + "\n").encode()


def _plain(value: Any) -> Any:
    """A frozen value of the model as plain data, unrounded, without what is empty or where it stood in a file."""
    if not is_dataclass(value):
        return [_plain(one) for one in value] if isinstance(value, tuple | list) else value
    found = {one.name: getattr(value, one.name) for one in fields(value) if one.name != "where"}
    return {
        one.name: _plain(found[one.name])
        for one in fields(value)
        if one.name in found and (one.default is MISSING or found[one.name] != one.default)
    }


def _board(board: Board) -> dict[str, Any]:
    shape = board.shape
    entry: dict[str, Any] = {
        "stock": _rounded(shape.stock),
        "outline": _rounded(shape.outline),
        "corner_cuts": [_rounded(asdict(cut)) for cut in shape.corner_cuts],
    }
    if shape.in_case:
        entry["in_case"] = _rounded(asdict(shape.in_case))
    entry["items"] = [_item(placed) for placed in board.placed]
    return entry


def _item(placed: Placed) -> dict[str, Any]:
    figure = placed.figure
    entry: dict[str, Any] = {"kind": figure.kind}
    if figure.key:
        entry["key"] = figure.key
    entry |= {"at": _rounded(placed.at), "turn": placed.turn_deg}
    if figure.outline:
        entry["outline"] = _rounded(figure.outline)
    entry["zone"] = _rounded(figure.zone)
    if figure.pockets:
        entry["pockets"] = [_pocket(pocket) for pocket in figure.pockets]
    entry["labels"] = [{"text": label.text, "box": _rounded(label.box)} for label in figure.labels]
    if figure.kind == "panel":
        entry["leaders"] = _rounded(figure.leaders)
        entry["ghosts"] = [{"hole": ghost.hole, "at": _rounded(ghost.at)} for ghost in figure.ghosts]
        entry["fixings"] = [{"kind": fixing.kind, "at": _rounded(fixing.at)} for fixing in figure.fixings]
    return entry


def _pocket(pocket: Pocket) -> dict[str, Any]:
    sizes = {"hole_diameter": _rounded(pocket.hole_diameter), "head_diameter": _rounded(pocket.head_diameter)}
    if not pocket.hole:
        return {"at": _rounded(pocket.at), **sizes}
    entry = {
        "hole": pocket.hole,
        "number": pocket.number,
        "fastener": pocket.fastener,
        "at": _rounded(pocket.at),
        "true_at": _rounded(pocket.true_at),
        **sizes,
    }
    if pocket.behind:
        entry["behind"] = pocket.behind
    if pocket.must_not:
        entry["must_not"] = pocket.must_not
    return entry


def _sheet(sheet: Sheet) -> dict[str, Any]:
    return _rounded(asdict(sheet))  # type: ignore[no-any-return]


def _rounded(value: Any) -> Any:
    """Numbers to the file's decimals, in whatever they stand."""
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(one) for one in value]
    return value


def _layout(content: dict[str, Any]) -> str:
    """JSON with the boards' items one a line and everything else short."""
    heads = [f"  {_flat(key)}: {_flat(value)}" for key, value in content.items() if key not in ("boards", "sheets")]
    boards = ",\n".join(_board_lines(board) for board in content["boards"])
    sheets = ",\n".join(f"    {_flat(sheet)}" for sheet in content["sheets"])
    return "{\n" + ",\n".join([*heads, f'  "boards": [\n{boards}\n  ]', f'  "sheets": [\n{sheets}\n  ]']) + "\n}"


def _board_lines(board: dict[str, Any]) -> str:
    heads = [f"      {_flat(key)}: {_flat(value)}" for key, value in board.items() if key != "items"]
    items = ",\n".join(f"        {_flat(item)}" for item in board["items"])
    return "    {\n" + ",\n".join([*heads, f'      "items": [\n{items}\n      ]']) + "\n    }"


def _flat(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)
