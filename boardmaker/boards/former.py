"""Where things lay on earlier boards, as a beginning and a wish for packing them again.

Apart because a packing knows nothing of earlier boards. Things are known by kind, key and, where several are
alike, by their order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import Polygon

from boardmaker.boards.board_file.form import BoardEntry, ItemEntry
from boardmaker.boards.poses import pose_of
from boardmaker.drawing import Placed
from boardmaker.geometry import Point, Ring, bounds, distance
from boardmaker.packing.problem import Item, Placement

Name = tuple[str, str]  # kind and key

STILL_THERE = 0.7  # of a table's area: then it has only grown or shrunk about where it was
NEAR = 20.0  # mm; a figure that moved less is found at once


@dataclass(frozen=True)
class Former:
    """The earlier boards: for each item's key the board that it lay on and the thing itself."""

    boards: tuple[BoardEntry, ...]
    scale: float
    places: dict[str, tuple[int, ItemEntry]]

    def wishing(self, items: Sequence[Item]) -> tuple[Item, ...]:
        """The items with the wish to lie where they lay, as shares of the board."""
        return tuple(replace(item, wish=self._share(item.key) or item.wish) for item in items)

    def share(self, key: str) -> Point:
        """Where the middle of a panel's outline, of a table's zone lay, as shares of its board's width and height."""
        board, thing = self.places[key]
        x, y = middle(thing.outline or thing.zone)
        width, height = self.boards[board].stock
        return x / width, y / height

    def pictures(self) -> dict[str, tuple[int, Point]]:
        """Where the picture of the bike lay, by the key of its parts: the board, and mm from that board's middle."""
        return {
            thing.key or "": (number, _from_middle(middle(thing.zone), board.stock))
            for number, board in enumerate(self.boards)
            for thing in board.items
            if thing.kind == "bike map"
        }

    def _share(self, key: str) -> Point | None:
        if key not in self.places:
            return None
        board, thing = self.places[key]
        return _share_of(thing, self.boards[board])

    def as_they_were(self, items: Sequence[Item], stocks: Sequence[Point]) -> Iterator[tuple[Placement, ...]]:
        """The old places on the new boards: all slid alike, by the middle first, then along the corners."""
        if len(stocks) < len(self.boards) or any(item.key not in self.places for item in items):
            return
        for x_share, y_share in ((0.5, 0.5), (0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)):
            slides = [
                ((new[0] - old.stock[0]) * x_share, (new[1] - old.stock[1]) * y_share)
                for old, new in zip(self.boards, stocks, strict=False)
            ]
            yield tuple(self._placed(item, slides) for item in items)

    def _placed(self, item: Item, slides: Sequence[Point]) -> Placement:
        board, thing = self.places[item.key]
        slide_x, slide_y = slides[board]
        pose = pose_of(item, thing.turn, thing.shape, thing.zone, thing.at) or 0
        return Placement(item.key, board, pose, (thing.at[0] + slide_x, thing.at[1] + slide_y))

    def in_proportion(self, items: Sequence[Item], stocks: Sequence[Point]) -> tuple[Placement, ...]:
        """The old places drawn together as much as the boards have become smaller; for a search to begin from."""
        return tuple(self._drawn_in(item, stocks) for item in items if item.key in self.places)

    def _drawn_in(self, item: Item, stocks: Sequence[Point]) -> Placement:
        board, thing = self.places[item.key]
        board = min(board, len(stocks) - 1)
        share = self._share(item.key) or (0.5, 0.5)
        pose = pose_of(item, thing.turn, thing.shape, thing.zone, thing.at) or 0
        x, y = middle(item.poses[pose].zone)
        return Placement(item.key, board, pose, (share[0] * stocks[board][0] - x, share[1] * stocks[board][1] - y))


