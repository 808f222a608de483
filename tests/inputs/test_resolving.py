"""What the bike file leaves open, and how it is closed: mirrors, parts, assumed values, tags, equipment."""

from __future__ import annotations

import pytest

from boardmaker.inputs import read_bike
from boardmaker.inputs.bike.mirrors import swap_words
from boardmaker.model import Equipment
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work

HEAD = "format: 1\nbike: { name: Test bike }\n"
SEAT = "panels:\n  seat: { name: Seat, side: centre, holes: [] }\n"
LEFT = """equipment: { lamp-left: Left lamp, lamp-right: Right lamp, rack: Rack }
fasteners:
  A: { thread: M6, length: 16 }
  bolt-left: { thread: M6, length: 20 }
  bolt-right: { thread: M6, length: 20 }
panels:
  seat: { name: Seat, side: centre, holes: [] }
  base_left: { name: Base, side: left, holes: [] }
  base_right: { mirrors: base_left }
  lid-left:
    name: Left lid
    tag: LL
    side: left
    on_bike: [0, 0]
    outline: [[0, 0], [100, 0], [120, 60], [0, 80]]
    smooth: true
    after: [seat, base_left]
    note: LEFT lid, not the Right one
    with: [lamp-left, rack]
    holes:
      - { at: [10, 10], fastener: bolt-left, id: upper, note: left-hand side }
      - { at: [90, 20], fastener: A, with: lamp-left, without: rack }
      - { at: [50, 30], fastener: A, room: 5, depth: 9, behind: hose }
      - { at: [60, 30], fastener: A, depth: 9, behind: hose }
      - { at: [70, 30], fastener: A, depth: 9 }
    fixings: [ { kind: hook, at: [5, 5], note: leftmost, with: lamp-left } ]
"""


@pytest.fixture
def bike_of(tmp_path):
    def read(text):
        path = tmp_path / "bike.yaml"
        path.write_text(HEAD + text, encoding="utf-8")
        return read_bike(path)[0]

    return read


def test_words_swap_as_whole_words():
    """Case kept; parts of words stay."""
    assert swap_words("Left LEFT left right-hand Right_x leftover upright") == (
        "Right RIGHT right left-hand Left_x leftover upright"
    )


def test_a_mirror_image_swaps_what_has_another_side(bike_of):
    """Panels, fasteners and equipment where the other key exists; the rest stays."""
    image = bike_of(LEFT + "  lid-right: { mirrors: lid-left }\n").panel("lid-right")
    assert (image.name, image.note, image.side) == ("Right lid", "RIGHT lid, not the Left one", "right")
    assert image.after == ("seat", "base_right")
    assert image.equipment == Equipment(("lamp-right", "rack"))
    assert [hole.id for hole in image.holes] == ["upper", "2", "3", "4", "5"]
    assert [hole.fastener for hole in image.holes] == ["bolt-right", "A", "A", "A", "A"]
    assert image.holes[0].note == "right-hand side"
    assert image.holes[1].equipment == Equipment(("lamp-right",), ("rack",))
    assert (image.fixings[0].at, image.fixings[0].note) == ((-5.0, 5.0), "leftmost")
    assert image.fixings[0].equipment == Equipment(("lamp-right",))


def test_a_mirror_image_has_the_outline_with_x_negated(bike_of):
    """Also a smooth one, exactly, and still counter-clockwise."""
    bike = bike_of(LEFT + "  lid-right: { mirrors: lid-left }\n")
    left, right = bike.panel("lid-left").outline, bike.panel("lid-right").outline
    assert right == tuple((-x, y) for x, y in reversed(left))
    assert len(right) > 8


def test_what_is_written_at_the_mirror_image_wins(bike_of):
    """Name, tag, place, order, note, ties, holes and outline, each on its own."""
    image = bike_of(
        LEFT
        + """  lid-right:
    mirrors: lid-left
    name: Other lid
    tag: X
    on_bike: [7, 8]
    after: []
    note: ''
    with: rack
    smooth: false
    holes: [ { at: [33, 44], fastener: A } ]
    fixings: []
"""
    ).panel("lid-right")
    assert (image.name, image.tag, image.on_bike, image.after, image.note) == ("Other lid", "X", (7.0, 8.0), (), "")
    assert image.equipment == Equipment(("rack",))
    assert [(hole.id, hole.at) for hole in image.holes] == [("1", (33.0, 44.0))]  # in this panel's own frame
    assert image.fixings == ()
    assert set(image.outline) == {(0.0, 0.0), (-100.0, 0.0), (-120.0, 60.0), (0.0, 80.0)}


def test_holes_left_out_do_not_renumber_the_others(bike_of):
    """`without_holes` names ids; numbers and words."""
    image = bike_of(LEFT + "  lid-right: { mirrors: lid-left, without_holes: [upper, 3] }\n").panel("lid-right")
    assert [hole.id for hole in image.holes] == ["2", "4", "5"]


