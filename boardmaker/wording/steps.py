"""Removal and refit in words: what lets go by hand, where a screw's pocket is, what to beware of.

One source for the plan's lines, the table and the boards. `Names` gives the name of a thing as its reader can show it:
a font may lack the script, a text file does not.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from boardmaker.model import Bike, Fastener, Job, Panel, Torque, TorqueRow
from boardmaker.service import (
    BoardCheck,
    ByHand,
    Freed,
    Group,
    Plan,
    RefitStep,
    RemovalStep,
    Shared,
    Verdict,
    is_threaded,
    judge_fit,
)
from boardmaker.wording.board_places import Pockets, places_text
from boardmaker.wording.fasteners import LOCKER_WORDS, drive_text, renew_text
from boardmaker.wording.torques import torque_line
from boardmaker.wording.when import way_back, way_out

Named = Panel | Job | TorqueRow | Bike
Names = Callable[[Named], str]

BOTH_SIDES = {"left": "left side", "right": "right side", "centre": "centre"}
HOLD = "last: hold it"
HOLD_ON = "last screw: hold it"  # clips alone carry it then
HOLD_FIRST = "first: hold it"
IN, START = "in", "start"  # by now: those that are done; those that are tightened later
NO_TORQUE = "torque: see manual"
AS_IN_MANUAL = "as the manual has it"
REFIT_WORDS = {
    "grommet pin": "push into the grommet until it seats",
    "hook": "hang in",
    "tab": "guide into its slot, no force",
    "interlocking tape": "press together",
    "clip": "press home until it holds",
    "strap": "put back on",
    "connector": "plug in before it closes, then pull gently to test it",
    "hose": "push it home before it closes, its clamp, if any, in place, no kink",
    "other": "the other way round",
}
# Where the usual words would be wrong or say less than the file does (common practice, no source).
IN_A_GUIDE = re.compile(r"\bguides?\b", re.IGNORECASE)
BACK_IN_GUIDE = "lay it in its guide before it closes, end open and pointing down, no kink"
SLID = re.compile(
    r"(?P<how>slide|pull|push|lift) (?:(?P<what>(?:the )?\w+) )?(?P<way>back|forward|up|down)"
    r"(?: out of (?P<where>.+))?",
    re.IGNORECASE,
)
OPPOSITE = {
    "slide": "slide", "pull": "push", "push": "pull", "lift": "lower",
    "back": "forward", "forward": "back", "up": "down", "down": "up",
}  # fmt: skip
HOLDS_TOO = re.compile(r"holds (?P<what>.+?) too\b", re.IGNORECASE)
LOCKED = "put back as it came off, lock it if it locks; pull to test"  # of kind `other`, by its words or its panel's
LOCKS = re.compile(r"\b(?:keys?|lock\w*|latch\w*|catch\w*|seats?|saddles?)\b", re.IGNORECASE)
# What is laid over or under something while a panel is off, and what may come off with it unseen (common practice,
# no source).
COVERS = re.compile(r"\b(?:cloths?|rags?|towels?)\b", re.IGNORECASE)
MAY_COME_ALONG = re.compile(r"\b(?:dowels?|shims?|spacers?)\b", re.IGNORECASE)
CLIP_WORDS = {
    "push clip": "push clips home",
    "screw rivet": "press screw rivets home",
    "quarter turn": "close quarter turns (press, turn back until they catch)",
}
WITH_A_PIN = ("push clip", "screw rivet")
PIN_LAST = "pin out first, body in, then the pin"  # with the pin in, the body does not go in or breaks
HOW_TO_REMOVE = (
    "Work down this list. Take the screws of a panel in the order of their numbers; each goes into the pocket of its "
    "number, with its washer or collar. Tick a line when it is done."
)
WHICH_NUMBERS = "The numbers are those of a board made for the same jobs and equipment."
HOW_TO_REFIT = (
    "Everything in reverse: what was let go first goes back last. Plug connectors and hoses, hang the panel in, press "
    "pins and tabs home, line it up, start every screw by hand, press tape together, and only then tighten: an angled "
    "screw ruins its thread. Of each panel push clips, screw rivets and quarter turns last."
)
ROWS_ORDER = "Where a torque row gives an order for the same screws, that order goes first."
OLD_THREAD = (
    "turn each backwards until it drops into its old thread, then in"  # a second thread beside it holds nothing
)
HOW_TO_HANG = (
    "Cut the tags out, punch the ring, tie one to each panel as it comes off. Hang left parts left and right parts "
    "right, each in front of the one before it. In the drawing the upper ones hang at the back; the lowest of a part, "
    "the last one off, hangs in front and goes back on first."
)


def how_to_refit(plan: Plan) -> str:
    """Return how the way back is meant; an order that a torque row gives need not be the usual one."""
    return f"{HOW_TO_REFIT} {ROWS_ORDER}" if any(row.order for row in plan.rows) else HOW_TO_REFIT


def given_name(thing: Named) -> str:
    """Return a name as the bike file gives it."""
    return thing.what if isinstance(thing, TorqueRow) else thing.name


def pocket_text(freed: Freed) -> str:
    """Return a pocket as the board prints it beside the hole: number and fastener key."""
    return f"{freed.number} {freed.fastener.key}"


def pockets_text(group: Group, step: RemovalStep) -> str:
    """Return the pockets of a group, which follow each other; those of a rider with the tag of its picture."""
    first, last = pocket_text(group.freed[0]), pocket_text(group.freed[-1])
    pockets = {1: first, 2: f"{first}, {last}"}.get(len(group.freed), f"{first} to {last}")
    return pockets if group.panel.key == step.carrier.key else f"{group.panel.tag}: {pockets}"


def out_of_text(group: Group, step: RemovalStep, where: Pockets) -> str:
    """Return the pockets that a group goes into; the screw that carries the panel is marked, as on the board."""
    return _where_text(group, step, where, hold_text(group, step) if group.last else "")


def hold_text(group: Group, step: RemovalStep) -> str:
    """Return what is said of the screw that carries a panel: alone, or with clips that come out after it."""
    return HOLD if group is step.groups[-1] else HOLD_ON


def back_from_text(group: Group, step: RemovalStep, where: Pockets) -> str:
    """Return the pockets that a group comes from; the screw that carries the panel is the first."""
    return _where_text(group, step, where, HOLD_FIRST if group.last else "")


def _where_text(group: Group, step: RemovalStep, where: Pockets, hold: str) -> str:
    words = f"pocket{'s' * (len(group.freed) > 1)} {pockets_text(group, step)}"
    if places := places_text(group.freed, where):
        words = f"{words}, {places}"
    return f"{words} · {hold}" if hold else words


def boards_text(step: RemovalStep, check: BoardCheck | None) -> str:
    """Return on which board of several a panel's pockets are; "" where there is one, or none to hold against.

    "" too where the line of each fastener says it with the square.
    """
    if check is None or check.board.boards < 2 or all(places_text(one.freed, check.same) for one in step.groups):
        return ""
    found = check.board.boards_with({freed.hole_key for freed in step.step.freed})
    return f"pockets on board {' and '.join(map(str, found))}" if found else ""


def count_text(group: Group) -> str:
    """Return how many of what: `3 × D`."""
    return f"{len(group.freed)} × {group.fastener.key}"


def tool_text(fastener: Fastener) -> str:
    """Return the tool in words; a clip or rivet without a drive goes by its kind."""
    return drive_text(fastener.drive) or fastener.kind


def by_hand_text(one: ByHand) -> str:
    """Return what lets go by hand: `2 × hook, slide the panel back`; of kind `other` the note alone."""
    note = way_out(one.note)
    words = one.kind if not note else note if one.kind == "other" else f"{one.kind}, {note}"
    return f"{one.count} × {words}" if one.count > 1 else words


def refit_by_hand_text(one: ByHand) -> str:
    """Return how a fixing goes back: in the file's own words, in the reverse of these, or in the usual ones.

    The usual ones have the note behind them that says where it is and how it came off.
    """
    words = one.kind if one.kind != "other" else "by hand"
    times = f"{one.count} × {words}" if one.count > 1 else words
    if own := way_back(one.note) or _slid_back(one):
        return f"{times}: {own}"
    note = f" (removal: {one.note})" if one.note else ""
    return f"{times}: {_usual_way_back(one)}{note}"


def _usual_way_back(one: ByHand) -> str:
    if one.kind == "hose" and IN_A_GUIDE.search(one.note):
        return BACK_IN_GUIDE
    locks = one.kind == "other" and LOCKS.search(f"{one.note} · {one.panel.name}")
    return LOCKED if locks else REFIT_WORDS[one.kind]


def _slid_back(one: ByHand) -> str:
    """The way into a hook, which is the reverse of the way out: `slide the panel forward into the hook`."""
    slid = SLID.fullmatch(one.note) if one.kind == "hook" else None
    if slid is None:
        return ""
    what = f"{slid['what']} " if slid["what"] else ""
    where = slid["where"] or f"the hook{'s' * (one.count > 1)}"
    return f"{OPPOSITE[slid['how'].lower()]} {what}{OPPOSITE[slid['way'].lower()]} into {where}"


def still_to_part_text(step: RemovalStep) -> str:
    """Return what is parted before the panel lets go, and where it is read: above its last pin, hook or tab.

    Whoever slides a panel off and away tears its plug or lets it hang by its wire (common practice, no source). ""
    where nothing is to part.
    """
    if not step.connections:
        return ""
    kinds = " and ".join(dict.fromkeys(f"{one.kind}" for one in step.connections))
    if not step.by_hand:
        return f"before it comes away: {kinds} off"
    last = step.by_hand[-1]
    several = sum(one.count for one in step.by_hand if one.kind == last.kind) > 1
    which = "it" if last.kind == "other" else f"the {'last ' * several}{last.kind}"
    return f"hold it close to the bike: {kinds} off before {which} lets go"


def riders_text(step: RemovalStep, names: Names) -> str:
    """Return what leaves with the panel, still fastened to it; "" for nothing."""
    riders = ", ".join(names(rider) for rider in step.step.riders)
    return f"stays on it: {riders}" if riders else ""


def bench_text(step: RemovalStep, names: Names) -> str:
    """Return where a rider that is taken off its carrier after all is found; "" for any other panel."""
    return f"it is still on {names(step.rode_on)}, which is off" if step.rode_on else ""


def bench_back_text(step: RemovalStep, names: Names) -> str:
    """Return where such a rider goes back."""
    return f"it goes on {names(step.rode_on)}, before that goes on the bike" if step.rode_on else ""


def riders_back_text(step: RemovalStep, names: Names) -> str:
    """Return what comes back with the panel."""
    riders = ", ".join(names(rider) for rider in step.step.riders)
    return f"comes back with it: {riders}" if riders else ""


def staying_text(one: ByHand, names: Names) -> str:
    """Return a fixing between a rider and its carrier: it is left alone."""
    return f"leave done up on {names(one.panel)}: {by_hand_text(one)}"


def behind_text(step: RemovalStep, names: Names) -> str:
    """Return which panels can be reached when this one is off; "" for none."""
    return f"frees: {', '.join(names(panel) for panel in step.behind)}" if step.behind else ""


def opens_text(step: RemovalStep, names: Names) -> str:
    """Return the jobs that this panel comes off for; "" for none."""
    return f"off for: {', '.join(names(job) for job in step.opens)}" if step.opens else ""


def panel_notes(step: RemovalStep) -> Iterator[str]:
    """Yield the notes of the panel and of its riders: they are about its removal, not about its refit."""
    yield from (panel.note for panel in (step.carrier, *step.step.riders) if panel.note)


def out_again_texts(step: RemovalStep) -> Iterator[str]:
    """Yield what is looked at before a panel goes back, where its notes or its fixings' had something put in or kept.

    A cloth over an intake is forgotten under the lid, a dowel goes to the bench in the cover (common practice, no
    source).
    """
    notes = [*panel_notes(step), *(way_out(one.note) for one in (*step.by_hand, *step.connections))]
    for said in notes:
        if covers := COVERS.search(said):
            yield f"no {covers[0].lower()} left under it: look in"
            break
    for loose in filter(None, map(MAY_COME_ALONG.search, panel_notes(step))):
        word = loose[0].lower()
        yield f"{word} in {'their places' if word.endswith('s') else 'its place'}: look first"


def hole_notes(come_out: Sequence[Freed], back: bool = False) -> Iterator[str]:
    """Yield the notes of the holes of some fasteners, each once with its pockets.

    On the way `back` a screw that held something else too goes through it; to unload and hold that is past.
    """
    for note in dict.fromkeys(freed.hole.note for freed in come_out if freed.hole.note):
        pockets = ", ".join(pocket_text(freed) for freed in come_out if freed.hole.note == note)
        held = HOLDS_TOO.match(note) if back else None
        yield minded(f"{pockets}: {f'goes through {held[1]} too: line it up first' if held else note}")


def minded(note: str) -> str:
    """Return what the file says of a screw or a hole with the mark by which it is found among routine words; "" of "".

    Such a note is written down because somebody went wrong there before: `C and no other`.
    """
    return f"! {note}" if note else ""


def marks_texts(plan: Plan) -> Iterator[str]:
    """Yield what the marks before loud notes mean, of those that this plan has."""
    holes = [one.hole for step in plan.removal for one in step.step.freed]
    if any(hole.behind for hole in holes):
        yield "▲: behind it lies what a longer screw would pierce."
    if any(hole.note for hole in holes) or any(one.note for one, _ in plan.fasteners):
        yield "!: where somebody went wrong before."


def hole_cautions(group: Group) -> Iterator[str]:
    """Yield what is behind the holes, and which screws must not or may not go back."""
    for behind in dict.fromkeys(freed.hole.behind for freed in group.freed if freed.hole.behind):
        pockets = ", ".join(pocket_text(freed) for freed in group.freed if freed.hole.behind == behind)
        yield f"▲ {pockets}: {behind} behind, never a longer screw"
    for freed in group.freed:
        if freed.fit.verdict is Verdict.MUST_NOT:
            yield f"✖ {pocket_text(freed)}: must not go back in: {freed.fit.reason}"
        elif freed.fit.verdict is Verdict.DOUBTFUL:
            yield f"doubtful, {pocket_text(freed)}: {freed.fit.reason}"


def never_at_texts(fastener: Fastener, plan: Plan) -> Iterator[str]:
    """Yield in which holes of this work, though thread and tool fit there, a fastener would reach what is behind them.

    Whoever mixes two screws up has to be told of every such hole, not of one (common practice, no source).
    """
    found: dict[str, list[str]] = {}
    for one in plan.work.freed:
        if one.hole.behind and one.fastener.key != fastener.key and _would_reach(fastener, one):
            found.setdefault(one.hole.behind, []).append(f"{one.panel.tag} {one.number}")
    yield from (f"▲ never at {', '.join(holes)}: {behind} behind" for behind, holes in found.items())


def _would_reach(fastener: Fastener, freed: Freed) -> bool:
    own = freed.fastener
    if not fastener.thread or (fastener.thread, fastener.drive) != (own.thread, own.drive):
        return False
    return judge_fit(fastener, freed.hole, own).worst_about("tip") is Verdict.MUST_NOT


def with_text(fastener: Fastener) -> str:
    """Return what goes into the pocket with the fastener, and back; "" for nothing."""
    return f"with {', '.join(fastener.with_it)}" if fastener.with_it else ""


def refit_details(group: Group) -> Iterator[str]:
    """Yield what the fasteners of a group must not go in without: threadlocker, a new one."""
    fastener = group.fastener
    if fastener.threadlocker in LOCKER_WORDS:
        yield LOCKER_WORDS[fastener.threadlocker]
    if fastener.renew:
        yield "a new one, not the old" if fastener.renew == "yes" else renew_text(fastener.renew)


def torque_text(torque: Torque | None) -> str:
    """Return a torque in words: `9 to 11 N·m`, `20 N·m, then 40 N·m, then turn 90°`; "" for none."""
    return torque_line(torque).replace("–", " to ") if torque else ""


def group_torque_text(group: Group) -> str:
    """Return a group's torque; what has a thread and no torque in the file is the manual's business."""
    fastener = group.fastener
    return torque_text(fastener.torque) or (NO_TORQUE if fastener.thread else "")


def start_all_text(step: RefitStep, names: Names) -> str:
    """Return how the screws of a panel go in; "" where there is only one (common practice, no source).

    Those of a panel that shares screws with one over it stay loose until that is on: once it is tight, its holes can no
    longer be lined up with those of the other.
    """
    both = step.screws == 2
    if step.waits_for is not None:
        all_of_them = {1: "the screw", 2: "both screws"}.get(step.screws, f"all {step.screws} screws")
        return f"Line it up and start {all_of_them}; hand-tight until {names(step.waits_for)} is on (shared screws)."
    if step.screws < 2:
        return ""
    all_of_them, any_of_them = ("both", "either") if both else (f"all {step.screws}", "any")
    return f"Line it up and start {all_of_them} screws by hand before you tighten {any_of_them}."


def all_tight_text(step: RefitStep) -> str:
    """Return what is ticked when the screws of a panel that were started are tight (common practice, no source)."""
    if step.screws == 1:
        return "the screw tight, to the torque beside it"
    how = tightening_order(step)
    how = f", {how}" if how else ""
    return f"{'both' if step.screws == 2 else f'all {step.screws}'} screws tight{how}, to the torque beside each"


def tightening_order(step: RefitStep) -> str:
    """Return in which order the screws of a panel are tightened, so that it lies flat (common practice, no source).

    A long row pushes a wave before it, from the middle to both ends; what lies around a rim tilts.
    """
    if step.screws < 3:
        return ""
    if step.screws == 3:
        return "evenly"
    return "from the middle outwards" if step.is_long_row else "crosswise in two rounds"


def now_tight_text(step: RefitStep, names: Names) -> str:
    """Return what is ticked of the panels that waited for this one, in the order in which they went on; "" for none."""
    if not step.now_tight:
        return ""
    count = sum(one.screws for one in step.now_tight)
    screws = "the screw" if count == 1 else f"all {count} screws"
    several = len(step.now_tight) > 1
    order = "evenly in two rounds" if several else tightening_order(step.now_tight[0])
    how = f", {order}" if order else ""
    panels = _listed(names(one.removal.carrier) for one in step.now_tight)
    return f"now {screws} of {panels} tight{how}{_torques_there(step.now_tight)}"


def _torques_there(steps: Iterable[RefitStep]) -> str:
    """The torques of all these screws, each with the kinds that have it: nobody leafs back for them."""
    kinds: dict[str, dict[str, None]] = {}
    for group in (one for step in steps for one in step.groups if is_threaded(one.fastener)):
        kinds.setdefault(torque_text(group.fastener.torque) or AS_IN_MANUAL, {})[group.fastener.key] = None
    return ": " + "; ".join(f"{', '.join(sorted(keys))} {torque}" for torque, keys in kinds.items())


def old_thread_text(step: RefitStep) -> str:
    """Return how tapping screws find their threads again; "" without any (common practice, no source)."""
    keys = dict.fromkeys(one.fastener.key for one in step.groups if one.fastener.kind == "tapping screw")
    return f"{', '.join(keys)}: {OLD_THREAD}" if keys else ""


def clips_last_text(step: RefitStep) -> str:
    """Return how clips go home, and when on a panel that has screws too (common practice, no source); else ""."""
    pins = PIN_LAST if any(kind in WITH_A_PIN for kind in step.clips) else ""
    if not step.screws or not step.clips:
        return pins
    screws = "screws are" if step.screws > 1 else "screw is"
    tight = "in" if step.waits_for else "tight"
    when = f"{' and '.join(CLIP_WORDS[kind] for kind in step.clips)} last, when the {screws} {tight}"
    return f"{when}; {pins}" if pins else when


def loosened_texts(group: Group, names: Names, come_off: Mapping[str, int]) -> Iterator[str]:
    """Yield which panels these fasteners held too, so that nobody leans on them or lets them drop.

    `come_off` gives the step in which a panel comes off, by its key: till then its own screws hold it. What stays on
    hangs loose through all of the work.
    """
    for one in group.shared:
        they, them = ("they are", "them") if len(one.panels) > 1 else ("it is", "it")
        stay = [panel for panel in one.panels if panel.key not in come_off]
        which = them if len(stay) == len(one.panels) else _listed(map(names, stay)) if stay else ""
        steps = sorted({come_off[panel.key] for panel in one.panels if panel.key in come_off})
        off = f"do not lean on {them} (off in step{'s' * (len(steps) > 1)} {', '.join(map(str, steps))})"
        now = f"tie or prop {which} until this is back" if which else off
        yield f"{_pockets(one)} also hold{'s' * (len(one.freed) == 1)} {_panels(one, names)}: {they} looser now, {now}"


def through_texts(group: Group, names: Names) -> Iterator[str]:
    """Yield which other panels these fasteners go through."""
    for one in group.shared:
        go = "goes" if len(one.freed) == 1 else "go"
        holes = "both holes" if len(one.panels) == 1 else "all holes"
        yield f"{_pockets(one)} {go} through {_panels(one, names)} too: line up {holes} first"


def _pockets(shared: Shared) -> str:
    return ", ".join(map(pocket_text, shared.freed))


def _panels(shared: Shared, names: Names) -> str:
    return _listed(map(names, shared.panels))


def _listed(words: Iterable[str]) -> str:
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last


def tag_places_text(step: RemovalStep, where: Pockets) -> str:
    """Return where on the boards the pockets of a panel and its riders are; "" where that is not known."""
    places = places_text(step.step.freed, where)
    return f"on {places}" if places else ""


def must_not_text(freed: Freed, names: Names, pockets: Pockets | None = None) -> str:
    """Return which screw must not go back in where, and why."""
    places = places_text([freed], pockets or {})
    where = f"{names(freed.panel)} {freed.number}{f' ({places})' if places else ''}"
    return f"✖ {where}: screw {freed.fastener.key} must not go back in: {freed.fit.reason}."


def must_nots(plan: Plan, names: Names) -> Iterator[str]:
    """Yield every screw of the work that must not go back in."""
    wrong = (one for one in plan.work.freed if one.fit.verdict is Verdict.MUST_NOT)
    yield from (must_not_text(one, names, plan.pockets) for one in wrong)
