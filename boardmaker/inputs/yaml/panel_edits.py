"""Panels of a bike file changed in its text: holes that move, come or go, an outline, a whole new panel.

In: the text, and for each panel what becomes of it. Out: the text with those panels changed and not one other letter.
Apart from `write_back`, which sets one value: here a list grows and shrinks, in block and in flow style. What came out
is held against what was wanted as plain data, so that a form of YAML that nobody thought of is refused, not broken.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeGuard

from ruamel.yaml.nodes import MappingNode, Node, SequenceNode

from boardmaker.geometry import Point
from boardmaker.inputs.yaml.edits import (
    BYTE_ORDER_MARK,
    TextEdit,
    entry_of,
    is_flow,
    is_nothing,
    last_letter,
    line_after,
    line_end_of,
    one_line,
    read_back,
    with_edits,
    written_entry,
    written_file,
    written_number,
    written_text,
)
from boardmaker.inputs.yaml.reader import Document, compose, read_content
from boardmaker.problems import Problem, ProblemsFound, error

HoleEntries = tuple[tuple[str, str], ...]  # keys of a hole and their values as text; its place stands apart
NewPlace = tuple[float | None, float | None]  # x and y in mm; None for one that stays as it is written


@dataclass(frozen=True)
class NewHole:
    """A hole to be written: its place in mm and its other keys in their order."""

    at: Point
    entries: HoleEntries


@dataclass(frozen=True)
class PanelEdit:
    """What becomes of one panel; holes by their places in the file's list.

    `head`: the first keys of a panel that is not there (such as `name`, `side`); () for one that is.
    """

    key: str
    head: tuple[tuple[str, str], ...] = ()
    outline_file: str = ""  # "": the outline stays
    unsmooth: bool = False  # `smooth: true` of the panel becomes false
    moved: Mapping[int, NewPlace] = field(default_factory=dict)
    fasteners: Mapping[int, str] = field(default_factory=dict)  # in place of the keys that are written
    dropped: frozenset[int] = frozenset()
    ids: Mapping[int, str] = field(default_factory=dict)  # to be written where only the order said them
    added: tuple[NewHole, ...] = ()

    @property
    def changes(self) -> bool:
        """Whether anything is to be written."""
        return bool(self.head or self.outline_file or self.unsmooth or self.changes_holes)

    @property
    def changes_holes(self) -> bool:
        """Whether anything of the holes is to be written."""
        return bool(self.moved or self.fasteners or self.dropped or self.ids or self.added)


def edited_panels(content: bytes, document: Document, edits: Sequence[PanelEdit]) -> bytes:
    """Return the file's content with the panels changed.

    Raises ProblemsFound where a panel is written in a form that cannot be edited.
    """
    edits = [edit for edit in edits if edit.changes]
    if not edits:
        return content
    text = content.decode("utf-8")
    mark = BYTE_ORDER_MARK if text.startswith(BYTE_ORDER_MARK) else ""
    text = text.removeprefix(mark)
    root = compose(text)
    _refuse_shared(root, document, edits)
    edited = _made(text, root, edits)
    if edited is None or not _is_wanted(edited, document, edits):
        raise ProblemsFound([_cannot_edit(document, edits)])
    return (mark + edited).encode("utf-8")


def with_empty_holes(content: bytes, document: Document, keys: Sequence[str]) -> bytes:
    """Return the file's content with `holes: []` in the panels of these keys that have no `holes` and mirror nothing.

    Raises ProblemsFound as `edited_panels`.
    """
    panels = document.data.get("panels") or {}
    keys = [key for key in keys if lacks_holes(panels.get(key))]
    if not keys:
        return content
    text = content.decode("utf-8")
    mark = BYTE_ORDER_MARK if text.startswith(BYTE_ORDER_MARK) else ""
    text = text.removeprefix(mark)
    found = entry_of(compose(text), "panels")
    nodes = [one[1] for key in keys if found and (one := entry_of(found[1], key))]
    edited = with_edits(text, [_empty_holes(text, node) for node in nodes]).encode("utf-8")
    wanted = copy.deepcopy(document.data)
    for key in keys:
        wanted["panels"][key]["holes"] = []
    if read_content(edited, document.name).data != wanted:
        raise ProblemsFound([_cannot_edit(document, [PanelEdit(key) for key in keys])])
    return mark.encode("utf-8") + edited


def lacks_holes(panel: Any) -> TypeGuard[dict[str, Any]]:
    """Say whether a panel as it is written must have `holes`, and has not."""
    return isinstance(panel, dict) and bool(panel) and "holes" not in panel and "mirrors" not in panel


def _empty_holes(text: str, panel: Node) -> TextEdit:
    if is_flow(panel):
        end = panel.value[-1][1].end_mark.index
        return TextEdit(end, end, ", holes: []")
    indent = " " * panel.value[0][0].start_mark.column
    return line_after(text, last_letter(panel), f"{indent}holes: []", line_end_of(text))


def _made(text: str, root: Node, edits: Sequence[PanelEdit]) -> str | None:
    """The text with all edits; None where one does not find its place."""
    panels = entry_of(root, "panels")
    there = [(found[1], edit) for edit in edits if panels and (found := entry_of(panels[1], edit.key))]
    try:
        changed = [one for panel, edit in there for one in _PanelText(text, panel, edit).edits()]
        return with_edits(text, [*changed, *_new_panels(text, root, [edit for edit in edits if edit.head])])
    except ValueError:
        return None


def _is_wanted(edited: str, document: Document, edits: Sequence[PanelEdit]) -> bool:
    try:
        return bool(read_content(edited.encode(), document.name).data == _wanted(document.data, edits))
    except ProblemsFound:
        return False


def _cannot_edit(document: Document, edits: Sequence[PanelEdit]) -> Problem:
    where = document.place(("panels", edits[0].key), key=True)
    keys = ", ".join(f"`{edit.key}`" for edit in edits)
    message = f"cannot change {keys} here without changing anything else; nothing was written"
    return error(message, where, "write the panel in the plain form of the demo files, then trace again")


# What is wanted, as plain data


def _wanted(data: Any, edits: Sequence[PanelEdit]) -> Any:
    wanted = copy.deepcopy(data)
    panels = wanted.get("panels") or {}
    wanted["panels"] = panels
    for edit in edits:
        panel = panels.setdefault(edit.key, {key: one_line(value) for key, value in edit.head} | {"holes": []})
        if edit.outline_file:
            panel["outline"] = {"file": edit.outline_file}
        if edit.unsmooth:
            panel["smooth"] = False
        if edit.changes_holes:
            panel["holes"] = _wanted_holes(panel["holes"], edit)
    return wanted


def _wanted_holes(holes: list[Any], edit: PanelEdit) -> list[Any]:
    for place, at in edit.moved.items():
        olds = holes[place]["at"]
        holes[place]["at"] = [
            old if new is None else float(written_number(new)) for old, new in zip(olds, at, strict=True)
        ]
    for place, key in edit.fasteners.items():
        holes[place]["fastener"] = read_back(key)
    for place, name in edit.ids.items():
        holes[place]["id"] = read_back(name)
    added = [
        {key: read_back(value) for key, value in hole.entries}
        | {"at": [float(written_number(value)) for value in hole.at]}
        for hole in edit.added
    ]
    return [hole for place, hole in enumerate(holes) if place not in edit.dropped] + added


# Aliases


def _refuse_shared(root: Node, document: Document, edits: Sequence[PanelEdit]) -> None:
    """Raise ProblemsFound where a part to be changed also stands for another one, by an anchor and an alias."""
    uses: dict[int, int] = {}
    _count_uses(root, uses)
    panels = entry_of(root, "panels")
    problems = []
    for edit in edits:
        found = entry_of(panels[1], edit.key) if panels else None
        if panels and found and any(uses[id(node)] > 1 for node in (panels[1], *_touched(found[1], edit))):
            message = f"a part of `{edit.key}` that is to be changed is written once for several places (& and *)"
            problems.append(error(message, document.place(("panels", edit.key), True), "write it out at each place"))
    if problems:
        raise ProblemsFound(problems)


def _count_uses(node: Node, uses: dict[int, int]) -> None:
    uses[id(node)] = uses.get(id(node), 0) + 1
    if uses[id(node)] > 1 or not isinstance(node, MappingNode | SequenceNode):
        return
    for child in node.value:
        for one in child if isinstance(child, tuple) else (child,):
            _count_uses(one, uses)


def _touched(panel: Node, edit: PanelEdit) -> Iterator[Node]:
    yield panel
    names = [name for name, wanted in (("outline", edit.outline_file), ("smooth", edit.unsmooth)) if wanted]
    names += ["holes"] if edit.changes_holes else []
    for found in [one for name in names if (one := entry_of(panel, name))]:
        yield from found
        for hole in found[1].value if isinstance(found[1], SequenceNode) and found[1].value else ():
            yield hole
            at = entry_of(hole, "at")
            yield from (*at, *(at[1].value if isinstance(at[1], SequenceNode) else ())) if at else ()
            yield from entry_of(hole, "fastener") or ()


# A panel that is there


class _PanelText:
    """The edits of one panel's text. ValueError where something does not stand where it is looked for."""

    def __init__(self, text: str, panel: Node, edit: PanelEdit) -> None:
        self.text, self.panel, self.edit, self.line_end = text, panel, edit, line_end_of(text)

    def edits(self) -> Iterator[TextEdit]:
        """Yield the edits in any order."""
        if self.edit.outline_file:
            yield from self._outline(f"{{ file: {written_file(self.edit.outline_file)} }}")
        if self.edit.unsmooth and (smooth := entry_of(self.panel, "smooth")):
            yield TextEdit(smooth[1].start_mark.index, smooth[1].end_mark.index, "false")
        if holes := entry_of(self.panel, "holes"):
            yield from self._holes(*holes)

    def _outline(self, value: str) -> Iterator[TextEdit]:
        if found := entry_of(self.panel, "outline"):
            yield from self._replaced(*found, value)
            return
        keys = [key for key, _ in self.panel.value]
        at = next((key for key in keys if key.value == "holes"), keys[-1]).start_mark
        gap = ", " if is_flow(self.panel) else self.line_end + " " * at.column
        yield TextEdit(at.index, at.index, f"outline: {value}{gap}")

    def _replaced(self, key: Node, old: Node, value: str) -> Iterator[TextEdit]:
        """A value in place of another; the rest of the key's line stays where the old value stood below it."""
        end = last_letter(old)
        if old.start_mark.line == key.start_mark.line:
            yield TextEdit(old.start_mark.index, end, value)
            return
        colon = self.text.index(":", key.end_mark.index) + 1
        yield TextEdit(colon, colon, f" {value}")
        above = self.text.index("\n", colon)  # its line end stays, or the line end behind the old value does
        above -= self.text[above - 1] == "\r"
        first = self.text.rfind("\n", 0, old.start_mark.index)
        first -= self.text[first - 1] == "\r"
        yield TextEdit(max(above, first), end, "")

    def _holes(self, key: Node, holes: Node) -> Iterator[TextEdit]:
        if not isinstance(holes, SequenceNode):
            raise ValueError("holes are no list")
        staying = [place for place in range(len(holes.value)) if place not in self.edit.dropped]
        for place in staying:
            yield from self._hole(place, holes.value[place])
        if staying:
            yield from self._without(holes, staying)
            yield from self._with_more(holes, staying)
        elif self.edit.added or holes.value:
            yield from self._all_anew(key, holes)

    def _hole(self, place: int, hole: Node) -> Iterator[TextEdit]:
        if place in self.edit.ids:
            first = hole.value[0][0].start_mark
            gap = ", " if is_flow(hole) else self.line_end + " " * first.column
            yield TextEdit(first.index, first.index, f"id: {written_entry(self.edit.ids[place])}{gap}")
        if place in self.edit.moved:
            found = entry_of(hole, "at")
            if found is None or not isinstance(found[1], SequenceNode) or len(found[1].value) != 2:
                raise ValueError("a hole without a place")
            for node, value in zip(found[1].value, self.edit.moved[place], strict=True):
                if value is not None:
                    yield self._value(node, written_number(value))
        if place in self.edit.fasteners:
            found = entry_of(hole, "fastener")
            if found is None:
                raise ValueError("a hole without a fastener")
            yield self._value(found[1], written_entry(self.edit.fasteners[place]))

    def _value(self, node: Node, value: str) -> TextEdit:
        """A value in place of another on the same line; what follows it stays."""
        begin = node.start_mark.index
        old = self.text[begin : node.end_mark.index].rstrip()
        return TextEdit(begin, begin + len(old), value)

    def _all_anew(self, key: Node, holes: Node) -> Iterator[TextEdit]:
        """A list of which nothing stays, or that was empty."""
        if is_flow(self.panel) or not self.edit.added:
            inner = ", ".join(_flow_hole(hole) for hole in self.edit.added)
            yield from self._replaced(key, holes, f"[ {inner} ]" if inner else "[]")
            return
        dash = " " * (key.start_mark.column + 2)
        lines = self.line_end.join(f"{dash}- {_flow_hole(hole)}" for hole in self.edit.added)
        end = last_letter(holes)
        if is_flow(holes):
            begin = self.text.index(":", key.end_mark.index) + 1
            yield TextEdit(begin, end, "")
        else:
            begin = self.text.rindex("\n", 0, holes.start_mark.index) + 1
            yield TextEdit(begin, self._line_end(end), "")
        yield line_after(self.text, end, lines, self.line_end)

    def _line_end(self, at: int) -> int:
        """Where the line after the one with the letter `at` begins."""
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end + 1

    def _without(self, holes: Node, staying: Sequence[int]) -> Iterator[TextEdit]:
        """The holes that go, with their lines or commas; comments in lines of their own stay."""
        for place in sorted(self.edit.dropped):
            hole = holes.value[place]
            if not is_flow(holes):
                dash = self._dash(hole)
                yield TextEdit(dash - self._column(dash), self._line_end(last_letter(hole)), "")
            elif place < staying[-1]:
                yield TextEdit(hole.start_mark.index, holes.value[place + 1].start_mark.index, "")
        if is_flow(holes) and staying[-1] + 1 < len(holes.value):
            before, first = holes.value[staying[-1]].end_mark.index, holes.value[staying[-1] + 1].start_mark.index
            bare = not self.text[before:first].replace(",", "").strip()  # else a comment lies between, and stays
            yield TextEdit(before if bare else first, holes.value[-1].end_mark.index, "")

    def _dash(self, hole: Node) -> int:
        dash = self.text.rindex("-", 0, hole.start_mark.index)
        if self.text[dash + 1 : hole.start_mark.index].strip() or self.text[dash - self._column(dash) : dash].strip():
            raise ValueError("a hole that shares its line")
        return dash

    def _column(self, at: int) -> int:
        return at - (self.text.rfind("\n", 0, at) + 1)

    def _with_more(self, holes: Node, staying: Sequence[int]) -> Iterator[TextEdit]:
        if not self.edit.added:
            return
        last = holes.value[-1]
        if is_flow(holes):
            inner = ", ".join(_flow_hole(hole) for hole in self.edit.added)
            end = holes.value[staying[-1]].end_mark.index
            yield TextEdit(end, end, f", {inner}")
            return
        dash = " " * self._column(self._dash(last))
        lines = self.line_end.join(f"{dash}- {_flow_hole(hole)}" for hole in self.edit.added)
        yield line_after(self.text, last_letter(last), lines, self.line_end)


