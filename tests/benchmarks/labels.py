"""How well labels keep off everything, beside two simple placers in the same run.

    python tests/benchmarks/labels.py [--random N]

All panels of the bundled bikes and of N random ones (10 if not said otherwise), each at several scales, are drawn with
the project's placer and with two that anybody would write first: `right`, every label beside its head on the right,
and `four`, the first free one of right, left, above, below. Who runs into what is judged from the drawing with the
font's own measures (`tests/drawing_judge.py`), never by a placer. Printed: labels, the share of them without conflict,
those that lie over an outline on their white ground, leaders, mm of leader a label, and the processor's seconds. It
ends with status 1 where a label of ours is in conflict.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from unittest import mock

from shapely import box

from boardmaker.drawing import draw_board, place_figure
from boardmaker.figures import Figure, draw_figures, pocket_labels
from boardmaker.figures.labels import LabelPlace, Surroundings, WantedLabel, place_labels
from boardmaker.model import BoardSetup
from boardmaker.service import Work

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing_judge import conflicts
from measured_bikes import measured_bikes

SCALES = (1 / 5, 1 / 4, 1 / 3, 1 / 2)
GAP = 0.3  # mm between head and label, as the project's placer has it
FAR = 1000.0  # mm between two figures

Placer = Callable[[Sequence[WantedLabel], Surroundings], tuple[LabelPlace, ...]]


def main(arguments: Sequence[str]) -> int:
    """Draw with each placer, print a line for it, and say by the status whether ours is without conflict."""
    parser = argparse.ArgumentParser(description="Judge label placement beside simple placers.")
    parser.add_argument("--random", type=int, default=10)
    works = [work for _, work in measured_bikes(parser.parse_args(arguments).random)]
    print("placer  labels  without conflict  over outline  leaders  mm a label  seconds")
    clean = [_measured(name, placer, works) for name, placer in PLACERS.items()]
    return 0 if clean[0] else 1


def _measured(name: str, placer: Placer, works: Sequence[Work]) -> bool:
    """One line of the table; whether nothing is in conflict."""
    begun = time.process_time()
    with mock.patch.object(pocket_labels, "place_labels", placer):
        figures = [figure for work in works for scale in SCALES for figure in _panels(work, scale)]
    seconds = time.process_time() - begun
    labels = sum(len(figure.pockets) + len(figure.ghosts) for figure in figures)
    found = [one for figure in figures for one in _in_conflict(figure)]
    hit = {(number, text) for number, text, grounded in found if not grounded}
    over = {(number, text) for number, text, grounded in found if grounded} - hit
    leaders = [leader for figure in figures for leader in figure.leaders]
    long = math.fsum(math.dist(leader[0], leader[-1]) for leader in leaders)
    print(
        f"{name:6}  {labels:6}  {1 - len(hit) / labels:16.2%}  {len(over):12}  {len(leaders):7}  {long / labels:10.2f}"
        f"  {seconds:7.1f}"
    )
    return not hit


def _panels(work: Work, scale: float) -> Iterator[Figure]:
    for figure, *_ in draw_figures(work, scale, BoardSetup()):
        if figure.kind == "panel":
            yield figure


def _in_conflict(figure: Figure) -> Iterator[tuple[int, str, bool]]:
    drawing = draw_board([place_figure(figure, (FAR, FAR), 0)], ((0, 0), (1, 0), (1, 1)), (1, 1))
    for one in conflicts(drawing):
        yield id(figure), one.text, one.grounded


def _right(wanted: Sequence[WantedLabel], _around: Surroundings) -> tuple[LabelPlace, ...]:
    """Beside the head, on the right, whatever is there."""
    return tuple(LabelPlace(_beside(one, 1, 0), (), 0.0) for one in wanted)


def _four(wanted: Sequence[WantedLabel], around: Surroundings) -> tuple[LabelPlace, ...]:
    """The first of right, left, above and below that covers no head, no title and no label before it; else right."""
    placed: list[LabelPlace] = []
    for one in wanted:
        boxes = [_beside(one, across, up) for across, up in ((1, 0), (-1, 0), (0, 1), (0, -1))]
        free = [where for where in boxes if _is_free(where, around, placed)]
        placed.append(LabelPlace((free or boxes)[0], (), 0.0))
    return tuple(placed)


def _is_free(where: tuple[float, float, float, float], around: Surroundings, placed: Sequence[LabelPlace]) -> bool:
    shape = box(*where)
    heads = all(_distance(at, where) >= radius for at, radius in around.circles)
    return heads and not any(shape.intersects(box(*other)) for other in (*around.boxes, *(one.box for one in placed)))


def _distance(at: tuple[float, float], where: tuple[float, float, float, float]) -> float:
    x0, y0, x1, y1 = where
    return math.hypot(max(x0 - at[0], 0.0, at[0] - x1), max(y0 - at[1], 0.0, at[1] - y1))


def _beside(one: WantedLabel, across: int, up: int) -> tuple[float, float, float, float]:
    (x, y), (width, height) = one.at, one.size
    x += across * (one.radius + GAP + width / 2)
    y += up * (one.radius + GAP + height / 2)
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


PLACERS: dict[str, Placer] = {"ours": place_labels, "right": _right, "four": _four}

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
