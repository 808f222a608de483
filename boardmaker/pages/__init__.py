"""Pages for a browser: one file each that works offline, with nothing in it that the page itself did not bring."""

from boardmaker.pages.correction_page import PageHole, PagePanel, PagePicture, correction_page, picture_of_page

__all__ = ["PageHole", "PagePanel", "PagePicture", "correction_page", "picture_of_page"]
