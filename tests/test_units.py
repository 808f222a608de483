"""Quantities as people write them, against NIST SP 811 and the definitions of the units.

NIST SP 811 (2008), appendix B.8 (from memory): 1 in = 25.4 mm exactly, 1 ft = 0.3048 m exactly, 1 lbf = 4.448 222 N,
1 lbf·ft = 1.355 818 N·m, 1 lbf·in = 0.112 984 8 N·m, 1 kgf·m = 9.806 65 N·m exactly.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardmaker.units import (
    TorqueValue,
    counted,
    decimal_point,
    format_lbf,
    format_torque_in,
    format_torque_nm,
    handy_lbf,
    inches_as_written,
    is_in_inches,
    parse_length,
    parse_size,
    parse_torque,
    read_torque_unit,
    show_value,
    with_article,
)

BOUNDED = settings(max_examples=200, deadline=None, derandomize=True, database=None)


@pytest.mark.parametrize(
    ("value", "mm"),
    [
        (18, 18.0), (1.5, 1.5), ("18 mm", 18.0), ("18mm", 18.0), ("-3 mm", -3.0), ("+3 mm", 3.0),
        ("1.8 cm", 18.0), ("0.018 m", 18.0), ("0.75 in", 19.05), ("3/4 in", 19.05), ("3 / 4 in", 19.05),
        ("1 1/2 in", 38.1), ('3/4"', 19.05), ("3/4 inch", 19.05), ("2 inches", 50.8), ("1 ft", 304.8),
        ("3/4 in.", 19.05), ("0,75 in", 19.05), (".5 in", 12.7), ("18 MM", 18.0), ("  18   mm ", 18.0),
        ("7/16 in", 11.1125), ("1,0005 mm", 1.0005), ("0,500 mm", 0.5),
        ("3/4″", 19.05), ("2 m", 2000.0), ("2 ft", 609.6), ("-1 1/2 in", -38.1), ("- 3 mm", -3.0),
    ],
)  # fmt: skip
def test_lengths(value, mm):
    """Exactly the nearest number: an inch is 25.4 mm by definition."""
    assert parse_length(value) == mm


@pytest.mark.parametrize(
    ("value", "torque_nm"),
    [
        (5, 5.0), ("5 N·m", 5.0), ("5 Nm", 5.0), ("5 N.m", 5.0), ("5 N m", 5.0), ("5 N*m", 5.0),
        ("5 N⋅m", 5.0), ("5 N-m", 5.0), ("5nm", 5.0),
        ("44 lbf·in", 44 * 0.1129848), ("44 in-lb", 44 * 0.1129848), ("44 lb-in", 44 * 0.1129848),
        ("44 in·lbf", 44 * 0.1129848), ("44 lbf in", 44 * 0.1129848), ("44 in lb", 44 * 0.1129848),
        ("15 lbf·ft", 15 * 1.355818), ("15 ft-lb", 15 * 1.355818), ("15 lb.ft", 15 * 1.355818),
        ("15 ft⋅lbf", 15 * 1.355818), ("1.2 kgf·m", 1.2 * 9.80665), ("50 kgf·cm", 50 * 0.0980665),
        ("50 kgf-cm", 50 * 0.0980665),
        ("1,5 Nm", 1.5), ("1.2 m·kg", 1.2 * 9.80665), ("1,2 m-kg", 1.2 * 9.80665), ("1.2 kg·m", 1.2 * 9.80665),
        ("1.2 mkg", 1.2 * 9.80665), ("1.2 mkp", 1.2 * 9.80665), ("12 cm·kg", 12 * 0.0980665),
        ("12 cmkg", 12 * 0.0980665), ("12 kg-cm", 12 * 0.0980665), ("15 ft-lbs", 15 * 1.355818),
        ("15 ft. lbs.", 15 * 1.355818), ("15 lbs-ft", 15 * 1.355818), ("15 lb-ft", 15 * 1.355818),
        ("15 ftlb", 15 * 1.355818), ("15 foot-pounds", 15 * 1.355818), ("44 in-lbs", 44 * 0.1129848),
        ("44 lbs in", 44 * 0.1129848), ("44 inch pounds", 44 * 0.1129848),
        ("80 N·cm", 0.8), ("8 daNm", 80.0),
    ],
)  # fmt: skip
def test_torques(value, torque_nm):
    """To the figures that NIST SP 811 prints (six and more)."""
    (stage,) = parse_torque(value)
    assert stage.low_nm == stage.high_nm == pytest.approx(torque_nm, rel=5e-7)


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (5, ""), ("1,5 Nm", ""), ("9 to 11 N·m", ""), ("44 in-lb", "44 lbf·in"), ("44.0 lb. in.", "44.0 lbf·in"),
        ("1,2 mkg", "1.2 kgf·m"), ("1 1/2 ft-lbs", "1 1/2 lbf·ft"), ("10 to 12 ft-lbs", "10–12 lbf·ft"),
        ("9,5-11 m·kg", "9.5–11 kgf·m"), ("30 lbf·in to 4 lbf·ft", "30 lbf·in–4 lbf·ft"), ("90 deg", ""),
        ("1 N·m to 20 lbf·in", ""), ("8 daN·m", "8 daN·m"),
    ],
)  # fmt: skip
def test_a_torque_in_another_unit_keeps_what_was_written(value, written):
    """With the unit as it is printed; of N·m the number is enough."""
    assert parse_torque([5, value])[1].written == written


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (18, ""), ("18 mm", ""), ("1.8 cm", ""), ("3/4 in", "3/4 in"), ('3 / 4"', "3/4 in"), ("0,75 inch", "0.75 in"),
        ("1  1/2 inches", "1 1/2 in"), ("1 ft", "1 ft"), ("5/0 in", ""), ("1,500 in", ""), (None, ""), ("x", ""),
        ("3/4 in" + " " * 60, ""),
    ],
)  # fmt: skip
def test_a_length_in_inches_keeps_what_was_written(value, written):
    """Nothing of what is in mm, or is no length."""
    assert inches_as_written(value) == written


def test_a_comma_that_could_mean_thousands_is_refused():
    """In a torque, and by itself."""
    with pytest.raises(ValueError, match=r'^"1,500" could be 1500 or 1\.500: write one of them$'):
        parse_torque("1,500 Nm")
    with pytest.raises(ValueError, match=r'^"9,500" could be 9500 or 9\.500'):
        parse_torque("9,500 to 11 Nm")
    with pytest.raises(ValueError, match=r"could be 1500 or 1\.500"):
        decimal_point("1,500")
    assert decimal_point("5,9") == "5.9"


def test_torque_units_are_exact_by_definition():
    """1 lbf = 0.453 592 37 kg x 9.806 65 m/s² and 1 ft = 0.3048 m, both exact (international yard and pound, 1959)."""
    assert parse_torque("1 lbf·ft")[0].low_nm == pytest.approx(0.45359237 * 9.80665 * 0.3048, rel=1e-15)
    assert parse_torque("12 lbf·in") == parse_torque("1 lbf·ft")
    assert parse_torque("100 kgf·cm") == parse_torque("1 kgf·m")


def test_ranges_and_stages():
    """From low to high, also in two units; stages in working order, an angle at the end."""
    assert parse_torque("9 to 11 N·m") == (TorqueValue(9.0, 11.0),)
    assert (
        parse_torque("9-11 Nm") == parse_torque("9–11 N·m") == parse_torque("9 N·m to 11 N·m") == (TorqueValue(9, 11),)
    )
    assert parse_torque("9 to 9 N·m") == (TorqueValue(9.0, 9.0),)
    assert parse_torque("1 N·m to 20 lbf·in")[0].low_nm == 1.0
    assert parse_torque("0.5 N·m") == (TorqueValue(0.5, 0.5),)
    assert parse_torque("1 to 1.2 kgf·m") == (TorqueValue(9.80665, 11.76798),)
    assert parse_torque(["10 N·m", "20 N·m", "90 deg"]) == (
        TorqueValue(10, 10), TorqueValue(20, 20), TorqueValue(angle_deg=90),
    )  # fmt: skip
    assert parse_torque([10, "9 to 11 N·m", "45°"])[1:] == (TorqueValue(9, 11), TorqueValue(angle_deg=45))


LENGTH_FORM = "write a number in mm, or a text such as 18 mm or 3/4 in"
NO_UNIT = "is no unit here: write mm, cm, m or in"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("", f'"" is no quantity: {LENGTH_FORM}'), ("mm", f'"mm" is no quantity: {LENGTH_FORM}'),
        ("18 kn", f'"kn" {NO_UNIT}'), ("18 N·m", f'"N·m" {NO_UNIT}'), ("1e3 mm", f'"e3 mm" {NO_UNIT}'),
        ("18 nm", f'"nm" {NO_UNIT}'), ("18 mmm", '"mmm" is no unit here; did you mean mm?'),
        ("18 inc", '"inc" is no unit here; did you mean inch?'),
        ("1,000 mm", '"1,000" could be 1000 or 1.000: write one of them'),
        ("999,999 mm", '"999,999" could be 999999 or 999.999: write one of them'),
        ("3/0 in", '"3/0" divides by nought'),
        ("1:30", f'":30" {NO_UNIT}'), (True, f"true is no quantity: {LENGTH_FORM}"),
        (None, f"nothing is no quantity: {LENGTH_FORM}"), ([18], f"a list is no quantity: {LENGTH_FORM}"),
        ({}, f"a mapping is no quantity: {LENGTH_FORM}"), (float("nan"), "this is not a number that can be measured"),
        (float("inf"), "this is not a number that can be measured"),
        (10**400, "this is not a number that can be measured"),
        ("9" * 400, f'"{"9" * 60}…" is no quantity: {LENGTH_FORM}'), ("18 mm mm", f'"mm mm" {NO_UNIT}'),
        ("--3 mm", f'"--3 mm" is no quantity: {LENGTH_FORM}'), ("1/2/3 in", f'"/3 in" {NO_UNIT}'),
        ("٣ mm" * 99, f'"{"٣ mm" * 15}…" is no quantity: {LENGTH_FORM}'),
        ("½ in", f'"½ in" is no quantity: {LENGTH_FORM}'),
        ("18", f'the text "18" has no unit: {LENGTH_FORM}'),
        ("9" * 59 + "mm", f'"{"9" * 59}m…" is no quantity: {LENGTH_FORM}'),
    ],
)  # fmt: skip
def test_what_is_no_length(value, said):
    """A ValueError that shows the value, at most sixty letters of it, and nothing of the machine."""
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_length(value)


def test_a_text_of_sixty_letters_is_the_longest():
    """Of a length, a size and a torque."""
    assert parse_length("1" + " " * 57 + "mm") == 1.0
    assert parse_size("1 x 2" + " " * 53 + "mm") == (1.0, 2.0)
    assert parse_torque("5" + " " * 56 + "N·m") == (TorqueValue(5.0, 5.0),)
    with pytest.raises(ValueError, match="no torque"):
        parse_torque("5" + " " * 57 + "N·m")


NO_TORQUE_UNIT = "is no unit here: write N·m, lbf·in, lbf·ft, kgf·m or kgf·cm"
TORQUE_WORDS = "write a number in N·m, or a text such as 6 N·m or 9 to 11 N·m"
ALONE = "an angle alone is no torque: write the torque before it, such as [20 N·m, 90 deg]"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0, "0 is not more than nought"), (-5, "-5 is not more than nought"),
        ("0 N·m", '"0 N·m" is not more than nought'), ("0 to 5 N·m", '"0 to 5 N·m" is not more than nought'),
        (["5 N·m", "0 deg"], '"0 deg" is not more than nought'),
        ("11 to 9 N·m", '"11 to 9 N·m" runs from high to low: write the smaller torque first'),
        ("9 to 11", '"9 to 11" has no unit at its end: write 9 to 11 N·m'),
        ("9 to 11 mm", f'"mm" {NO_TORQUE_UNIT}'), ("5 mm", f'"mm" {NO_TORQUE_UNIT}'),
        ("90 deg", ALONE), (["90 deg"], ALONE), (["90 deg", "5 N·m"], ALONE),
        (["5 N·m", "90 deg x"], f'"deg x" {NO_TORQUE_UNIT}'),
        ([], "an empty list is no torque: write at least one stage, such as [20 N·m, 90 deg]"),
        ([[5]], f"a list is no quantity: {TORQUE_WORDS}"), ([5, True], f"true is no quantity: {TORQUE_WORDS}"),
        ("5 N·m 90 deg", f'"N·m 90 deg" {NO_TORQUE_UNIT}'), ("1 to 2 to 3 N·m", f'"to 3 N·m" {NO_TORQUE_UNIT}'),
        (None, f"nothing is no quantity: {TORQUE_WORDS}"), (True, f"true is no quantity: {TORQUE_WORDS}"),
        ("x" * 5000, f'"{"x" * 60}…" is no torque: {TORQUE_WORDS}'), (1e300, "1e+300 is more than 10000 N·m"),
        ("10001 N·m", '"10001 N·m" is more than 10000 N·m'),
        ("5 to 90000 N·m", '"5 to 90000 N·m" is more than 10000 N·m'),
        ("9000 lbf·ft", '"9000 lbf·ft" is more than 10000 N·m'),
        (["5 N·m", "3601 deg"], '"3601 deg" is more than 3600°'),
    ],
)  # fmt: skip
def test_what_is_no_torque(value, said):
    """Nought, high to low, a missing or foreign unit, an angle without a torque before it, more than can be.

    A torque of 300 digits would be a label that no board has room for.
    """
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_torque(value)


def test_the_most_that_a_torque_may_be():
    """10000 N·m and ten turns."""
    assert parse_torque(["10000 N·m", "3600 deg"]) == (TorqueValue(10_000, 10_000), TorqueValue(angle_deg=3600))


@pytest.mark.parametrize(
    ("value", "size"),
    [
        ("20 x 30 in", (508.0, 762.0)), ("560 x 400 mm", (560.0, 400.0)), ("560 × 400 mm", (560.0, 400.0)),
        ("20x30in", (508.0, 762.0)), ('20" x 30"', (508.0, 762.0)), ("20 in x 30 in", (508.0, 762.0)),
        ("20 in x 300 mm", (508.0, 300.0)), ("1/2 x 3/4 in", (12.7, 19.05)), ([560, 400], (560.0, 400.0)),
        ([30, "60 mm"], (30.0, 60.0)), ("2 x 4 ft", (609.6, 1219.2)),
    ],
)  # fmt: skip
def test_sizes(value, size):
    """Two lengths; the unit at the end counts for both."""
    assert parse_size(value) == size


NO_SIZE = "is no size: write two lengths and a unit, such as 20 x 30 in or 560 x 400 mm"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("20", f'"20" {NO_SIZE}'), ("20 in", f'"20 in" {NO_SIZE}'), ("x", f'"x" {NO_SIZE}'), ([1], f"a list {NO_SIZE}"),
        ("20 in x 30", '"20 in x 30" has a unit for its first length only: write 20 x 30 in'),
        ("20 x 30", '"20 x 30" has no unit: write 20 x 30 in or 560 x 400 mm'),
        ("20 x 30 x 5 mm", f'"x 5 mm" {NO_UNIT}'), ("20 x 30 kg", f'"kg" {NO_UNIT}'), ([1, 2, 3], f"a list {NO_SIZE}"),
        (None, f"nothing {NO_SIZE}"), (5, f"5 {NO_SIZE}"),
        ("20 x 30" + " " * 60 + "mm", f'"20 x 30{" " * 53}…" {NO_SIZE}'),
        ("in", f'"in" {NO_SIZE}'),
    ],
)  # fmt: skip
def test_what_is_no_size(value, said):
    """One length, three, a unit for the first only."""
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_size(value)


def test_a_missing_unit_is_never_guessed_from_the_size():
    """A bare number is in the key's own unit; a text says its unit, however much 20 x 30 looks like inches."""
    assert parse_length(0.75) == 0.75
    for parse, text in ((parse_size, "20 x 30"), (parse_length, "0.75"), (parse_torque, "5")):
        with pytest.raises(ValueError, match="has no unit"):
            parse(text)


