"""A photo's file into upright pixels, with the focal length that it tells.

In: a path. Out: RGB pixels and the focal length; nothing is decoded before the header has told the size. Called in the
guarded process, since Pillow's decoders work on a stranger's file.
"""

from __future__ import annotations

import hashlib
import math
import re
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
MOST_PIXELS = 130e6  # more are refused; a phone's largest is 108 million
MOST_PIXELS_AT_ONCE = 50e6  # of a PNG or a progressive JPEG, whose readers hold each pixel two or three times
MOST_GONE_OVER = 600e6  # pixels that a JPEG has decoded, those of each of its scans; programs write about 10 scans
ENOUGH_PIXELS = 16e6  # finer photos are reduced: their pixels are smaller than the lens can draw
LEAST_SIDE = 600  # pixels; on less, a tag of 24 mm seen from 1 m has no modules that can be told apart
FILM_DIAGONAL = math.hypot(36.0, 24.0)  # mm, of the film that an equivalent focal length speaks of
USUAL_FOCAL = 26.0  # mm, of the main camera of nearly every phone (23 to 28)
# ITU-T T.81 (1992), B.2.3: a scan's marker, length and number of components; in the pixels' bytes nowhere else
_SCAN = re.compile(rb"\xff\xda\0(?:\x08\x01|\x0a\x02|\x0c\x03|\x0e\x04)")
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
            _refuse_scans(content, image, name)
            told, phone = _told_focal(image)
            upright = _upright(image)
    except (ProblemsFound, MemoryError):
        raise
    except Image.DecompressionBombError:
        raise ProblemsFound([_too_large(name, "hundreds of millions of pixels", MOST_PIXELS)]) from None
    except UnidentifiedImageError:
        raise ProblemsFound([error(f"{name} is no JPEG or PNG picture that can be read", hint=_AGAIN)]) from None
    except Exception:  # Pillow's readers raise nearly anything on broken files
        raise ProblemsFound([error(f"{name} cannot be read: it is broken or cut off", hint=_AGAIN)]) from None
    diagonal = math.hypot(upright.width, upright.height)
    return PhotoPixels(
        name,
        np.asarray(upright),
        (told or USUAL_FOCAL) / FILM_DIAGONAL * diagonal,
        told is not None,
        (*phone, told or 0.0, tuple(sorted(upright.size))),
        hashlib.sha256(content).hexdigest(),
    )


def _upright(image: Image.Image) -> Image.Image:
    """RGB pixels the way the camera was held; made fewer first, so that a large photo is in the memory once."""
    plain = image if image.mode in ("L", "RGB", "CMYK") else image.convert("RGB")
    factor = math.ceil(math.sqrt(image.width * image.height / ENOUGH_PIXELS) - 0.05)
    return ImageOps.exif_transpose(plain.reduce(factor) if factor > 1 else plain).convert("RGB")


def _refuse_size(image: Image.Image, name: str) -> None:
    size = f"{image.width} x {image.height} pixels"
    at_once = image.format == "PNG" or "progressive" in image.info
    most = MOST_PIXELS_AT_ONCE if at_once else MOST_PIXELS
    if image.width * image.height > most:
        raise ProblemsFound([_too_large(name, size, most)])
    if min(image.size) < LEAST_SIDE:
        message = f"{name} is too small: {size}; the shorter side needs {LEAST_SIDE}"
        raise ProblemsFound([error(message, hint="send the file as the phone wrote it, not a preview of it")])


def _refuse_scans(content: bytes, image: Image.Image, name: str) -> None:
    """Raise ProblemsFound for a JPEG whose pixels are gone over again and again, however small the file is."""
    scans = len(_SCAN.findall(content))
    if scans * image.width * image.height > MOST_GONE_OVER:
        message = f"{name} has its {image.width} x {image.height} pixels in {scans} layers, too many to be read"
        raise ProblemsFound([error(message, hint=_AGAIN)])


def _too_large(name: str, size: str, most: float) -> Problem:
    message = f"{name} is too large: {size}; at most {most / 1e6:g} million are read"
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
