"""What `board` and `repack` say about the boards that they made.

In: the finished boards. Out: lines for the screen: what is on them, how they lie in the case, what was assumed, what
must not be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import Polygon

from boardmaker.boards import BoardSet
from boardmaker.boards.stack import flat_on
from boardmaker.case import Blank, boards_from_sheet
from boardmaker.commands.common import must_not_lines, unchecked_lines
from boardmaker.geometry import bounds
from boardmaker.model import Setup
from boardmaker.packing.reading import Reading
from boardmaker.service import uncounted
from boardmaker.sheets import cut_text, double_cuts, flat_text
from boardmaker.units import counted
from boardmaker.wording.numbers import scale_text, size_text

MOSTLY_EMPTY = 0.25  # of a board that is filled: below, a smaller one is spoken of
WELL_FILLED = 0.45  # of a board with a few figures; full boards reach 0.6; no source
WORTH_IT = 0.8  # of the board's sides: a board hardly smaller is not spoken of
EDGE = 15.0  # mm that figures keep off a board's edge, and somewhat more


def summary(built: BoardSet, case: str | None) -> Iterator[str]:
    """Return the lines that say what is on the boards, what was assumed and what must not be."""
    work = built.work
    pockets = [pocket for board in built.boards for one in board.placed for pocket in one.figure.pockets if pocket.hole]
    panels = len({freed.panel.key for freed in work.freed})
    yield f"{work.bike.name}: {counted(panels, 'panel')}, {counted(len(pockets), 'fastener')}"
    yield from () if work.jobs else uncounted(work, work.bike)
    moved = sum(pocket.moved for pocket in pockets)
    had_to = counted(moved, "pocket had to move from its true place", "pockets had to move from their true place")
    yield f"{counted(len(built.boards), 'board')} at {scale_text(built.scale)}, {_printed(built)}; {had_to}"
    yield from _mostly_empty(built)
    yield f"reads like the bike: {_reading(built.reading)}"
    yield from unchecked_lines(work)
    yield from _case_lines(built, case)
    yield from _assumptions(built)
    yield from must_not_lines(work)


def _mostly_empty(built: BoardSet) -> Iterator[str]:
    """What a smaller board would be for the few figures of one job: by area, and as large as the largest figure."""
    (width, height), board = built.setup.board.size, built.boards[0]
    zones = [one.figure.zone for one in board.placed]
    filled = math.fsum(Polygon(zone).area for zone in zones) / board.shape.area
    if built.setup.case or len(built.boards) > 1 or filled >= MOSTLY_EMPTY:
        return
    boxes = [bounds(zone) for zone in zones]
    widest, highest = max(x1 - x0 for x0, _, x1, _ in boxes), max(y1 - y0 for _, y0, _, y1 in boxes)
    share = max(math.sqrt(filled / WELL_FILLED), widest / (width - 2 * EDGE), highest / (height - 2 * EDGE))
    step = 25.4 if built.setup.cuts_in_inches else 10.0
    size = math.ceil(width * share / step) * step, math.ceil(height * share / step) * step
    if share <= WORTH_IT:
        smaller = size_text(size, built.setup.cuts_in_inches)
        yield f"{1 - filled:.0%} of the board is empty: --board '{smaller}' would be about enough"


def _reading(reading: Reading) -> str:
    """How much of an exploded view of the bike the boards are, all in all and by its parts."""
    parts = {
        "on their side": reading.side,
        "high ones high": reading.height,
        "front ones in front": reading.ends,
        "pairs mirrored": reading.twins,
        "upright": reading.upright,
    }
    said = ", ".join(f"{words} {share:.0%}" for words, share in parts.items() if share is not None)
    return f"{reading.total:.0%} ({said})" if said else "nothing to compare"


def _printed(built: BoardSet) -> str:
    tiles = built.sheets.tiles
    if not tiles:
        return f"every figure to cut out on {built.setup.paper.name}"
    whole = len(tiles) == len(built.boards) and all(tile.tile == "whole" for tile in tiles)
    if whole:
        return "each whole on a page" if len(tiles) > 1 else "whole on a page"
    cut, patches = built.sheets.pockets_cut, built.sheets.patches
    pages = counted(len({patch.page for patch in patches}), "page")
    over = f" and {counted(len(patches), 'patch', 'patches')} on {pages}" if patches else ""
    seams = f" ({counted(cut, 'pocket')} on their seams)" if cut else ""
    return f"{counted(len(tiles), 'tile')}{over} on {built.setup.paper.name}{seams}"


def _case_lines(built: BoardSet, case: str | None) -> Iterator[str]:
    setup: Setup = built.setup
    if setup.case is None:
        return
    if case and setup.case not in dict(setup.cases).values():
        yield "case from the command line: sharp corners, upright walls, no height limit, no clearance"
    for number, board in enumerate(built.boards, start=1):
        name = f"board {number}" if len(built.boards) > 1 else "board"
        yield f"{name} in the case: {_lying(board.shape)}"
        if board.shape.stock != setup.board.size:
            such = counted(boards_from_sheet(setup.board.size, board.shape.stock), "such board")
            size = size_text(board.shape.stock, setup.cuts_in_inches)
            yield f"{name}: trim to {size}; one sheet of stock gives {such}"
        for cut_number, cut in enumerate(board.shape.corner_cuts, start=1):
            yield f"{name}: cut {cut_number}: {cut_text(cut, setup.cuts_in_inches)}"
        if flat := flat_on(built.work, board.placed):
            yield f"{name}: {flat_text(flat)}"
        if pairs := double_cuts(board.shape.corner_cuts):
            yield (
                f"{name}: cuts {', '.join(pairs)} share a corner: measure both from the square corner, and mark both "
                "before you cut"
            )
    if lowest := built.boards[0].shape.in_case:
        yield from _protection(lowest.floor_height)


def _lying(shape: Blank) -> str:
    assert shape.in_case is not None
    turned = f"turned {shape.in_case.turn:g} degrees, " if shape.in_case.turn else ""
    x, y = shape.in_case.at
    return f"{turned}its corner at {x:.0f}, {y:.0f} mm, {shape.in_case.floor_height:.0f} mm above the floor"


def _protection(tips: float) -> Iterator[str]:
    """What keeps screw tips off the case's floor and off hands."""
    if tips > 0.0:
        yield (
            f"tips stand out up to {tips:.0f} mm below: lay the board on spacer strips of {math.ceil(tips)} mm, on a "
            "second layer of foam board, or on a liner as thick"
        )


def _assumptions(built: BoardSet) -> Iterator[str]:
    work = built.work
    used = {freed.fastener.key for freed in work.freed}
    fasteners = [fastener for fastener in work.bike.fasteners if fastener.key in used]
    drawn = {one.figure.key for board in built.boards for one in board.placed if one.figure.kind == "panel"}
    assumed = {
        "head height 0.6 x thread or clip hole": [one.key for one in fasteners if one.head.height_assumed],
        "head diameter 2 x thread": [one.key for one in fasteners if one.head.diameter_assumed],
        "length 20 mm": [one.key for one in fasteners if one.length_assumed],
        "outline drawn around the holes": [p.key for p in work.bike.panels if p.outline_drawn and p.key in drawn],
    }
    yield from (f"assumed {what}: {', '.join(keys)}" for what, keys in assumed.items() if keys)
