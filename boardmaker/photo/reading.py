"""Photos of one panel on the mat read: the door of the room.

In: the photos' files, the mat, what is asked. Out: what was found. All work is done in a guarded process; this module
imports no OpenCV, so that its absence is told in plain words.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from boardmaker.guarded import Limits, guarded
from boardmaker.photo.asked import AskedOfPhotos, TracedPhotos
from boardmaker.photo.known_mat import KnownMat
from boardmaker.problems import ProblemsFound, error

MOST_PHOTOS = 4
SECONDS = 30.0  # of a processor for each photo; it takes about 4
MOST_PIXELS = 60e6  # of a page's picture; one of a panel of a metre has 16 million
MEGABYTES = 2600  # of address space; about 900 are used
SUFFIXES = (".jpg", ".jpeg", ".png")


def is_photo(source: Path) -> bool:
    """Say whether a source is a photo, by its name."""
    return source.suffix.casefold() in SUFFIXES


def read_photos(sources: Sequence[Path], mat: KnownMat, asked: AskedOfPhotos) -> TracedPhotos:
    """Return the panel that one to four photos show on the mat. Raises ProblemsFound."""
    if find_spec("cv2") is None:
        hint = 'pip install "boardmaker[photo]"'
        raise ProblemsFound([error("to trace photos, boardmaker needs OpenCV, which is not installed", hint=hint)])
    if len(sources) > MOST_PHOTOS:
        hint = "two from different places are enough, a third adds little"
        raise ProblemsFound([error(f"{len(sources)} photos; at most {MOST_PHOTOS} are read", hint=hint)])
    names = " and ".join(source.name for source in sources)
    hint = "photograph it with the phone's camera at 12 megapixels and send the file itself"
    limits = Limits(SECONDS * (1 + len(sources)), MEGABYTES)
    return guarded(names, hint, limits, _in_own_process, tuple(sources), mat, asked)


def read_picture(content: bytes) -> NDArray[np.uint8]:
    """Return the pixels of a JPEG or PNG (height, width, 3), such as a page has. Raises ProblemsFound."""
    hint = "trace the photos again"
    return guarded("the page's picture", hint, Limits(SECONDS, MEGABYTES), _decoded, content)


def _decoded(content: bytes) -> NDArray[np.uint8]:
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as image:
            if image.width * image.height > MOST_PIXELS:
                raise ProblemsFound([error("the page's picture has too many pixels")])
            return np.asarray(image.convert("RGB"))
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as broken:
        raise ProblemsFound([error(f"the page's picture cannot be read: {broken}")]) from None


def _in_own_process(sources: Sequence[Path], mat: KnownMat, asked: AskedOfPhotos) -> TracedPhotos:
    if asked.pen:
        from boardmaker.photo.pen import find_drawing  # noqa: PLC0415

        return find_drawing(sources[0], mat, asked)
    from boardmaker.photo.found_panel import find_panel  # noqa: PLC0415  (OpenCV, in the guarded process only)

    return find_panel(sources, mat, asked)
