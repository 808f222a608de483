"""The capture mat: sheets with codes to lay a panel on for its photos, and marks for its holes.

In: the setup and the keys of a bike's fasteners. Out: a `Mat` (what lies where), its pages, `mat.json`; the `Mat` of a
stranger's `mat.json`, and that of sheets without one. Stands beside the flow: no board knows of it, and who reads
photos needs the `Mat` alone.
"""

from boardmaker.mat.layout import INKS, TINTS, lay_mat, standard_mat
from boardmaker.mat.mark_codes import is_letter
from boardmaker.mat.mat_file import read_mat, write_mat
from boardmaker.mat.pages import mat_pages
from boardmaker.mat.parts import Mat, MatMark, SheetTag, sheet_name

__all__ = [
    "INKS",
    "TINTS",
    "Mat",
    "MatMark",
    "SheetTag",
    "is_letter",
    "lay_mat",
    "mat_pages",
    "read_mat",
    "sheet_name",
    "standard_mat",
    "write_mat",
]