@pytest.mark.parametrize(
    ("value", "inches"),
    [("20 x 30 in", True), ("20in x 30in", True), ('20" x 30"', True), (["20 in", 30], True), ("2 x 3 ft", True),
     ("560 x 400 mm", False), ("560 x 400", False), ([560, 400], False), (None, False), ("tin", False)],
)  # fmt: skip
def test_whether_a_size_was_written_in_inches(value, inches):
    """Then lengths to mark are said in inches too."""
    assert is_in_inches(value) is inches


@BOUNDED
@given(st.integers(1, 99999), st.sampled_from(["mm", "cm", "m", "in", "ft"]), st.integers(0, 3))
def test_a_length_scales_with_its_number(digits, unit, decimals):
    """Ten times the number is ten times the length, exactly, in every unit."""
    number = digits / 10**decimals
    text = f"{number:.{decimals}f}"
    assert parse_length(f"{text} {unit}") == pytest.approx(number * parse_length(f"1 {unit}"), rel=1e-15)
    assert parse_length(f"{digits} {unit}") == pytest.approx(10**decimals * parse_length(f"{text} {unit}"), rel=1e-15)


NEARLY = st.lists(
    st.sampled_from(
        [*"0123456789", ".", ",", "/", "-", "+", " ", "x", "to", "mm", "in", '"', "N·m", "lbf", "ft", "deg"]
    ),
    max_size=8,
).map("".join)


