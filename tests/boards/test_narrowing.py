"""The ladder of windows by itself: the packing engine's answers are scripted, an aim rates them as it is told."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from boardmaker.boards import narrowing
from boardmaker.boards.narrowing import CLOSE_LOOKS, NOTCH, RISE, WantedScales, _Narrowing
from boardmaker.packing import NearFit
from boardmaker.packing.problem import Enough, Item, Packing, Placement, Pose

ITEM = Item("one", (Pose(0, ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))),))
BOARD = (200.0, 100.0)
LEAST, ASKED, HOPED = 0.495, 0.5, 0.53


def placed(rating):
    """A packing that the aim below rates like this: the rating stands in a coordinate."""
    return (Placement("one", 0, 0, (rating, 0.0)),)


class Aim:
    """Five rungs; what is rated 0.8 is enough."""

    enough, near, aside, most, unseen = 0.8, 0.05, 0.2, 1.0, 0.02

    def __init__(self, climb=(2, 3, 4)):
        self.climb, self.beginning = climb, None

    def items_at(self, _, rung):
        return [Item(f"rung {rung}", ITEM.poses)]

    def rating_of(self, packing):
        return packing.placements[0].at[0]

    def improved(self, look):
        return look.packing


class Engine:
    """Answers in turn; remembers the first item's key, the seed and where the search was to begin."""

    def __init__(self, *answers):
        self._answers, self.asked, self.growths = list(answers), [], 0

    def __call__(self, items, _, *, seed, start, **__):
        self.asked.append((items[0].key, seed, start))
        answer = self._answers.pop(0)
        if answer is Enough:
            raise Enough
        return NearFit(answer[0], placed(answer[1])) if answer else None

    def grown(self):
        """Nothing grows in the end; how often that was asked is counted."""
        self.growths += 1


def best_of(monkeypatch, engine, aim=None, hoped=HOPED):
    """The packing that comes of these answers, where nothing grows in the end."""
    monkeypatch.setattr(narrowing, "nearest_fit", engine)
    monkeypatch.setattr(narrowing, "largest_scale", lambda *_, **__: engine.grown())
    figures = SimpleNamespace(items_at=lambda _: (ITEM,), panels_at=lambda _: {})
    search = SimpleNamespace(
        options=SimpleNamespace(effort="normal", seed=0, scale="auto"),
        figures=figures,
        work=SimpleNamespace(bike=SimpleNamespace(panels=())),
        clearance=1.0,
        reporting=lambda _: None,
    )
    stack = SimpleNamespace(stocks=(BOARD,), regions=())
    first = Packing(0.54, placed(0.1))
    return _Narrowing(search, stack, aim or Aim(), WantedScales(ASKED, LEAST, hoped), first).best()


def test_the_first_windows_that_hold_are_taken(monkeypatch):
    """Good enough at once, and nothing larger is hoped for: one look."""
    engine = Engine((1.0, 0.9))
    assert best_of(monkeypatch, engine, hoped=ASKED) == Packing(ASKED, placed(0.9))
    assert [key for key, *_ in engine.asked] == ["rung 2"]


def test_what_comes_near_is_followed_in_its_windows_and_then_close_to_where_it_is(monkeypatch):
    """Each look begins where the one before ended, with its share."""
    engine = Engine((0.97, 0.5), (0.98, 0.6), (0.98, 0.6), (0.99, 0.7), (1.0, 0.85))
    assert best_of(monkeypatch, engine, hoped=ASKED) == Packing(ASKED, placed(0.85))
    assert [key for key, *_ in engine.asked] == ["rung 2"] * 3 + ["one"] * 2
    assert [start and start.share for *_, start in engine.asked] == [None, 0.97, 0.98, 0.98, 0.99]


def test_what_comes_nowhere_near_asks_for_wider_windows(monkeypatch):
    """No more looks at the narrow ones; narrower ones than those that held are tried from what they gave."""
    engine = Engine((0.9, 0.95), (1.0, 0.7), (0.9, 0.9), *[None] * 20)
    assert best_of(monkeypatch, engine, hoped=ASKED) == Packing(ASKED, placed(0.7))
    assert [key for key, *_ in engine.asked][:4] == ["rung 2", "rung 3", "rung 2", "rung 3"]
    assert [start is None for *_, start in engine.asked][:4] == [True, False, False, True]


def test_a_little_less_is_enough_where_that_is_all_that_is_missing(monkeypatch):
    """After two rungs the best rated of what came near is asked for as large as it fits, not a wider window."""
    stuck = [(0.994, 0.9)] * (2 + CLOSE_LOOKS)
    wider = [(0.996, 0.7)] * (2 + CLOSE_LOOKS)
    engine = Engine(*stuck, *wider, (1.0, 0.88))
    found = best_of(monkeypatch, engine, hoped=ASKED)
    assert found.scale == pytest.approx(ASKED * 0.994 * NOTCH)
    assert found.placements == placed(0.88)
    *_, start = engine.asked[-1]
    assert start.share * found.scale == pytest.approx(0.994 * ASKED)
    assert start.placements == placed(0.9)


def test_much_less_is_not(monkeypatch):
    """What is further off than that leads to wider windows."""
    short = LEAST / ASKED - 0.01
    engine = Engine(*[(short, 0.9)] * 2 * (2 + CLOSE_LOOKS), (1.0, 0.6), *[None] * 20)
    found = best_of(monkeypatch, engine, hoped=ASKED)
    assert found == Packing(ASKED, placed(0.6))
    assert engine.asked[2 * (2 + CLOSE_LOOKS)][0] == "rung 4"


def test_a_drawing_rises_while_it_reads_well_enough(monkeypatch):
    """Step by step towards what is hoped for; not where it would read worse than is enough."""
    engine = Engine((1.0, 0.95), (1.0, 0.9), (1.0, 0.85), (1.0, 0.79))
    found = best_of(monkeypatch, engine)
    assert found.scale == pytest.approx(ASKED * (1 + RISE) ** 2)
    assert found.placements == placed(0.85)
    steps = Engine((1.0, 0.95), *[(1.0, 0.9)] * 9)
    assert best_of(monkeypatch, steps, hoped=ASKED * 1.01).scale == pytest.approx(ASKED * 1.01)
    assert len(steps.asked) == 3


def test_every_drawing_is_asked_to_grow_in_the_end(monkeypatch):
    """Also one that had no room for the least step."""
    stuck = Engine((1.0, 0.95), *[(0.995, 0.95)] * CLOSE_LOOKS)
    assert best_of(monkeypatch, stuck) == Packing(ASKED, placed(0.95))
    assert stuck.growths == 1


def test_stopped_it_hands_out_the_best_so_far(monkeypatch):
    """Also when nothing has held anything yet: the largest drawing, as it was."""
    assert best_of(monkeypatch, Engine((1.0, 0.9), Enough)) == Packing(ASKED, placed(0.9), cut_short=True)
    assert best_of(monkeypatch, Engine((0.9, 0.9), Enough)) == Packing(0.54, placed(0.1), cut_short=True)
