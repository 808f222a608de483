"""Which forms a page calls: as a plain pattern finds them, and in no more time than the content is long."""

from __future__ import annotations

import re
import time
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardmaker.proof.calls import drawn_names

# What is meant, in one line; it takes a time that grows with the square of the content.
PLAIN = re.compile(rb"/([^\s\0/\[\]<>(){}%]+)(?=(?:[\s\0]|%[^\r\n]*[\r\n])+(?:Do|scn|SCN)\b)")
PIECES = st.sampled_from(
    [
        b"/A",
        b"/B#20",
        b" ",
        b"\0",
        b"\r\n",
        b"\n",
        b"%",
        b"%/C\n",
        b"Do",
        b"scn",
        b"SCN",
        b"Dox",
        b"x",
        b"(",
        b"[",
        b"/",
    ]
)


@given(st.lists(PIECES, max_size=14).map(b"".join))
def test_every_call_is_found_and_nothing_else(content):
    """Whatever stands between a name and its operator."""
    assert Counter(drawn_names(content)) == Counter(PLAIN.findall(content))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("content", "count"),
    [
        (b"/A %" * 100_000, 0),
        (b"%/A \n" * 100_000, 0),
        (b"%/A \n" * 60_000 + b"Do", 60_000),
        (b"/A " + b"%\n" * 100_000 + b"Do", 1),
        (b"/A" + b" " * 200_000, 0),
        ((b"/A %" * 1000 + b"\n") * 60, 0),
        (b"/" * 200_000, 0),
        (b"/A Do\n" * 60_000, 60_000),
    ],
    ids=["one line", "comments", "comments and a call", "a long way", "blanks", "long lines", "slashes", "calls"],
)
def test_the_time_grows_with_the_content_alone(content, count):
    """A tenth of this once took twenty seconds."""
    start = time.process_time()
    assert sum(1 for _ in drawn_names(content)) == count
    assert time.process_time() - start < 3
