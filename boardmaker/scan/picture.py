"""Bytes of a PNG or JPEG file into grey pixels with a resolution.

Nothing is decoded before its size is known from the header. Places on a picture are complex numbers: real part to the
right, imaginary part upwards, mm from the picture's upper left corner as its resolution has it.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, UnidentifiedImageError

from boardmaker.geometry import Point
from boardmaker.problems import Problem, ProblemsFound, error

MM_PER_INCH = 25.4
USUAL_RESOLUTIONS = (75, 100, 150, 200, 240, 300, 400, 600, 1200)  # dpi of scan programs (common practice, no source)
LARGEST = 150e6  # pixels: an A4 page at 1200 dpi is 139 million; more costs more memory than a small computer has
MOST_MEMORY = 450e6  # bytes of the pixels as they are decoded, 4 for one with colours: A4 in colour up to 1000 dpi
LONGEST_SIDE = 50_000  # pixels: three metres at 400 dpi; some work costs as much for a line of pixels as for a page
RESOLUTIONS = 20.0, 10_000.0  # dpi that can be meant; COARSEST of `measure` says which are enough
FINEST = 400.0  # dpi; finer pictures are reduced, they cost time and their dots are mostly the scanner's noise
ENOUGH = 40e6  # pixels that are looked at; the same for very large pages
_OFTEN_TOLD = (72, 96, *USUAL_RESOLUTIONS)
_PER_METRE, _PER_CENTIMETRE = 0.0254, 2.54  # dpi: the steps in which PNG and some JPEG files tell their resolution
_SIDEWAYS = (5, 6, 7, 8)  # the EXIF orientations that swap width and height
_TURNED_BACK = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}  # by the EXIF orientation
_BYTES_A_PIXEL = {"1": 1, "L": 1, "P": 1, "LA": 4, "I;16": 2, "I;16B": 2}  # as Pillow keeps them; all others have 4
_STRIP = 500  # rows that are turned into grey at a time, so that no whole copy with colours is needed
_WHITE = (255, 255, 255, 255)


@dataclass(frozen=True)
class Picture:
    """Grey pixels, 0 black to 255 white, in rows from the top.

    `dots_per_inch` is the file's resolution, across and down; `pixels_per_mm` that of `grey`, which may be reduced.
    """

    grey: NDArray[np.uint8]
    dots_per_inch: Point
    pixels_per_mm: Point

    @property
    def size(self) -> Point:
        """Width and height in mm."""
        height, width = self.grey.shape
        return width / self.pixels_per_mm[0], height / self.pixels_per_mm[1]

    def place(self, row: float, column: float) -> complex:
        """Return where the middle of a pixel is."""
        return complex((column + 0.5) / self.pixels_per_mm[0], -(row + 0.5) / self.pixels_per_mm[1])

    def pixel(self, place: complex) -> Point:
        """Return row and column of a place."""
        return -place.imag * self.pixels_per_mm[1] - 0.5, place.real * self.pixels_per_mm[0] - 0.5

    def reduced(self, across: int, down: int) -> Picture:
        """Return the picture with `across` x `down` pixels averaged into one; every place stays where it is."""
        if across == down == 1:
            return self
        grey = np.asarray(Image.fromarray(self.grey).reduce((across, down)))
        return Picture(grey, self.dots_per_inch, (self.pixels_per_mm[0] / across, self.pixels_per_mm[1] / down))


def read_picture(content: bytes, name: str, dots_per_inch: float | None) -> Picture:
    """Return the upright grey picture at no more than about 400 dpi; `dots_per_inch` overrules what the file says.

    Raises ProblemsFound where it is no PNG or JPEG picture, broken, too large, or has no resolution.
    """
    with _plain_failures(name):
        image: Image.Image = Image.open(BytesIO(content), formats=("PNG", "JPEG"))
        _refuse_size(image, name)
        told = (dots_per_inch, dots_per_inch) if dots_per_inch is not None else _told_resolution(image)
        if told is None:
            raise ProblemsFound([_no_resolution(name)])
        if not all(RESOLUTIONS[0] <= dpi <= RESOLUTIONS[1] for dpi in told):
            raise ProblemsFound([_no_such_resolution(name, told)])
        grey = np.asarray(_upright_grey(image))
    picture = Picture(grey, told, (told[0] / MM_PER_INCH, told[1] / MM_PER_INCH))
    finest = max(1.0, math.sqrt(grey.size / ENOUGH))
    across, down = (math.ceil(max(finest, dpi / FINEST - 0.01)) for dpi in told)
    return picture.reduced(across, down)


@contextmanager
def _plain_failures(name: str) -> Iterator[None]:
    """Turn whatever Pillow raises on a file that it cannot read into a problem, and keep its warnings to ourselves."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except (ProblemsFound, MemoryError):
        raise
    except Image.DecompressionBombError:
        raise ProblemsFound([_too_large(name, "")]) from None
    except UnidentifiedImageError:
        raise ProblemsFound([_not_a_picture(name)]) from None
    except Exception:  # Pillow's readers raise nearly anything on broken files
        raise ProblemsFound([_broken(name)]) from None


