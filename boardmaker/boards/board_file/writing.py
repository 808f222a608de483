"""A board set as the text of its board file: one line an item, so that two boards can be compared by eye."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import MISSING, asdict, fields, is_dataclass
from typing import Any

import shapely

from boardmaker import __version__
from boardmaker.boards.board_file.form import (
    FORMAT,
    BikeEntry,
    BoardEntry,
    BoardFile,
    FixingEntry,
    GhostEntry,
    GridEntry,
    ItemEntry,
    LabelEntry,
    PocketEntry,
)
from boardmaker.boards.board_set import Board, BoardSet
from boardmaker.drawing import BoardGrid, Placed
from boardmaker.figures import Figure, Pocket
from boardmaker.geometry import Point, bounds
from boardmaker.plain_text import HIDDEN
from boardmaker.service import Work
from boardmaker.typeset.label import Box

DECIMALS = 4  # of mm, and of shares


def write_board_file(boards: BoardSet) -> bytes:
    """Return `board.json`."""
    return (_layout(_plain_file(board_file_of(boards))) + "\n").encode()


def board_file_of(boards: BoardSet) -> BoardFile:
    """Return a board set in the form of its file."""
    return BoardFile(
        format=FORMAT,
        boardmaker=__version__,
        geometry=f"GEOS {shapely.geos_version_string}",
        bike=_bike(boards.work),
        setup=boards.setup,
        scale=boards.scale,
        reading={**boards.reading.shares, "mean": boards.reading.total},
        boards=tuple(_board(board) for board in boards.boards),
        sheets=(*boards.sheets.tiles, *boards.sheets.patches),
        interrupted=boards.cut_short or None,
    )


def _bike(work: Work) -> BikeEntry:
    return BikeEntry(
        name=work.bike.name,
        file=work.bike.file,
        sha256=work.bike.sha256,
        jobs=tuple(job.key for job in work.jobs),
        equipment=tuple(work.equipment),
        model=work.bike,
    )


def _board(board: Board) -> BoardEntry:
    shape, grid = board.shape, board.grid
    return BoardEntry(
        stock=shape.stock,
        outline=shape.outline,
        corner_cuts=shape.corner_cuts,
        in_case=shape.in_case,
        grid=GridEntry(columns=grid.columns, rows=grid.rows) if grid else None,
        items=tuple(_item(placed, grid) for placed in board.placed),
    )


def _item(placed: Placed, grid: BoardGrid | None) -> ItemEntry:
    figure, is_panel = placed.figure, placed.figure.kind == "panel"
    return ItemEntry(
        kind=figure.kind,
        key=figure.key or None,
        at=placed.at,
        turn=placed.turn_deg,
        shape=None if is_panel else figure.shape,
        type=figure.times if figure.times > 1.0 else None,
        outline=figure.outline or None,
        zone=figure.zone,
        pockets=tuple(_pocket(pocket, grid) for pocket in figure.pockets) or None,
        labels=tuple(_labels(figure)),
        leaders=figure.leaders if is_panel else None,
        ghosts=tuple(GhostEntry(hole=one.hole, at=one.at) for one in figure.ghosts) if is_panel else None,
        fixings=tuple(FixingEntry(kind=one.kind, at=one.at) for one in figure.fixings) if is_panel else None,
    )


def _labels(figure: Figure) -> Iterator[LabelEntry]:
    """The labels; a panel's tag and name, which are placed together, as one."""
    labels = figure.labels
    if figure.kind == "panel":
        tag, name, *others = labels
        yield LabelEntry(text=f"{tag.text} {name.text}", box=bounds((*_corners(tag.box), *_corners(name.box))))
        labels = tuple(others)
    yield from (LabelEntry(text=label.text, box=label.box) for label in labels)


def _corners(box: Box) -> tuple[Point, Point]:
    x0, y0, x1, y1 = box
    return (x0, y0), (x1, y1)


def _pocket(pocket: Pocket, grid: BoardGrid | None) -> PocketEntry:
    square = grid.square_at(pocket.at) if grid else None
    if not pocket.hole:
        hole, head = pocket.hole_diameter, pocket.head_diameter
        return PocketEntry(at=pocket.at, hole_diameter=hole, head_diameter=head, square=square)
    return PocketEntry(
        hole=pocket.hole,
        number=pocket.number,
        fastener=pocket.fastener,
        at=pocket.at,
        true_at=pocket.true_at,
        hole_diameter=pocket.hole_diameter,
        head_diameter=pocket.head_diameter,
        behind=pocket.behind or None,
        must_not=pocket.must_not or None,
        carries=pocket.carries or None,
        square=square,
    )


def _plain_file(file: BoardFile) -> dict[str, Any]:
    """The file as plain data: places rounded, scale and bike as they are, the setup with every value."""
    plain: dict[str, Any] = _entry(file)
    plain["bike"]["model"] = _without_defaults(file.bike.model)
    plain["setup"] = _rounded(asdict(file.setup))
    plain["scale"] = file.scale
    plain["reading"] = {name: round(share, DECIMALS) for name, share in (file.reading or {}).items()}
    return plain


def _entry(value: Any) -> Any:
    """An entry of the form as plain data, without what does not stand in it; numbers rounded to the file's decimals."""
    if is_dataclass(value):
        said = {one.name: getattr(value, one.name) for one in fields(value)}
        return {name: _entry(one) for name, one in said.items() if one is not None}
    return [_entry(one) for one in value] if isinstance(value, tuple | list) else _rounded(value)


def _without_defaults(value: Any) -> Any:
    """A value of the model as plain data, unrounded, without what is at its default or how it came into a file."""
    if not is_dataclass(value):
        return [_without_defaults(one) for one in value] if isinstance(value, tuple | list) else value
    found = {one.name: getattr(value, one.name) for one in fields(value) if one.compare}
    return {
        one.name: _without_defaults(found[one.name])
        for one in fields(value)
        if one.name in found and (one.default is MISSING or found[one.name] != one.default)
    }


def _rounded(value: Any) -> Any:
    """Numbers to the file's decimals, in whatever they stand."""
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    return [_rounded(one) for one in value] if isinstance(value, list | tuple) else value


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
    """A value as JSON of one line; letters as they are, but for those that nobody could see (or UTF-8 hold)."""
    return HIDDEN.sub(lambda one: json.dumps(one[0])[1:-1], json.dumps(value, ensure_ascii=False))