def numbers_from(parse, text):
    """All numbers that come out; none where the text is refused."""
    try:
        found = parse(text)
    except ValueError:
        return []
    if parse is parse_torque:
        return [one for stage in found for one in (stage.low_nm, stage.high_nm, stage.angle_deg) if one is not None]
    return [found] if parse is parse_length else list(found)


@pytest.mark.slow
@BOUNDED
@given(st.text(max_size=30) | NEARLY)
def test_any_text_is_a_quantity_or_a_value_error(text):
    """Nothing else comes out, whatever somebody types: numbers that can be measured, torques above nought."""
    for parse in (parse_length, parse_size, parse_torque):
        numbers = numbers_from(parse, text)
        assert all(type(one) is float and math.isfinite(one) for one in numbers)
        assert parse is not parse_torque or all(0.0 < one <= 10_000.0 for one in numbers)


@BOUNDED
@given(st.floats(0.05, 400))
def test_pound_units_are_right_within_one_per_cent(torque_nm):
    """What is printed in lbf·in or lbf·ft reads back within 1 %, and lbf·in is used for small torques only."""
    text = format_lbf(torque_nm, torque_nm)
    assert parse_torque(text)[0].low_nm == pytest.approx(torque_nm, rel=0.01)
    assert text.endswith("lbf·in") == (torque_nm <= 12.0)


