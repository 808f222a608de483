"""What a bike file would never let through, looked for in the bike of a board file.

In: the whole board file as read back. Out: what is wrong, each with the way to it. Apart from `numbers`, which sees one
number at a time: here are texts, how many there may be of a thing, and whether every name names something. Inputs
checks all of it in a bike file; a board file is read without, and the stages after rely on it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import fields, is_dataclass

import shapely

from boardmaker.boards.board_file.form import BoardFile
from boardmaker.drawing import MOST_IN_A_ROW, BoardGrid
from boardmaker.geometry import Ring
from boardmaker.inputs.bike.amounts import MOST_ENTRIES, MOST_HOLES, MOST_TIES, too_many_holes, too_many_ties
from boardmaker.inputs.setup import too_many_obstacles
from boardmaker.model import Bike, Panel, Setup

LONGEST_TEXT = 2000  # letters, as in a bike file
LONGEST_NAME = 255  # bytes, of a file
MOST_POINTS = 2000  # of an outline, as in a bike file
MOST_BOARDS = 20  # as many as `--boards` takes
_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]"
)  # as in a bike file
SAME_AREA = 0.001  # of it; places in the file are rounded to 0.0001 mm, which is 3e-6 of the smallest panels so far


def unsound(kept: BoardFile) -> Iterator[str]:
    """Yield what is wrong, the cheapest first."""
    yield from odd_texts(kept.bike, "bike")
    yield from odd_texts(kept.setup, "setup")
    yield from _too_many_things(kept)
    yield from _wrong_squares(kept)
    if len(kept.bike.file.encode(errors="replace")) > LONGEST_NAME:
        yield "at bike.file: the name of a file is not so long"
    if kept.bike.model is not None:
        yield from _too_many(kept.bike.model)
        yield from _repeated(kept.bike.model)
        yield from _unknown_names(kept.bike.model)
        yield from _unknown("bike.jobs", kept.bike.jobs, [job.key for job in kept.bike.model.jobs], "job")
        equipment = [key for key, _ in kept.bike.model.equipment]
        yield from _unknown("bike.equipment", kept.bike.equipment, equipment, "equipment")
        yield from _other_panels(kept, kept.bike.model)


def odd_texts(thing: object, way: str) -> Iterator[str]:
    """Yield what is wrong with the texts in a dataclass, in all that it holds; `way` leads to it in the file."""
    if isinstance(thing, str):
        if len(thing) > LONGEST_TEXT:
            yield f"at {way}: this text is longer than {LONGEST_TEXT} letters"
        elif _UNPRINTABLE.search(thing):
            yield f"at {way}: this text has a character that is not for printing"
    elif is_dataclass(thing):
        for one in fields(thing):
            if one.name not in ("file", "where"):  # a file may be called anything
                yield from odd_texts(getattr(thing, one.name), f"{way}.{one.name}")
    elif isinstance(thing, tuple):
        for index, value in enumerate(thing):
            yield from odd_texts(value, f"{way}.{index}")


def _crowded_cases(setup: Setup) -> Iterator[str]:
    """The case that is packed for, and those of other names: `repack --case NAME` may choose any of them."""
    cases = [("case", setup.case), *((f"cases.{name}", case) for name, case in setup.cases)]
    for way, case in cases:
        if case is not None and len(case.outline) > MOST_POINTS:
            yield f"at setup.{way}.outline: more than {MOST_POINTS} points"
        elif case is not None and (message := too_many_obstacles(case.outline, len(case.keep_out))):
            yield f"at setup.{way}: {message}"


def _too_many_things(kept: BoardFile) -> Iterator[str]:
    yield from _crowded_cases(kept.setup)
    if len(kept.boards) > MOST_BOARDS:
        yield f"at boards: more than {MOST_BOARDS} boards"
    for index, board in enumerate(kept.boards):
        for number, item in enumerate(board.items):
            if max(len(item.zone), len(item.outline or ())) > MOST_POINTS:
                yield f"at boards.{index}.items.{number}: more than {MOST_POINTS} points around one thing"


def _wrong_squares(kept: BoardFile) -> Iterator[str]:
    """A square that is not where its pocket lies sends its reader astray."""
    for index, board in enumerate(kept.boards):
        if board.grid and not all(1 <= count <= MOST_IN_A_ROW for count in (board.grid.columns, board.grid.rows)):
            yield f"at boards.{index}.grid: more than {MOST_IN_A_ROW} columns or rows, or none"
            continue
        grid = BoardGrid(board.stock, board.grid.columns, board.grid.rows) if board.grid else None
        for number, item in enumerate(board.items):
            for place, pocket in enumerate(item.pockets or ()):
                if pocket.square is not None and (grid is None or pocket.square != grid.square_at(pocket.at)):
                    yield f"at boards.{index}.items.{number}.pockets.{place}: it does not lie in this square"


def _too_many(bike: Bike) -> Iterator[str]:
    for way in ("fasteners", "panels", "jobs", "torques", "equipment"):
        if len(getattr(bike, way)) > MOST_ENTRIES:
            yield f"at bike.model.{way}: more than {MOST_ENTRIES} entries"
    if (holes := sum(len(panel.holes) for panel in bike.panels)) > MOST_HOLES:
        yield f"at bike.model.panels: {too_many_holes(holes)}"
    if (ties := sum(len(row.jobs) for row in bike.torques)) > MOST_TIES:
        yield f"at bike.model.torques: {too_many_ties(ties)}"
    for index, panel in enumerate(bike.panels):
        if len(panel.outline) > MOST_POINTS:
            yield f"at bike.model.panels.{index}.outline: more than {MOST_POINTS} points"
        elif len(panel.outline) in (1, 2) or (panel.outline and not shapely.Polygon(panel.outline).is_valid):
            yield f"at bike.model.panels.{index}.outline: it crosses itself"
        elif panel.holes and not panel.outline:
            yield f"at bike.model.panels.{index}.outline: there is none around its holes"


def _repeated(bike: Bike) -> Iterator[str]:
    for way in ("fasteners", "panels", "jobs", "torques"):
        yield from _twice(f"bike.model.{way}", (thing.key for thing in getattr(bike, way)))
    for index, panel in enumerate(bike.panels):
        yield from _twice(f"bike.model.panels.{index}.holes", (hole.id for hole in panel.holes))


def _twice(way: str, keys: Iterable[str]) -> Iterator[str]:
    yield from (f'at {way}: "{key}" is there {count} times' for key, count in Counter(keys).items() if count > 1)


def _unknown_names(bike: Bike) -> Iterator[str]:
    """Every name of a fastener, panel, job or equipment that is none."""
    panels, equipment = {panel.key for panel in bike.panels}, {key for key, _ in bike.equipment}
    fasteners = {fastener.key for fastener in bike.fasteners}
    for index, panel in enumerate(bike.panels):
        way = f"bike.model.panels.{index}"
        if (panel.side == "centre") == (panel.view == "side"):
            yield f"at {way}.view: a {panel.side} panel is not seen from the {panel.view}"
        named = [*panel.after, *filter(None, (panel.rides_on, panel.mirrors))]
        named += [key for hole in panel.holes for key in hole.also_holds]
        yield from _unknown(way, named, panels, "panel")
        yield from _unknown(f"{way}.holes", [hole.fastener for hole in panel.holes], fasteners, "fastener")
    for index, job in enumerate(bike.jobs):
        yield from _unknown(f"bike.model.jobs.{index}", (*job.remove, *job.apart), panels, "panel")
    for index, row in enumerate(bike.torques):
        yield from _unknown(f"bike.model.torques.{index}", row.jobs, [job.key for job in bike.jobs], "job")
    tied = [row.equipment for row in bike.torques]
    for panel in bike.panels:
        tied += [panel.equipment, *(one.equipment for one in panel.holes), *(one.equipment for one in panel.fixings)]
    yield from _unknown(
        "bike.model", [key for one in tied for key in (*one.present, *one.absent)], equipment, "equipment"
    )


def _unknown(way: str, names: Iterable[str], known: Collection[str], what: str) -> Iterator[str]:
    yield from (f'at {way}: there is no {what} "{name}"' for name in names if name not in known)


def _other_panels(kept: BoardFile, bike: Bike) -> Iterator[str]:
    """Panels that are not those on the boards: their packing tells nothing, and a search for it takes its time."""
    panels = {panel.key: panel for panel in bike.panels}
    for index, board in enumerate(kept.boards):
        for number, item in enumerate(board.items):
            way = f"boards.{index}.items.{number}"
            if item.kind == "panel" and item.key not in panels:
                yield f'at {way}: there is no panel "{item.key}"'
            elif item.kind == "panel" and not _same(panels[item.key or ""], item.outline or (), kept.scale):
                yield f'at {way}: this is not the outline of panel "{item.key}" at the file\'s scale'


def _same(panel: Panel, drawn: Ring, scale: float) -> bool:
    areas = [shapely.Polygon(ring).area if len(ring) >= 3 else 0.0 for ring in (panel.outline, drawn)]
    return bool(abs(areas[0] * scale**2 - areas[1]) <= SAME_AREA * max(areas[1], 1.0))
