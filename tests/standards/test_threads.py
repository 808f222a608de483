"""Threads: reading what people write, ISO 724 geometry, and the thread tables against outside sources."""

from __future__ import annotations

import math
import re

import pytest
from fastener_oracles import read_fixture, read_own

from boardmaker.standards import Thread, parse_thread
from boardmaker.standards.reading import read_table

# not in the fixture of pitches, which is another source than the table's: nobody but our memory says so
ONLY_FROM_MEMORY = {(30.0, 1.0, "fine")}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("M6", Thread("M6", "metric", 6.0, 1.0)),
        (" m6 ", Thread("M6", "metric", 6.0, 1.0)),
        ("M6x1", Thread("M6", "metric", 6.0, 1.0)),
        ("M6x0.75", Thread("M6x0.75", "metric", 6.0, 0.75)),
        ("M6 x 0.75", Thread("M6x0.75", "metric", 6.0, 0.75)),
        ("M6×0,75", Thread("M6x0.75", "metric", 6.0, 0.75)),
        ("M16x1.5", Thread("M16x1.5", "metric", 16.0, 1.5)),
        ("M10x1.25 LH", Thread("M10x1.25-LH", "metric", 10.0, 1.25, left_hand=True)),
        ("ST4.2", Thread("ST4.2", "tapping", 4.2, 1.4)),
        ("st 4,2", Thread("ST4.2", "tapping", 4.2, 1.4)),
    ],
)
def test_a_metric_or_tapping_thread_is_read_and_normalised(text: str, expected: Thread) -> None:
    """Spaces, case, the multiplication sign and the decimal comma do not matter; a coarse pitch is left out."""
    assert parse_thread(text) == expected


@pytest.mark.parametrize(
    ("text", "designation", "diameter_in", "per_inch"),
    [
        ("1/4-20", "1/4-20", 0.25, 20),
        ("1/4-20 UNC", "1/4-20", 0.25, 20),
        ("1/4 UNF", "1/4-28", 0.25, 28),
        ("5/16-24 UNF", "5/16-24", 0.3125, 24),
        ("No. 10-32", "No. 10-32", 0.19, 32),
        ("no.10-32", "No. 10-32", 0.19, 32),
        ("#10-32", "No. 10-32", 0.19, 32),
        ("10-32", "No. 10-32", 0.19, 32),
        ("#4-40", "No. 4-40", 0.112, 40),
        ('1/2"-13', "1/2-13", 0.5, 13),
    ],
)
def test_an_inch_thread_is_read_and_normalised(text: str, designation: str, diameter_in: float, per_inch: int) -> None:
    """Fractions and numbers, with or without the series; sizes come out in mm (1 in = 25.4 mm)."""
    thread = parse_thread(text)
    assert (thread.designation, thread.system) == (designation, "inch")
    assert thread.diameter == pytest.approx(diameter_in * 25.4, abs=1e-12)
    assert thread.pitch == pytest.approx(25.4 / per_inch, abs=1e-12)


@pytest.mark.parametrize("text", ["1/4-20 LH", "1/4-20 UNC-LH", "1/4 UNC LH"])
def test_an_inch_thread_may_be_left_hand(text: str) -> None:
    """At the end, as with metric threads; in the designation it stands after a dash."""
    assert (parse_thread(text).designation, parse_thread(text).left_hand) == ("1/4-20-LH", True)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "M6x0.9",
            "M6x0.9 is not a thread of ISO 261/262: M6 has pitches 1 (coarse), 0.75; did you mean M6x0.75?",
        ),
        (
            "M8x1.2",
            "M8x1.2 is not a thread of ISO 261/262: M8 has pitches 1.25 (coarse), 1, 0.75; did you mean M8?",
        ),
        ("M10x1.43", "M10 has pitches 1.5 (coarse), 1.25, 1, 0.75; did you mean M10?"),  # 4.7 % off the coarse one
        ("M10x1.42", "M10 has pitches 1.5 (coarse), 1.25, 1, 0.75; did you mean M10x1.25?"),  # 5.3 % off
        ("M10x1.1", "M10 has pitches 1.5 (coarse), 1.25, 1, 0.75; did you mean M10x1?"),
        ("M6.5", "M6.5 is not a size of ISO 261/262; nearest are M6, M7"),
        ("M15", "M15 has no coarse pitch in ISO 261: write M15x1.5"),
        ("M0", "M0 is not a size of ISO 261/262; nearest are M1.6, M1.8"),
        ("1/4-21", "1/4-21 is not a thread of ASME B1.1: known are 1/4-20 (UNC), 1/4-28 (UNF)"),
        ("1/4", "1/4 is not a thread of ASME B1.1: known are 1/4-20 (UNC), 1/4-28 (UNF)"),
        ("1/4-28 UNC", "1/4-28 UNC is not a thread of ASME B1.1: known are 1/4-20 (UNC), 1/4-28 (UNF)"),
        ("M8-1.25", "did you mean M8x1.25?"),
        ("6", "did you mean M6?"),
        ("ST4.3", "ST4.3 is not a size of ISO 1478: known are ST1.5, ST1.9, ST2.2"),
        ("", "'' is not a thread: write M6, M6x0.75, 1/4-20, No. 10-32 or ST4.2"),
    ],
)
def test_a_wrong_thread_is_refused_with_what_is_allowed(text: str, message: str) -> None:
    """The message names the thread, what that size has, and the likely one."""
    with pytest.raises(ValueError, match=re.escape(message)):
        parse_thread(text)


