"""Threads: reading what people write, ISO 724 geometry, and the thread tables against outside sources."""

from __future__ import annotations

import re

import pytest
from fastener_oracles import read_bosl2, read_fixture, read_own

from boardmaker.standards import Thread, parse_thread
from boardmaker.standards.reading import read_table
from boardmaker.standards.threads import metric_pitches

# sizes that BOSL2 (solidpython2 2.1.3) does not have: its table leaves out the third choice and M4.5
NOT_IN_BOSL2 = {4.5, 5.5, 15, 17, 25, 26, 28, 32, 35, 38, 40}
# pitches that BOSL2 does not have: its rows end after three fine pitches
CUT_OFF_IN_BOSL2 = {(30, 1), (42, 1.5)}


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


@pytest.mark.parametrize("text", ["M6 screw", "a M6", "M6x", "M6x1x1", "M-6", "M6 x 16 mm", "1/4-20-2", "ST", "M6\nM8"])
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


@pytest.mark.parametrize(
    ("text", "published"),
    [(row["thread"], float(row["As"])) for row in read_fixture("published_threads.csv") if row["As"]],
)
def test_metric_stress_areas_are_the_published_ones(text: str, published: float) -> None:
    """ISO 898-1, three figures; every metric size that the fixture has a stress area for."""
    assert float(f"{parse_thread(text).stress_area:.3g}") == published


@pytest.mark.parametrize("row", read_fixture("unified_stress_areas.csv"), ids=lambda row: row["thread"])
def test_inch_stress_areas_are_the_published_ones(row: dict[str, str]) -> None:
    """ASME B1.1, within 0.5 % of the rounded square inches on public pages."""
    assert parse_thread(row["thread"]).stress_area == pytest.approx(float(row["As_in2"]) * 25.4**2, rel=0.005)


def test_a_tapping_thread_has_no_stress_area() -> None:
    """ISO 1478 threads have another profile: no area, no pitch diameter."""
    thread = parse_thread("ST4.2")
    assert (thread.stress_area, thread.pitch_diameter, thread.minor_diameter) == (None, None, None)


def test_metric_pitches_agree_with_bosl2() -> None:
    """BOSL2's ISO table has the same pitches at every size that it has, from M1.6 to M42."""
    theirs = {
        size: [pitch for pitch in pitches if pitch is not None]
        for size, pitches in read_bosl2("ISO_thread", "function _screw_info_metric")
    }
    ours = {size: [*series.get("coarse", ()), *series["fine"]] for size, series in metric_pitches().items()}
    assert ours.keys() - theirs.keys() == NOT_IN_BOSL2
    assert {size for size in ours.keys() & theirs.keys() if ours[size][0] != theirs[size][0]} == set()
    missing = {(size, pitch) for size in ours.keys() & theirs.keys() for pitch in set(ours[size]) ^ set(theirs[size])}
    assert missing == CUT_OFF_IN_BOSL2


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


def test_inch_threads_agree_with_bosl2() -> None:
    """BOSL2's UNC and UNF rows are the same from No. 2 to 1 in."""
    theirs = {
        (str(size).replace("#", "No. "), series): per_inch
        for size, row in read_bosl2("UTS_thread", "function _screw_info_english")
        for series, per_inch in zip(("UNC", "UNF"), row, strict=False)
    }
    ours = {(row["size"], row["series"]): int(row["n"]) for row in read_table("asme_b1_1")}
    assert {key: theirs.get(key) for key in ours} == ours


def test_numbered_inch_sizes_follow_their_rule() -> None:
    """ASME B1.1: No. n is 0.060 + 0.013 n in (a page quotes the rule: hotenda.com)."""
    rows = {row["size"]: float(row["d_in"]) for row in read_table("asme_b1_1") if row["size"].startswith("No.")}
    assert {size: round(0.060 + 0.013 * int(size[4:]), 4) for size in rows} == rows


def test_tapping_threads_agree_with_two_sources() -> None:
    """ISO 1478: d1 as another project quotes the standard, P as on a supplier's page."""
    own = read_own("iso_1478", key="size")
    rows = [row for row in read_fixture("published_dimensions.csv") if row["standard"] == "ISO 1478"]
    assert [row for row in rows if own[float(row["size"])][row["letter"]] != float(row["value"])] == []
    assert {float(row["size"]) for row in rows} == set(own)
