"""The photo from straight above that lies behind a traced panel, on its picture and its page, for `trace`.

In: what the photos of this run gave; or, for a drawing that was saved on a page, that page, which is written over. Out:
the photo in the panel's own frame. So what was put right is looked at over the photo, too.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from boardmaker.geometry import bounds
from boardmaker.output.safe_files import read_small
from boardmaker.pages import PagePicture, picture_of_page
from boardmaker.photo.asked import PhotoFromAbove
from boardmaker.photo.reading import read_picture
from boardmaker.problems import ProblemsFound
from boardmaker.tracing.merge import MergedPanel

LARGEST_PAGE = 40_000_000  # bytes


def photo_behind(panel: MergedPanel, above: PhotoFromAbove | None, page: Path) -> PhotoFromAbove | None:
    """Return the photo in the panel's frame; None where there is none. `page` is the file that the page goes to.

    What the photos gave has the lower left of its outline at [0, 0].
    """
    if not panel.outline:
        return None
    if above is None:
        return None if panel.is_new else _of_page(page, panel.key)
    x, y, _, _ = bounds(panel.outline)
    return replace(above, upper_left=(above.upper_left[0] + x, above.upper_left[1] + y))


def page_picture(photo: PhotoFromAbove) -> PagePicture:
    """Return the photo for a page."""
    height, width = photo.rgb.shape[:2]
    left, top = photo.upper_left
    return PagePicture(
        photo.as_file(), (left, top - height / photo.pixels_per_mm, left + width / photo.pixels_per_mm, top)
    )


def _of_page(page: Path, key: str) -> PhotoFromAbove | None:
    try:
        content = read_small(page, LARGEST_PAGE)
        picture = picture_of_page(content.decode("utf-8", "replace"), key) if content else None
        rgb = read_picture(picture.content) if picture else None
    except (OSError, ProblemsFound):  # a page that nobody can read is one without a picture
        return None
    if picture is None or rgb is None:
        return None
    x0, _, x1, y1 = picture.box
    return PhotoFromAbove(rgb, (x0, y1), rgb.shape[1] / (x1 - x0), picture.content)
