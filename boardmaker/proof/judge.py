"""What makes a print untrue: the rules, one small function each, and nothing read or measured.

Each yields `Remark`s: a sentence about a page or about the file, and what to do about it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from boardmaker.problems import Problem, Severity
from boardmaker.proof.bars import FoundBar
from boardmaker.proof.font_program import FontDamage
from boardmaker.proof.report import TOLERANCE, Bar, Box, Point
from boardmaker.proof.structure import MAKE_IT_AGAIN, PageMake, Structure

ORIGIN = 0.01  # mm that the page's corner may lie off 0, 0
MOST_FONTS = 10  # that are named one by one
OVER_THE_EDGE = 1.0  # mm of ink beyond the edge of the page
LARGEST_SCALE_ERROR = 0.05 + 1e-6  # a printer further off is not out of true, it was told to scale
_NAMES = {"/CropBox": "crop box", "/TrimBox": "trim box", "/BleedBox": "bleed box", "/ArtBox": "art box"}


@dataclass(frozen=True)
class Remark:
    """A sentence about one page (from 1), or about the whole file."""

    message: str
    hint: str = MAKE_IT_AGAIN
    page: int | None = None
    severity: Severity = Severity.ERROR


def judge_file(structure: Structure, printer_scale: Point | None) -> Iterator[Remark]:
    """Yield what is wrong with the file as a whole."""
    if structure.torn:
        yield Remark("bytes of the drawing are damaged: parts of it may be missing, or lie elsewhere")
    if structure.print_scaling != "None":
        said = f"says {structure.print_scaling}" if structure.print_scaling else "is missing"
        yield Remark(
            f"the print dialog is not asked to leave the size alone: PrintScaling {said} where None is needed",
        )
    missing = [name for name, embedded in structure.fonts.items() if not embedded]
    for name in missing[:MOST_FONTS]:
        yield Remark(f"the font {name} is not in the file: every printer puts another one in its place")
    if len(missing) > MOST_FONTS:
        yield Remark(f"and {len(missing) - MOST_FONTS:,} more fonts are not in the file")
    yield from _judge_fonts(structure.font_damages)
    if printer_scale and any(abs(scale - 1.0) > LARGEST_SCALE_ERROR for scale in printer_scale):
        across, along = printer_scale
        yield Remark(f"the printer's scale that the file records cannot be: {across:g} × {along:g}")


def _judge_fonts(damages: Mapping[str, FontDamage]) -> Iterator[Remark]:
    broken = [name for name, damage in damages.items() if damage is FontDamage.BROKEN]
    altered = [name for name, damage in damages.items() if damage is FontDamage.ALTERED]
    for name in broken[:MOST_FONTS]:
        yield Remark(f"the font {name} in the file is damaged: its letters and numbers may be missing or other ones")
    if len(broken) > MOST_FONTS:
        yield Remark(f"and {len(broken) - MOST_FONTS:,} more fonts in the file are damaged")
    if altered:
        named = ", ".join(altered[:MOST_FONTS])
        yield Remark(
            f"some bytes of {named} in the file are not as they were made: letters and numbers may come out wrong",
            severity=Severity.WARNING,
        )


def judge_make(number: int, make: PageMake, printed_areas: Sequence[str]) -> Iterator[Remark]:
    """Yield what is wrong with the boxes of a page."""
    x0, y0, x1, y1 = make.media
    if max(abs(x0), abs(y0)) > ORIGIN:
        yield Remark(f"the page begins at {x0:.2f}, {y0:.2f} mm and not at 0, 0: it was cropped", page=number)
    if make.turn % 360:
        yield Remark(
            f"the page is turned by {make.turn:g} degrees: what was drawn across and along changes places", page=number
        )
    if make.user_unit != 1.0:
        yield Remark(
            f"the page has a unit of its own (UserUnit {make.user_unit:g}), which half of all programs pass over",
            page=number,
        )
    for name, box in make.boxes.items():
        if _smaller(box, make.media):
            width, height = min(box[2], x1) - max(box[0], x0), min(box[3], y1) - max(box[1], y0)
            size = f"{width:.2f} × {height:.2f} mm of {x1 - x0:.2f} × {y1 - y0:.2f} mm"
            sure = name == "/CropBox" or name in printed_areas
            yield Remark(
                f"the {_NAMES[name]} shows only {size}: "
                + ("the rest is not printed" if sure else "some print shops print no more than that"),
                page=number,
                severity=Severity.ERROR if sure else Severity.WARNING,
            )


def _smaller(box: Box, media: Box) -> bool:
    return (
        box[0] > media[0] + ORIGIN
        or box[1] > media[1] + ORIGIN
        or box[2] < media[2] - ORIGIN
        or box[3] < media[3] - ORIGIN
    )


def judge_bars(number: int, bars: Sequence[Bar], printer_scale: Point | None) -> Iterator[Remark]:
    """Yield what is wrong with the lengths of a page's bars, and which bar it lacks."""
    for bar in bars:
        if not bar.true:
            yield Remark(
                f"{bar.name} is {_measured(bar)} mm long where {bar.stated:g} mm is written",
                _why(bar, printer_scale),
                number,
            )
    for upright, words in ((False, "across"), (True, "along")):
        if not any(bar.upright is upright for bar in bars):
            yield Remark(
                f"no test bar {words} the page",
                "a bar has an end line at both ends and its length in words beside it; a file that another program "
                "made pictures or outlines of cannot be measured",
                number,
            )


