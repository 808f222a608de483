"""The page as a file: what stands in it is escaped, hashed and the same every time."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st
from page_samples import FASTENERS, OUTLINE, PANEL, fastener

from boardmaker.pages import PageHole, PagePicture, correction_page, picture_of_page
from boardmaker.plain_text import HIDDEN, shown

PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(256))
HOSTILE = [
    "</script><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'&amp;<!--",
    "{{data}}",
    "\u202eevil",
]


def page(panel=PANEL, fasteners=FASTENERS, picture=None, command="boardmaker trace b.yaml knee-left s.svg"):
    return correction_page(panel, fasteners, picture, "s.svg", command)


class Parts(HTMLParser):
    """Elements with their attributes, and the texts of scripts and styles, as HTML's own rules cut them."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.raw, self.words = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data):
        if self.cdata_elem:
            self.raw.append((self.cdata_elem, self.elements[-1][1].get("type"), data))
        else:
            self.words.append(data)


def raw(text, tag, kind=None):
    return "".join(data for one, its, data in Parts(text).raw if (one, its) == (tag, kind))


def data_of(text):
    return json.loads(raw(text, "script", "application/json"))


def test_nothing_but_the_two_hashes_may_run():
    """The policy names the hashes of the script and style as they stand in the page, and nothing else of the kind."""
    text = page(picture=PagePicture(PNG, (0, 0, 1, 1)))
    policy = next(one["content"] for tag, one in Parts(text).elements if one.get("http-equiv"))
    rules = dict(rule.split(" ", 1) for rule in policy.split("; "))
    hashes = {
        f"{tag}-src": f"'sha256-{base64.b64encode(hashlib.sha256(raw(text, tag).encode()).digest()).decode()}'"
        for tag in ("script", "style")
    }
    assert rules == hashes | {
        "default-src": "'none'", "img-src": "data:", "base-uri": "'none'", "form-action": "'none'",
    }  # fmt: skip
    assert text.index("http-equiv") < text.index("<style") < text.index("<script")


def test_no_handlers_no_addresses_no_eval():
    """What a policy would refuse is not there to be refused."""
    text = page()
    for tag, attributes in Parts(text).elements:
        assert not [name for name in attributes if name.startswith("on") or name == "style"], tag
        assert "src" not in attributes
    assert not re.search(r"\beval\(|new Function|innerHTML|outerHTML|insertAdjacentHTML|document\.write", text)
    assert set(re.findall(r"https?://[^\s\"'`<]*", text)) == {"http://www.w3.org/2000/svg"}
    assert "{{" not in text


@pytest.mark.parametrize("words", HOSTILE)
def test_texts_cannot_act(words):
    """Elements are the same whatever the texts are; what is shown is the text, with hidden marks written out."""
    plain = page()
    panel = replace(PANEL, key=words, name=words, seen=words, notes=(words,), holes=(PageHole(words, (9, 9), words),))
    text = page(panel, [*FASTENERS, fastener(words)], command=words)
    elements = [tag for tag, _ in Parts(text).elements]
    assert elements == [tag for tag, _ in Parts(page(replace(PANEL, notes=("x",)))).elements]
    assert "".join(Parts(text).words).count(shown(words)) == 5  # title, heading, key, seen, note
    assert not HIDDEN.search(text.replace("\n", ""))
    assert raw(text, "script") == raw(plain, "script")
    data = data_of(text)
    assert (data["key"], data["holes"][0]["fastener"], data["fasteners"][3]["key"]) == (words, words, words)


def body_of(text):
    """From the style's end to the data, and the data."""
    start, end = text.index("<script type="), text.rindex("<script>")
    return text[text.index("</style>") : start], text[start:end]


PLAIN = len(Parts(body_of(page())[0]).elements)


@given(st.text(max_size=40))
def test_any_text_stays_a_text(words):
    """Whatever a bike file can say."""
    body, data = body_of(page(replace(PANEL, name=words, key=words)))
    assert len(Parts(body).elements) == PLAIN
    assert data_of(data)["key"] == words
    assert html.escape(shown(words)) in body


@pytest.mark.slow
def test_same_panel_same_bytes():
    """Also in another process, with other hashes of strings."""
    code = "from test_correction_page import page, PNG; from boardmaker.pages import PagePicture as P; import sys;" \
        "sys.stdout.buffer.write(page(picture=P(PNG, (0, 0, 1, 1))).encode())"  # fmt: skip
    once = page(picture=PagePicture(PNG, (0, 0, 1, 1))).encode()
    for seed in ("1", "2"):
        here = {"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(["tests/pages", "tests", *filter(None, sys.path)])}
        ran = subprocess.run([sys.executable, "-c", code], env=here, capture_output=True, check=True)
        assert ran.stdout == once


def test_pictures():
    """A JPEG or PNG lies in the page as it came; anything else is refused."""
    for content, kind in ((PNG, "png"), (b"\xff\xd8\xff\xe0 more", "jpeg")):
        text = page(picture=PagePicture(content, (-5.0, -6.0, 310.5, 200.0)))
        address = next(one["href"] for tag, one in Parts(text).elements if tag == "image")
        assert address == f"data:image/{kind};base64,{base64.b64encode(content).decode()}"
        assert data_of(text)["box"] == [-5, -6, 310.5, 200]
    with pytest.raises(ValueError, match="neither JPEG nor PNG"):
        page(picture=PagePicture(b"<svg onload='x'/>", (0, 0, 1, 1)))


def test_a_page_gives_its_picture_back():
    """To the same panel; nothing of a page that is another one's, or broken."""
    picture = PagePicture(PNG, (-10.0, -5.5, 330.0, 190.0))
    text = page(picture=picture)
    assert picture_of_page(text, "knee-left") == picture
    assert picture_of_page(text, "knee-right") is None
    assert picture_of_page(page(), "knee-left") is None
    data = json.dumps([-10.0, -5.5, 330.0, 190.0]).replace(" ", "")
    for box in ("[1,2,3]", "[0,0,-1,5]", "[0,0,1e999,5]", "null", "[0,0,NaN,5]", '["a",0,1,1]', "7"):
        assert data in text
        assert picture_of_page(text.replace(data, box), "knee-left") is None
    assert picture_of_page(text.replace(";base64,", ";base64,A"), "knee-left") is None
    assert picture_of_page(text.replace('type="application/json" id="data">', ">"), "knee-left") is None


@pytest.mark.parametrize("outline", [(), OUTLINE[:2], ((0.0, 0.0), (float("nan"), 0.0), (1.0, 1.0))])
def test_a_panel_without_an_outline_is_refused(outline):
    """Nothing to put right."""
    with pytest.raises(ValueError, match="nothing to put right"):
        page(replace(PANEL, outline=outline))


def test_a_fasteners_size_is_that_of_a_hole():
    """What is saved is no wider than what `trace` takes for a hole."""
    data = data_of(page(fasteners=[fastener("A", 8.0), fastener("B", 90.0)]))
    assert [one["across"] for one in data["fasteners"]] == [8, 30]
    assert data["fasteners"][0]["words"].startswith("M8 × 20")
