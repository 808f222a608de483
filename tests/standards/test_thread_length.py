"""How much of a screw is threaded: values that were read outside, and the shortest screws that keep a shank."""

from __future__ import annotations

import pytest

from boardmaker.standards import parse_thread
from boardmaker.standards.heads import part_standards
from boardmaker.standards.reading import read_table
from boardmaker.standards.thread_length import thread_length

# b for lengths up to 125 mm, up to 200 mm, above: studbolts.com, AS 1110 part 1 (ISO 4014)
STUDBOLTS = {"M3": (12, 18, 31), "M4": (14, 20, 33), "M5": (16, 22, 35), "M6": (18, 24, 37), "M8": (22, 28, 41),
             "M10": (26, 32, 45)}  # fmt: skip
# b up to 125 mm: boltport.com, EN 1665
BOLTPORT = {"M5": 16, "M6": 18, "M8": 22, "M10": 26, "M12": 30, "M14": 34, "M16": 38}
# b of ISO 4762, 7380-1, 7380-2 and 10642: FreeCAD Fasteners workbench e589bcb8
FREECAD_CAP = {"M3": 18, "M4": 20, "M5": 22, "M6": 24, "M8": 28, "M10": 32, "M12": 36, "M16": 44}
# b min of ISO 7045: geartoolkit.com, FreeCAD Fasteners workbench e1beb0c3
GEARTOOLKIT = {"M4": 38, "M5": 38, "M6": 38, "M8": 38, "M10": 38}


@pytest.mark.parametrize("size", sorted(STUDBOLTS))
def test_a_bolt_has_the_thread_of_iso_888(size):
    """At both ends of each range of lengths, with a standard and without one."""
    thread, (short, middle, long) = parse_thread(size), STUDBOLTS[size]
    for length, threaded in [(100, short), (125, short), (126, middle), (200, middle), (201, long), (300, long)]:
        assert thread_length(thread, length, "ISO 4014") == threaded
        assert thread_length(thread, length) == threaded


@pytest.mark.parametrize(
    ("standard", "table"), [("EN 1665", BOLTPORT), ("EN 1662", BOLTPORT), ("ISO 7045", GEARTOOLKIT)]
)
def test_the_table_of_a_page_is_met(standard, table):
    """Every size of it, at a length of 80 mm."""
    assert {size: thread_length(parse_thread(size), 80, standard) for size in table} == table


@pytest.mark.parametrize("standard", ["ISO 4762", "ISO 7380-1", "ISO 7380-2", "ISO 10642"])
def test_socket_screws_have_a_longer_thread(standard):
    """2 d + 12 mm at every length."""
    for size, threaded in FREECAD_CAP.items():
        assert thread_length(parse_thread(size), 90, standard) == threaded
    assert thread_length(parse_thread("M6"), 150, standard) == 24


# longest ISO 4762 that is threaded up to the head, and the next preferred length (from memory of the standard's table)
FULL_4762 = {"M3": (20, 25), "M4": (25, 30), "M5": (25, 30), "M6": (30, 35), "M8": (35, 40), "M10": (40, 45),
             "M12": (50, 55), "M16": (60, 65), "M20": (70, 80)}  # fmt: skip


@pytest.mark.parametrize("size", sorted(FULL_4762))
def test_a_short_screw_is_threaded_up_to_its_head(size):
    """No shank below half a diameter."""
    full, shank = FULL_4762[size]
    assert thread_length(parse_thread(size), full, "ISO 4762") is None
    assert thread_length(parse_thread(size), shank, "ISO 4762") is not None


@pytest.mark.parametrize("size", ["M6", "M8", "M10"])
def test_a_countersunk_head_is_no_shank(size):
    """ISO 10642: M6 x 35, M8 x 40 and M10 x 50 are threaded up to the head, 5 mm more are not (from memory)."""
    longest = {"M6": 35, "M8": 40, "M10": 50}[size]
    assert thread_length(parse_thread(size), longest, "ISO 10642") is None
    assert thread_length(parse_thread(size), longest + 5, "ISO 10642") == FREECAD_CAP[size]


def test_recessed_screws_are_threaded_up_to_a_length():
    """30 mm up to M3, 40 mm above, 45 mm with a countersunk head."""
    assert thread_length(parse_thread("M3"), 30, "ISO 7045") is None
    assert thread_length(parse_thread("M3"), 35, "ISO 7045") == 25
    assert thread_length(parse_thread("M5"), 40, "ISO 7045") is None
    assert thread_length(parse_thread("M5"), 45, "ISO 7045") == 38
    assert thread_length(parse_thread("M5"), 45, "ISO 7046-1") is None
    assert thread_length(parse_thread("M5"), 50, "ISO 7046-1") == 38


def test_what_is_threaded_up_to_the_head():
    """Hexagon screws of ISO 4017 and tapping screws, whatever their length."""
    assert thread_length(parse_thread("M6"), 60, "ISO 4017") is None
    assert thread_length(parse_thread("ST4.8"), 50, "ISO 7049") is None
    assert thread_length(parse_thread("ST4.8"), 50) is None


def test_an_inch_bolt():
    """ASME B18.2.1: b of the FreeCAD Fasteners workbench 3bc9cefd (B18.2.1.6); 1/2 in above 6 in from memory."""
    for size, threaded in [("1/4-20", 19.05), ("5/16-18", 22.225), ("3/8-16", 25.4)]:
        assert thread_length(parse_thread(size), 76.2) == pytest.approx(threaded)
    assert thread_length(parse_thread("1/4-20"), 7 * 25.4) == pytest.approx(25.4)


def test_a_fine_thread_runs_out_sooner():
    """M10x1 x 40 keeps a shank where M10 x 40 has none."""
    assert thread_length(parse_thread("M10"), 40, "ISO 4762") is None
    assert thread_length(parse_thread("M10x1"), 43, "ISO 4762") == 32


def test_every_screw_of_the_tables_has_a_rule():
    """And no rule is for a standard that is not there."""
    with_length = {name for name, row in part_standards().items() if row["kind"] not in ("nut", "washer")}
    assert {row["standard"] for row in read_table("thread_lengths")} == with_length