def _measured(bar: Bar) -> str:
    """The length with as many decimals as show the difference."""
    return f"{bar.printed:.2f}" if abs(bar.printed - bar.stated) >= 0.02 else f"{bar.printed:.4f}"


def _why(bar: Bar, printer_scale: Point | None) -> str:
    share = f"at {100 * bar.printed / bar.stated:.2f} % of its size" if bar.stated else "with a length of nothing"
    if printer_scale is None:
        return f"drawn {share}, or for a printer whose scale is no longer noted in the file: {MAKE_IT_AGAIN}"
    return f"drawn {share}: {MAKE_IT_AGAIN}"


def judge_drawing(number: int, found: FoundBar, name: str, whole: bool, seen: bool) -> Iterator[Remark]:
    """Yield what is wrong with how a bar is drawn; `whole`: it lies on the page; `seen`: it has ink all along."""
    run = found.end[0] - found.start[0], found.end[1] - found.start[1]
    askew = min(abs(run[0]), abs(run[1]))
    if askew > TOLERANCE:
        angle = math.degrees(math.asin(min(1.0, askew / math.hypot(*run))))
        yield Remark(f"{name} lies askew by {angle:.2f} degrees", page=number)
    if not found.words.mirrored and not _reads_as_drawn(found):
        yield Remark("the page's content was turned: across and along are no longer the printer's", page=number)
    if found.words.mirrored:
        yield Remark("the page is mirrored", page=number)
    if not whole:
        yield Remark(f"{name} reaches over the edge of what is printed", page=number)
    elif not seen:
        yield Remark(f"{name} cannot be seen: it is covered, cut off, switched off or too pale", page=number)


def _reads_as_drawn(found: FoundBar) -> bool:
    """Words of a lying bar run to the right, those of an upright one up."""
    x, y = found.words.direction
    return y > 0.0 if found.upright else x > 0.0


def judge_edges(number: int, beyond: float) -> Iterator[Remark]:
    """Yield what is wrong where ink reaches over the edge of the page by so many mm."""
    if beyond > OVER_THE_EDGE:
        yield Remark(
            "something lies beyond the edge of the page and is not printed: the page was cut, or its content moved",
            page=number,
        )


def gather(remarks: Iterable[Remark]) -> tuple[Problem, ...]:
    """Return the remarks as problems: the same one of several pages once, the same hint once, in the order given."""
    pages: dict[Remark, list[int]] = {}
    for remark in remarks:
        alike = Remark(remark.message, remark.hint, None, remark.severity)
        pages.setdefault(alike, []).extend([] if remark.page is None else [remark.page])
    problems, hints = [], {""}
    for remark, numbers in pages.items():
        message = f"{name_pages(numbers)}: {remark.message}" if numbers else remark.message
        problems.append(Problem(remark.severity, message, None, "" if remark.hint in hints else remark.hint))
        hints.add(remark.hint)
    return tuple(problems)


def name_pages(numbers: Iterable[int]) -> str:
    """Return words such as `page 3` or `pages 1-4, 7`."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    listed = ", ".join(f"{first}-{last}" if first != last else f"{first}" for first, last in runs)
    return f"page {listed}" if len(runs) == 1 and runs[0][0] == runs[0][1] else f"pages {listed}"
