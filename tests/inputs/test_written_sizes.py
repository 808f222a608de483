"""What a file writes in inches, in another unit of torque or with a decimal comma: read right, and kept as written."""

from __future__ import annotations

import pytest

from boardmaker.inputs import read_bike
from boardmaker.inputs.values import read_drive
from boardmaker.model import Shoulder
from boardmaker.problems import ProblemsFound
from boardmaker.wording.fasteners import drive_text, fastener_details, fastener_words, short_words, size_text

HEAD = "format: 1\nbike: { name: Inches }\nfasteners:\n"
PANEL = "\npanels: { lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: A } ] } }\n"
INCHES = """  A: { kind: shoulder screw, thread: 1/4-20, length: 1 1/4 in,
       shoulder: { length: 1/2 in, diameter: 0.375 in }, head: { shape: button, diameter: 5/8 in, height: 4 },
       drive: hex 5/32, torque: 44 in-lb }
  P: { kind: push clip, hole: 5/16 in, length: 15, head: { shape: round, diameter: 18 } }"""
MILLIMETRES = """  A: { kind: shoulder screw, thread: 1/4-20, length: 31.75,
       shoulder: { length: 12.7, diameter: 9.525 }, head: { shape: button, diameter: 15.875, height: 4 },
       drive: hex 4, torque: 5 N·m }
  P: { kind: push clip, hole: 8 mm, length: 1.5 cm, head: { shape: round, diameter: 18 } }"""


@pytest.fixture
def read(tmp_path):
    def of(fasteners, panel=PANEL):
        path = tmp_path / "bike.yaml"
        path.write_text(HEAD + fasteners + panel, encoding="utf-8")
        return read_bike(path)[0]

    return of


def test_numbers_are_the_same_and_what_was_written_is_kept(read):
    """1 in is 25.4 mm exactly."""
    screw = read(INCHES).fastener("A")
    assert (screw.length, screw.length_written) == (31.75, "1 1/4 in")
    assert screw.shoulder == Shoulder(12.7, 9.525, "1/2 in", "0.375 in")
    assert (screw.head.diameter, screw.head.diameter_written) == (15.875, "5/8 in")
    assert screw.torque.stages[0].written == "44 lbf·in"
    assert (screw.drive, read(INCHES).fastener("P").hole_written) == ("hex 5/32 in", "5/16 in")


def test_what_was_written_is_printed_before_the_other_unit(read):
    """In the screw key, on the plan and over the counter; a torque with N·m behind it."""
    screw, clip = read(INCHES).fasteners
    assert size_text(screw) == "1/4-20 × 1 1/4 in (31.75 mm)"
    assert short_words(screw) == (
        "1/4-20 × 1 1/4 in (31.75 mm), shoulder 1/2 in (12.7 mm), hex socket 5/32 in (3.97 mm)"
    )
    assert list(fastener_details(screw)) == [
        "shoulder 1/2 in (12.7 mm) × ⌀0.375 in (9.53 mm)",
        "hex socket 5/32 in (3.97 mm) · 44 lbf·in (4.97 N·m)",
    ]
    assert fastener_words(screw) == (
        "shoulder screw 1/4-20, 1 1/4 in (31.75 mm) long, shoulder 1/2 in (12.7 mm) long and 0.375 in (9.53 mm) thick, "
        "button head 5/8 in (15.88 mm) across, hex socket 5/32 in (3.97 mm)"
    )
    assert fastener_words(clip).startswith("push clip for a 5/16 in (7.94 mm) hole, 15 mm long")


def test_what_is_written_in_millimetres_is_printed_alone(read):
    """Also what is written in centimetres."""
    screw, clip = read(MILLIMETRES).fasteners
    assert size_text(screw) == "1/4-20 × 31.75"
    assert list(fastener_details(screw)) == ["shoulder 12.7 × ⌀9.53", "hex socket 4 · 5 N·m"]
    assert fastener_words(screw) == (
        "shoulder screw 1/4-20, 31.75 mm long, shoulder 12.7 mm long and 9.53 mm thick, button head 15.88 mm across, "
        "hex socket 4"
    )
    assert fastener_words(clip).startswith("push clip for an 8 mm hole, 15 mm long")


def test_a_nut_has_a_height_and_no_length(read):
    """ISO 4032 M8: m max 6.8 mm, 13 mm across flats; a nut without a part has the height that the file gives."""
    nut = read("  A: { part: ISO 4032 - M8 - 8 }").fastener("A")
    assert short_words(nut) == "M8, 6.8 high, hex head 13"
    assert fastener_words(nut) == "nut M8, 6.8 mm high, hexagon head 15.01 mm across, hex head 13, class 8"
    assert size_text(read("  A: { kind: nut, thread: M8 }").fastener("A")) == "M8"
    assert size_text(read("  A: { kind: nut, thread: M8, length: 7 }").fastener("A")) == "M8 × 7"


def test_a_rivet_nut_is_a_threaded_insert(read):
    """Its own length holds, as an insert's does."""
    panel = PANEL.replace("fastener: A", "fastener: A, into: Rivet nut, depth: 9")
    hole = read("  A: { thread: M6, length: 20 }", panel).panel("lid").holes[0]
    assert (hole.into, hole.depth) == ("threaded insert", 9.0)


