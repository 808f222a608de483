"""Property classes, clearance holes, paper and scales against outside sources."""

from __future__ import annotations

import re
import subprocess
import sys
from fractions import Fraction
from itertools import pairwise

import pytest
from fastener_oracles import read_fixture
from reportlab.lib import pagesizes
from reportlab.lib.units import mm

from boardmaker.standards import (
    StrengthClass,
    clearance_hole,
    drawing_scales,
    paper,
    paper_names,
    parse_thread,
    standard_scales,
    strength,
)
from boardmaker.standards.strength import check_class, property_classes
from boardmaker.standards.wording import suggest


@pytest.mark.parametrize("row", read_fixture("proof_loads.csv"), ids=lambda row: f"{row['thread']}-{row['class']}")
def test_area_times_stress_is_the_published_load(row: dict[str, str]) -> None:
    """ISO 898-1 proof and ultimate loads within 0.5 %, areas as the standard rounds them to three figures."""
    thread = parse_thread(row["thread"])
    assert thread.stress_area is not None
    area = float(f"{thread.stress_area:.3g}")
    grade = strength(row["class"], thread.diameter)
    assert area * grade.proof_mpa == pytest.approx(float(row["proof_load_n"]), rel=0.0051)  # M6 8.8 is 0.50 % off
    assert area * grade.tensile_mpa == pytest.approx(float(row["ultimate_load_n"]), rel=0.005)


def test_classes_are_those_of_the_kind_of_part() -> None:
    """A bolt's are a screw's (ISO 898-1); a washer's hardness is no screw's class; blanks around it do not count."""
    assert property_classes("bolt") == property_classes("screw")
    assert not {*property_classes("washer")} & {*property_classes("screw"), *property_classes("tapping screw")}
    assert check_class(" a2-70 ", "bolt") == "A2-70"
    assert strength(" 8.8 ") == strength("8.8")


def test_a_class_may_depend_on_the_diameter() -> None:
    """8.8 is stronger above M16 (nfgab.se page on EN ISO 898-1:2013); without a diameter the lower values hold."""
    assert strength("8.8", 16) == StrengthClass("8.8", 800, 640, 580)
    assert strength("8.8", 20) == StrengthClass("8.8", 830, 660, 600)
    assert strength("8.8") == strength("8.8", 16)


@pytest.mark.parametrize(
    ("name", "tensile", "yield_", "proof"),
    [
        # page usefastener.com on EN ISO 898-1: Rm min, ReL or Rp0.2 min, Sp
        ("4.6", 400, 240, 225),
        ("4.8", 420, 340, 310),
        ("5.6", 500, 300, 280),
        ("5.8", 520, 420, 380),
        ("6.8", 600, 480, 440),
        ("9.8", 900, 720, 650),
        ("10.9", 1040, 940, 830),
        ("12.9", 1220, 1100, 970),
    ],
)
def test_steel_classes_have_the_published_stresses(name: str, tensile: float, yield_: float, proof: float) -> None:
    """Every class of ISO 898-1 as a dealer prints it (usefastener.com)."""
    assert strength(name) == StrengthClass(name, tensile, yield_, proof)


def test_stainless_yield_is_in_the_ratio_of_published_torques() -> None:
    """Tightening torque at 90 % of the yield is proportional to it: M4 and M5 torques of infosys.beckhoff.com."""
    for torque_50, torque_70, torque_80 in ((0.868, 1.86, 2.48), (1.72, 3.68, 4.91)):
        base = strength("A2-50").yield_mpa / torque_50
        assert strength("A2-70").yield_mpa / torque_70 == pytest.approx(base, rel=0.005)
        assert strength("A4-80").yield_mpa / torque_80 == pytest.approx(base, rel=0.005)
    assert [strength(f"A4-{digits}").tensile_mpa for digits in (50, 70, 80, 100)] == [500, 700, 800, 1000]


def test_a_leading_zero_says_that_the_head_carries_less() -> None:
    """010.9 is the material of 10.9 with a marked head (ISO 898-1)."""
    assert strength("010.9") == StrengthClass("010.9", 1040, 940, 830, reduced=True)


@pytest.mark.parametrize(
    ("name", "diameter", "message"),
    [
        ("8.9", None, "'8.9' is not a property class of ISO 898-1 or ISO 3506-1: known are 4.6, 4.8"),
        ("10,9", None, "did you mean 10.9?"),
        ("", None, "'' is not a property class"),
        ("9.8", 20, "class 9.8 is for diameters up to 16 mm, this one has 20 mm"),
    ],
)
def test_an_unknown_class_is_refused(name: str, diameter: float | None, message: str) -> None:
    """The message lists the classes and the likely one, or the diameters of the class."""
    with pytest.raises(ValueError, match=re.escape(message)):
        strength(name, diameter)


