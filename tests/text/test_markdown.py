"""Strangers' texts in Markdown: words to read, never a mark, a link or anything hidden."""

from __future__ import annotations

from html import unescape

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from boardmaker.plain_text import shown
from boardmaker.text.markdown import plain

READER = MarkdownIt("gfm-like", {"linkify": True})  # makes links of addresses, as GitHub does
READER.linkify.set({"fuzzy_link": False})  # GitHub makes none of a bare evil.example


@pytest.mark.parametrize(
    "text",
    [
        "http://evil.example",
        "HTTPS://evil.example/x",
        "www.evil.example",
        "WWW.evil.example",
        "ftp://evil.example",
        "<http://evil.example>",
        "[x](http://evil.example)",
        "![x](http://evil.example)",
        "one@evil.example",
        "mailto:one@evil.example",
        "<script>alert(1)</script>",
        "<b onclick=x>",
    ],
)
def test_an_address_is_no_link_and_a_tag_is_no_tag(text):
    """It is read as it is written."""
    html = READER.render(plain(text))
    assert unescape(html) == f"<p>{text}</p>\n"
    assert html.count("<") == 2


@given(st.text(st.characters()))
def test_nothing_hidden_is_left(text):
    """One line, without what acts; a reader shows the escapes as they stand."""
    made = plain(text)
    assert made == shown(made)


def test_a_hidden_sign_is_read_as_its_escape():
    """The backslash too."""
    assert READER.render(plain("a\x1b[31m\u202eb")) == "<p>a\\x1b[31m\\u202eb</p>\n"
