"""A list of places from a spreadsheet (CSV) as panels: outline points and holes by rows.

In: a file with the columns `panel`, `x`, `y`, `fastener`, `what` and further keys of a hole, the keys of the bike file,
and the unit of bare numbers. Out: a `Tracing`. A panel without outline points keeps the places as they are written;
with them the frame begins at the lower left of the outline's box, as in every drawing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from boardmaker.geometry import Point
from boardmaker.guarded import read_at_most
from boardmaker.inputs.lists.csv_reader import CsvList, Row, csv_list, cut_off
from boardmaker.inputs.simple_rings import LARGEST_RING, OutlineError, simple_ring
from boardmaker.inputs.values import LONGEST
from boardmaker.problems import Place, Problem, ProblemsFound, error, nearest
from boardmaker.tracing.found import FoundHole, FoundPanel, Ignored, Tracing
from boardmaker.tracing.names import AmbiguousName, Keys
from boardmaker.tracing.panel_frame import PanelFrame
from boardmaker.tracing.scales import unit_in_mm
from boardmaker.units import parse_length

LARGEST_FILE = 3  # MB
MOST_ROWS = 30_000  # 40 panels of 700 points
PLACE = ("x", "y")
HOLE_KEYS = ("into", "stack", "depth", "room", "behind", "note", "id")
COLUMNS = ("panel", *PLACE, "fastener", "what", *HOLE_KEYS)
KINDS = ("", "hole", "outline")
AS_UTF8 = "save it as CSV in UTF-8 from your spreadsheet"
_MARKS = {b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}
_SEPARATOR_LINE = re.compile(r"\Asep=.(?=\r?\n|\r)", re.IGNORECASE)  # spreadsheets put it before the header
_BARE = re.compile(r"[-+]?\s*(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)")
_DECIMAL_COMMA = re.compile(r"[-+]?(?:0,[0-9]+|[0-9]+,(?:[0-9]{1,2}|[0-9]{4,}))")


def read_point_list(source: Path, keys: Keys, known: float | None, unit: str | None) -> Tracing:
    """Return the panels of a list, in mm. Raises ProblemsFound with the row of each problem."""
    if known is not None:
        raise ProblemsFound([error(f"{source} is a list: no line of known length is in it", hint="leave --known out")])
    factor = unit_in_mm(unit) if unit else 1.0
    found = csv_list(_as_utf8(read_at_most(source, LARGEST_FILE, AS_UTF8), source), str(source), COLUMNS, MOST_ROWS)
    for column in PLACE:
        found.need(column)
    reader = _ListReader(found, keys, factor)
    panels = reader.panels()
    others = tuple(_unknown_column(name) for name in found.others)
    return Tracing(source, panels, f"{unit.strip()}, as asked for" if unit else "mm, as in every list", others)


def _as_utf8(content: bytes, source: Path) -> bytes:
    """The content in UTF-8; what has the byte-order mark of UTF-16 is turned into it. Raises ProblemsFound."""
    encoding = _MARKS.get(content[:2])
    try:
        text = content[2:].decode(encoding) if encoding else content.decode("utf-8-sig")
    except UnicodeDecodeError:
        if encoding is None:
            return content  # the reader of lists says which line
        raise ProblemsFound([error(f"{source} is no whole UTF-16 text", hint=AS_UTF8)]) from None
    if "\0" in text:
        raise ProblemsFound([error(f"{source} is UTF-16 text without its mark, or no text at all", hint=AS_UTF8)])
    return _SEPARATOR_LINE.sub("", text).encode()


def _unknown_column(name: str) -> Ignored:
    near = nearest(name, COLUMNS)
    meant = f"; was `{near}` meant?" if near else ""
    return Ignored(f"column '{name}'", f"it is none of {', '.join(COLUMNS)}{meant}", None)


@dataclass
class _ListedPanel:
    key: str | None
    outline: list[tuple[Point, Row]] = field(default_factory=list)
    holes: list[tuple[FoundHole, Row]] = field(default_factory=list)


class _ListReader:
    """Reads the rows and gathers what is wrong with them; `factor` is mm for a bare number."""

    def __init__(self, found: CsvList, keys: Keys, factor: float) -> None:
        self.found, self.keys, self.factor = found, keys, factor
        self.problems: list[Problem] = []
        self.decimal_comma = ";" in found.header.source or any(
            _DECIMAL_COMMA.fullmatch(row.cells[column]) for row in found.rows for column in PLACE
        )
        self.has_panels = any(row.cells.get("panel") for row in found.rows)

    def panels(self) -> tuple[FoundPanel, ...]:
        """Every panel of the list, in the order of their first rows. Raises ProblemsFound."""
        listed: dict[str | None, _ListedPanel] = {}
        for row in self.found.rows:
            self._take(row, listed)
        if not self.found.rows:
            self._complain("the list has no rows below its header", self.found.header, "add a row for each hole")
        self._stop_at_problems()
        panels = tuple(self._panel(one) for one in listed.values())
        self._stop_at_problems()
        return panels

    def _stop_at_problems(self) -> None:
        if self.problems:
            raise ProblemsFound(cut_off(self.problems))

    def _complain(self, message: str, where: Place, hint: str) -> None:
        self.problems.append(error(message, where, hint))

    def _take(self, row: Row, listed: dict[str | None, _ListedPanel]) -> None:
        before = len(self.problems)
        key, at, kind = self._key(row), (self._length(row, "x"), self._length(row, "y")), self._kind(row)
        fastener = self._fastener(row, kind)
        if len(self.problems) > before:
            return
        panel = listed.setdefault(key, _ListedPanel(key))
        if kind == "outline":
            panel.outline.append((at, row))
        else:
            keys = tuple((name, cell) for name in HOLE_KEYS if (cell := row.cells.get(name, "")))
            panel.holes.append((FoundHole(at, fastener, keys, f"row {row.line.line}"), row))

    def _key(self, row: Row) -> str | None:
        written = row.cells.get("panel", "")
        if not written:
            if self.has_panels:
                self._complain("this row names no panel", row.line, "write the panel's key into each row")
            return None
        return self._looked_up(row, "panel", self.keys.panel_named, self.keys.panels)

    def _fastener(self, row: Row, kind: str) -> str | None:
        if not row.cells.get("fastener", ""):
            return None
        if kind == "outline":
            self._complain("an outline's point has no fastener", row.place("fastener"), "take it out, or write `hole`")
            return None
        return self._looked_up(row, "fastener", self.keys.fastener_named, self.keys.fasteners)

    def _looked_up(
        self, row: Row, column: str, look_up: Callable[[str], str | None], known: Sequence[str]
    ) -> str | None:
        written = row.cells[column]
        try:
            key = look_up(written)
        except AmbiguousName as two:
            self._complain(f'"{written}" may be {two}', row.place(column), "write the key as it is in the bike file")
            return None
        if key is None:
            near = nearest(written, known)
            hint = f"did you mean `{near}`?" if near else f"known are {', '.join(known)}" if known else ""
            self._complain(f'the bike has no {column} "{written}"', row.place(column), hint)
        return key

    def _kind(self, row: Row) -> str:
        kind = row.cells.get("what", "").casefold()
        if kind not in KINDS:
            near = nearest(kind, KINDS)
            hint = f"did you mean `{near}`?" if near else "write outline, hole, or nothing"
            self._complain(f'"{row.cells["what"]}" is nothing of a panel', row.place("what"), hint)
        return kind

    def _length(self, row: Row, column: str) -> float:
        cell = row.cells[column].replace("\u2212", "-")  # the sign that some spreadsheets write
        try:
            length = self._parsed(cell)
        except ValueError as wrong:
            message = f"`{column}`: {wrong}" if cell else f"this row has no {column}"
            self._complain(message, row.place(column), "write mm, such as 212.5")
            return 0.0
        if abs(length) > LONGEST:
            self._complain(f"`{column}`: {cell} is more than {LONGEST / 1000:g} m", row.place(column), "check its unit")
        return length

    def _parsed(self, cell: str) -> float:
        """Mm of a number, or of a number with its unit; a comma is a decimal one where the list has such."""
        if self.decimal_comma and "." not in cell:
            cell = cell.replace(",", ".")
        return parse_length(f"{cell} mm") * self.factor if _BARE.fullmatch(cell) else parse_length(cell)

    def _panel(self, listed: _ListedPanel) -> FoundPanel:
        self._refuse_doubles(listed)
        if not listed.outline:
            return FoundPanel(listed.key, (), tuple(hole for hole, _ in listed.holes))
        first = listed.outline[0][1].line
        try:
            frame = PanelFrame(simple_ring([point for point, _ in listed.outline], LARGEST_RING))
        except OutlineError as wrong:
            self._complain(f"the outline that begins here: {wrong}", first, wrong.hint)
            return FoundPanel(listed.key, (), ())
        for hole, row in listed.holes:
            if (off := frame.outside(hole.at)) > 0.0:
                message = f"this hole lies {off:.1f} mm outside of the outline"
                self._complain(message, row.line, "are x and y the right way round, and their signs right?")
        holes = tuple(FoundHole(frame.place(hole.at), hole.fastener, hole.keys, hole.where) for hole, _ in listed.holes)
        return FoundPanel(listed.key, frame.outline, holes)

    def _refuse_doubles(self, listed: _ListedPanel) -> None:
        seen: dict[str, int] = {}
        for hole, row in listed.holes:
            name = dict(hole.keys).get("id", "")
            if name and name in seen:
                message = f'the id "{name}" is also in row {seen[name]} of this panel'
                self._complain(message, row.place("id"), "give each hole an id of its own")
            seen.setdefault(name, row.line.line)
