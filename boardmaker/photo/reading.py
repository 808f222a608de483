"""Photos of one panel on the mat read: the door of the room.

In: the photos' files, the mat, what is asked. Out: what was found. All work is done in a guarded process; this module
imports no OpenCV, so that its absence is told in plain words.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path

from boardmaker.guarded import Limits, guarded
from boardmaker.photo.asked import AskedOfPhotos, TracedPhotos
from boardmaker.photo.known_mat import KnownMat
from boardmaker.problems import ProblemsFound, error

MOST_PHOTOS = 4
SECONDS = 30.0  # of a processor for each photo; it takes about 4
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


def _in_own_process(sources: Sequence[Path], mat: KnownMat, asked: AskedOfPhotos) -> TracedPhotos:
    if asked.pen:
        from boardmaker.photo.pen import find_drawing  # noqa: PLC0415

        return find_drawing(sources[0], mat, asked)
    from boardmaker.photo.found_panel import find_panel  # noqa: PLC0415  (OpenCV, in the guarded process only)

    return find_panel(sources, mat, asked)
