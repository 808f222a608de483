"""The reader of AprilTag's authors, by its registry name pupil-apriltags: another library that reads our codes."""

from __future__ import annotations

import pupil_apriltags

_READERS: dict[tuple[str, float], pupil_apriltags.Detector] = {}

# Its bindings take their memory back when Python collects a reader, and now and then crash in doing so.
pupil_apriltags.Detector.__del__ = lambda _: None


def other_reader(family: str, decimate: float = 1.0) -> pupil_apriltags.Detector:
    """The reader of a family; `decimate`: by how much it makes pictures smaller."""
    return _READERS.setdefault((family, decimate), pupil_apriltags.Detector(family, quad_decimate=decimate))
