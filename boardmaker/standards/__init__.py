"""Standards: what a thread, a part, a hole, a property class, a paper or a scale is, from tables.

In: names and designations as people write them. Out: sizes in mm, stresses in MPa; a ValueError that says what is
allowed where a name is unknown. Beside the stages: imported by all, imports none. The tables are CSV files with the
standards' own letters and the source of every row; where a standard gives a range, the maximum is taken.
"""

from boardmaker.standards.heads import HeadSize, head_for
from boardmaker.standards.holes import clearance_hole
from boardmaker.standards.paper import PaperSize, drawing_scales, paper, paper_names, standard_scales
from boardmaker.standards.parts import Part, parse_part
from boardmaker.standards.strength import StrengthClass, strength
from boardmaker.standards.threads import Thread, parse_thread

__all__ = [
    "HeadSize",
    "PaperSize",
    "Part",
    "StrengthClass",
    "Thread",
    "clearance_hole",
    "drawing_scales",
    "head_for",
    "paper",
    "paper_names",
    "parse_part",
    "parse_thread",
    "standard_scales",
    "strength",
]
