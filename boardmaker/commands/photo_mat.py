"""The mat on which a panel was photographed, for `trace`: the one of a `mat.json`, else the standard one.

In: what was asked, the bike. Out: the mat as photos are read by it, and what is to be said of it. Apart from `trace`,
which has enough to do without.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from boardmaker.commands.common import existing, load_setup, say_warnings
from boardmaker.commands.requests import PhotoChoice
from boardmaker.geometry import Point
from boardmaker.mat import is_letter, read_mat, standard_mat
from boardmaker.model import Bike
from boardmaker.photo.known_mat import KnownMat, known_mat, unread_marks
from boardmaker.problems import ProblemsFound, error

USUAL_TINT = "green"
MOST_OFF = 0.05  # of a bar's length; a home printer is 2 % off at most


@dataclass(frozen=True)
class ChosenMat:
    """A mat, and lines about it."""

    known: KnownMat
    said: tuple[str, ...]


def chosen_mat(choice: PhotoChoice, bike: Bike) -> ChosenMat:
    """Return the mat of `--mat`, else the one that `boardmaker mat` makes for the setup; its marks say letters.

    Raises ProblemsFound for a file that is no mat, or that says too little of it.
    """
    if choice.mat is not None:
        mat, name = read_mat(existing(choice.mat)), str(choice.mat)
        lines = (unread_marks(mat, name),)
        return ChosenMat(known_mat(mat, name), tuple(line for line in lines if line))
    owned, warnings = load_setup(choice.setup)
    say_warnings(warnings)
    tint = choice.tint or USUAL_TINT
    keys = [one.key for one in bike.fasteners]
    name = f"the standard mat of {owned.paper.name} paper, {tint}"
    return ChosenMat(known_mat(standard_mat(owned, keys, tint), name), tuple(_lines(name, keys)))


def check_measured(known: KnownMat, measured: Point | None) -> None:
    """Raise ProblemsFound for lengths of the bars that no printer makes of this mat's."""
    if measured is None or all(abs(one / bar - 1.0) <= MOST_OFF for one, bar in zip(measured, known.bars, strict=True)):
        return
    across, along = measured
    bars = " x ".join(f"{bar:g}" for bar in known.bars)
    message = f"--measured {across:g} {along:g}: the bars of this mat are {bars} mm, and no printer is so far off"
    hint = "first the bar across, then the one along the page; and it must be this mat: --mat FILE, or --paper"
    raise ProblemsFound([error(message, hint=hint)])


def _lines(name: str, keys: list[str]) -> Iterator[str]:
    """Which mat it was taken for; marks without a letter of their own depend on the bike file."""
    yield f"{name} (--mat, --paper, --tint for another)"
    if others := [key for key in keys if not is_letter(key)]:
        some = ", ".join(others[:3]) + (", …" if len(others) > 3 else "")
        yield f"marks of {some} read as `boardmaker mat` would print them now: --mat if fasteners have changed since"
