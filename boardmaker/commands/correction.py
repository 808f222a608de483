"""The pages on which traced panels are put right by hand, for `trace`: merged panels into what a page shows.

In: what was found and what became of it in the bike file. Out: files by name. Apart from `trace` because that command
decides what is written into the bike file, and nothing here does.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Literal

from boardmaker.geometry import Point, Ring
from boardmaker.inputs.outlines import outline_around
from boardmaker.model import Fastener
from boardmaker.pages import PageHole, PagePanel, PagePicture, correction_page
from boardmaker.tracing.curve import Curve
from boardmaker.tracing.merge import MergedHole, MergedPanel
from boardmaker.tracing.panel_keys import file_name_of_key
from boardmaker.tracing.picture import doubt_words, seen_words

MOST_NOTES = 12  # lines below the outline's size
DRAWN_AROUND = "No outline was drawn: this is the one that the program takes around the holes."


def correction_file(
    panel: MergedPanel, fasteners: Sequence[Fastener], bike: Path, scale_said: str, picture: PagePicture | None
) -> dict[str, bytes]:
    """Return a panel's page by its file name; nothing for a panel that has neither outline nor holes.

    `bike` is the bike file as the command was given it, `scale_said` a line about the drawing's own scale, `picture`
    the photo from above.
    """
    outline = _outline(panel)
    if not outline:
        return {}
    stem = file_name_of_key(panel.key)
    saved = f"{stem}-corrected.svg"
    command = " ".join(["boardmaker", "trace", *map(shlex.quote, (str(bike), panel.key, saved))])
    notes = (scale_said, *_notes(panel))
    holes = tuple(_hole(hole) for hole in panel.shown_holes if hole.state != "taken out")
    points = _curved_points(panel.curve) if panel.curve else outline
    page = PagePanel(panel.key, panel.name, seen_words(panel), points, holes, notes, _stretches(panel))
    html = correction_page(page, fasteners, picture, saved, command)
    return {page_name(panel.key): html.encode()}


def page_name(key: str) -> str:
    """Return the file name of a panel's page."""
    return f"{file_name_of_key(key)}-traced.html"


def _outline(panel: MergedPanel) -> Ring:
    holes = [hole.at for hole in panel.holes if hole.state != "taken out"]
    return panel.outline or (outline_around(holes) if holes else ())


def _stretches(panel: MergedPanel) -> tuple[tuple[Point, ...], ...]:
    return tuple(one.line for one in panel.doubtful)


def _curved_points(curve: Curve) -> tuple[tuple[float, ...], ...]:
    """The points between a curve's pieces, with the ways to the inner points before and behind each."""
    return tuple(_with_ways(before[2], piece[0], piece[1]) for before, piece in pairwise((curve[-1], *curve)))


def _with_ways(before: Point, at: Point, behind: Point) -> tuple[float, ...]:
    ways = tuple(inner[axis] - at[axis] for inner in (before, behind) for axis in (0, 1))
    return (*at, *ways) if any(ways) else at


def _hole(hole: MergedHole) -> PageHole:
    state: Literal["new", "proposed", "there"] = "there"
    if hole.state in ("new", "proposed"):
        state = hole.state
    return PageHole(hole.id, hole.at, hole.fastener, state)


def _notes(panel: MergedPanel) -> Iterator[str]:
    if not panel.outline:
        yield DRAWN_AROUND
    if panel.doubtful:
        yield f"Orange: is the outline on the edge there? {doubt_words(panel)}."
    said = [*panel.notes, *(f"passed over: {one.what}: {one.why}" for one in panel.ignored)]
    yield from said[:MOST_NOTES]
    if len(said) > MOST_NOTES:
        yield f"and {len(said) - MOST_NOTES} more, which `trace` has said"
