"""A photo's file into upright pixels, with the focal length that it tells.

In: a path. Out: RGB pixels and the focal length; nothing is decoded before the header has told the size. Called in the
guarded process, since Pillow's decoders work on a stranger's file.
"""

from __future__ import annotations

import hashlib
import math
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from boardmaker.guarded import read_at_most
from boardmaker.problems import Problem, ProblemsFound, error

MOST_MEGABYTES = 60
MOST_PIXELS = 130e6  # refused; a phone's largest is 108 million
ENOUGH_PIXELS = 16e6  # finer photos are reduced: their pixels are smaller than the lens can draw
LEAST_SIDE = 600  # pixels; on less, a tag of 24 mm seen from 1 m has no modules that can be told apart
FILM_DIAGONAL = math.hypot(36.0, 24.0)  # mm, of the film that an equivalent focal length speaks of
USUAL_FOCAL = 26.0  # mm, of the main camera of nearly every phone (23 to 28)
_AGAIN = "photograph it with the phone's camera and send the file itself, as JPEG"


@dataclass(frozen=True)
class PhotoPixels:
    """Upright RGB pixels; the focal length in pixels, and whether the file told it; which phone; the file's digest."""

    name: str
    rgb: NDArray[np.uint8]
    focal: float
    focal_told: bool
    phone: tuple[str, str, float, tuple[int, ...]]
    digest: str


def read_pixels(path: Path) -> PhotoPixels:
    """Return the pixels of a JPEG or PNG photo. Raises ProblemsFound."""
    content = read_at_most(path, MOST_MEGABYTES, "send the JPEG file as the phone wrote it")
    name = path.name
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            image = Image.open(BytesIO(content), formats=("PNG", "JPEG"))
            _refuse_size(image, name)
            told, phone = _told_focal(image)
            image.draft("RGB", image.size)
            upright = ImageOps.exif_transpose(image).convert("RGB")
    except (ProblemsFound, MemoryError):
        raise
    except Image.DecompressionBombError:
        raise ProblemsFound([_too_large(name, "hundreds of millions of pixels")]) from None
    except UnidentifiedImageError:
        raise ProblemsFound([error(f"{name} is no JPEG or PNG picture that can be read", hint=_AGAIN)]) from None
    except Exception:  # Pillow's readers raise nearly anything on broken files
        raise ProblemsFound([error(f"{name} cannot be read: it is broken or cut off", hint=_AGAIN)]) from None
    factor = math.ceil(math.sqrt(upright.width * upright.height / ENOUGH_PIXELS) - 0.05)
    if factor > 1:
        upright = upright.reduce(factor)
    diagonal = math.hypot(upright.width, upright.height)
    return PhotoPixels(
        name,
        np.asarray(upright),
        (told or USUAL_FOCAL) / FILM_DIAGONAL * diagonal,
        told is not None,
        (*phone, told or 0.0, tuple(sorted(upright.size))),
        hashlib.sha256(content).hexdigest(),
    )


def _refuse_size(image: Image.Image, name: str) -> None:
    size = f"{image.width} x {image.height} pixels"
    if image.width * image.height > MOST_PIXELS:
        raise ProblemsFound([_too_large(name, size)])
    if min(image.size) < LEAST_SIDE:
        message = f"{name} is too small: {size}; the shorter side needs {LEAST_SIDE}"
        raise ProblemsFound([error(message, hint="send the file as the phone wrote it, not a preview of it")])


def _too_large(name: str, size: str) -> Problem:
    message = f"{name} is too large: {size}; at most {MOST_PIXELS / 1e6:g} million are read"
    return error(message, hint="set the camera to 12 megapixels")


def _told_focal(image: Image.Image) -> tuple[float | None, tuple[str, str]]:
    """The equivalent focal length in mm where the EXIF data tell a likely one; maker and model of the phone."""
    try:
        exif = image.getexif()
        value = float(exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.FocalLengthIn35mmFilm, 0) or 0)
        phone = (str(exif.get(ExifTags.Base.Make, "")), str(exif.get(ExifTags.Base.Model, "")))
    except Exception:  # EXIF data are often damaged on their way; the photo itself may be well
        return None, ("", "")
    return (value if 10.0 <= value <= 200.0 else None), phone