def _flow_hole(hole: NewHole) -> str:
    at = f"at: [{written_number(hole.at[0])}, {written_number(hole.at[1])}]"
    ids = [f"id: {written_entry(value)}" for key, value in hole.entries if key == "id"]
    others = [f"{key}: {written_entry(value)}" for key, value in hole.entries if key != "id"]
    return f"{{ {', '.join([*ids, at, *others])} }}"


# Panels that are not there


def _new_panels(text: str, root: Node, edits: Sequence[PanelEdit]) -> Iterator[TextEdit]:
    if not edits:
        return
    line_end = line_end_of(text)
    found = entry_of(root, "panels")
    if found is None:
        lines = ["panels:", *(line for edit in edits for line in _block_panel(edit, "  "))]
        yield line_after(text, last_letter(root), line_end.join(lines), line_end)
        return
    key, panels = found
    if is_nothing(panels):
        lines = [line for edit in edits for line in _block_panel(edit, "  ")]
        yield line_after(text, key.end_mark.index, line_end.join(lines), line_end)
    elif is_flow(panels):
        yield from _in_flow(text, key, panels, edits)
    else:
        indent, gap = " " * panels.start_mark.column, _gap(text, panels)
        lines = [line for edit in edits for line in _block_panel(edit, indent, gap)]
        yield line_after(text, last_letter(panels), line_end.join(lines), line_end)