@BOUNDED
@given(st.floats(0.1, 500))
def test_what_is_printed_in_newton_metres_reads_back(torque_nm):
    """Within half a hundredth, or three figures below 1 N·m."""
    assert parse_torque(format_torque_nm(torque_nm, torque_nm))[0].low_nm == pytest.approx(torque_nm, abs=0.0051)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Nm", "N·m"),
        ("N·m", "N·m"),
        ("ft-lb", "lbf·ft"),
        ("in lb", "lbf·in"),
        ("lbf·ft", "lbf·ft"),
        ("kgf.cm", "kgf·cm"),
    ],
)
def test_a_unit_of_torque_is_known_by_any_of_its_names(text, unit):
    """And printed by one."""
    assert read_torque_unit(text) == unit


@pytest.mark.parametrize(
    ("unit", "low", "high", "said"),
    [
        ("N·m", 20.0, 20.0, "20 N·m"), ("N·m", 123.4, 123.4, "123 N·m"), ("N·m", 99.96, 99.96, "100 N·m"),
        ("N·m", 9.996, 12.34, "10–12.3 N·m"), ("N·m", 1.005, 1.234, "1–1.23 N·m"), ("N·m", 0.1234, 0.1234, "0.123 N·m"),
        ("kgf·m", 9.80665, 19.6133, "1–2 kgf·m"), ("lbf·ft", 50.0, 50.1, "36.9–37 lbf·ft"),
    ],
)  # fmt: skip
def test_three_figures_in_any_unit(unit, low, high, said):
    """Whole from 100 up; no noughts behind; by hand: 50 / 1.355818 = 36.878, 50.1 / 1.355818 = 36.952."""
    assert format_torque_in(unit, low, high) == said