def test_a_mirror_image_of_a_mirror_image(bike_of):
    """Written before its original: it is the first panel again."""
    text = LEFT.replace(
        "  lid-left:", "  lid-again: { mirrors: lid-right }\n  lid-right: { mirrors: lid-left }\n  lid-left:"
    )
    bike = bike_of(text)
    assert bike.panel("lid-again").holes == bike.panel("lid-left").holes
    assert bike.panel("lid-again").outline == bike.panel("lid-left").outline
    assert bike.panel("lid-again").name == "Left lid"


def test_a_mirrored_centre_panel_keeps_its_view(bike_of):
    """The side stays, the view too."""
    text = LEFT + "  nose: { name: Nose, side: centre, view: front, holes: [] }\n  nose-2: { mirrors: nose }\n"
    image = bike_of(text).panel("nose-2")
    assert (image.side, image.view) == ("centre", "front")


def test_room_behind_a_hole(bike_of):
    """As written; how deep a thread is says nothing of how far away the tank is."""
    assert [hole.room for hole in bike_of(LEFT).panel("lid-left").holes[2:]] == [5.0, None, None]


def test_the_base_of_a_metal_thread(bike_of):
    """As written; nothing is assumed here: which one is meant then is the judgement's."""
    holes = "{ at: [0, 0], fastener: A, base: Steel }, { at: [9, 0], fastener: A }"
    text = f"fasteners: {{ A: {{ thread: M6 }} }}\npanels: {{ p: {{ name: P, side: left, holes: [ {holes} ] }} }}\n"
    assert [hole.base for hole in bike_of(text).panel("p").holes] == ["steel", ""]


def test_a_tag_is_no_other_panels(bike_of):
    """Initials first; further letters where they are taken; every panel has one."""
    names = ["Left lid", "Lower lid", "Left lamp", "Lid", "L", "左", "Left lid"]
    text = "panels:\n" + "".join(
        f"  p{number}: {{ name: {name}, side: left, holes: [] }}\n" for number, name in enumerate(names)
    )
    tags = [panel.tag for panel in bike_of(text).panels]
    assert tags[0] == "LL"
    assert len(set(tags)) == len(tags)
    assert all(1 <= len(tag) <= 3 and tag.isalnum() and tag.isascii() for tag in tags)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("part: ISO 4762 - M6 x 20 - 8.8", ("screw", 20.0, "cylinder", 10.0, 6.0, "hex 5", "8.8")),
        ("part: ISO 4762 - M6 x 20 - 8.8, length: 25, drive: T30, class: 10.9",
         ("screw", 25.0, "cylinder", 10.0, 6.0, "T30", "10.9")),
        ("part: ISO 4762 - M6 x 20, head: { diameter: 12 }", ("screw", 20.0, "cylinder", 12.0, 6.0, "hex 5", "")),
        ("part: ISO 4762 - M6, head: { height: 5 }, kind: bolt", ("bolt", 20.0, "cylinder", 10.0, 5.0, "hex 5", "")),
        ("thread: M6, drive: TX 30", ("screw", 20.0, "button", 10.5, 3.6, "T30", "")),
        ("thread: M6, drive: hex  4, class: 8.8", ("screw", 20.0, "button", 10.5, 3.6, "hex 4", "8.8")),
        ("thread: M6, kind: bolt, drive: hexagon 10", ("bolt", 20.0, "hex", pytest.approx(11.547, abs=1e-3), 3.6,
                                                       "hexagon 10", "")),
        ("thread: ST4.2, kind: tapping screw, head: { shape: binding }, drive: ph2",
         ("tapping screw", 20.0, "binding", 8.4, 2.52, "PH2", "")),
        ("hole: 8", ("push clip", 20.0, "round", 16.0, 4.8, "", "")),
        ("thread: M6, shoulder: { length: 4, diameter: 9 }, length: 12",
         ("shoulder screw", 12.0, "button", 10.5, 3.6, "", "")),
    ],
)  # fmt: skip
def test_what_a_fastener_leaves_open(bike_of, written, expected):
    """From the part, then from the shape's standard (ISO 4762, 7380-1, 4017: `standards/tables`), then by rule.

    By rule (common practice, no source): missing length 20 mm, missing head height 0.6 x thread diameter.
    """
    found = bike_of(f"fasteners:\n  A: {{ {written} }}\n" + SEAT).fastener("A")
    head = found.head
    sizes = (found.kind, found.length, head.shape, head.diameter, pytest.approx(head.height))
    assert (*sizes, found.drive, found.property_class) == expected


