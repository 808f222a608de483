"""The title block: whose board this is, how far it may be trusted, what the marks mean, and what to beware of."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from boardmaker.display_list import Circle, Path
from boardmaker.figures.figure import Figure, NoteBelow
from boardmaker.figures.framed import framed
from boardmaker.figures.pocket_labels import MUST_NOT_SIGN, NOTE_SIGN
from boardmaker.figures.side_tag import side_tag_marks, tag_size
from boardmaker.figures.style import BoardStyle
from boardmaker.figures.symbols import (
    UPRIGHT_VIEWS,
    arrow_marks,
    collar_marks,
    fixing_marks,
    ghost_marks,
    true_place_marks,
    up_marks,
)
from boardmaker.geometry import bounds, scale_ring
from boardmaker.model import Panel
from boardmaker.service import Freed, Verdict, Work
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import (
    TALL_AND_DEEP,
    baselines,
    broken,
    lines_size,
    printable,
    shown_name,
    ticked_size,
)
from boardmaker.typeset.table import Cell, beside, stacked, words_cell
from boardmaker.typeset.type_sizes import BOARD_TYPE, TypeSizes
from boardmaker.wording.cautions import CHECKED, GENERAL_CAUTIONS, UNCHECKED
from boardmaker.wording.numbers import scale_text
from boardmaker.wording.steps import must_not_text

# mm in the usual type, from narrow to wide; of each form what takes least of a board is taken. The first reads best.
WIDTHS = (
    (75.0, 78.0, 81.0, 84.0, 87.0, 90.0, 95.0),
    (108.0, 112.0, 116.0, 120.0, 126.0, 134.0, 142.0),
    (51.0, 53.0, 55.0, 58.0, 60.0, 62.0, 64.0, 66.0, 68.0),
)
RULE_GAP = 1.0  # mm between what a rule parts; the air of words adds to it
ENTRY_GAP, LINE_GAP = 2.4, 0.05  # mm between two entries of the legend, and between two lines of them
SIDES = ("left", "right", "centre")
HEAD_LINE, HOLE_LINE, RING_LINE = 0.25, 0.25, 0.5  # mm
HEAD = 2.8  # mm, the head that stands for all of them in the legend, which need not be true to size
HOLE = 1.3
TAG_GAP = 1.2  # mm between the tags of the sides
UP_SHARE = 0.7  # of its size on a panel, so that its line is no higher than the others
MARK_GAP = 0.8  # mm between a mark and what it means
RING_OFF, COLLAR_WIDTH = 0.8, 1.3
LEAST_LINE = 1.5  # heights of type from one line of the legend to the next at least

Entry = tuple[Cell, str]  # a mark and what it means


def draw_title(work: Work, scale: float, style: BoardStyle, panels: Sequence[Figure]) -> tuple[Figure, ...]:
    """Return the title block in a few widths; what it explains is what the panels' figures show."""
    notes = tuple(note for figure in panels for note in figure.notes)
    moved = any(pocket.moved for figure in panels for pocket in figure.pockets)
    return _forms(_TitleBlock(work, style, notes, moved), scale_text(scale))


@lru_cache(maxsize=64)  # many scales of a search are written alike
def _forms(block: _TitleBlock, scale: str) -> tuple[Figure, ...]:
    forms = [[_title(block, parts, scale, width) for width, parts in form] for form in _parts_but_facts(block)]
    return tuple(framed("title", "", min(form, key=_area), wish=(1.0, 0.0)) for form in forms)


@lru_cache(maxsize=16)  # the same at every scale
def _parts_but_facts(block: _TitleBlock) -> tuple[tuple[tuple[float, tuple[Cell, ...]], ...], ...]:
    """For each form its widths, and for each width what stands in the block beside the facts, the name first."""
    groups = [list(group(block)) for group in (_pocket_entries, _danger_entries, _by_hand_entries)]
    forms = [[block.style.type.wide(width) for width in widths] for widths in WIDTHS]
    return tuple(tuple((width, tuple(_beside_facts(block, groups, width))) for width in form) for form in forms)


def _area(cell: Cell) -> float:
    return cell.width * cell.height