def test_the_handier_unit_changes_at_twelve_newton_metres():
    """Up to 12 N·m, a range by its end."""
    assert [handy_lbf(one) for one in (0.5, 12.0, 12.01)] == ["lbf·in", "lbf·in", "lbf·ft"]
    assert format_lbf(10.0, 12.01) == "7.38–8.86 lbf·ft"


def test_how_quantities_are_printed():
    """No trailing noughts; a range with a dash and one unit."""
    assert [format_torque_nm(6, 6), format_torque_nm(9, 11)] == ["6 N·m", "9–11 N·m"]
    assert [format_torque_nm(one, one) for one in (1.0, 1.256, 0.98765, 100.0, 12.34)] == [
        "1 N·m", "1.26 N·m", "0.988 N·m", "100 N·m", "12.34 N·m",
    ]  # fmt: skip
    assert [format_lbf(5, 5), format_lbf(9, 11), format_lbf(20, 20)] == [
        "44.3 lbf·in",
        "79.7–97.4 lbf·in",
        "14.8 lbf·ft",
    ]
    assert (show_value(False), show_value("x" * 60), show_value("x" * 61)) == (
        "false",
        f'"{"x" * 60}"',
        f'"{"x" * 60}…"',
    )
    assert [show_value(one) for one in (True, None, "a", 5, [1], {})] == [
        "true",
        "nothing",
        '"a"',
        "5",
        "a list",
        "a mapping",
    ]


def test_a_count_agrees_with_its_noun():
    """One board, no boards, two boards; so does the verb behind it."""
    assert [counted(number, "board") for number in (0, 1, 2, 21)] == ["0 boards", "1 board", "2 boards", "21 boards"]
    said = [counted(number, "change of side", "changes of side") for number in (1, 3)]
    assert said == ["1 change of side", "3 changes of side"]


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("8", "an 8"), ("8.5", "an 8.5"), ("80", "an 80"), ("11", "an 11"), ("18.2", "an 18.2"), ("6", "a 6"),
        ("1.8", "a 1.8"), ("10", "a 10"), ("110", "a 110"), ("118", "a 118"), ("180", "a 180"),
    ],
)  # fmt: skip
def test_a_number_has_the_article_that_is_spoken(number, said):
    """An eight, an eleven, an eighteen; a hundred and eighty."""
    assert with_article(number) == said
