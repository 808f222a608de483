"""A traced panel and the panel of the bike file become one: which hole is which, what moves, what is new, what is gone.

In: the bike, its data as written, what was found, what the command line adds. Out: the edit of the file's text, and
what to say and draw of it; or problems, and then nothing is to be written. Nothing is guessed: what can be understood
in two ways is a problem.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any, Literal

from shapely import LinearRing

from boardmaker.geometry import Point, Ring, bounds, distance, shift_point, shift_ring
from boardmaker.inputs.simple_rings import FLATNESS
from boardmaker.inputs.yaml.edits import written_number
from boardmaker.inputs.yaml.panel_edits import NewHole, NewPlace, PanelEdit
from boardmaker.model import Bike, Hole, Panel, Side, View
from boardmaker.plain_text import shown
from boardmaker.problems import Problem, error, nearest
from boardmaker.tracing.curve import Curve, moved_curve
from boardmaker.tracing.found import Doubtful, FoundHole, FoundPanel, Ignored
from boardmaker.tracing.framing import frame_way, lower_left_way
from boardmaker.tracing.holes import TEXT_REACH
from boardmaker.tracing.matching import REACH, Matching, drawn_twice, match_holes, shift_to
from boardmaker.tracing.outline_file import plain_ring
from boardmaker.tracing.panel_keys import name_of_key, side_of_key
from boardmaker.tracing.turned import WAYS, PanelPlaces, partners_nearby, way_turned
from boardmaker.units import decimal_point

SAME_HOLE = 0.0051  # mm; half of the last digit that is written
BESIDE = 0.5  # mm from a hole of the file to the spot where a photo shows it, from which on it is said
SAME_OUTLINE = 0.05  # mm; a traced outline is as near to its drawing
SAME_DRAWING = SAME_OUTLINE + FLATNESS  # mm; a bike file's drawing is read with chords for its curves
LIKELY_MOVED = 25.0  # mm; a hole that is not found is asked for where a new one of its fastener is as near
MOST_HOLES = 200  # of one panel; a large one has 30
NONE_MOVED = "none"
PLACE_KEYS = ("id", "at", "from", "hand", "fastener")  # keys of a hole that are said in other words
WORDS = ("id", "into", "behind", "note")  # keys of a hole that are no lengths
_NUMBER = re.compile(r"[0-9]{1,5}(?:[.,][0-9]{1,5})?")
HoleState = Literal["as it was", "moved", "new", "not found", "taken out", "by distances", "proposed"]


@dataclass(frozen=True)
class Wishes:
    """What the command line says of panels and holes that do not say it themselves."""

    fastener: str | None = None
    side: Side | None = None
    name: str | None = None
    drop: bool = False
    moved: tuple[str, ...] = ()  # ids of holes that went further than the reach; "none": no other did
    view: Literal["top", "front", "rear"] | None = None  # of a new panel in the middle


@dataclass(frozen=True)
class MergedHole:
    """A hole after the merge: where it is, where the file had it (None: nowhere), what became of it.

    One that is proposed is not in the bike file, and its `fastener` is "".
    """

    id: str
    at: Point
    was: Point | None
    fastener: str
    state: HoleState
    where: str = ""  # in the drawing
    lost: str = ""  # what goes with a hole that is taken out, as it is written
    fastener_was: str = ""  # the file's, where the source has another one that goes before it


@dataclass(frozen=True)
class MergedPanel:
    """A panel after the merge, in its own frame; rings are empty where there is no outline."""

    key: str
    name: str
    side: Side
    view: str
    is_new: bool
    outline: Ring
    was: Ring
    new_outline: bool
    holes: tuple[MergedHole, ...]
    ignored: tuple[Ignored, ...]
    edit: PanelEdit
    notes: tuple[str, ...] = ()
    mirrored_by: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = field(default=())
    proposed: tuple[MergedHole, ...] = ()  # beside `holes`: nothing of them is written
    doubtful: tuple[Doubtful, ...] = ()  # stretches of the outline to look at
    curve: Curve = ()  # what was found of the outline in few smooth pieces, where it was found so

    @property
    def shown_holes(self) -> tuple[MergedHole, ...]:
        """The holes, and those that are proposed."""
        return (*self.holes, *self.proposed)


def too_many_holes(source: str, key: str, found: FoundPanel) -> Iterator[Problem]:
    """Yield the error of a file with holes without end for a panel; nothing of any other."""
    if len(found.holes) > MOST_HOLES:
        message = f"{source}: `{key}` would get {len(found.holes)} holes; at most {MOST_HOLES} are taken for one panel"
        yield error(message, hint="take out of it what is no hole of this panel")


def merge_panel(bike: Bike, data: Mapping[str, Any], key: str, found: FoundPanel, wishes: Wishes) -> MergedPanel:
    """Merge what was found into the panel of this key; what is unclear stands in the result's `problems`.

    `data` is the panel as it is written; empty for one that is not there. Not more holes than `too_many_holes` takes.
    """
    panel = next((one for one in bike.panels if one.key == key), None)
    merge = _Merge(bike, data, panel or _fresh_panel(key, wishes), panel is None, found, wishes)
    if panel and panel.mirrors and "holes" not in data:
        return merge.of_mirror_image()
    return merge.of_panel()


def _fresh_panel(key: str, wishes: Wishes) -> Panel:
    side = wishes.side or side_of_key(key) or "centre"
    view: View = wishes.view or "top" if side == "centre" else "side"
    return Panel(key, wishes.name or name_of_key(key), "", side, view, (), ())


class _Merge:
    """One panel; collects problems and notes on its way."""

    def __init__(
        self, bike: Bike, data: Mapping[str, Any], panel: Panel, is_new: bool, found: FoundPanel, wishes: Wishes
    ) -> None:
        self.bike, self.data, self.panel, self.is_new, self.wishes = bike, data, panel, is_new, wishes
        self.problems: list[Problem] = []
        self.notes = [*found.notes]
        self.was: Ring = () if panel.outline_drawn else panel.outline
        self.found = self._in_own_frame(found)
        self.seen: dict[int, str] = {}  # holes of the file that a spot without a mark speaks for, and which
        self.raw_holes: Sequence[Any] = data.get("holes", ()) if isinstance(data.get("holes", ()), list) else ()

    # The frame

    def _in_own_frame(self, found: FoundPanel) -> FoundPanel:
        """What was found, moved to where the panel's own frame has it."""
        by = self._way(found)
        holes, proposed = (
            tuple(replace(hole, at=shift_point(hole.at, by)) for hole in some) for some in (found.holes, found.proposed)
        )
        ignored = tuple(replace(one, at=shift_point(one.at, by)) if one.at else one for one in found.ignored)
        outline = plain_ring(shift_ring(found.outline, by)) if found.outline else ()
        curve = moved_curve(found.curve, lambda point: shift_point(point, by))
        doubtful = tuple(replace(one, line=tuple(shift_point(at, by) for at in one.line)) for one in found.doubtful)
        return replace(
            found,
            outline=outline,
            holes=holes,
            ignored=ignored,
            proposed=proposed,
            curve=curve,
            doubtful=doubtful,
        )

    def _way(self, found: FoundPanel) -> Point:
        if found.origin is not None:
            x, y = found.origin
            return -x, -y
        if not found.outline or self.is_new:
            return 0.0, 0.0
        if self.was:
            return self._way_of_outlines(found)
        if not self.panel.holes:
            return 0.0, 0.0
        way = shift_to([hole.at for hole in found.holes], [hole.at for hole in self.panel.holes])
        if way is None:
            message = f"`{self.panel.key}` has no outline, and its holes do not tell how it lies in the drawing"
            hint = "take its holes out of the bike file: then the drawing's lower left is [0, 0], and all holes are new"
            self.problems.append(error(message, self.panel.where, hint))
        return way or (0.0, 0.0)

    def _way_of_outlines(self, found: FoundPanel) -> Point:
        drawn = PanelPlaces(found.outline, tuple(hole.at for hole in (*found.holes, *found.proposed)))
        there = PanelPlaces(self.was, tuple(hole.at for hole in self.panel.holes))
        way, usual = frame_way(drawn, there), lower_left_way(drawn, there)
        if (gap := distance(way, usual)) > SAME_DRAWING:
            x, y, _, _ = bounds(shift_ring(found.outline, way))
            self.notes.append(
                f"the outline's lower left moved by {gap:.1f} mm, to {place_text((x, y))}; "
                "the rest did not, so [0, 0] stays where it was on the panel, and the holes their places"
            )
        return way

    # A mirror image

    def of_mirror_image(self) -> MergedPanel:
        """A panel of which nothing but the side is written: the drawing may agree with it, or is refused."""
        original = self.panel.mirrors
        matching = self._matching(self.found.holes, self.panel.holes)
        off = self._outline_off()
        agrees = len(matching.pairs) == len(self.found.holes) == len(self.panel.holes) and off <= SAME_DRAWING
        agrees = agrees and not self._other_letters(matching)
        if not agrees and not self.problems and not self._refuse_turned():
            other = self._other(matching, off)
            message = f"`{self.panel.key}` mirrors `{original}`, and the drawing shows something else: {other}"
            hint = f"trace `{original}`; or write `holes: []` at `{self.panel.key}`, then its holes are its own"
            self.problems.append(error(message, self.panel.where, hint))
        self.notes.append(f"it mirrors `{original}` and agrees with that: nothing to change")
        holes = tuple(_kept(hole, "as it was") for hole in self.panel.holes)
        return replace(self._result(PanelEdit(self.panel.key), holes, new_outline=False), proposed=())

    def _refuse_turned(self) -> bool:
        """Whether the drawing fits this panel when it is turned, and does not as it is; that is a problem."""
        if self.is_new:
            return False
        there = PanelPlaces(self.was, tuple(hole.at for hole in self.panel.holes))
        way = way_turned(PanelPlaces(self.found.outline, tuple(hole.at for hole in self.found.holes)), there)
        if not way:
            return False
        key, other = self.panel.key, self._other_side()
        if other and way == WAYS[-1, 1]:
            hint = (
                f"it shows `{other}`, as it seems: boardmaker trace BIKE {other} DRAWING; or mirror it in the drawing"
            )
        else:
            hint = "turn or mirror it in the drawing, so that it shows the panel's outside, upright"
            hint += (
                f"; or, if the bike file has it the wrong way, write `holes: []` at `{key}` and take its outline out"
            )
        self.problems.append(error(f"the drawing is {way} `{key}`: nothing else fits", self.panel.where, hint))
        return True

    def _other_side(self) -> str:
        """The panel that this one mirrors, or that mirrors it; "" where there is none."""
        images = (one.key for one in self.bike.panels if one.mirrors == self.panel.key)
        return self.panel.mirrors or next(images, "")

    def _other(self, matching: Matching, off: float) -> str:
        if letters := self._other_letters(matching):
            return f"{', '.join(letters)}"
        matched = f"{len(matching.pairs)} of its {len(self.panel.holes)} holes match {len(self.found.holes)} found ones"
        return f"{matched}, the outline is up to {off:.1f} mm off" if off else matched

    def _other_letters(self, matching: Matching) -> list[str]:
        """What the source decides otherwise of the letters of a panel that has none of its own."""
        pairs = [(self.panel.holes[old], self.found.holes[new]) for new, old in matching.pairs]
        return [f"hole {hole.id} with fastener {key}" for hole, found in pairs if (key := _relettered(hole, found))]

    def _outline_off(self) -> float:
        """How far the drawn outline is from the one in the file at most, mm; 0 where nothing was drawn."""
        if not self.found.outline:
            return 0.0
        if not self.was:
            return float("inf")
        return float(LinearRing(self.found.outline).hausdorff_distance(LinearRing(self.was)))

    # A panel of its own

    def of_panel(self) -> MergedPanel:
        """A panel with holes of its own, or a new one."""
        self._check_wishes()
        holes = self.panel.holes if len(self.raw_holes) == len(self.panel.holes) else ()
        if not self.is_new and not isinstance(self.data.get("holes"), list):
            message = f"the holes of `{self.panel.key}` are not written as a list"
            self.problems.append(error(message, self.panel.where, "write them out, or take `holes` out"))
        matching = self._matching(self.found.holes, holes)
        turned = self._refuse_turned()
        partner = {old: new for new, old in matching.pairs}
        partner |= {} if turned else self._moved_far(holes, partner)
        self.seen = self._seen_spots(holes, partner)
        lost = frozenset(place for place in range(len(holes)) if place not in partner and place not in self.seen)
        dropped = lost if self.wishes.drop else frozenset()
        there = [self._old_hole(place, hole, partner.get(place)) for place, hole in enumerate(holes)]
        self.problems += self._unknown_letters(there)
        paired = set(partner.values())
        fresh = self._new_holes([one for place, one in enumerate(self.found.holes) if place not in paired], dropped)
        same = SAME_DRAWING if isinstance(self.data.get("outline"), dict) else SAME_OUTLINE
        new_outline = self._outline_off() > same
        edit = PanelEdit(
            key=self.panel.key,
            head=self._head(),
            unsmooth=new_outline and self.data.get("smooth") is True,
            moved={place: _place(one) for place, one in enumerate(there) if one.state == "moved"},
            fasteners={place: one.fastener for place, one in enumerate(there) if one.fastener_was},
            dropped=dropped,
            ids=self._ids(dropped),
            added=tuple(self._written(*one, len(holes) - len(dropped) + order) for order, one in enumerate(fresh)),
        )
        return self._result(edit, (*there, *(hole for hole, _ in fresh)), new_outline)

    def _result(self, edit: PanelEdit, holes: tuple[MergedHole, ...], new_outline: bool) -> MergedPanel:
        images = tuple(one.key for one in self.bike.panels if one.mirrors == self.panel.key and not self.is_new)
        return MergedPanel(
            key=self.panel.key,
            name=self.panel.name,
            side=self.panel.side,
            view=self.panel.view,
            is_new=self.is_new,
            outline=self.found.outline if new_outline else self.was,
            was=self.was,
            new_outline=new_outline,
            holes=holes,
            ignored=self.found.ignored,
            edit=edit,
            notes=tuple(self.notes),
            mirrored_by=images if edit.changes or new_outline else (),
            problems=tuple(self.problems),
            proposed=self._proposed(holes),
            curve=self.found.curve,
            doubtful=self.found.doubtful,
        )

    def _check_wishes(self) -> None:
        key, wishes = self.panel.key, self.wishes
        if self.is_new:
            said = side_of_key(key)
            if said is None and wishes.side is None:
                hint = "--side left, right or centre"
                self.problems.append(error(f"`{key}` is not in the bike file, and nothing says its side", hint=hint))
            if wishes.view and self.panel.side != "centre":
                message = f"--view is for a panel in the middle; `{key}` is on the {self.panel.side}"
                self.problems.append(error(message, hint="leave --view away: it is seen from its side"))
            if said and wishes.side and said != wishes.side:
                message = f"--side {wishes.side}, but the key `{key}` says {said}"
                self.problems.append(error(message, hint="another key, or leave --side away"))
            return
        options = (
            ("side", wishes.side, self.panel.side),
            ("view", wishes.view, self.panel.view),
            ("name", wishes.name, self.panel.name),
        )
        for option, wish, has in options:
            if wish is not None and wish != has:
                message = f'--{option} is for a new panel; the bike file has "{has}" for `{key}`'
                self.problems.append(
                    error(message, self.panel.where, f"leave --{option} away, or change it in the file")
                )

    def _matching(self, found: Sequence[FoundHole], there: Sequence[Hole]) -> Matching:
        """Which is which; what cannot be told is said."""
        places = [hole.at for hole in found]
        for one, other in drawn_twice(places):
            message = f"{self._named(found[one])} and {self._named(found[other])} are one hole drawn twice"
            self.problems.append(error(message, hint="take one of them out of the drawing"))
        matching = match_holes(places, [hole.at for hole in there])
        for some, others in matching.unclear:
            new = " and ".join(self._named(found[place]) for place in some)
            old = " or ".join(f"{there[place].id} at {place_text(there[place].at)}" for place in others)
            message = f"{new} could be hole {old} of `{self.panel.key}`: two ways are equally near"
            self.problems.append(
                error(message, there[others[0]].where, "put one of them right by hand, then trace again")
            )
        return matching

    def _moved_far(self, holes: Sequence[Hole], partner: Mapping[int, int]) -> dict[int, int]:
        """The holes that went further than the reach, by what the command line says; what it does not is a problem."""
        lost = [(place, one.at, one.fastener) for place, one in enumerate(holes) if place not in partner]
        ids = {holes[place].id for place, *_ in lost}
        paired = set(partner.values())
        new = [
            (place, one.at, one.fastener)
            for place, one in enumerate(self.found.holes)
            if place not in paired and dict(one.keys).get("id", "").strip() in {*ids, ""}
        ]
        wished = set(self.wishes.moved) - {NONE_MOVED}
        moved = partners_nearby([one for one in lost if holes[one[0]].id in wished], new, float("inf"))
        for name in sorted(wished - {holes[place].id for place in moved}):
            hint = f"not found, and with a new one, are {', '.join(sorted(ids)) or 'none'}"
            self.problems.append(
                error(f"--moved {name}: no hole {name} of `{self.panel.key}` went elsewhere", hint=hint)
            )
        if not self.wishes.drop and NONE_MOVED not in self.wishes.moved:
            taken = {place for place, _ in moved.values()}
            rest = partners_nearby(
                [one for one in lost if one[0] not in moved],
                [one for one in new if one[0] not in taken],
                LIKELY_MOVED,
            )
            self.problems += [self._is_it_moved(holes[old], *at) for old, at in sorted(rest.items())]
        return {old: place for old, (place, _) in moved.items()}

    def _is_it_moved(self, hole: Hole, new: int, gap: float) -> Problem:
        message = (
            f"{self._named(self.found.holes[new])} lies {gap:.1f} mm from hole {hole.id} ({hole.fastener}) of "
            f"`{self.panel.key}`, which the drawing does not have: is it hole {hole.id}, moved?"
        )
        hint = (
            f"--moved {hole.id} if it is; --moved none if both holes are there; "
            f"--drop if hole {hole.id} is gone and this is another"
        )
        return error(message, hole.where, hint)

    def _named(self, hole: FoundHole) -> str:
        return f"{hole.where or 'a hole'} at {place_text(hole.at)}"

    def _old_hole(self, place: int, hole: Hole, partner: int | None) -> MergedHole:
        if partner is None and place in self.seen:
            return _kept(hole, "as it was", self.seen[place])
        if partner is None:
            kept = _kept(hole, "taken out" if self.wishes.drop else "not found")
            return replace(kept, lost=_further_keys(self.raw_holes[place]))
        found = self.found.holes[partner]
        self._compare(hole, found)
        at = (_settled(hole.at[0], found.at[0]), _settled(hole.at[1], found.at[1]))
        if letter := _relettered(hole, found):
            return replace(self._old_place(place, hole, found, at), fastener=letter, fastener_was=hole.fastener)
        return self._old_place(place, hole, found, at)

    def _old_place(self, place: int, hole: Hole, found: FoundHole, at: Point) -> MergedHole:
        if at == hole.at:
            return _kept(hole, "as it was", found.where)
        if not isinstance(self.raw_holes[place], dict) or "at" not in self.raw_holes[place]:
            self.notes.append(
                f"hole {hole.id} is given by distances and stays as it is; "
                f"the drawing has it {distance(hole.at, found.at):.1f} mm off, at {place_text(found.at)}"
            )
            return _kept(hole, "by distances", found.where)
        return MergedHole(hole.id, at, hole.at, hole.fastener, "moved", found.where)

    def _compare(self, hole: Hole, found: FoundHole) -> None:
        if found.fastener not in (None, hole.fastener) and not found.decides:
            self.notes.append(
                f"hole {hole.id} keeps fastener {hole.fastener} of the bike file; the drawing says {found.fastener} "
                f"({self._named(found)})"
            )
        named = dict(found.keys).get("id", "").strip()
        if named and named != hole.id:
            self.notes.append(f"hole {hole.id} keeps its id; the drawing calls it {named} ({self._named(found)})")

    def _unknown_letters(self, holes: Sequence[MergedHole]) -> Iterator[Problem]:
        known = [one.key for one in self.bike.fasteners]
        for hole in holes:
            if hole.fastener_was and hole.fastener not in known:
                place = f"`{self.panel.key}`: hole {hole.id} at {place_text(hole.at)}, by {hole.where or 'the drawing'}"
                yield self._unknown(place, hole.fastener, known)

    def _unknown(self, place: str, key: str, known: Sequence[str]) -> Problem:
        near = nearest(key, known)
        hint = f"did you mean {near}?" if near else f"it has {', '.join(known) or 'none'}"
        return error(f"{place}: the bike file has no fastener {key}", hint=hint)

    # Proposed holes

    def _seen_spots(self, holes: Sequence[Hole], partner: Mapping[int, int]) -> dict[int, str]:
        """The holes of the file that no mark speaks for, and that are seen all the same: what was seen there."""
        seen = {}
        for place, hole in enumerate(holes):
            gaps = [(distance(one.at, hole.at), one.where) for one in self.found.proposed]
            gap, where = min(gaps, default=(float("inf"), ""))
            if place not in partner and gap <= REACH:
                seen[place] = where
                if gap > BESIDE:
                    self.notes.append(
                        f"hole {hole.id} has no mark, and stays where it is; {where} lies {gap:.1f} mm beside it"
                    )
        return seen

    def _proposed(self, holes: Sequence[MergedHole]) -> tuple[MergedHole, ...]:
        """What may be a hole and is none of those that there are, with names that no hole has."""
        names = (name for number in count(1) if (name := f"p{number}") not in {hole.id for hole in holes})
        return tuple(
            MergedHole(
                next(names), (round(one.at[0], 2) + 0.0, round(one.at[1], 2) + 0.0), None, "", "proposed", one.where
            )
            for one in self.found.proposed
            if all(distance(one.at, hole.at) > REACH for hole in holes)
        )

    # New holes

    def _new_holes(
        self, found: Sequence[FoundHole], dropped: frozenset[int]
    ) -> list[tuple[MergedHole, tuple[tuple[str, str], ...]]]:
        """The holes that are not in the file, each with its further keys; those without a fastener are said."""
        taken = {hole.id for hole in self.panel.holes}
        taken |= {name for hole in found if (name := dict(hole.keys).get("id", "").strip())}
        number = max([len(self.panel.holes), *(int(one) for one in taken if one.isdecimal() and len(one) < 7)])
        used = {hole.id for place, hole in enumerate(self.panel.holes) if place not in dropped}
        fresh = []
        for hole in found:
            keys = tuple((key, _number_or_words(key, value)) for key, value in hole.keys if value.strip())
            name = dict(keys).get("id", "").strip()
            if not name:
                number += 1
                name = str(number)
            if name in used:
                message = f"{self._named(hole)} has the id {name}, which another hole of `{self.panel.key}` has"
                self.problems.append(error(message, hint="give it another id, or put that hole's place right by hand"))
            used.add(name)
            at = (round(hole.at[0], 2) + 0.0, round(hole.at[1], 2) + 0.0)
            fastener = hole.fastener or (not hole.unread and self.wishes.fastener) or "?"
            fresh.append((MergedHole(name, at, None, fastener, "new", hole.where), keys))
        self.problems += self._without_fastener([hole for hole, _ in fresh], found)
        return fresh

    def _without_fastener(self, holes: Sequence[MergedHole], found: Sequence[FoundHole]) -> Iterator[Problem]:
        known = [one.key for one in self.bike.fasteners]
        lacking = [
            (hole, source)
            for hole, source in zip(holes, found, strict=True)
            if hole.fastener == "?" and (source.unread or "?" not in known)
        ]
        for hole, source in lacking:
            hint = "--fastener KEY for all that have none; or name each in the drawing, such as A-1"
            if any(one.unread for _, one in lacking):
                hint = f"correct the name or take it out; {hint}"
            line = f" (line {source.line})" if source.line and "in line" not in source.where else ""
            why = _why_none(source, known)
            message = f"`{self.panel.key}`: {self._named(source)} has no fastener{line}{why}"
            yield error(message, hint=hint if hole is lacking[-1][0] else "")
        for hole in holes:
            if hole.fastener not in (*known, "?"):
                place = f"`{self.panel.key}`: {hole.where or 'a hole'} at {place_text(hole.at)}"
                yield self._unknown(place, hole.fastener, known)

    def _written(self, hole: MergedHole, keys: tuple[tuple[str, str], ...], place: int) -> NewHole:
        """A hole as it is written: with its id only where the order does not say it."""
        named = (("id", hole.id),) if hole.id != str(place + 1) else ()
        others = tuple((key, value) for key, value in keys if key not in ("id", "fastener", "at"))
        return NewHole(hole.at, (*named, ("fastener", hole.fastener), *others))

    def _ids(self, dropped: frozenset[int]) -> dict[int, str]:
        """The ids that only the order said, and that it would no longer say."""
        staying = [place for place in range(len(self.raw_holes)) if place not in dropped]
        return {
            place: self.panel.holes[place].id
            for order, place in enumerate(staying)
            if order != place and "id" not in self.raw_holes[place]
        }

    def _head(self) -> tuple[tuple[str, str], ...]:
        if not self.is_new:
            return ()
        view = (("view", self.panel.view),) if self.wishes.view else ()
        return (("name", self.panel.name), ("side", self.panel.side), *view)


