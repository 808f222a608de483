"""A list from a spreadsheet (CSV) as rows of named cells, each with its place.

Takes what spreadsheets write: comma, semicolon or tab between cells, quoted cells, a byte order mark, any line ends.
Only the columns asked for are read, in any order; others are the reader's own notes.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from boardmaker.inputs.complaints import MOST_PROBLEMS
from boardmaker.inputs.yaml.reader import Document, decode_text, read_bytes
from boardmaker.plain_text import as_meant
from boardmaker.problems import Place, Problem, ProblemsFound, error, nearest
from boardmaker.units import counted

MOST_ROWS = 3000  # a bag has a hundred kinds at most, a bike two hundred holes
MOST_COLUMNS = 200
SEPARATORS = (",", ";", "\t")


@dataclass(frozen=True)
class Row:
    """One line of the list: cell by column name, "" where the line is too short."""

    cells: Mapping[str, str]
    line: Place

    def place(self, column: str) -> Place:
        """Return where the column's cell begins, as near as can be told."""
        cell = self.cells.get(column, "")
        start = self.line.source.find(cell) + 1 if cell else 1
        return Place(self.line.file, self.line.line, max(1, start), self.line.source)


@dataclass(frozen=True)
class CsvList:
    """The rows of a file that say something.

    `columns` are those of the known ones that its header has, `others` the rest of its header as it is written.
    """

    header: Place
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    others: tuple[str, ...] = ()

    def need(self, *one_of: str) -> None:
        """Raise ProblemsFound where the header has none of these columns."""
        if not any(column in self.columns for column in one_of):
            wanted = " or ".join(f"`{column}`" for column in one_of)
            near = nearest_column(self.header.source, one_of)
            hint = f'is it "{near}"? ' if near else ""
            raise ProblemsFound(
                [error(f"the header has no column {wanted}", self.header, f"{hint}the first line names the columns")]
            )


def nearest_column(header: str, wanted: Sequence[str]) -> str:
    """Return the word of the header that looks like a slip of one of these columns, "" where none does."""
    words = header.replace(";", ",").replace("\t", ",").replace('"', "").split(",")
    near = [word.strip() for word in words for one in wanted if word.strip() and nearest(word.strip(), [one])]
    return near[0] if near else ""


def read_csv(path: Path, known: Sequence[str]) -> CsvList:
    """Read the known columns of a file. Raises ProblemsFound for what is no list in UTF-8."""
    return csv_list(read_bytes(path), str(path), known)


def csv_list(content: bytes, name: str, known: Sequence[str], most_rows: int = MOST_ROWS) -> CsvList:
    """Read the known columns of a file's content; `name` is for messages. Raises ProblemsFound as `read_csv`."""
    text, document = decode_text(content, name)
    separator = _separator(next((line for line in document.lines if line.strip()), ""), known)
    lines = [(place, cells) for place, cells in _lines(text, document, separator) if any(cells)]
    if not lines:
        raise ProblemsFound([error("this file is empty", document.at(1, 1), f"start with: {','.join(known)}")])
    header, names = lines.pop(0)
    if max(len(lines) / most_rows, len(names) / MOST_COLUMNS) > 1.0:
        message = f"this list has {len(lines)} lines of {len(names)} columns; taken are {most_rows} of {MOST_COLUMNS}"
        raise ProblemsFound([error(message, header, "take out what does not belong in it")])
    columns = [name.casefold() for name in names]
    problems = [
        error(f"the header names the column `{name}` twice", header, "take one of them out")
        for name in known
        if columns.count(name) > 1
    ]
    problems += [
        error(f"this line has {counted(len(cells), 'cell')}, the header has {len(columns)}", place, QUOTE_HINT)
        for place, cells in lines
        if any(cells[len(columns) :])
    ]
    if problems:
        raise ProblemsFound(cut_off(problems))
    rows = tuple(Row(_named(columns, cells, known), place) for place, cells in lines)
    others = tuple(name for name in names if name and name.casefold() not in known)
    return CsvList(header, tuple(name for name in known if name in columns), rows, others)


def cut_off(problems: Sequence[Problem]) -> list[Problem]:
    """Return the first problems of a list and, where they are many, that there may be more."""
    if len(problems) < MOST_PROBLEMS:
        return [*problems]
    return [*problems[:MOST_PROBLEMS], error("and there may be more; mend these first", problems[-1].where)]


QUOTE_HINT = 'put a cell that holds a comma or semicolon in quotes: "M6, black"'


def _separator(header: str, known: Sequence[str]) -> str:
    """The separator that brings the most known columns to light."""

    def columns(separator: str) -> int:
        return sum(cell.strip().strip('"').strip().casefold() in known for cell in header.split(separator))

    return max(SEPARATORS, key=columns)


def _lines(text: str, document: Document, separator: str) -> Iterator[tuple[Place, list[str]]]:
    """Every line with its cells; the place is that of its first line where a quoted cell runs over several."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True, strict=True)
    first = 1
    try:
        for cells in reader:
            yield document.at(first, 1), [_cleaned(cell) for cell in cells]
            first = reader.line_num + 1
    except csv.Error as wrong:
        place = document.at(first, 1)
        raise ProblemsFound([error(f"this line cannot be read: {wrong}", place, 'is a quote " left open?')]) from None


def _cleaned(cell: str) -> str:
    return " ".join(as_meant(cell).split())


def _named(columns: Sequence[str], cells: Sequence[str], known: Sequence[str]) -> dict[str, str]:
    filled = [*cells, *[""] * (len(columns) - len(cells))]
    return {name: filled[columns.index(name)] for name in known if name in columns}
