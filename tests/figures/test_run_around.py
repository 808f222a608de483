"""Words around a block: none lost, none in the block, none beyond the width."""

from __future__ import annotations

import random

import pytest

from boardmaker.fonts import text_width
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD
from boardmaker.typeset.run_around import run_around
from boardmaker.typeset.table import words_cell

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