def _kept(hole: Hole, state: HoleState, where: str = "") -> MergedHole:
    return MergedHole(hole.id, hole.at, hole.at, hole.fastener, state, where)


def _relettered(hole: Hole, found: FoundHole) -> str:
    """The letter that goes before the bike file's; "" where it stays."""
    return found.fastener if found.decides and found.fastener and found.fastener != hole.fastener else ""


def _why_none(hole: FoundHole, known: Sequence[str]) -> str:
    """What in the drawing might have said a hole's fastener."""
    if hole.unread:
        return f": {hole.unread} is no fastener; there are {', '.join(known) or 'none'}"
    return f"; the nearest is {hole.near}, and {TEXT_REACH:g} mm are taken" if hole.near else ""


def _further_keys(raw: Any) -> str:
    """What is written of a hole beside its place and fastener: "`stack: 3`, `note: long`"."""
    entries = raw.items() if isinstance(raw, dict) else ()
    return ", ".join(f"`{key}: {shown(str(value))}`" for key, value in entries if key not in PLACE_KEYS)


def _number_or_words(key: str, value: str) -> str:
    """A value of a list as a bike file has it: `9,50` is the number 9.5; what stands for words stays."""
    if key in WORDS or not _NUMBER.fullmatch(value.strip()):
        return value.strip()
    try:
        return f"{float(decimal_point(value.strip())):g}"
    except ValueError:  # 1,500 could be two numbers: the bike file's reader says so
        return value.strip()


def _settled(old: float, new: float) -> float:
    """A coordinate as the file has it where the drawing says the same."""
    return old if abs(old - new) <= SAME_HOLE else round(new, 2) + 0.0


def _place(hole: MergedHole) -> NewPlace:
    """What of a hole's place is to be written anew."""
    was = hole.was or hole.at
    x, y = (new if new != old else None for new, old in zip(hole.at, was, strict=True))
    return x, y


def place_text(at: Point) -> str:
    """Return a place as the bike file writes it: `[35, 48.25]`."""
    return f"[{written_number(at[0])}, {written_number(at[1])}]"