def _told_resolution(image: Image.Image) -> Point | None:
    """Return the upright picture's resolution as the file tells it.

    Files tell it in whole dots per metre or centimetre: 300 dpi in the latter is 118, which read plainly is 299.7. So
    a usual resolution that rounds to the told one is meant.
    """
    metric = image.info.get("jfif_unit") == 2  # which older Pillows leave to us
    told = [_PER_CENTIMETRE * value for value in image.info["jfif_density"]] if metric else image.info.get("dpi")
    if told is None or not all(math.isfinite(value) and value > 0 for value in told):
        return None
    step = _PER_CENTIMETRE if metric else _PER_METRE
    across, down = (
        next((float(usual) for usual in _OFTEN_TOLD if abs(usual - value) <= step / 2), float(value)) for value in told
    )
    sideways = image.getexif().get(ExifTags.Base.Orientation) in _SIDEWAYS
    return (down, across) if sideways else (across, down)


def _refuse_size(image: Image.Image, name: str) -> None:
    """Raise ProblemsFound for a picture whose header promises more than can be kept; nothing is decoded yet."""
    pixels, size = image.width * image.height, f": {image.width} x {image.height} pixels"
    if pixels > LARGEST or max(image.size) > LONGEST_SIDE:
        raise ProblemsFound([_too_large(name, size)])
    if pixels * _BYTES_A_PIXEL.get(image.mode, 4) > MOST_MEMORY:
        raise ProblemsFound([_too_colourful(name, size)])


def _upright_grey(image: Image.Image) -> Image.Image:
    """Return the picture in grey and as it is meant to be seen; its colours are gone from the memory then."""
    turn = _TURNED_BACK.get(image.getexif().get(ExifTags.Base.Orientation, 1))
    image.load()
    grey = Image.new("L", image.size)
    for top in range(0, image.height, _STRIP):
        box = (0, top, image.width, min(top + _STRIP, image.height))
        grey.paste(_greyscale(image.crop(box)), box)
    image.close()
    return grey if turn is None else grey.transpose(turn)


def _greyscale(image: Image.Image) -> Image.Image:
    """Return the picture in 8 bits of grey, whatever it was: see-through parts are white."""
    if image.mode.startswith("I"):  # 16 bits, which Pillow would cut off at 255 instead of dividing
        return Image.fromarray((np.asarray(image) >> 8).clip(0, 255).astype(np.uint8))
    if image.has_transparency_data:
        coloured = image.convert("RGBA")
        return Image.alpha_composite(Image.new("RGBA", image.size, _WHITE), coloured).convert("L")
    return image.convert("L") if image.mode in ("1", "L") else image.convert("RGB").convert("L")


def _not_a_picture(name: str) -> Problem:
    return error(
        f"{name} is not a picture in PNG or JPEG format",
        hint="set the scan program to save PNG or JPEG, one page a file; PDF and TIFF files cannot be read",
    )


def _broken(name: str) -> Problem:
    return error(f"{name} cannot be read: the picture is broken or cut off", hint="scan and save the page once more")


def _too_large(name: str, size: str) -> Problem:
    return error(
        f"{name} is too large a picture{size}; at most {LARGEST / 1e6:g} million pixels are read, "
        f"and {LONGEST_SIDE:,} in a row",
        hint="scan the page at 300 dpi",
    )


def _too_colourful(name: str, size: str) -> Problem:
    return error(
        f"{name} is too large a picture with colours{size}; at most {MOST_MEMORY / 4e6:.0f} million of such are read",
        hint="scan the page in grey, or at 300 dpi",
    )


def _no_such_resolution(name: str, told: Point) -> Problem:
    return error(
        f"{name}: a resolution of {told[0]:g} x {told[1]:g} dpi cannot be meant "
        f"(it is {RESOLUTIONS[0]:g} to {RESOLUTIONS[1]:,g})",
        hint="look it up in the scan program: if it was 300 dpi, say --dpi 300",
    )


def _no_resolution(name: str) -> Problem:
    return error(
        f"{name} does not say at how many dots per inch it was scanned",
        hint="look it up in the scan program: if it was 300 dpi, say --dpi 300",
    )