def draw_board_mark(work: Work, number: int, count: int, sizes: TypeSizes = BOARD_TYPE) -> Figure:
    """Return the small mark that tells one board of several from the others."""
    name = printable(work.bike.name, work.bike.file)
    board = words_cell([Words(f"Board {number} of {count}", sizes.text, bold=True)])
    return framed("title", f"board {number}", beside([board, words_cell([Words(name, sizes.small)])]))


@dataclass(frozen=True)
class _TitleBlock:
    """What the title block tells of."""

    work: Work
    style: BoardStyle
    notes: tuple[NoteBelow, ...]  # for which there was no room beside their holes
    moved: bool  # whether a pocket had to leave its true place

    def paragraphs(self, texts: Sequence[str], width: float, bold: bool = False) -> list[Words]:
        """Texts as lines of a remark."""
        return _paragraphs(texts, width, self.style.type.small, bold)


def _title(block: _TitleBlock, parts: Sequence[Cell], scale: str, width: float) -> Cell:
    name, *others = parts
    return stacked([name, _facts(block, scale, width), *others], RULE_GAP, ruled=True)


def _beside_facts(block: _TitleBlock, groups: Sequence[Sequence[Entry]], width: float) -> list[Cell]:
    legend = _legend(block, groups, width)
    return [_name(block, width), _warnings(block, width), *_notes(block, width), *legend]


def _paragraphs(texts: Sequence[str], width: float, height: float, bold: bool = False) -> list[Words]:
    return [Words(line, height, bold) for text in texts for line in broken(printable(text), height, width, bold)]


def _name(block: _TitleBlock, width: float) -> Cell:
    """The bike's name, its years behind it where there is room."""
    bike, sizes = block.work.bike, block.style.type
    name = words_cell(_paragraphs([printable(bike.name, bike.file)], width, sizes.name, bold=True))
    if not bike.years:
        return name
    years = words_cell(_paragraphs([bike.years], width, sizes.text))
    return beside([name, years]) if name.width + 2.0 + years.width <= width else stacked([name, years], 0.0)


def _facts(block: _TitleBlock, scale: str, width: float) -> Cell:
    work, bike = block.work, block.work.bike
    first = [f"Panels {scale}. Pockets and screws true to size."]
    facts = [f"Jobs: {_jobs(work)}."]
    if work.equipment:
        names = dict(bike.equipment)
        facts.append(f"With: {', '.join(names[key] for key in work.equipment)}.")
    if bike.source:
        facts.append(f"Source: {bike.source}.")
    (facts if bike.checked else first).append(CHECKED if bike.checked else UNCHECKED)
    facts.append(f"File {bike.file}, version {bike.sha256[:8]}.")
    bold = block.paragraphs([" ".join(first)], width, bold=True)
    return words_cell([*bold, *block.paragraphs([" ".join(facts)], width)])


def _jobs(work: Work) -> str:
    if not work.jobs:
        return "all, every panel comes off"
    return ", ".join(printable(job.name, job.key) for job in work.jobs)


def _warnings(block: _TitleBlock, width: float) -> Cell:
    lines: list[Words] = []
    for freed in block.work.freed:
        if freed.fit.verdict is Verdict.MUST_NOT:
            found = block.paragraphs([must_not_text(freed, shown_name)], width, bold=True)
            lines += [replace(line, ink=block.style.danger) for line in found]
    cautions = map(_sentence, (*block.work.bike.cautions, *GENERAL_CAUTIONS))
    return words_cell([*lines, *block.paragraphs([" ".join(cautions)], width)])


