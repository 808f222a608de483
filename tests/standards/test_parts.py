"""Part designations: what is read, what is refused and how."""

from __future__ import annotations

import math
import re

import pytest

from boardmaker.standards import Part, Thread, head_for, parse_part
from boardmaker.standards.heads import part_standards
from boardmaker.standards.reading import read_table

M6 = Thread("M6", "metric", 6.0, 1.0)


def test_a_designation_gives_every_value_of_the_part() -> None:
    """ISO 7380-2 M6: flange 13.6, height 3.3, key 4 (sources: `standards/tables/iso_7380_2.csv`)."""
    assert parse_part("ISO 7380-2 - M6 x 16 - 10.9") == Part(
        "ISO 7380-2", M6, 16.0, "10.9", "screw", "flanged button", 13.6, 3.3, "hex 4"
    )


@pytest.mark.parametrize(
    "text",
    [
        "ISO7380-2-M6x16-10.9",
        "iso 7380-2 – M6×16 – 10.9",
        "ISO 7380-2 M6x16 10.9",
        "DIN EN ISO 7380-2:2011 - M6 x 16 - 10.9",
        "Screw ISO 7380-2 - M6 x 16 - 10.9",
    ],
)
def test_spaces_dashes_and_national_prefixes_do_not_matter(text: str) -> None:
    """All ways to write it give the same part."""
    assert parse_part(text) == parse_part("ISO 7380-2 - M6 x 16 - 10.9")


@pytest.mark.parametrize(
    ("text", "kind", "shape", "diameter", "height", "drive"),
    [
        # the sources of each stand in fixtures/standards/published_dimensions.csv
        ("ISO 4762 - M6 x 16", "screw", "cylinder", 10.0, 6.0, "hex 5"),
        ("ISO 7380-1 - M6 x 16", "screw", "button", 10.5, 3.3, "hex 4"),
        ("ISO 10642 - M6 x 16", "screw", "countersunk", 13.44, 3.72, "hex 4"),
        ("ISO 7045 - M5 x 16", "screw", "pan", 9.5, 3.7, "PH2"),
        ("ISO 14583 - M5 x 16", "screw", "pan", 9.5, 3.7, "T25"),
        ("DIN 7500-1 CE - M5 x 16", "screw", "pan", 9.5, 3.7, "T25"),
        ("DIN 7500 C - M5 x 16 - Z", "screw", "pan", 10.0, 3.95, "PZ2"),
        ("DIN 7500-1 C M4x10", "screw", "pan", 8.0, 3.25, "PH2"),
        ("DIN 7500-CE M6x16", "screw", "pan", 12.0, 4.75, "T30"),
        ("ISO 14580 - M6 x 16", "screw", "cylinder", 10.0, 4.4, "T30"),
        ("ISO 14581 - M6 x 16", "screw", "countersunk", 12.6, 3.3, "T30"),
        ("ISO 7047 - M5 x 16", "screw", "raised countersunk", 10.4, 3.9, "PH2"),
        ("ISO 4014 - M10 x 60", "bolt", "hex", 32 / math.sqrt(3), 6.58, "hexagon 16"),
        ("ISO 4017 - M6 x 16", "screw", "hex", 20 / math.sqrt(3), 4.15, "hexagon 10"),
        ("EN 1662 - M12 x 30", "bolt", "flanged hex", 24.7, 12.1, "hexagon 16"),
        ("ISO 15071 - M12 x 30", "bolt", "flanged hex", 24.7, 12.1, "hexagon 15"),
        ("ISO 4162 - M12 x 30", "bolt", "flanged hex", 24.7, 11.9, "hexagon 15"),
        ("JIS B 1189 - M8 x 25", "bolt", "flanged hex", 17.0, 8.5, "hexagon 10"),
        ("JIS B 1180 small - M8 x 25", "bolt", "hex", 24 / math.sqrt(3), 5.7, "hexagon 12"),
        ("ISO 7379 - M8 x 40", "shoulder screw", "cylinder", 16.0, 7.0, "hex 5"),
        ("ISO 4161 - M10", "nut", "flanged hex", 21.8, 10.0, "hexagon 15"),
        ("ISO 4035 - M10", "nut", "hex", 32 / math.sqrt(3), 5.0, "hexagon 16"),
        ("ISO 7040 - M6", "nut", "hex", 20 / math.sqrt(3), 8.0, "hexagon 10"),
        ("ISO 7092 - 6", "washer", "round", 11.0, 1.8, ""),
        ("ISO 7049 - ST9.5 x 25", "tapping screw", "pan", 20.0, 7.5, "PH4"),
        ("ISO 7049 - ST4.2 x 16", "tapping screw", "pan", 8.0, 3.1, "PH2"),
        ("ISO 14585 - ST4.2 x 16", "tapping screw", "pan", 8.0, 3.1, "T20"),
        ("ISO 4032 - M6", "nut", "hex", 20 / math.sqrt(3), 5.2, "hexagon 10"),
        ("ISO 7089 - 6", "washer", "round", 12.0, 1.8, ""),
        ("ISO 7093 - M6", "washer", "round", 18.0, 1.8, ""),
        ("ISO 7093-1 - M5", "washer", "round", 15.0, 1.1, ""),
    ],
)
def test_head_and_drive_come_from_the_standards_table(
    text: str, kind: str, shape: str, diameter: float, height: float, drive: str
) -> None:
    """The head is the largest that the standard allows, a hexagon measured over its corners."""
    part = parse_part(text)
    assert (part.kind, part.head_shape, part.drive) == (kind, shape, drive)
    assert (part.head_diameter, part.head_height) == pytest.approx((diameter, height))