@pytest.mark.parametrize(
    "text",
    ["M6 screw", "a M6", "M6x", "M6x1x1", "M-6", "M6 x 16 mm", "1/4-20-2", "ST", "M6\nM8",
     "ST4.2 screw", "ST4.2x16", "1/4-20 UNC x 16"],
)  # fmt: skip
def test_the_text_must_be_a_thread_and_nothing_else(text: str) -> None:
    """A thread with anything before or behind it is no thread."""
    with pytest.raises(ValueError, match="is not a thread"):
        parse_thread(text)


def test_every_thread_of_the_tables_reads_back_as_itself() -> None:
    """A normalised designation is read as the same thread, for every row of the three tables."""
    texts = [f"M{row['d']}x{row['P']}" for row in read_table("iso_261")]
    texts += [f"{row['size']}-{row['n']}" for row in read_table("asme_b1_1")]
    texts += [f"ST{row['size']}" for row in read_table("iso_1478")]
    threads = [parse_thread(text) for text in texts]
    assert [parse_thread(thread.designation) for thread in threads] == threads
    assert len({thread.designation for thread in threads}) == len(texts)


@pytest.mark.parametrize("row", read_fixture("published_threads.csv"), ids=lambda row: row["thread"])
def test_pitch_and_minor_diameter_are_the_published_ones(row: dict[str, str]) -> None:
    """ISO 724: d2 and d1 to the thousandth as published (source beside each in the fixture)."""
    thread = parse_thread(row["thread"])
    assert thread.pitch_diameter == pytest.approx(float(row["d2"]), abs=0.0011)  # some tables cut instead of rounding
    assert thread.minor_diameter == pytest.approx(float(row["d1"]), abs=0.0011)


@pytest.mark.parametrize("row", read_fixture("metric_stress_areas.csv"), ids=lambda row: row["thread"])
def test_metric_stress_areas_are_the_published_ones(row: dict[str, str]) -> None:
    """ISO 898-1, three figures: every coarse thread from M3 to M39 that the standard has."""
    assert float(f"{parse_thread(row['thread']).stress_area:.3g}") == float(row["As"])


@pytest.mark.parametrize("row", read_fixture("unified_threads.csv"), ids=lambda row: f"{row['size']} {row['series']}")
def test_inch_stress_areas_are_those_of_a_handbook(row: dict[str, str]) -> None:
    """Within 0.4 % of Shigley's table 8-2, which rounds to three figures or four."""
    thread = parse_thread(f"{row['size']}-{row['n']}")
    assert thread.stress_area == pytest.approx(float(row["At_in2"]) * 25.4**2, rel=0.004)


