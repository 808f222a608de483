"""Words around a block: none lost, none in the block, none beyond the width."""

from __future__ import annotations

import random

import pytest

from boardmaker.fonts import text_width
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD, broken, first_line, lines_size
from boardmaker.typeset.run_around import DOT, GAP, HANGS, run_around
from boardmaker.typeset.table import beside, stacked, top_aligned, words_cell

BLOCK = words_cell([Words("8-10 N·m", 3.5, bold=True), Words("70.8 lbf·in", 2.5)])
TEXTS = (
    "engine · 8 × M6 · from the middle outwards · oil the thread · only if a shim is changed",
    "one",
    "a word that is so long: Steuerkettenspannerschraubenverschlussdeckeldichtung · with 20 to 25\N{NO-BREAK SPACE}N·m",
)


def overlap(one, other):
    return min(one[2], other[2]) - max(one[0], other[0]) > 1e-9 and min(one[3], other[3]) - max(one[1], other[1]) > 1e-9


@pytest.mark.parametrize("width", [46.0, 52.0, 60.0, 81.0, 140.0])
@pytest.mark.parametrize("text", TEXTS)
def test_every_word_is_there_once_and_clear_of_the_block(text, width):
    """In order; a word that had to be broken is whole again when its pieces are joined."""
    cell = run_around([("A name in bold", 2.5, True), (text, 2.5, False)], BLOCK, width)
    block, *words = sorted(cell.labels, key=lambda label: label.lines != BLOCK.labels[0].lines)
    lines = [line for label in sorted(words, key=lambda label: -label.box[3]) for line in label.lines]
    said = "".join("".join(line.text.split()) for line in lines)
    assert said.replace("·", "") == "".join(f"A name in bold {text}".split()).replace("·", "")  # none at a line's end
    assert not any(overlap(one.box, other.box) for one in words for other in (block, *words) if one is not other)
    assert all(label.box[2] <= width + 1e-9 for label in cell.labels)
    assert all(label.box[1] >= -cell.height - 1e-9 for label in cell.labels)


def test_it_is_no_higher_than_two_columns():
    """The block's width is given back below it."""
    generator = random.Random(7)
    for _ in range(30):
        text = " ".join("engine" for _ in range(generator.randint(1, 40)))
        narrow = 60.0 - BLOCK.width - 1.2 - 2 * PAD
        count = 1 + sum(1 for _ in _lines(text, narrow))
        columns = words_cell([Words("Ay", 2.5)] * count).height
        assert (
            run_around([("Ay", 2.5, True), (text, 2.5, False)], BLOCK, 60.0).height <= max(columns, BLOCK.height) + 1.0
        )


def _lines(text, width):
    line = ""
    for word in text.split():
        if line and text_width(f"{line} {word}", 2.5) > width:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line


def _one_by_one(paragraphs, block, width, hang):
    """The paragraphs around the block, every line broken off all that is left: slow and plain."""
    narrow, short, full = width - block.width - GAP, [], []
    for text, height, bold in paragraphs:
        rest = text
        while rest and not full and (not short or lines_size(short)[1] < block.height - hang):
            line = broken(rest, height, narrow - 2 * PAD, bold)[0]
            short.append(Words(line.removesuffix(DOT), height, bold))
            rest = _without(rest, line)
        full += [Words(line.removesuffix(DOT), height, bold) for line in broken(rest, height, width - 2 * PAD, bold)]
    top = top_aligned([words_cell(short, narrow), block], GAP)
    return stacked([top, words_cell(full)], gap=0.0) if full else top


def _without(text, line):
    letters = len("".join(line.split()))
    ends = [place for place in range(len(text) + 1) if len("".join(text[:place].split())) == letters]
    return text[ends[0] :].lstrip()


@pytest.mark.parametrize("text", TEXTS)
def test_of_all_ways_to_hang_the_lowest(text):
    """Whatever the block's height and the width; lines are broken off once for all ways."""
    hung = set()
    for count in range(1, 6):
        block = words_cell([Words("8-10 N·m", 3.5, bold=True)] * count)
        for width in (45.0, 60.0, 75.0, 120.0):
            paragraphs = [("A name in bold", 2.5, True), (text, 2.5, False)]
            ways = [_one_by_one(paragraphs, block, width, hang) for hang in HANGS]
            found, lowest = run_around(paragraphs, block, width), min(ways, key=lambda cell: cell.height)
            assert (found.width, found.height, found.labels) == (lowest.width, lowest.height, lowest.labels)
            hung.add(len({way.height for way in ways}))
    assert max(hung) > 1 or text == TEXTS[1]


@pytest.mark.parametrize("width", [1.0, 12.0, 33.3, 90.0])
def test_the_first_line_is_the_first_of_all(width):
    """Broken off alone or with the rest; every text whole in its lines."""
    for text in (*TEXTS, "torque 8-10\N{NO-BREAK SPACE}N·m (70.8\N{NO-BREAK SPACE}lbf·in) · 4 × M6 × 20 · socket 10"):
        lines = broken(text, 2.5, width)
        assert first_line(text, 2.5, width) == lines[0]
        assert "".join("".join(lines).split()) == "".join(text.split())


def test_what_is_put_together_comes_to_its_place():
    """A cell in a row in a stack that is moved: its words at the sum of the ways; the cell itself stays as it was."""
    one = words_cell([Words("one", 2.5)])
    other = words_cell([Words("other", 2.5), Words("lines", 2.5)])
    row = beside([one, other], gap=2.0)
    whole = stacked([other, row], gap=1.0).at((5.0, -3.0))
    down = -3.0 - other.height - 1.0
    assert [label.text for label in whole.labels] == ["other lines", "one", "other lines"]
    corners = [(label.box[0], label.box[3]) for label in whole.labels]
    expected = [(5.0, -3.0), (5.0, down - (other.height - one.height) / 2), (5.0 + one.width + 2.0, down)]
    assert corners == [pytest.approx(corner) for corner in expected]
    assert whole.sized(99.0).labels == whole.labels
    assert whole.sized(99.0).width == 99.0
    assert (one.labels[0].box[0], one.labels[0].box[3]) == (0.0, 0.0)