@pytest.mark.parametrize(
    ("diameter", "fine", "medium", "coarse"),
    [(1.6, 1.7, 1.8, 2), (6, 6.4, 6.6, 7), (12, 13, 13.5, 14.5), (24, 25, 26, 28)],
)
def test_clearance_holes_are_those_of_iso_273(diameter: float, fine: float, medium: float, coarse: float) -> None:
    """Three fits at four sizes (M12 as in BOSL2 and on a page, not as in bd-warehouse); medium is the default."""
    assert clearance_hole(diameter, "fine") == fine
    assert clearance_hole(diameter) == clearance_hole(diameter, "medium") == medium
    assert clearance_hole(diameter, "coarse") == coarse


def test_a_diameter_between_two_sizes_gets_the_next_larger_hole() -> None:
    """A shoulder of 9 mm goes through the hole for M10, a quarter inch through that for M7."""
    assert clearance_hole(9) == clearance_hole(10)
    assert clearance_hole(6.35) == clearance_hole(7)
    assert all(clearance_hole(tenth / 10) > tenth / 10 for tenth in range(1, 361))


@pytest.mark.parametrize("diameter", [0, -1, 37, float("nan")])
def test_no_hole_is_made_up(diameter: float) -> None:
    """Nothing below or beyond the table."""
    with pytest.raises(ValueError, match="allowed is more than 0 up to 36 mm"):
        clearance_hole(diameter)


@pytest.mark.parametrize("name", paper_names())
def test_paper_sizes_are_reportlabs(name: str) -> None:
    """ISO 216 and US sizes as in reportlab.lib.pagesizes, portrait, to a thousandth of a millimetre."""
    theirs = getattr(pagesizes, name.upper())
    assert (paper(name).width, paper(name).height) == pytest.approx((theirs[0] / mm, theirs[1] / mm), abs=0.001)


def test_each_a_size_is_half_the_one_before() -> None:
    """ISO 216: the long side halved and rounded down is the next short side."""
    sizes = [paper(f"A{step}") for step in range(6)]
    for larger, smaller in pairwise(sizes):
        assert (smaller.width, smaller.height) == (larger.height // 2, larger.width)


def test_a_paper_is_known_in_any_case() -> None:
    """`a4` and `Letter` are fine; the name comes back as it is listed."""
    assert paper("a4") == paper("A4")
    assert paper(" Letter ").name == "letter"
    assert paper_names() == ("A0", "A1", "A2", "A3", "A4", "A5", "letter", "legal", "tabloid")


def test_tables_are_read_late() -> None:
    """Importing the package reads no table: `boardmaker --help` must not wait for them."""
    code = "import boardmaker.standards.reading as reading; print(reading.read_table.cache_info().currsize)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "0"


def test_an_unknown_paper_is_refused_with_the_known_ones() -> None:
    """The message lists the papers and the likely one."""
    known = "A0, A1, A2, A3, A4, A5, letter, legal, tabloid"
    with pytest.raises(ValueError, match=f"'leter' is not a known paper: known are {known}; did you mean letter"):
        paper("leter")


@pytest.mark.parametrize(
    ("word", "allowed", "said"),
    [
        ("abcde", ["uvwxy", "abcxy"], "; did you mean abcxy?"),  # three letters of five
        ("abcdefghi", ["abcdeuvwx"], ""),  # five of nine
        ("ABCDE", ["abcde"], "; did you mean abcde?"),
        ("abcde", ["uvwxy"], ""),
        ("abcde", [], ""),
    ],
)
def test_a_slip_is_proposed_from_three_letters_in_five(word: str, allowed: list[str], said: str) -> None:
    """The most alike of the allowed words, whatever its case; nothing where none is alike, or none is allowed."""
    assert suggest(word, allowed) == said


def test_drawing_scales_are_the_reductions_of_iso_5455() -> None:
    """1:1, 1:2, 1:5, 1:10, 1:20, 1:50 (ISO 5455:1979; where it was read: `standards/tables/iso_5455.csv`)."""
    assert drawing_scales() == (1, 0.5, 0.2, 0.1, 0.05, 0.02)


def test_standard_scales_are_the_steps_and_their_halves() -> None:
    """Largest first, none twice: 1:4 is half of 1:2, 1:10 half of 1:5 and a step itself."""
    denominators = [Fraction(1 / scale).limit_denominator(1000) for scale in standard_scales()]
    assert denominators == [1, 2, 4, 5, 10, 20, 40, 50, 100]