def _share_of(thing: ItemEntry, board: BoardEntry) -> Point:
    """Where the middle of a thing's zone lies, as shares of its board's width and height."""
    x, y = middle(thing.zone)
    width, height = board.stock
    return min(1.0, max(0.0, x / width)), min(1.0, max(0.0, y / height))


def middle(zone: Sequence[Point]) -> Point:
    """Return the middle of a zone's bounding box."""
    x0, y0, x1, y1 = shapely.MultiPoint(zone).bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def former_places(boards: Sequence[BoardEntry], scale: float, names: Sequence[Name]) -> Former:
    """Return where the things of these names lay; an item's key is its number in `names`."""
    lay = {
        (name, number): (board, thing)
        for name, number, board, thing in _numbered(
            [(thing.name, board, thing) for board, shape in enumerate(boards) for thing in shape.items]
        )
    }
    seen: Counter[Name] = Counter()
    places: dict[str, tuple[int, ItemEntry]] = {}
    for index, name in enumerate(names):
        if (name, seen[name]) in lay:
            places[str(index)] = lay[name, seen[name]]
        seen[name] += 1
    return Former(tuple(boards), scale, places)


def _numbered(things: Sequence[tuple[Name, int, ItemEntry]]) -> Iterator[tuple[Name, int, int, ItemEntry]]:
    seen: Counter[Name] = Counter()
    for name, board, thing in things:
        yield name, seen[name], board, thing
        seen[name] += 1


@dataclass(frozen=True)
class FigureMove:
    """What became of one thing: `words` say how it moved, empty where it is near its old place."""

    kind: str
    key: str
    words: str


def moves(before: Sequence[BoardEntry], after: Sequence[tuple[Point, Sequence[Placed]]]) -> tuple[FigureMove, ...]:
    """Return what moved between earlier boards and new ones, each given as its stock and what lies on it.

    Places are compared from the middle of each board, so that a board trimmed all round moves nothing.
    """
    names = [(placed.figure.kind, placed.figure.key) for _, on_board in after for placed in on_board]
    former = former_places(before, 1.0, names)
    found = []
    index = 0
    for board, (stock, on_board) in enumerate(after):
        for placed in on_board:
            was = former.places.get(str(index))  # none of marks that tell boards apart, which are new and no matter
            if was is not None:
                words = _moved(was, before, board, stock, placed)
                found.append(FigureMove(placed.figure.kind, placed.figure.key, words))
            index += 1
    return tuple(found)


def _moved(was: tuple[int, ItemEntry], before: Sequence[BoardEntry], board: int, stock: Point, placed: Placed) -> str:
    former_board, thing = was
    words = [f"to board {board + 1}"] if board != former_board else []
    if thing.turn != placed.turn_deg:
        words.append(f"turned from {thing.turn:g} to {placed.turn_deg} degrees")
    now, then = _box(placed.figure.zone, stock), _box(thing.zone, before[former_board].stock)
    way = now.centroid.x - then.centroid.x, now.centroid.y - then.centroid.y
    grown = now.intersection(then).area >= STILL_THERE * min(now.area, then.area) and thing.kind != "panel"
    if board == former_board and distance((0.0, 0.0), way) > NEAR and not grown:
        words.append(_direction(*way))
    return ", ".join(words)


def _box(zone: Ring, stock: Point) -> Polygon:
    """The box around a zone, seen from the middle of its board."""
    x0, y0, x1, y1 = bounds(zone)
    return shapely.box(*_from_middle((x0, y0), stock), *_from_middle((x1, y1), stock))


def _from_middle(point: Point, stock: Point) -> Point:
    return point[0] - stock[0] / 2, point[1] - stock[1] / 2


def _direction(x: float, y: float) -> str:
    sides = [f"{abs(x):.0f} mm {'right' if x > 0 else 'left'}"] if abs(x) >= 5.0 else []
    return " and ".join([*sides, *([f"{abs(y):.0f} mm {'up' if y > 0 else 'down'}"] if abs(y) >= 5.0 else [])])