def test_a_shoulder_comes_from_the_part(read):
    """ISO 7379 M6: 8 mm thick, 11 mm of thread (bd-warehouse 0.4.0); what is written beside it wins."""
    screw = read("  A: { part: ISO 7379 - M6 x 12 - 12.9 }").fastener("A")
    assert (screw.kind, screw.shoulder, screw.length) == ("shoulder screw", Shoulder(12.0, 8.0), 23.0)
    other = read("  A: { part: ISO 7379 - M6 x 12, shoulder: { length: 10, diameter: 9 } }").fastener("A")
    assert other.shoulder == Shoulder(10.0, 9.0)


def test_a_complaint_shows_what_was_written(read):
    """1/4 in is 6.35 mm."""
    with pytest.raises(ProblemsFound) as found:
        read(
            "  A: { thread: M6, length: 1/4 in, shoulder: { length: 3/8 in, diameter: 7 }, head: { diameter: 1/5 in } }"
        )
    said = " ".join(problem.message for problem in found.value.problems)
    assert 'the shoulder of "A" (3/8 in (9.525 mm)) is as long as the whole screw (1/4 in (6.35 mm))' in said
    assert 'the head of "A" (1/5 in (5.08 mm)) is no wider than its thread or hole (6 mm)' in said


@pytest.mark.parametrize(
    ("text", "drive", "words"),
    [
        ("hex 5/32", "hex 5/32 in", "hex socket 5/32 in (3.97 mm)"),
        ("hex socket 5/32 in", "hex 5/32 in", "hex socket 5/32 in (3.97 mm)"),
        ('hexagon 7/16"', "hexagon 7/16 in", "hex head 7/16 in (11.11 mm)"),
        ("Hexagon 7 / 16 inch", "hexagon 7/16 in", "hex head 7/16 in (11.11 mm)"),
        ("hexagon 1 1/4", "hexagon 1 1/4 in", "hex head 1 1/4 in (31.75 mm)"),
        ("hexagon 0.5 in", "hexagon 0.5 in", "hex head 0.5 in (12.7 mm)"),
        ("hex 4 mm", "hex 4", "hex socket 4"),
        ("hexagon 5,5", "hexagon 5.5", "hex head 5.5"),
    ],
)
def test_a_key_in_inches(text, drive, words):
    """A fraction is in inches; a number without a unit in mm."""
    assert read_drive(text) == drive
    assert drive_text(drive) == words


@pytest.mark.parametrize(
    "text", ["hex 5/0", "hex 5/30", "hex 0/8", "hexagon 9 1/2", "hex 1/2 mm", "hex 5/32/4", "hex in"]
)
def test_what_is_no_key(text):
    """No such fraction, out of all reason, or two units."""
    with pytest.raises(ValueError, match=r"is no (drive|size of a key)"):
        read_drive(text)


@pytest.mark.parametrize("tool", ["hexagon", "hex", "hex bit 8", "hex 5/0 in", "spanner 10", "hex 1,500 in"])
def test_a_tool_in_free_words_is_printed_as_it_is(tool):
    """No error, whatever stands there."""
    assert tool.partition(" ")[2] in drive_text(tool)


@pytest.mark.parametrize(
    ("written", "torque_nm", "length"),
    [
        ("torque: 1,5 Nm, length: 20", 1.5, 20.0),
        ("length: 20,5 mm, torque: 1,5 N·m", 1.5, 20.5),
        ("length: 0,75 in, torque: 9,5 to 11 N·m", 9.5, 19.05),
        ("length: 20, torque: [1.5 Nm, 90 deg]", 1.5, 20.0),
        ("length: 20, torque: [10, 20 N·m]", 10.0, 20.0),
        ("length: 20, torque: [10,20,90 deg]", 10.0, 20.0),
    ],
)
def test_a_decimal_comma_between_braces(read, written, torque_nm, length):
    """YAML ends a text between braces at a comma: what only begins with a digit behind it belongs to it."""
    screw = read(f"  A: {{ kind: screw, thread: M6, {written} }}").fastener("A")
    assert (screw.torque.stages[0].low_nm, screw.length) == (torque_nm, length)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("torque: [1,5 Nm], length: 20", '"1,5 Nm" in a list could be 1.5 Nm, or a stage of 1 N·m and one of 5 Nm'),
        ("torque: [10,20 N·m], length: 20", '"10,20 N·m" in a list could be 10.20 N·m'),
        ("torque: 1,500 Nm, length: 20", '`torque`: "1,500" could be 1500 or 1.500'),
        ("length: 20,5", '`length`: the text "20,5" has no unit'),
        ("length: 20, 5 mm", "unknown key `5 mm`"),
        ("length: '20',5 mm", "unknown key `5 mm`"),
        ("length: 20,drive", "`drive` has no value"),
    ],
)
def test_a_comma_that_is_not_clear_is_refused(read, written, said):
    """Nothing is guessed: a blank behind the comma, quotes, thousands, a list."""
    with pytest.raises(ProblemsFound) as found:
        read(f"  A: {{ kind: screw, thread: M6, {written} }}")
    assert any(said in problem.message for problem in found.value.problems)
