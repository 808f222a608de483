"""Which of a hole's distances is wrong where three or more do not meet: the one without which the others do.

In: circles, and what is a place for a hole. Out: each distance that may be the wrong one, with what it would have to
be. Apart from `trilateration`, which takes every distance for as good as the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, distance
from boardmaker.inputs.bike.trilateration import ACCURACY, Circle, answers, gap, widest

MISSES = 1.0  # mm by which two distances may fail to meet: half a millimetre each, as a steel rule is read
ONE_SPOT = 1.0  # mm; from two holes nearer than this nothing can be measured
MISREAD = 100.0  # mm: on a rule its hundreds are misread more than its millimetres; common practice, no source


@dataclass(frozen=True)
class Suspect:
    """A distance that may be wrong: which of them, where the others meet, how far it is from there, mm."""

    which: int
    at: Point
    far: float
    written: float

    @property
    def looks_misread(self) -> bool:
        """Whether it is whole hundreds off, or has two digits changed round."""
        hundreds = round((self.written - self.far) / MISREAD)
        off = abs(self.written - self.far - hundreds * MISREAD)
        return (hundreds != 0 and off <= ACCURACY) or any(abs(one - self.far) <= ACCURACY for one in _changed(self))


def suspects(circles: Sequence[Circle], fits: Callable[[Point], bool]) -> tuple[Suspect, ...]:
    """Return the distances without any one of which the others meet at a place that fits.

    Of several those that look misread, if there are any: with three distances, any two of them meet. The one that is
    off least comes first.
    """
    found = [one for which in range(len(circles)) for one in _without(circles, which) if fits(one.at)]
    found.sort(key=lambda one: round(abs(one.written - one.far), FINEST))
    return tuple(one for one in found if one.looks_misread) or tuple(found)


def _without(circles: Sequence[Circle], which: int) -> Iterator[Suspect]:
    rest = [circle for place, circle in enumerate(circles) if place != which]
    if widest(rest) < ONE_SPOT or (len(rest) == 2 and gap(*rest) > MISSES):
        return
    middle, written = circles[which]
    for answer in answers(rest):
        if answer.largest <= ACCURACY:
            yield Suspect(which, answer.at, distance(answer.at, middle), written)


def _changed(one: Suspect) -> Iterator[float]:
    """The distance as it is written, two digits beside each other changed round."""
    digits = f"{one.written:.0f}"
    for place in range(len(digits) - 1):
        yield float(f"{digits[:place]}{digits[place + 1]}{digits[place]}{digits[place + 2 :]}")