@pytest.mark.parametrize(
    ("text", "thread", "length", "property_class"),
    [
        ("ISO 4762 - M8x1 x 25 - 8.8", "M8x1", 25.0, "8.8"),
        ("ISO 4762 - M8x1", "M8x1", None, ""),
        ("ISO 4762 - M8", "M8", None, ""),
        ("ISO 4762 - M8 x 1.25 x 25", "M8", 25.0, ""),
        ("ISO 4762 - M6 x 13.7 - A2-70", "M6", 13.7, "A2-70"),
        ("ISO 10642 - M6 x 16 - 010.9", "M6", 16.0, "010.9"),
        ("ISO 4762 - M2 x 2", "M2", 2.0, ""),
        ("ISO 4032 - M8x1 - 8", "M8x1", None, "8"),
        ("ISO 7089 - 8 - 200HV", "M8", None, "200 HV"),
    ],
)
def test_pitch_length_and_class_are_told_apart(
    text: str, thread: str, length: float | None, property_class: str
) -> None:
    """Any length is taken, a lone number is a pitch only where that size has it, the class may be left out."""
    part = parse_part(text)
    assert (part.thread.designation, part.length, part.property_class) == (thread, length, property_class)


@pytest.mark.parametrize(
    ("text", "drive"),
    [
        ("ISO 7045 - M5 x 20 - 4.8 - H", "PH2"),
        ("ISO 7045 - M5 x 20 - 4.8 - Z", "PZ2"),
        ("ISO 7045 - M5 x 20 - Z", "PZ2"),
        ("ISO 7049 - ST4,2 x 16 - C - Z", "PZ2"),
    ],
)
def test_the_type_of_a_cross_recess_is_read(text: str, drive: str) -> None:
    """Type H (or none) is Phillips, type Z Pozidriv: the letter ends the designation."""
    assert parse_part(text).drive == drive


def test_a_shoulder_screw_is_named_by_its_shoulder() -> None:
    """ISO 7379 M8: shoulder 10 mm thick, 13 mm of thread behind it (bd-warehouse 0.4.0; b: FreeCAD Fasteners)."""
    screw = parse_part("ISO 7379 - M8 x 40 - 12.9")
    assert (screw.shoulder, screw.length, screw.property_class) == ((40.0, 10.0), 53.0, "12.9")
    assert (parse_part("ISO 7379 - M8").shoulder, parse_part("ISO 7379 - M8").length) == (None, None)
    assert parse_part("ISO 4762 - M8 x 40").shoulder is None