def test_what_was_assumed_is_marked(bike_of):
    """So that the summary can say it."""
    bike = bike_of(
        "fasteners:\n  A: { thread: M6 }\n  B: { part: ISO 4762 - M6 x 20 }\n"
        "  C: { thread: M6, length: 9, head: { diameter: 10, height: 3 } }\n" + SEAT
    )
    marks = [(one.length_assumed, one.head.diameter_assumed, one.head.height_assumed) for one in bike.fasteners]
    assert marks == [(True, True, True), (False, False, False), (False, False, False)]


@pytest.mark.parametrize(
    ("written", "designation", "diameter"),
    [
        ("No. 10-32", "No. 10-32", 4.826), ("'#10-32'", "No. 10-32", 4.826), ("1/4-20", "1/4-20", 6.35),
        ("M6x0.75", "M6x0.75", 6.0), ("ST4.2", "ST4.2", 4.2),
    ],
)  # fmt: skip
def test_threads_as_a_mechanic_writes_them(bike_of, written, designation, diameter):
    """ASME B1.1: No. 10 is 0.190 in; the others are named by their diameter."""
    thread = bike_of(f"fasteners:\n  A: {{ thread: {written} }}\n" + SEAT).fastener("A").thread
    assert (thread.designation, thread.diameter) == (designation, pytest.approx(diameter))


def test_keys_that_look_like_numbers_are_names(bike_of):
    """`01` is not 1, and `1.10` is not 1.1: a reference is what is written."""
    bike = bike_of(
        """fasteners: { 01: { thread: M6 }, 1.10: { thread: M5 }, 1_0: { thread: M4 } }
panels:
  2: { name: 007, side: left, holes: [ { at: [0, 0], fastener: 01 }, { at: [9, 0], fastener: 1.10, id: 1.0 } ] }
  3: { name: 1.50, side: left, after: [2], holes: [ { at: [0, 0], fastener: 1_0, also_holds: 2 } ] }
""".replace(", also_holds: 2", "")
    )
    assert [hole.fastener for hole in bike.panel("2").holes] == ["01", "1.10"]
    assert [hole.id for hole in bike.panel("2").holes] == ["1", "1.0"]
    assert [panel.name for panel in bike.panels] == ["007", "1.50"]
    assert bike.panel("3").after == ("2",)


def test_one_word_stands_for_a_list_of_one(bike_of):
    """`after: seat`, `with: audio`, `cautions: text`."""
    bike = bike_of(LEFT + "  cap: { name: Cap, side: left, after: seat, with: rack, holes: [] }\n")
    assert bike.panel("cap").after == ("seat",)
    assert bike.panel("cap").equipment == Equipment(("rack",))


@pytest.mark.parametrize(
    "rider", ["after: [seat], holes: []", "holes: [ { at: [0, 0], fastener: A, also_holds: [seat] } ]"]
)
def test_a_rider_waits_with_its_carrier(bike_of, rider):
    """A rider that names its carrier in `after`, or whose screw holds it, makes no circle: both leave in one step."""
    bike = bike_of(
        f"fasteners:\n  A: {{ thread: M6 }}\n{SEAT}  rider: {{ name: R, side: left, rides_on: seat, {rider} }}\n"
    )
    assert [[panel.key for panel in (step.carrier, *step.riders)] for step in plan_work(bike).steps] == [
        ["seat", "rider"]
    ]


def test_a_carrier_cannot_wait_for_its_rider(bike_of):
    """What leaves the bike only on it cannot be off before it."""
    waiting = SEAT.replace("holes", "after: [rider], holes")
    with pytest.raises(ProblemsFound, match="wait for each other in a circle: seat -> rider -> seat"):
        bike_of(waiting + "  rider: { name: Rider, side: left, rides_on: seat, holes: [] }\n")


def test_a_smooth_outline_that_the_program_draws(bike_of):
    """`smooth` without an outline changes nothing: a drawn outline is round already."""
    text = "fasteners:\n  A: { thread: M6 }\n" + SEAT
    hole = "holes: [ { at: [0, 0], fastener: A } ]"
    bike = bike_of(
        text + f"  a: {{ name: A, side: left, smooth: true, {hole} }}\n  b: {{ name: B, side: left, {hole} }}\n"
    )
    assert bike.panel("a").outline == bike.panel("b").outline


def test_a_mistake_in_one_entry_hides_none_in_another(bike_of):
    """An unknown key in the section `bike`, a panel that cannot be read, and a reference from a job, all at once."""
    with pytest.raises(ProblemsFound) as found:
        bike_of(
            "panels:\n  seat: { name: Seat, side: lft, holes: [] }\n"
            "  lid: { name: Lid, side: left, holes: [], after: [x] }\n"
            "jobs:\n  oil: { name: Oil, remove: [seat, y] }\n"
        )
    assert [one.where.line for one in found.value.problems] == [4, 5, 7]
