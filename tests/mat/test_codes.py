"""The tables of codes, against the libraries that know them."""

from __future__ import annotations

from itertools import combinations

import cv2
import numpy as np
import pytest
from other_tag_reader import other_reader

from boardmaker.mat.codes import MARK_CODES, SHEET_CODES, code_cells, draw_code

pytest_plugins = ("made_mats",)

FAMILIES = (SHEET_CODES, *MARK_CODES)


def picture(family, number):
    """The cells as an array, 1 for light."""
    return np.array([[int(cell) for cell in row] for row in code_cells(family, number)])


@pytest.mark.parametrize("family", FAMILIES, ids=lambda one: one.name)
def test_every_code_is_that_of_opencv(family):
    """Cell by cell, and no more of them than OpenCV has."""
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, family.name))
    assert dictionary.bytesList.shape[0] == family.count
    for number in range(family.count):
        drawn = cv2.aruco.generateImageMarker(dictionary, number, dictionary.markerSize + 2)
        assert np.array_equal(picture(family, number), drawn // 255)


def test_every_code_of_a_sheet_is_read_by_another_library():
    """The reader of AprilTag's authors finds each of the 587, one after the other."""
    reader = other_reader("tag36h11")
    for number in range(SHEET_CODES.count):
        cells = np.pad(picture(SHEET_CODES, number), 2, constant_values=1).astype(np.uint8) * 255
        large = np.kron(cells, np.ones((8, 8), np.uint8))
        assert [(one.tag_id, one.hamming) for one in reader.detect(large)] == [(number, 0)]


@pytest.mark.parametrize(("family", "apart"), [(SHEET_CODES, 11), *zip(MARK_CODES, (8, 7, 6), strict=True)])
def test_no_two_codes_look_alike(family, apart):
    """Not in any turn, nor a code like itself turned, but for so many cells."""
    turned = np.array(
        [[np.rot90(picture(family, number), turn).ravel() for turn in range(4)] for number in range(family.count)]
    )
    assert min(int((one[0] != one[turn]).sum()) for one in turned for turn in (1, 2, 3)) >= apart
    for at in range(1, family.count):
        assert int((turned[:at, 0][:, None, :] != turned[at][None]).sum(axis=2).min()) >= apart


def test_a_code_beyond_the_family_is_refused():
    """Rather than another one, counted from the end."""
    for number in (-1, MARK_CODES[0].count):
        with pytest.raises(IndexError, match="has no code"):
            code_cells(MARK_CODES[0], number)


def test_dark_cells_are_drawn_exactly_and_without_seams():
    """Rectangles of whole cells; any two dark neighbours lie together in one of them."""
    cells = code_cells(SHEET_CODES, 5)
    drawn = [path.points for path in draw_code(cells, (0.0, 0.0), 8.0)]
    boxes = [(min(x), min(y), max(x), max(y)) for x, y in (zip(*ring, strict=True) for ring in drawn)]
    dark = {(row, column) for row, line in enumerate(cells) for column, cell in enumerate(line) if cell == "0"}

    def of_box(box):
        x0, y0, x1, y1 = box
        return {
            (row, column)
            for column in range(round(x0 + 4), round(x1 + 4))
            for row in range(round(4 - y1), round(4 - y0))
        }

    assert all(abs(edge - round(edge)) < 1e-9 for box in boxes for edge in box)
    assert set().union(*map(of_box, boxes)) == dark
    neighbours = [(a, b) for a, b in combinations(sorted(dark), 2) if abs(a[0] - b[0]) + abs(a[1] - b[1]) == 1]
    assert neighbours
    assert all(any({a, b} <= of_box(box) for box in boxes) for a, b in neighbours)