@pytest.mark.parametrize("row", read_table("iso_261"), ids=lambda row: f"M{row['d']}x{row['P']}")
def test_a_metric_thread_has_the_geometry_of_the_standards(row: dict[str, str]) -> None:
    """ISO 724: d2 = d - 0.649519 P, d1 = d - 1.082532 P; ISO 898-1: d3 = d - 1.226869 P, As = π/4 ((d2 + d3)/2)²."""
    diameter, pitch = float(row["d"]), float(row["P"])
    thread = parse_thread(f"M{row['d']}x{row['P']}")
    flank, root = diameter - 0.649519 * pitch, diameter - 1.226869 * pitch
    assert thread.pitch_diameter == pytest.approx(flank, abs=1e-5)
    assert thread.minor_diameter == pytest.approx(diameter - 1.082532 * pitch, abs=1e-5)
    assert thread.stress_area == pytest.approx(math.pi / 4 * ((flank + root) / 2) ** 2, rel=1e-5)


@pytest.mark.parametrize("row", read_table("asme_b1_1"), ids=lambda row: f"{row['size']}-{row['n']}")
def test_an_inch_thread_has_the_geometry_of_the_standard(row: dict[str, str]) -> None:
    """ASME B1.1, in inches: d2 = d - 0.649519/n, d1 = d - 1.082532/n, As = 0.7854 (d - 0.9743/n)²."""
    diameter, per_inch = float(row["d_in"]), int(row["n"])
    thread = parse_thread(f"{row['size']}-{row['n']}")
    assert thread.pitch_diameter == pytest.approx((diameter - 0.649519 / per_inch) * 25.4, abs=1e-5)
    assert thread.minor_diameter == pytest.approx((diameter - 1.082532 / per_inch) * 25.4, abs=1e-5)
    assert thread.stress_area == pytest.approx(0.7854 * (diameter - 0.9743 / per_inch) ** 2 * 25.4**2, rel=1e-4)


def test_a_tapping_thread_has_no_stress_area() -> None:
    """ISO 1478 threads have another profile: no area, no pitch diameter."""
    thread = parse_thread("ST4.2")
    assert (thread.stress_area, thread.pitch_diameter, thread.minor_diameter) == (None, None, None)


def test_metric_pitches_are_those_of_another_source() -> None:
    """Every size and pitch, coarse and fine, and not one more; the fixture has other sources than the table."""
    theirs = {(float(row["d"]), float(row["P"]), row["series"]) for row in read_fixture("published_pitches.csv")}
    ours = {(float(row["d"]), float(row["P"]), row["series"]) for row in read_table("iso_261")}
    assert ours - theirs == ONLY_FROM_MEMORY
    assert theirs - ours == set()


def test_selected_fine_threads_are_known() -> None:
    """The fine threads of ISO 262, read outside (page mastik.pt page712), are all in the table."""
    texts = [
        "M8x1",
        "M10x1.25",
        "M10x1",
        "M12x1.25",
        "M12x1.5",
        "M14x1.5",
        "M16x1.5",
        "M18x1.5",
        "M18x2",
        "M20x1.5",
        "M20x2",
        "M22x1.5",
        "M22x2",
        "M24x2",
    ]
    assert [parse_thread(text).designation for text in texts] == texts


def test_inch_threads_are_those_of_a_handbook() -> None:
    """Size, diameter and threads an inch of UNC and UNF, No. 2 to 1 in: Shigley's table 8-2."""
    theirs = {(row["size"], row["series"], float(row["d_in"]), row["n"]) for row in read_fixture("unified_threads.csv")}
    ours = {(row["size"], row["series"], float(row["d_in"]), row["n"]) for row in read_table("asme_b1_1")}
    assert ours == theirs


def test_numbered_inch_sizes_follow_their_rule() -> None:
    """ASME B1.1: No. n is 0.060 + 0.013 n in (Machinery's Handbook; from memory)."""
    rows = {row["size"]: float(row["d_in"]) for row in read_table("asme_b1_1") if row["size"].startswith("No.")}
    assert {size: round(0.060 + 0.013 * int(size[4:]), 4) for size in rows} == rows


def test_tapping_threads_agree_with_dealers_pages() -> None:
    """ISO 1478: d1 and P as two dealers print them (one has P 1.4 for ST3.9, which is left out: 1.3 in the others)."""
    own = read_own("iso_1478", key="size")
    rows = [row for row in read_fixture("published_dimensions.csv") if row["standard"] == "ISO 1478"]
    assert [row for row in rows if own[float(row["size"])][row["letter"]] != float(row["value"])] == []
    assert {float(row["size"]) for row in rows} == set(own)
