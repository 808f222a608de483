"""A bike that uses nearly every key of the format, value by value as it must be resolved."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from boardmaker.inputs import read_bike
from boardmaker.model import Equipment, Fixing, Head, Hole, Job, Shoulder, Supply, Torque, TorqueStage

FILE = Path("fixtures/inputs/full-bike.yaml")
NO_EQUIPMENT = Equipment()


@pytest.fixture(scope="module")
def bike():
    found, warnings = read_bike(FILE)
    assert warnings == ()
    return found


def plain(value):
    return Torque((TorqueStage(value, value),))


def test_the_title_block(bike):
    """What is said of the bike, and which file it came from."""
    assert (bike.name, bike.years, bike.checked) == ("Fjellvik 820 Tourer", "2017-2021", False)
    assert bike.source == "invented for the demo"
    assert bike.cautions == ("Let the engine cool before you work near the exhaust.",)
    assert bike.equipment == (("audio", "Speakers in the fairing"),)
    assert (bike.file, bike.sha256) == (FILE.name, hashlib.sha256(FILE.read_bytes()).hexdigest())


def test_the_shoulder_screw(bike):
    """Every size as written, none assumed; a coarse pitch by ISO 261 (M6: 1 mm)."""
    screw = bike.fastener("A")
    assert (screw.kind, screw.length, screw.length_assumed, screw.drive) == ("shoulder screw", 21.0, False, "T30")
    assert (screw.thread.designation, screw.thread.diameter, screw.thread.pitch) == ("M6", 6.0, 1.0)
    assert screw.shoulder == Shoulder(11.0, 9.0)
    assert screw.head == Head("button", 14.0, 3.3)
    assert screw.torque == plain(5.0)
    assert (screw.part, screw.property_class, screw.threadlocker, screw.with_it, screw.renew) == (
        "",
        "",
        "none",
        (),
        "",
    )


def test_the_part_by_designation(bike):
    """Head and drive of ISO 7380-2 M6: dc 13.6, k 3.3, socket 4 (`standards/tables/iso_7380_2.csv`)."""
    screw = bike.fastener("B")
    assert (screw.part, screw.kind) == ("ISO 7380-2 - M6 x 16 - 10.9", "screw")
    assert (screw.length, screw.property_class, screw.drive, screw.torque) == (16.0, "10.9", "hex 4", plain(6.0))
    assert screw.head == Head("flanged button", 13.6, 3.3)
    assert screw.with_it == ("washer",)


def test_a_missing_head_height_is_assumed_and_marked(bike):
    """0.6 x thread diameter; for a clip 0.6 x its hole."""
    assert bike.fastener("C").head == Head("binding", 10.0, 3.0, height_assumed=True)
    assert bike.fastener("P").head == Head("round", 18.0, pytest.approx(4.8), height_assumed=True)


def test_the_words_of_the_other_fasteners(bike):
    """Class in quotes, threadlocker, note, and a clip that is renewed each time."""
    screw, clip = bike.fastener("C"), bike.fastener("P")
    assert (screw.property_class, screw.threadlocker) == ("8.8", "medium")
    assert screw.note == "brass insert below - never longer than this one"
    assert (clip.kind, clip.thread, clip.hole, clip.diameter, clip.length) == ("push clip", None, 8.0, 8.0, 15.0)
    assert clip.renew == "yes"


def test_the_order_of_the_file_stays(bike):
    """Fasteners and panels as written, also where a mirror image comes before other panels."""
    assert [one.key for one in bike.fasteners] == ["A", "B", "C", "P"]
    assert [one.key for one in bike.panels] == [
        "seat", "tank-side-left", "knee-left", "tank-side-right", "knee-right", "shroud-left", "filter-lid",
    ]  # fmt: skip


def test_tags_are_taken_or_made_from_the_name(bike):
    """KL is written; the others are initials, and a mirror image gets its own."""
    assert [panel.tag for panel in bike.panels] == ["S", "LTS", "KL", "RTS", "RKC", "LRS", "FL"]


def test_the_latch_has_no_screws(bike):
    """In the plan, not on the board: no holes, no outline."""
    seat = bike.panel("seat")
    assert (seat.holes, seat.outline, seat.view, seat.on_bike) == ((), (), "top", None)


def test_the_left_knee(bike):
    """Ids count from 1; room stays unknown without `behind`; one hole and the fixings as written."""
    knee = bike.panel("knee-left")
    assert (knee.name, knee.side, knee.view, knee.on_bike) == ("Left knee cover", "left", "side", (640.0, 560.0))
    assert knee.outline == ((0.0, 0.0), (420.0, 20.0), (455.0, 190.0), (300.0, 240.0), (60.0, 210.0))
    assert (knee.outline_drawn, knee.after, knee.mirrors) == (False, ("seat",), "")
    assert knee.holes == (
        Hole("1", (35.0, 48.0), "A", ("tank-side-left",), "clip nut", 10.5, 10.0),
        Hole("2", (400.0, 170.0), "B", (), "metal thread", 3.0, 14.0),
        Hole("3", (210.0, 225.0), "P", equipment=Equipment(present=("audio",))),
    )
    assert knee.fixings == (
        Fixing("grommet pin", (250.0, 120.0), "pull straight out here"),
        Fixing("hook", (20.0, 180.0), "slide the panel forward"),
        Fixing("connector", None, "unplug the left speaker"),
    )


def test_the_right_knee_is_the_mirror_image(bike):
    """x negated, words swapped in name and note, references swapped where the key exists, hole 3 left out."""
    knee = bike.panel("knee-right")
    assert (knee.name, knee.side, knee.mirrors) == ("Right knee cover", "right", "knee-left")
    assert knee.on_bike == (640.0, 560.0)  # a place on the bike, not on the panel: it stays
    assert set(knee.outline) == {(0.0, 0.0), (-420.0, 20.0), (-455.0, 190.0), (-300.0, 240.0), (-60.0, 210.0)}
    assert signed_area(knee.outline) == signed_area(bike.panel("knee-left").outline) > 0
    assert knee.after == ("seat",)  # there is no other seat: the reference stays
    assert knee.holes == (
        Hole("1", (-35.0, 48.0), "A", ("tank-side-right",), "clip nut", 10.5, 10.0),
        Hole("2", (-400.0, 170.0), "B", (), "metal thread", 3.0, 14.0),
    )
    assert knee.fixings == (
        Fixing("grommet pin", (-250.0, 120.0), "pull straight out here"),
        Fixing("hook", (-20.0, 180.0), "slide the panel forward"),
        Fixing("connector", None, "unplug the right speaker"),
    )


def signed_area(ring):
    """The shoelace formula: positive for a ring that runs counter-clockwise."""
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)) / 2


def test_room_and_what_lies_behind(bike):
    """As written on the left, and the same on the right."""
    expected = Hole("1", (220.0, 90.0), "C", (), "threaded insert", 3.0, 9.0, 11.0, behind="fuel tank")
    assert bike.panel("tank-side-left").holes == (expected,)
    mirrored = bike.panel("tank-side-right").holes[0]
    assert (mirrored.at, mirrored.room, mirrored.behind) == ((-220.0, 90.0), 11.0, "fuel tank")


def test_the_rider(bike):
    """It rides on the knee cover and has a drawn outline, 25 mm around its only hole."""
    rider = bike.panel("shroud-left")
    assert (rider.rides_on, rider.outline_drawn, rider.on_bike) == ("knee-left", True, None)
    for x, y in rider.outline:
        assert (x - 40) ** 2 + (y - 20) ** 2 == pytest.approx(25.0**2, rel=1e-6)


def test_the_centre_panel_without_an_outline(bike):
    """Seen from the top; a rounded outline around its three holes, so that each is inside and none is on a corner."""
    lid = bike.panel("filter-lid")
    assert (lid.side, lid.view, lid.after) == ("centre", "top", ("tank-side-left", "tank-side-right"))
    assert [hole.id for hole in lid.holes] == ["1", "2", "3"]
    xs, ys = zip(*lid.outline, strict=True)
    assert (min(xs), min(ys)) == pytest.approx((-25.0, -25.0), abs=0.2)
    assert (max(xs), max(ys)) == pytest.approx((145.0, 105.0), abs=0.2)
    assert lid.outline_drawn
    assert len(lid.outline) > 12


def test_the_jobs(bike):
    """What to do, how often, what must come off, what to have at hand."""
    assert bike.jobs == (
        Job("oil", "Engine oil", "10000 km", supplies=(Supply("Engine oil", "4 L"),)),
        Job("air-filter", "Air filter", "24000 km", ("filter-lid",), supplies=(Supply("Air filter element", "1"),)),
    )


def test_a_torque_row_belongs_to_the_jobs_of_either_side(bike):
    """Named by the row, named by the job, named by nobody: then it goes on the card `general`."""
    assert {row.key: row.jobs for row in bike.torques} == {
        "sump-plug": ("oil",),
        "filter-lid-screws": ("air-filter",),
        "head-bolts": (),
    }


def test_the_words_of_the_torque_rows(bike):
    """One value, a count with an order, and stages that end with an angle."""
    plug, lid, head = bike.torques
    assert (plug.what, plug.where_on_bike, plug.tool) == ("Sump plug", "engine", "8 mm hex")
    assert (plug.thread.designation, plug.thread.pitch, plug.torque) == ("M16x1.5", 1.5, plain(32.0))
    assert plug.renew == "sealing washer 16 x 22"
    assert (lid.count, lid.order, lid.torque) == (2, "crosswise", plain(6.0))
    assert head.torque.stages == (TorqueStage(20.0, 20.0), TorqueStage(40.0, 40.0), TorqueStage(angle_deg=90.0))
    assert (head.lubricate, head.property_class, head.count) == ("oil the thread", "10.9", 1)
    assert all(row.equipment == NO_EQUIPMENT for row in bike.torques)


def test_places_for_the_complaints_of_later_stages(bike):
    """Panels and fasteners by their key, holes by where they begin."""
    assert (bike.fastener("B").where.line, bike.fastener("B").where.column) == (16, 3)
    assert (bike.panel("knee-left").where.line, bike.panel("knee-left").where.file) == (31, str(FILE))
    assert [hole.where.line for hole in bike.panel("knee-left").holes] == [39, 40, 41]
    assert bike.jobs[1].where.line == 66
    assert bike.torques[2].where.line == 77
