"""Texts that XML and PDF cannot hold, or that would act in a reader: written out, and the files stay whole."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from boardmaker.display_list import Drawing, Page, Text
from boardmaker.fonts import REPLACEMENT, missing_glyphs, shown_text, text_width
from boardmaker.plain_text import shown
from boardmaker.render.pdf import render_pdf
from boardmaker.render.svg import render_svg

STRANGE = "a\x00\x08\x1b[31m\x7f\x9b\u200b\u202e\u2066\u2028\ud800\ufffe\U000e0041 <b>&amp;</b> ]]>"
ANY = st.text(st.characters(), min_size=1, max_size=60)


def drawn(text):
    """Title and labels of an SVG file, read by a strict reader."""
    root = ET.fromstring(render_svg(Drawing(50, 20, (), (), (Text((2, 2), text, 3),)), title=text).decode())
    labels = [one.get("aria-label") for one in root.iter() if one.get("aria-label") is not None]
    titles = [one.text or "" for one in root.iter() if one.tag.endswith("title")]
    return [titles[0], *labels]


@given(ANY)
@settings(max_examples=60, deadline=None)
def test_an_svg_file_stays_well_formed(text):
    """Title and label say the text with its hidden characters written out."""
    assert drawn(text) == [shown(text)] * 2


@pytest.mark.slow
@given(ANY)
@settings(max_examples=40, deadline=None)
def test_a_pdf_file_opens(text):
    """Whatever its title, subject, bookmark, page label and words."""
    read_pdf(text)


def test_a_pdf_file_says_what_is_hidden():
    """In its title and bookmark; on the page it is a box."""
    file = read_pdf(STRANGE)
    assert file.metadata.title == file.metadata.subject == shown(STRANGE)
    assert [one.title for one in file.outline] == [shown(STRANGE)]
    words = file.pages[0].extract_text()
    assert words == shown(words).replace("\\n", "\n")


def read_pdf(text):
    page = Page(50, 20, (Text((2, 2), text, 3),), text, text)
    file = PdfReader(io.BytesIO(render_pdf([page], title=text, subject=text)), strict=True)
    assert len(file.pages) == 1
    file.pages[0].extract_text()
    return file


def test_a_hidden_character_has_no_glyph():
    """Though the font has one of no width for some: a box that is seen, and a name to warn of."""
    assert shown_text("a\u202eb") == f"a{REPLACEMENT}b"
    assert missing_glyphs("a\u202eb\u200b") == "\u202e\u200b"
    assert text_width("\u202e", 3) == text_width(REPLACEMENT, 3) > 0
