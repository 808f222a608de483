"""A page in a browser, and what it saves read as `trace` reads it."""

from __future__ import annotations

import time

import pytest
from browser import CHROMIUM, Browser
from page_samples import FASTENERS, LAPTOP, PANEL

from boardmaker.pages import correction_page
from boardmaker.tracing import read_tracing


@pytest.fixture(scope="session")
def chromium(tmp_path_factory):
    """A browser for all tests of a worker."""
    if CHROMIUM is None:
        pytest.skip("there is no `chromium` on this machine (Debian: apt-get install chromium)")
    made = Browser(tmp_path_factory.mktemp("browser"))
    yield made
    made.close()


@pytest.fixture
def browser(chromium):
    """The browser, which must say nothing of errors or refusals, ask nothing and load nothing from elsewhere."""
    for kept in (chromium.messages, chromium.requests, chromium.dialogs):
        kept.clear()
    yield chromium
    chromium.call("Page.navigate", {"url": "about:blank"})
    assert chromium.messages == []
    assert set(chromium.dialogs) <= {"beforeunload"}  # which asks before what is not saved is lost
    assert [one for one in chromium.requests if not one.startswith(("file:", "data:", "blob:"))] == []


class ShownPage:
    """A page that is open: its panel, and what is done to it in mm."""

    def __init__(self, browser, panel, fasteners, touch) -> None:
        self.browser, self.panel, self.fasteners, self.touch = browser, panel, fasteners, touch

    def sheet(self, at):
        """Where a place of the panel is in the window, by the marks of two points whose place is known."""
        a, b = self.panel.holes[0].at, self.panel.holes[1].at
        (ax, ay), (bx, _) = (self._first_places[0], self._first_places[1])
        scale = (bx - ax) / (b[0] - a[0])
        return ax + (at[0] - a[0]) * scale, ay - (at[1] - a[1]) * scale

    def look(self):
        """Take the scale from the marks of the first two holes, which must not have been moved."""
        self.browser.settle()
        find = "[...document.querySelectorAll('#things .hole')].slice(0, 2).map(e => e.getBoundingClientRect())"
        self._first_places = self.browser.value(f"{find}.map(b => [b.left + b.width / 2, b.top + b.height / 2])")
        return self

    @property
    def said(self) -> str:
        return self.browser.text("#said")

    def save(self, button=True):
        """Save, and return what `trace` reads from the file, and the file."""
        path = self.browser.folder / "saved-corrected.svg"
        path.unlink(missing_ok=True)
        self.browser.press("#save") if button else self.browser.key("s", 2)
        end = time.monotonic() + 20
        while not path.exists():
            assert time.monotonic() < end, self.said
            time.sleep(0.02)
        tracing = read_tracing(path, [self.panel.key, "other"], [one.key for one in self.fasteners], None, None)
        (found,) = tracing.panels
        assert tracing.ignored == found.ignored == ()
        assert found.key == self.panel.key
        return found, path


@pytest.fixture
def shown(browser, tmp_path):
    """Return a function that opens the page of a panel."""

    def show(panel=PANEL, fasteners=FASTENERS, picture=None, size=LAPTOP, touch=False):
        path = tmp_path / "page.html"
        command = "boardmaker trace b.yaml knee-left saved-corrected.svg"
        html = correction_page(panel, fasteners, picture, "saved-corrected.svg", command)
        path.write_text(html, encoding="utf-8")
        browser.open(path, *size, touch)
        return ShownPage(browser, panel, fasteners, touch).look()

    return show
