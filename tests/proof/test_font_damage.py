"""Fonts in a file: whole, with other bytes, or no font any more."""

from __future__ import annotations

import struct
from pathlib import Path

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from spoiling import spoil

import boardmaker.fonts
from boardmaker.command_line import run
from boardmaker.problems import Severity
from boardmaker.proof import prove
from boardmaker.proof.font_program import FontDamage, damage_of

FONT = (Path(boardmaker.fonts.__file__).parent / "DejaVuSansCondensed.ttf").read_bytes()


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page")
    assert run(["testpage", "--quiet", "--out", str(folder)]) == 0
    return (folder / "testpage.pdf").read_bytes()


def with_programs(file, change):
    """The file with each font program changed."""

    def change_all(document):
        for one in document.objects:
            if isinstance(one, pikepdf.Dictionary) and "/FontFile2" in one:
                one.FontFile2.write(change(one.FontFile2.read_bytes()))

    return spoil(file, change_all)


def a_glyph_changed(program):
    at = tables_of(program)[b"glyf"][0] + 30
    return program[:at] + bytes([program[at] ^ 1]) + program[at + 1 :]


def tables_of(program):
    (count,) = struct.unpack_from(">H", program, 4)
    entries = (struct.unpack_from(">4sIII", program, 12 + 16 * number) for number in range(count))
    return {tag: (start, length) for tag, _, start, length in entries}


def test_a_whole_font_is_whole(page):
    """The shipped one, and what reportlab makes of it; sums are those of fontTools."""
    assert damage_of(FONT) is FontDamage.NONE
    assert prove(page, "page.pdf").problems == ()


@pytest.mark.parametrize(
    "change",
    [
        lambda _: b"", lambda _: b"\0" * 5000, lambda font: font[: len(font) // 2], lambda font: font[:12],
        lambda font: font[:4] + b"\xff\xff" + font[6:], lambda font: font[:300] + b"\0" * (len(font) - 300),
        lambda _: b"\1\0\0\0\0", lambda font: b"OTTO" + font[4:],
    ],
    ids=["empty", "noughts", "half", "head alone", "many tables", "noughts inside", "other kind", "other outlines"],
)  # fmt: skip
def test_a_destroyed_font_makes_the_print_untrue(page, change):
    """Both fonts by name: what stands at the bars may be missing."""
    errors = prove(with_programs(page, change), "page.pdf").errors
    assert [one.message.split(" in the file ")[0] for one in errors] == [
        "the font DejaVuSansCondensed",
        "the font DejaVuSansCondensed-Bold",
    ]


def test_an_altered_font_is_worth_a_warning(page):
    """One bit of an outline; lengths are still true."""
    proof = prove(with_programs(page, a_glyph_changed), "page.pdf")
    (problem,) = proof.problems
    assert problem.severity is Severity.WARNING
    assert "DejaVuSansCondensed, DejaVuSansCondensed-Bold" in problem.message


def test_a_font_that_cannot_be_unpacked_is_damaged(page):
    """Its stream says Flate and is none."""

    def change(document):
        for one in document.objects:
            if isinstance(one, pikepdf.Dictionary) and "/FontFile2" in one:
                one.FontFile2.write(b"no flate at all", filter=pikepdf.Name.FlateDecode)

    spoilt = spoil(page, change, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    assert len(prove(spoilt, "page.pdf").errors) == 2


@given(st.integers(0, len(FONT) - 1), st.integers(1, 255))
def test_no_changed_byte_goes_unseen(place, change):
    """But for those that no table has: the search hints of the head of the file, and the gaps between tables."""
    spoilt = FONT[:place] + bytes([FONT[place] ^ change]) + FONT[place + 1 :]
    tables = tables_of(FONT)
    in_a_table = any(start <= place < start + length for start, length in tables.values())
    head = tables[b"head"][0]
    if in_a_table and not head + 8 <= place < head + 12:  # the sum over the whole file
        assert damage_of(spoilt) is not FontDamage.NONE


@given(st.binary(max_size=300), st.sampled_from([b"\0\1\0\0", b"OTTO", b"true", b"", b"%!", b"\1\0\4\1"]))
def test_any_bytes_are_judged(content, start):
    """Never a fault."""
    assert damage_of(start + content) in FontDamage
