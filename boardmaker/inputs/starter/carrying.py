"""From another bike's file: fasteners, jobs and torques, letter for letter with their comments, for a new one.

In: the names of both files. Out: the new file's text. Sections are cut out of the old text by the places of their
keys; what names a panel there, a job's `remove` and `apart`, becomes a comment, or [] where a comment cannot stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from ruamel.yaml.nodes import MappingNode, Node, SequenceNode

from boardmaker.inputs.bike.reading import read_bike
from boardmaker.inputs.starter.template import bike_name, file_word, filled
from boardmaker.inputs.yaml.reader import compose, decode_text, read_bytes
from boardmaker.problems import ProblemsFound, error

OF_PANELS = ("remove", "apart")  # keys of a job that name panels
ANY_FASTENER = "A"


@dataclass(frozen=True)
class _SectionText:
    """One section of the old file: its lines, from its comment on, and what stands in it."""

    lines: tuple[str, ...]
    first: int  # number of its first line, from 0
    value: Node


def carried_text(path: Path, other: Path) -> str:
    """Return the text of a new bike file that begins with another's fasteners, jobs and torques.

    Raises ProblemsFound where the other file is wrong, or its sections cannot be cut out.
    """
    bike, _ = read_bike(other)
    text, document = decode_text(read_bytes(other), str(other))
    root = compose(text)
    if root.flow_style:
        hint = "write `fasteners:`, `jobs:` and `torques:` each at the beginning of a line"
        raise ProblemsFound([error(f"the sections of {other} do not stand on lines of their own", hint=hint)])
    sections = _sections(document.lines, root)
    needed = {key for row in bike.torques for key in (*row.equipment.present, *row.equipment.absent)}
    before = [*_equipment(sections.get("equipment"), needed), *_plain(sections.get("fasteners"))]
    after = [*_jobs(sections.get("jobs")), *_plain(sections.get("torques"))]
    words = {"NAME": bike_name(path), "OTHER": file_word(other), "FIRST": _first_key(text, sections.get("fasteners"))}
    return filled("carried.yaml", words | {"BEFORE": "\n".join(before), "AFTER": "\n".join(after)}).rstrip("\n") + "\n"


def _sections(lines: Sequence[str], root: MappingNode) -> dict[str, _SectionText]:
    """The sections by their keys; a comment right above a key belongs to it."""
    starts = [_with_comment(lines, key.start_mark.line) for key, _ in root.value]
    ends = [*starts[1:], len(lines)]
    return {
        str(key.value): _SectionText(tuple(lines[start:end]), start, value)
        for (key, value), start, end in zip(root.value, starts, ends, strict=True)
    }


def _with_comment(lines: Sequence[str], line: int) -> int:
    while line and lines[line - 1].startswith("#"):
        line -= 1
    return line


def _plain(section: _SectionText | None) -> Iterator[str]:
    """A section's lines, then an empty one; nothing where it is not there."""
    yield from _without_end(section.lines) if section else ()


def _without_end(lines: Sequence[str]) -> Iterator[str]:
    while lines and not lines[-1].strip():
        lines = lines[:-1]
    if lines:
        yield from (*lines, "")


def _equipment(section: _SectionText | None, needed: set[str]) -> Iterator[str]:
    """The equipment that a torque row names; of one in braces all, where one is named."""
    if section is None or not needed or not isinstance(section.value, MappingNode):
        return
    gone: set[int] = set()
    if not section.value.flow_style:
        for key, value in section.value.value:
            if key.value not in needed:
                gone |= set(range(key.start_mark.line, _last_line(value) + 1))
    yield from _without_end([line for place, line in enumerate(section.lines, section.first) if place not in gone])


def _jobs(section: _SectionText | None) -> Iterator[str]:
    """The jobs without the panels that they take off."""
    if section is None or not isinstance(section.value, MappingNode):
        return
    lines = list(section.lines)
    for key, value, in_braces in reversed(list(_naming_panels(section.value))):
        if in_braces:
            _empty(lines, section.first, value)
        else:
            for place in range(key.start_mark.line, _last_line(value) + 1):
                _comment_out(lines, place - section.first, key.start_mark.column)
    yield from _without_end(lines)


def _naming_panels(jobs: MappingNode) -> Iterator[tuple[Node, Node, bool]]:
    """Key and value of each list of panels, and whether it stands in braces."""
    for _, job in jobs.value:
        for key, value in job.value if isinstance(job, MappingNode) else ():
            if key.value in OF_PANELS:
                yield key, value, bool(job.flow_style or jobs.flow_style)


def _empty(lines: list[str], first: int, value: Node) -> None:
    """Write [] in the place of a value, which may run over several lines."""
    start, end = value.start_mark, value.end_mark
    above, below = start.line - first, end.line - first
    lines[above : below + 1] = [lines[above][: start.column] + "[]" + lines[below][end.column :]]


def _comment_out(lines: list[str], place: int, column: int) -> None:
    if lines[place].strip():
        lines[place] = f"{lines[place][:column]}# {lines[place][column:]}"


def _last_line(node: Node) -> int:
    """The line, from 0, on which a value ends: a block's own end lies behind the comments that follow it."""
    while isinstance(node, MappingNode | SequenceNode) and node.value and not node.flow_style:
        last = node.value[-1]
        node = last[1] if isinstance(node, MappingNode) else last
    end: int = node.end_mark.line
    return end - 1 if node.end_mark.column == 0 and end > node.start_mark.line else end


def _first_key(text: str, fasteners: _SectionText | None) -> str:
    """The key of the first fastener as it was written."""
    entries = fasteners.value.value if fasteners and isinstance(fasteners.value, MappingNode) else ()
    key = entries[0][0] if entries else None
    return text[key.start_mark.index : key.end_mark.index] if key is not None else ANY_FASTENER