def _sentence(text: str) -> str:
    """A text with its full stop, behind which another one may stand."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _notes(block: _TitleBlock, width: float) -> list[Cell]:
    """The notes of holes beside which there was no room for them; what is said of several holes once."""
    freed = {one.hole_key: one for one in block.work.freed}
    holes: dict[str, list[str]] = {}
    for note in block.notes:
        holes.setdefault(printable(note.words, "?"), []).append(_pocket_name(freed[note.hole]))
    texts = [f"{NOTE_SIGN} {', '.join(names)}: {words}" for words, names in holes.items()]
    return [words_cell(block.paragraphs(texts, width))] if texts else []


def _pocket_name(freed: Freed) -> str:
    return f"{printable(freed.panel.tag, '?')} {freed.number}"


def _legend(block: _TitleBlock, groups: Sequence[Sequence[Entry]], width: float) -> list[Cell]:
    """The marks that occur on these boards, each with its word; what is looked for together stands together."""
    found = [[_explained(block, mark, words, width) for mark, words in entries] for entries in groups]
    of_panels = [cell for cell in (_side_cell(block), _direction_cell(block)) if cell]
    lines = _flow([*found[:2], of_panels, *found[2:]], width)
    least = block.style.type.small * LEAST_LINE  # so that lines of small marks stand as far apart as others
    return [stacked([_levelled(line, least) for line in lines], LINE_GAP)] if lines else []


def _levelled(line: Cell, least: float) -> Cell:
    """A line at least so many mm high, what is in it in its middle."""
    return beside([line, Cell(0.0, least)], 0.0)


def _explained(block: _TitleBlock, mark: Cell, words: str, width: float) -> Cell:
    """A mark with what it means, in several lines where that is long."""
    gap = block.style.type.wide(MARK_GAP)
    lines = block.paragraphs([words], width - mark.width - gap)
    return beside([mark, _on_its_line(lines[0]) if len(lines) == 1 else words_cell(lines)], gap)


def _on_its_line(words: Words) -> Cell:
    """Words in a line that has room for tall and deep letters: so all words beside marks stand on one baseline."""
    line = replace(words, text=TALL_AND_DEEP)
    lower = max(0.0, baselines([line])[0] - baselines([words])[0])
    cell = words_cell([words])
    return cell.at((0.0, -lower)).sized(height=max(lines_size([line])[1], cell.height + lower))


def _pocket_entries(block: _TitleBlock) -> Iterator[Entry]:
    """What stands at the pockets: numbers and rings, and the screws whose pockets are elsewhere."""
    work, sizes = block.work, block.style.type
    if not work.freed:
        return
    first = work.freed[0]
    lines = (Words(f"{first.number} {printable(first.fastener.key, '?')}", sizes.text, bold=True),)
    width, height = ticked_size(lines)
    label = Label(lines, (0.0, -height, width, 0.0), "start", ticked=True)
    ticked = Cell(width, height, (label,))
    yield ticked, f"screw {first.number}, of kind {printable(first.fastener.key, '?')}; tick: it is out"
    if last := {bool(step.carrying.hole.behind) for step in work.steps if step.carrying}:
        rings = beside([_ringed(block, danger) for danger in sorted(last)], MARK_GAP)
        yield rings, "hole, head; thick ring: last, hold the panel"
    else:
        yield _mark(_head()), "hole, head"
    if block.moved:
        yield _mark(_moved_head()), "moved: hole at the dot"
    if _ghosts(work):
        yield _mark(ghost_marks(_AT)), "dashed: pocket at that tag"
    if block.notes:
        yield words_cell([Words(NOTE_SIGN, sizes.text, bold=True)]), "note above"


def _ringed(block: _TitleBlock, danger: bool) -> Cell:
    """The second ring around a head, or around its collar."""
    if not danger:
        return _mark((*_head(), Circle(_AT, HEAD + 2 * RING_OFF, RING_LINE)))
    outer = Circle(_AT, HEAD + 2 * (COLLAR_WIDTH + RING_OFF), RING_LINE)
    return _mark((*_head(), *_collar(block), outer))


def _collar(block: _TitleBlock) -> tuple[Path | Circle, ...]:
    return collar_marks(_AT, HEAD / 2, COLLAR_WIDTH, block.style.danger)


def _ghosts(work: Work) -> bool:
    drawn = _drawn(work)
    return any(held in drawn for one in work.freed for held in one.hole.also_holds)


def _danger_entries(block: _TitleBlock) -> Iterator[Entry]:
    """What must not happen at a pocket."""
    work, sizes = block.work, block.style.type
    if behind := list(dict.fromkeys(freed.hole.behind for freed in work.freed if freed.hole.behind)):
        named = ", ".join(printable(word, "?") for word in behind)
        yield _mark((*_head(), *_collar(block))), f"{named} behind: never a longer screw"
    if any(freed.fit.verdict is Verdict.MUST_NOT for freed in work.freed):
        yield words_cell([Words(MUST_NOT_SIGN, sizes.small)]), "must not go back in"


def _drawn(work: Work) -> dict[str, Panel]:
    return {one.panel.key: one.panel for one in work.freed}


def _side_cell(block: _TitleBlock) -> Cell | None:
    """The sides that there are, by their tags, in one line."""
    sides = {panel.side for panel in _drawn(block.work).values()}
    tags = [_tag_cell(block, side) for side in SIDES if side in sides]
    return beside(tags, TAG_GAP) if tags else None


def _direction_cell(block: _TitleBlock) -> Cell | None:
    """How the arrows on panels point, together."""
    found = [_explained(block, mark, words, math.inf) for mark, words in _directions(block)]
    return beside(found, ENTRY_GAP) if found else None


def _directions(block: _TitleBlock) -> Iterator[Entry]:
    drawn = _drawn(block.work)
    views = {panel.side if panel.side != "centre" else panel.view for panel in drawn.values()}
    if views.difference(UPRIGHT_VIEWS):
        yield _mark(arrow_marks(_AT, 0)), "front"
    if views.intersection(UPRIGHT_VIEWS):
        up = [
            replace(mark, points=scale_ring(mark.points, UP_SHARE)) for mark in up_marks(_AT) if isinstance(mark, Path)
        ]
        yield _mark(up), "up"


def _by_hand_entries(block: _TitleBlock) -> Iterator[Entry]:
    """What holds without a screw."""
    drawn = _drawn(block.work)
    kinds = {f.kind: None for panel in block.work.bike.panels if panel.key in drawn for f in panel.fixings if f.at}
    for kind in kinds:
        yield _mark(fixing_marks(kind, _AT)), kind


_AT = (0.0, 0.0)


def _head() -> tuple[Circle, ...]:
    return Circle(_AT, HEAD, HEAD_LINE), Circle(_AT, HOLE, HOLE_LINE)


def _moved_head() -> tuple[Path | Circle, ...]:
    """A head, and the line from its hole to the dot where it belongs."""
    dot = (HEAD, -HEAD / 2)
    line = Path((_AT, dot), line_width=0.18)
    return *_head(), line, *true_place_marks(dot)


def _tag_cell(block: _TitleBlock, side: str) -> Cell:
    """A tag of this side, its word in it."""
    words = Words(side, block.style.type.small)
    width, height = tag_size(words)
    label = Label((words,), (0.0, -height, width, 0.0))
    return Cell(width, height, (label,), tuple(side_tag_marks(label, side, block.style.tint(side))))


def _mark(marks: Sequence[Path | Circle]) -> Cell:
    """A mark that is drawn around (0, 0)."""
    x0, y0, x1, y1 = _bounds(marks)
    return Cell(x1 - x0, y1 - y0, marks=tuple(marks)).at((-x0, -y1))


def _bounds(marks: Sequence[Path | Circle]) -> Box:
    corners = [point for mark in marks if isinstance(mark, Path) for point in mark.points]
    for mark in marks:
        if isinstance(mark, Circle):
            (x, y), half = mark.centre, mark.diameter / 2
            corners += [(x - half, y - half), (x + half, y + half)]
    return bounds(corners)


def _flow(groups: Sequence[Sequence[Cell]], width: float) -> list[Cell]:
    """Lines of entries side by side, each in its group's first line that has room; one line may belong to two groups.

    The last line of a group is the first one of the next.
    """
    lines: list[list[Cell]] = []
    for entries in groups:
        first = max(0, len(lines) - 1)
        for entry in entries:
            line = next((line for line in lines[first:] if _length([*line, entry]) <= width), None)
            if line is None:
                lines.append([entry])
            else:
                line.append(entry)
    return [beside(line, ENTRY_GAP) for line in lines]


def _length(line: Sequence[Cell]) -> float:
    return math.fsum(cell.width for cell in line) + ENTRY_GAP * (len(line) - 1)