def _in_flow(text: str, key: Node, panels: Node, edits: Sequence[PanelEdit]) -> Iterator[TextEdit]:
    """Panels between braces; where there are none yet, they become a block."""
    if panels.value:
        end = panels.value[-1][1].end_mark.index
        yield TextEdit(end, end, "".join(f", {_flow_panel(edit)}" for edit in edits))
        return
    if "\n" in text[panels.start_mark.index : panels.end_mark.index]:
        raise ValueError("empty braces over several lines")
    begin = text.index(":", key.end_mark.index) + 1
    yield TextEdit(begin, panels.end_mark.index, "")
    line_end = line_end_of(text)
    lines = [line for edit in edits for line in _block_panel(edit, " " * (key.start_mark.column + 2))]
    yield line_after(text, panels.end_mark.index, line_end.join(lines), line_end)


def _gap(text: str, panels: Node) -> bool:
    """Whether the panels of the file have empty lines between them."""
    pairs = list(zip(panels.value, panels.value[1:], strict=False))
    gaps = [text[last_letter(one[1]) : other[0].start_mark.index] for one, other in pairs]
    return any("\n\n" in gap.replace("\r", "") for gap in gaps)


def _block_panel(edit: PanelEdit, indent: str, gap: bool = False) -> Iterator[str]:
    if gap:
        yield ""
    yield f"{indent}{written_text(edit.key)}:"
    for key, value in edit.head:
        yield f"{indent}  {key}: {written_text(one_line(value))}"
    if edit.outline_file:
        yield f"{indent}  outline: {{ file: {written_file(edit.outline_file)} }}"
    yield f"{indent}  holes:{'' if edit.added else ' []'}"
    for hole in edit.added:
        yield f"{indent}    - {_flow_hole(hole)}"


def _flow_panel(edit: PanelEdit) -> str:
    entries = [f"{key}: {written_text(one_line(value))}" for key, value in edit.head]
    entries += [f"outline: {{ file: {written_file(edit.outline_file)} }}"] if edit.outline_file else []
    holes = ", ".join(_flow_hole(hole) for hole in edit.added)
    return f"{written_text(edit.key)}: {{ {', '.join(entries)}, holes: [{f' {holes} ' if holes else ''}] }}"
