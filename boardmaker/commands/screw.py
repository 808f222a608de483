"""`screw`: which fastener is this one in my hand, where does it belong, where must it not go."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from boardmaker.commands.common import load_bike_or_demo, say, say_warnings
from boardmaker.commands.options import length_option
from boardmaker.commands.requests import ScrewRequest, SizesChoice
from boardmaker.inputs.values import HEAD_SHAPES, KINDS, one_of, read_class, read_drive
from boardmaker.model import Bike, Fastener, Shoulder
from boardmaker.problems import ProblemsFound, WrongUsage, error, nearest
from boardmaker.service import (
    HoleOnBoard,
    Match,
    Measured,
    Verdict,
    has_another_thread,
    holes_on_board,
    judge_in_hand,
    recognise,
)
from boardmaker.service.fit.recognition import Comparison
from boardmaker.service.fit.verdict import Fit
from boardmaker.standards import Thread, parse_thread
from boardmaker.standards.deviations import SHARP
from boardmaker.units import counted
from boardmaker.wording.fasteners import drive_text, shoulder_text, size_text
from boardmaker.wording.numbers import decimal, with_mm, with_mm_if_inches

TOLERANCES = {"calliper": 0.2, "ruler": 1.0}  # mm; common practice, no source
WORST_TOLERANCE = 2.0  # mm; what is measured worse tells no screw from another (common practice, no source)
SHOWN_WHEN_NONE = 3  # nearest kinds, where none agrees
WIDTH = 100
THREADLESS = ("push clip", "screw rivet", "quarter turn")
CAUTION = "By this file's numbers and your measurements only; the maker's manual comes first."
HOW_TO_MEASURE = (
    "measure what you can: --thread M6 (by a pitch gauge; 5.9 is its outside, pitch unknown), --length 20 (from under "
    "the head to the tip; over everything where the head is countersunk), --shoulder 10 (its plain part; none if it "
    "has none), --shoulder-diameter 9, --head 14 (over everything), --head-shape button, --head-height 3.3, "
    "--drive T30, --class 8.8; of a clip --thread none, --kind 'push clip', --clip-hole 8"
)


def find_screw(request: ScrewRequest) -> None:
    """Print what the measured fastener can be and where it may go, or whether it does in one hole."""
    measured = _measured(request.sizes, request.tolerance)
    _check(measured)
    choice, quiet = request.work, request.quiet
    found, warnings = load_bike_or_demo(choice.bike)
    holes = holes_on_board(found, choice.jobs, choice.with_, choice.without)
    say_warnings(warnings)
    if request.hole is not None:
        _say_hole(_Hand(found, measured, holes), _hole_named(request.hole, holes, found), quiet)
    else:
        _say_kinds(_Hand(found, measured, _of_jobs(holes, choice.jobs)), quiet)


def _measured(typed: SizesChoice, tolerance: str) -> Measured:
    turned, across, threadless = _thread(typed.thread)
    kind = _word("--kind", typed.kind, one_of(*KINDS))
    return Measured(
        turned,
        across,
        threadless or kind in THREADLESS,
        length=_length("--length", typed.length),
        shoulder=_shoulder(typed.shoulder),
        shoulder_diameter=_length("--shoulder-diameter", typed.shoulder_diameter),
        head=_length("--head", typed.head),
        head_height=_length("--head-height", typed.head_height),
        drive=_word("--drive", typed.drive, read_drive),
        kind=kind,
        head_shape=_word("--head-shape", typed.head_shape, one_of(*HEAD_SHAPES)),
        property_class=_word("--class", typed.property_class, read_class),
        clip_hole=_length("--clip-hole", typed.clip_hole),
        tolerance=_tolerance(tolerance),
    )


@dataclass(frozen=True)
class _Hand:
    """What was measured, and the bike that it is held against."""

    bike: Bike
    measured: Measured
    holes: tuple[HoleOnBoard, ...]


def _length(option: str, text: str | None) -> float | None:
    return None if text is None else length_option(option, text)


def _shoulder(text: str | None) -> float | None:
    none = text is not None and text.strip().casefold() in ("none", "no", "0")
    return 0.0 if none else _length("--shoulder", text)


def _thread(text: str | None) -> tuple[Thread | None, float | None, bool]:
    """A thread, or the outside of one with its pitch unknown, or surely none."""
    if text is None:
        return None, None, False
    if text.strip().casefold() in ("none", "no"):
        return None, None, True
    try:
        return parse_thread(text), None, False
    except ValueError as wrong:
        if text.strip()[:1].isnumeric() and "-" not in text:  # an outside diameter: 6, 5.9, 5,9 mm
            return None, length_option("--thread", text), False
        raise WrongUsage([error(f"--thread: {wrong}", hint="or its outside diameter, such as 5.9")]) from None


def _word(option: str, text: str | None, read: Callable[[object], str]) -> str:
    try:
        return read(text.strip()) if text is not None else ""
    except ValueError as wrong:
        raise WrongUsage([error(f"{option}: {wrong}")]) from None


def _tolerance(text: str) -> float:
    tolerance = TOLERANCES.get(text.strip().casefold()) or length_option("--tolerance", text)
    if tolerance > WORST_TOLERANCE:
        problem = error(
            f"--tolerance {decimal(tolerance)}: sizes that may be more than {WORST_TOLERANCE:g} mm off tell no screw "
            "from another",
            hint="calliper (0.2 mm), ruler (1 mm), or a number in mm",
        )
        raise WrongUsage([problem])
    return tolerance


def _check(measured: Measured) -> None:
    if measured == Measured(tolerance=measured.tolerance):
        raise WrongUsage([error("nothing was measured, so nobody can say which screw this is", hint=HOW_TO_MEASURE)])
    if measured.kind in THREADLESS and (measured.thread or measured.diameter):
        problem = error(f"a {measured.kind} has no thread, and --thread says one", hint="leave one of the two out")
        raise WrongUsage([problem])
    if measured.length and measured.shoulder and measured.shoulder >= measured.length:
        raise WrongUsage(
            [
                error(
                    f"the shoulder ({measured.shoulder:g} mm) is as long as the whole screw ({measured.length:g} mm)",
                    hint="the length runs from under the head to the tip, the shoulder included",
                )
            ]
        )


def _of_jobs(holes: tuple[HoleOnBoard, ...], jobs: Sequence[str]) -> tuple[HoleOnBoard, ...]:
    """With a job chosen, only what comes out in it."""
    return tuple(place for place in holes if place.jobs) if jobs else holes


def _hole_named(text: str, holes: tuple[HoleOnBoard, ...], bike: Bike) -> HoleOnBoard:
    """The hole of a key such as `knee-left/1`, or of what the board shows, such as `KL 1`."""
    wanted = text.strip().casefold()
    for place in holes:
        if wanted == place.key.casefold() or wanted.replace(" ", "") == place.mark.casefold().replace(" ", ""):
            return place
    if any(wanted == f"{panel.key}/{hole.id}".casefold() for panel in bike.panels for hole in panel.holes):
        raise ProblemsFound([error(f'hole "{text}" is not there with this equipment', hint="look at --without")])
    near = nearest(text, [place.key for place in holes]) or nearest(text, [place.mark for place in holes])
    hint = f'did you mean "{near}"?' if near else "write panel/hole, such as knee-left/1, or as on the board: KL 1"
    raise ProblemsFound([error(f'no hole "{text}" in {bike.file}', hint=hint)])


def _say_hole(hand: _Hand, place: HoleOnBoard, quiet: bool) -> None:
    own = hand.bike.fastener(place.hole.fastener)
    fit = judge_in_hand(hand.measured, place.hole, own)
    known = next(match for match in recognise(hand.measured, hand.bike) if match.fastener is own)
    named = place.key if place.mark == place.key else f"{place.mark} ({place.key})"
    behind = f"; behind it: {place.hole.behind}" if place.hole.behind else ""
    say(_in_hand(hand), quiet)
    say(_wrapped(f"{named}, {place.panel.name}: takes {own.key}, {_kind(own)}{behind}"), quiet)
    fits = fit.verdict is Verdict.FITS
    say(_wrapped(fit.reason if fits else f"{fit.verdict.words}: {fit.reason}"), quiet and fits)
    for line in _of_the_tip(fit):
        say(line, quiet)
    if fit.verdict < Verdict.MUST_NOT and fit.to_settle:
        say(_wrapped(f"What would settle it: {'; '.join(fit.to_settle)}"), quiet)
    say(_wrapped(_own_words(known)), quiet)
    say(CAUTION, quiet)


def _of_the_tip(fit: Fit) -> Iterator[str]:
    """What its tip may reach, where something worse than that is said of it: a head does not hide 100 mm too much."""
    if fit.verdict is not Verdict.MUST_NOT:
        for one in fit.findings:
            if one.about == "tip" and one.verdict < fit.verdict:
                yield _wrapped(f"also, {one.verdict.words}: {one.reason}")


def _own_words(known: Match) -> str:
    if known.differing:
        return f"It is not {known.fastener.key}, which belongs here: {_differences(known)}"
    if not known.agreeing:
        return f"Whether it is {known.fastener.key}, which belongs here, the file does not say"
    return f"It can be {known.fastener.key}, which belongs here: {_agreement(known)}"


def _say_kinds(hand: _Hand, quiet: bool) -> None:
    matches = recognise(hand.measured, hand.bike)
    possible = [match for match in matches if match.agreeing and not match.differing]
    open_ = [match.fastener.key for match in matches if not match.agreeing and not match.differing]
    say(_in_hand(hand), quiet)
    if possible:
        say(f"\nIt can be {' or '.join(match.fastener.key for match in possible)}:", quiet)
    else:
        say("\n" + "\n".join(_nearest(matches)), False)
    for line in (line for match in possible for line in _belongs(match, hand.holes)):
        say(line, quiet)
    if open_:
        say("\n" + _wrapped(f"Not ruled out, the file does not say enough: {', '.join(open_)}"), quiet)
    for line in _where_to(hand):
        say(line, quiet)


def _nearest(matches: Sequence[Match]) -> Iterator[str]:
    if not matches:
        yield "It can be none: this file has no fasteners."
        return
    yield "It agrees with no fastener of this file. The nearest:"
    for match in matches[:SHOWN_WHEN_NONE]:
        yield _wrapped(f"  {match.fastener.key}  {_kind(match.fastener)}: {_differences(match)}")


def _belongs(match: Match, holes: tuple[HoleOnBoard, ...]) -> Iterator[str]:
    """A kind and a line for each panel that has it: tag, name, numbers on the board, jobs."""
    own = [place for place in holes if place.hole.fastener == match.fastener.key]
    yield _wrapped(f"  {match.fastener.key}  {_kind(match.fastener)}: {_agreement(match)}; {_how_many(len(own))}")
    rows = [_row([*group]) for _, group in groupby(own, key=lambda place: place.panel.key)]
    tag, name = (max((len(row[column]) for row in rows), default=0) for column in (0, 1))
    for row in rows:
        first = f"       {row[0]:{tag}}  {row[1]:{name}}  {row[2]}"
        yield f"{first}  ({row[3]})" if row[3] else first


def _how_many(count: int) -> str:
    return f"{count} of them" if count else "none of them comes out here"


def _row(holes: Sequence[HoleOnBoard]) -> tuple[str, str, str, str]:
    panel = holes[0].panel
    numbers = [str(place.number) if place.number else f"{place.key} stays in" for place in holes]
    jobs = dict.fromkeys(job for place in holes for job in place.jobs)
    return panel.tag, panel.name, ", ".join(numbers), ", ".join(jobs)


Finding = tuple[Verdict, str, str]  # the verdict, what is behind, the reason
HEADINGS = {
    Verdict.MUST_NOT: "Must not go into",
    Verdict.DOUBTFUL: "Doubtful in",
    Verdict.CANNOT_SAY: "Cannot say for",
    Verdict.FITS: "Would do in",
}


def _where_to(hand: _Hand) -> Iterator[str]:
    """Where it must not go, is doubtful and would do; the worst danger first, holes with one reason on one line."""
    measured = hand.measured
    if not (measured.thread or measured.diameter or measured.threadless) or measured.length is None:
        yield "\nGive --thread and --length to hear where it must not go and where else it would do."
        return
    others = [place for place in hand.holes if has_another_thread(measured, _own(hand, place))]
    groups: dict[Finding, list[str]] = {}
    for place in hand.holes:
        if place not in others:
            fit = judge_in_hand(measured, place.hole, _own(hand, place))
            groups.setdefault((fit.verdict, place.hole.behind, fit.reason), []).append(place.mark)
    yield ""
    for finding in sorted(groups, key=lambda one: (-one[0], not one[1])):
        yield _finding_line(finding, groups[finding])
    if others:
        yield _wrapped(f"Does not go into {counted(len(others), 'hole')} with another thread: {_threads(hand, others)}")
    yield CAUTION


def _own(hand: _Hand, place: HoleOnBoard) -> Fastener:
    return hand.bike.fastener(place.hole.fastener)


def _finding_line(finding: Finding, marks: Sequence[str]) -> str:
    verdict, behind, reason = finding
    behind_it = f" ({behind} behind)" if behind else ""
    why = "" if verdict is Verdict.FITS else f": {reason}"
    places = ", ".join(mark.replace(" ", "\u00a0") for mark in marks)
    return _wrapped(f"{HEADINGS[verdict]} {places}{behind_it}{why}")


def _threads(hand: _Hand, holes: Iterable[HoleOnBoard]) -> str:
    counts: dict[str, int] = {}
    for place in holes:
        own = _own(hand, place)
        name = own.thread.designation if own.thread else own.kind
        counts[name] = counts.get(name, 0) + 1
    return ", ".join(f"{count} × {name}".replace(" ", "\u00a0") for name, count in counts.items())


def _in_hand(hand: _Hand) -> str:
    measured = hand.measured
    sizes = {
        "length": measured.length,
        "shoulder": measured.shoulder or None,
        "shoulder diameter": measured.shoulder_diameter,
        "head": measured.head,
        "head height": measured.head_height,
    }
    over = " over everything" if measured.head_shape in SHARP else ""
    said = [_thread_words(measured)]
    said += [f"{what} {decimal(size)} mm{over if what == 'length' else ''}" for what, size in sizes.items() if size]
    said += ["no shoulder"] if measured.shoulder == 0.0 else []
    said += [f"hole of the clip {decimal(measured.clip_hole)} mm"] if measured.clip_hole else []
    said += [f"{measured.head_shape} head"] if measured.head_shape else []
    said += [f"class {measured.property_class}"] if measured.property_class else []
    said += [measured.kind, measured.drive]
    words = ", ".join(part for part in said if part)
    return _wrapped(f"{hand.bike.name}; in the hand: {words}; each size good to {decimal(measured.tolerance)} mm")


def _thread_words(measured: Measured) -> str:
    if measured.threadless:
        return "no thread"
    if measured.thread:
        return measured.thread.designation
    return f"a thread of about {decimal(measured.diameter)} mm, pitch unknown" if measured.diameter else ""


def _kind(fastener: Fastener) -> str:
    plain = shoulder_text(fastener.shoulder) if fastener.shoulder else ""
    sunk = f"{fastener.head.shape} " if fastener.head.shape in SHARP else ""  # its length runs over everything
    head = f"{sunk}head ⌀{with_mm_if_inches(fastener.head.diameter, fastener.head.diameter_written)}"
    kind = f"{fastener.kind} {size_text(fastener)}" if fastener.thread else size_text(fastener)
    return ", ".join(part for part in (kind, plain, head, drive_text(fastener.drive)) if part)


def _agreement(match: Match) -> str:
    agrees = f"agrees in {_names(match.agreeing)}"
    return f"{agrees}; the file does not say its {_names(match.unknown)}" if match.unknown else agrees


def _names(comparisons: Iterable[Comparison]) -> str:
    return ", ".join(one.what for one in comparisons)


def _differences(match: Match) -> str:
    fastener = match.fastener
    said = (f"{one.what} is {one.measured}, there {_filed(one, fastener)}" for one in match.differing)
    return "; ".join(said) or "the file does not say enough"


def _filed(one: Comparison, fastener: Fastener) -> str:
    """What the file says: as it was written, with mm behind it."""
    plain, head = fastener.shoulder or Shoulder(0.0, 0.0), fastener.head
    size, written = {
        "length": (fastener.length, fastener.length_written),
        "shoulder": (plain.length, plain.length_written),
        "shoulder diameter": (plain.diameter, plain.diameter_written),
        "head": (head.diameter, head.diameter_written),
        "hole of the clip": (fastener.diameter, fastener.hole_written),
    }.get(one.what, (0.0, ""))
    return with_mm(size, written) if written else one.filed


def _wrapped(text: str) -> str:
    """Lines of the screen; a tag and its number, tied by a no-break space, stay together."""
    indent = "    " if text.startswith("  ") else "  "
    filled = textwrap.fill(text, WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)
    return filled.replace("\u00a0", " ")