def test_an_equal_older_name_stands_for_the_standard() -> None:
    """DIN 912 has the head and key of ISO 4762, ISO 7380 became part 1."""
    assert parse_part("DIN 912 - M6 x 16 - 8.8") == parse_part("ISO 4762 - M6 x 16 - 8.8")
    assert parse_part("ISO 7380 - M6 x 16").standard == "ISO 7380-1"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("ISO 7830 - M6 x 16", "ISO 7830 is not a known standard: known are ISO 7380-1, ISO 7380-2"),
        ("ISO 7830 - M6 x 16", "did you mean ISO 7380-1?"),
        (
            "JIS B 1180 - M8 x 25",
            "it follows ISO 4014: write ISO 4014 if the part is to that standard (bolts from Japan",
        ),
        ("DIN 985 - M6", "replaced by ISO 7040: write ISO 7040 if the part is to that standard (the DIN is lower"),
        ("ISO 7379 - M8 x 40 - 12.8", "'12.8' is not a property class of ISO 898-1"),
        ("DIN 933 - M10 x 30", "replaced by ISO 4017: write ISO 4017 if the part is to that standard (M10 is 17"),
        ("ISO 7380-2 - M7 x 16", "has no M7 in the table: known are M6, M8, M5, M4, M10, M3, M12"),
        ("ISO 4762 - ST6 x 16", "has no ST6 in the table: known are M6"),
        ("ISO 7049 - M4 x 16", "has no M4 in the table: known are ST4.2, ST3.5"),
        ("ISO 4762 - M6x0.9 x 16", "M6 has pitches 1 (coarse), 0.75; did you mean M6x0.75?"),
        ("ISO 4762 - M6 x 16 - 8.9", "'8.9' is not a property class of ISO 898-1 or ISO 3506-1: known are 4.6"),
        ("ISO 4032 - M6 - 8.8", "'8.8' is not a property class of a nut: known are 04, 05, 5, 6, 8"),
        ("ISO 4762 - M6 x 0", "a length of 0 mm is not allowed: it must be above 0 and below 1000 mm"),
        ("ISO 4762 - M6 x 1000", "a length of 1000 mm is not allowed"),
        ("ISO 4032 - M8x1 x 30", "a nut has no length: leave out x 30"),
        ("ISO 7089 - M6 x 12", "a washer has no length"),
        ("ISO 7049 - ST4.2 x 1.4 x 16", "a tapping screw is not named with a pitch"),
        ("ISO 4762 - M6 x 16 - C", "C is the point of a tapping screw, ISO 4762 has none: leave it out"),
        ("ISO 4762 - M6 x 16 - 8.8 - H", "H is the type of a cross recess, ISO 4762 has none: leave it out"),
    ],
)
def test_a_wrong_part_is_refused_with_what_is_known(text: str, message: str) -> None:
    """The message names what is wrong and what would be right, the nearest first."""
    with pytest.raises(ValueError, match=re.escape(message)):
        parse_part(text)


@pytest.mark.parametrize(
    "text", ["", "M6 x 16", "ISO 4762", "ISO 4762 - 6 x 16", "ISO 7380-2 - X6", "ISO 4762 - M6x1x2x3"]
)
def test_what_is_no_designation_is_refused_with_an_example(text: str) -> None:
    """Standard and size must be there; only a washer goes by its bare size."""
    with pytest.raises(ValueError, match=r"is not a part designation: write ISO 7380-2 - M6 x 16 - 10\.9"):
        parse_part(text)


def test_every_size_of_every_standard_can_be_named() -> None:
    """Each row of each part table is reached by its designation, with a head wider than the thread."""
    for standard, part in part_standards().items():
        letters = "ST" if part["kind"] == "tapping screw" else "M"
        for row in read_table(part["table"]):
            found = parse_part(f"{standard} - {letters}{row['d']}")
            assert (found.standard, found.thread.diameter) == (standard, float(row["d"]))
            assert found.head_diameter > found.thread.diameter
            assert found.head_height > 0


@pytest.mark.parametrize(
    ("shape", "diameter", "height"),
    [
        ("button", 10.5, 3.3),
        ("flanged button", 13.6, 3.3),
        ("pan", 12, 4.6),
        ("cylinder", 10, 6),
        ("countersunk", 13.44, 3.72),
        ("raised countersunk", 12.6, 4.7),
        ("hex", 20 / math.sqrt(3), 4.15),
        ("flanged hex", 13.6, 6.9),
    ],
)
def test_a_shape_word_has_a_typical_head(shape: str, diameter: float, height: float) -> None:
    """At M6, from the standard of that shape (sources: fixtures/standards/published_dimensions.csv)."""
    head = head_for(shape, 6)
    assert head is not None
    assert (head.diameter, head.height) == (diameter, height)


def test_a_typical_head_between_two_sizes_is_interpolated() -> None:
    """1/4 in lies between M6 and M8: 11.1 mm, as the 0.437 in of ASME B18.3 button heads (from memory)."""
    head = head_for("button", 6.35)
    assert head is not None
    assert head.diameter == pytest.approx(0.437 * 25.4, abs=0.05)
    assert head.height == pytest.approx(3.3 + 0.175 * 1.1)  # 3.3 mm at M6, 4.4 mm at M8


@pytest.mark.parametrize(("shape", "diameter"), [("binding", 6), ("round", 6), ("button", 2), ("button", 30)])
def test_no_head_is_made_up_where_no_standard_speaks(shape: str, diameter: float) -> None:
    """A shape without a standard, or a thread beyond its table, has no typical head."""
    assert head_for(shape, diameter) is None
