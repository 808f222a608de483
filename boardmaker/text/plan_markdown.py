"""The plan as Markdown for a phone: the sheets' lines with boxes to tap (`- [ ]`, as GitHub and many note apps read).

In: `Plan`. Out: bytes. What the lines say is decided in `wording.plan`. Whatever the bike file says is text: signs that
Markdown would take for its own are escaped, line ends become spaces.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from boardmaker.service import Plan
from boardmaker.text.markdown import plain
from boardmaker.wording.plan.line import Kind, Line
from boardmaker.wording.plan.stream import plan_lines
from boardmaker.wording.steps import given_name
from boardmaker.wording.torques import unbroken

PARAGRAPHS: tuple[Kind, ...] = (
    "title",
    "fact",
    "file",
    "record",
    "heading",
    "how",
    "remark",
    "side",
)  # the others are in lists
MARKS: dict[Kind, str] = {"title": "# ", "heading": "## ", "side": "### "}
JOINED: dict[Kind, str] = {"title": ": ", "step": " · ", "purpose": ", "}
BOLD_CELL: dict[Kind, int] = {"fastener": 0, "torque": 1}


def write_markdown(plan: Plan) -> bytes:
    """Return the plan as a UTF-8 Markdown file."""
    lines = tuple(plan_lines(plan, given_name))
    gaps = ("", *(_gap(*pair) for pair in pairwise(lines)))
    text = "".join(f"{gap}{_written(line)}" for gap, line in zip(gaps, lines, strict=True))
    return f"{text}\n".encode()


def _gap(line: Line, following: Line) -> str:
    """A blank line around a paragraph and before a step."""
    apart = {line.kind, following.kind} & {*PARAGRAPHS} or following.kind == "step"
    return "\n\n" if apart else "\n"


def _written(line: Line) -> str:
    if line.kind == "record":
        return "\n".join(f"- {_plain(cell)}:" for cell in line.cells)
    words = _words(line)
    if line.kind in MARKS:
        return f"{MARKS[line.kind]}{words[:1].upper()}{words[1:]}"
    words = f"**{words}**" if line.weight == "loud" else words
    if line.kind in PARAGRAPHS:
        return words
    return "\n".join(f"{'  ' * line.level}- {item}" for item in _boxed(words, line.boxes))


def _words(line: Line) -> str:
    """One run of words; of what has columns the first stands before a colon."""
    if line.kind in JOINED:
        return JOINED[line.kind].join(map(_plain, line.cells))
    return _plain(line.text) if len(line.cells) == 1 else ": ".join(_columns(line))


def _columns(line: Line) -> Iterator[str]:
    bold = BOLD_CELL.get(line.kind)
    texts = (line.cells[0], ", ".join(cell for cell in line.cells[1:] if cell))
    for index, text in enumerate(texts):
        yield f"**{_plain(text)}**" if index == bold else _plain(text)


def _boxed(words: str, boxes: int) -> Iterator[str]:
    """A box a piece, each with its number where there are several."""
    if not boxes:
        yield words
    for number in range(1, boxes + 1):
        yield f"[ ] {words}{f', {number} of {boxes}' if boxes > 1 else ''}"


def _plain(text: str) -> str:
    """Text without marks, in which no torque is broken over two lines."""
    return plain(unbroken(text))
