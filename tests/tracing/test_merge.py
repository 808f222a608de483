"""What becomes of each hole and outline, and what is unclear."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boardmaker.inputs import read_bike
from boardmaker.inputs.yaml.reader import read_yaml
from boardmaker.tracing.found import FoundHole, FoundPanel, Ignored
from boardmaker.tracing.merge import Wishes, merge_panel
from boardmaker.tracing.turned import PanelPlaces, turned_places, way_turned

BIKE = """\
format: 1
bike: { name: Test }
fasteners:
  A: { part: ISO 7380-2 - M6 x 16 - 10.9 }
  B: { part: ISO 7380-2 - M6 x 12 - 10.9 }
panels:
  own:
    name: Own
    side: left
    outline: [[10, 20], [110, 20], [110, 80], [10, 80]]
    smooth: false
    holes:
      - { at: [20, 30], fastener: A, stack: 3 }
      - { at: [100, 30], fastener: B }
      - { id: top, at: [60, 70], fastener: B }
  image: { mirrors: own, side: right }
  askew:
    name: Askew
    side: left
    outline: [[0, 0], [100, 0], [100, 60], [0, 60]]
    holes: [ { at: [10, 10], fastener: A }, { at: [70, 15], fastener: A }, { at: [30, 40], fastener: B } ]
  askew-image: { mirrors: askew, side: right }
  image-with-holes: { mirrors: own, side: right, holes: [ { at: [-20, 30], fastener: A } ] }
  bare:
    name: Bare
    side: centre
    holes: [ { at: [-40, 0], fastener: A }, { at: [40, 0], fastener: A } ]
  close: { name: Close, side: left, holes: [ { at: [0, 0], fastener: A }, { at: [2, 0], fastener: A } ] }
  empty: { name: Empty, side: left, holes: [] }
"""
SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0))
HOLES = (FoundHole((10, 10), "A"), FoundHole((90, 10), None), FoundHole((50, 50), "B"))
ASKEW = (FoundHole((10, 10), "A"), FoundHole((70, 15), "A"), FoundHole((30, 40), "B"))


@pytest.fixture
def merge(tmp_path):
    path = tmp_path / "bike.yaml"
    path.write_text(BIKE, encoding="utf-8")
    bike, data = read_bike(path)[0], read_yaml(path).data

    def made(key, found, wishes=Wishes(), raw=None):  # noqa: B008
        return merge_panel(bike, raw if raw is not None else data["panels"].get(key, {}), key, found, wishes)

    return made


def said(merged):
    return [f"{problem.message} | {problem.hint}" for problem in merged.problems]


def states(merged):
    return {hole.id: hole.state for hole in merged.holes}


def test_the_own_frame_stays(merge):
    """The outline in the file begins at [10, 20]: what was found is moved there, and is the same."""
    merged = merge("own", FoundPanel("own", SQUARE, HOLES, (Ignored("ellipse", "not round", (1, 2)),)))
    assert not merged.edit.changes
    assert not merged.problems
    assert states(merged) == {"1": "as it was", "2": "as it was", "top": "as it was"}
    assert merged.ignored[0].at == (11, 22)


def test_only_what_moved_is_written(merge):
    """A hole that went across keeps its y as written; ids, fasteners and the rest are not touched."""
    merged = merge("own", FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((11.2345, 10.004), "A"))))
    assert merged.edit.moved == {0: (21.23, None)}
    assert not merged.edit.added
    assert not merged.edit.ids
    assert merged.mirrored_by == ("image", "image-with-holes")


def test_three_millimetres_are_the_limit(merge):
    """Within them a hole moves; beyond them one is not found and another is new, with a new id."""
    assert states(merge("own", FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((13, 10), "A")))))["1"] == "moved"
    merged = merge("own", FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((13.1, 10), "B"))))
    assert states(merged) == {"1": "not found", "2": "as it was", "top": "as it was", "4": "new"}
    assert merged.edit.added[0].entries == (("fastener", "B"),)
    assert not merged.problems


def test_a_hole_that_went_further_is_asked_for(merge):
    """8 mm to the right: nothing is written before it is said what it is; each answer works."""
    found = FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((18, 10), "A", where="circle 'c5'")))
    (question,) = said(merge("own", found))
    assert "circle 'c5' at [28, 30] lies 8.0 mm from hole 1 (A) of `own`" in question
    assert "--moved 1 if it is" in question
    moved = merge("own", found, Wishes(moved=("1",)))
    assert (moved.problems, moved.edit.moved, moved.edit.added) == ((), {0: (28, None)}, ())
    both = merge("own", found, Wishes(moved=("none",)))
    assert not both.problems
    assert states(both) == {"1": "not found", "2": "as it was", "top": "as it was", "4": "new"}
    gone = merge("own", found, Wishes(drop=True))
    assert not gone.problems
    assert [hole.lost for hole in gone.holes if hole.state == "taken out"] == ["`stack: 3`"]
    assert "no hole 2 of `own` went elsewhere" in said(merge("own", found, Wishes(moved=("2", "1"))))[0]
    far = FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((36, 10), "A")))
    assert not merge("own", far).problems
    assert merge("own", far, Wishes(moved=("1",))).edit.moved == {0: (46, None)}


def test_a_row_with_another_id_is_another_hole(merge):
    """8 mm beside hole 1, which is not in the list: its own id says that it is new."""
    found = FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((18, 10), "A", (("id", "x"),))))
    assert not merge("own", found).problems


SLANTED = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (40.0, 60.0), (0.0, 20.0))
SPREAD = ((12.0, 10.0), (70.0, 8.0), (80.0, 52.0), (45.0, 35.0))


@pytest.mark.parametrize(
    ("way", "said_of_it"),
    [((-1, 1), "the mirror image of"), ((1, -1), "the mirror image, upside down, of"), ((-1, -1), "upside down to")],
)
@pytest.mark.parametrize("outlined", [True, False])
@pytest.mark.parametrize("drawn", [4, 3])
def test_a_drawing_that_was_laid_the_wrong_way_is_refused(way, said_of_it, outlined, drawn):
    """All holes fit, or all but one, when it is turned: with an outline or by the holes alone."""
    outline = SLANTED if outlined else ()
    there = PanelPlaces(outline, SPREAD)
    turned = turned_places(PanelPlaces(SLANTED, SPREAD), PanelPlaces(SLANTED, ()), way)
    drawing = PanelPlaces(turned.outline if outlined else (), turned.holes[:drawn])
    assert way_turned(drawing, there) == said_of_it
    assert way_turned(PanelPlaces(outline, SPREAD[:drawn]), there) == ""


def test_an_outline_alone_tells_that_it_is_mirrored():
    """Without a hole; one that is much the same when it is turned tells nothing."""
    turned = turned_places(PanelPlaces(SLANTED, ()), PanelPlaces(SLANTED, ()), (-1, 1))
    assert way_turned(turned, PanelPlaces(SLANTED, ())) == "the mirror image of"
    assert way_turned(PanelPlaces(SQUARE, ()), PanelPlaces(SQUARE, ())) == ""
    assert way_turned(PanelPlaces(SLANTED, ()), PanelPlaces(SQUARE, ())) == ""


def test_the_mirror_image_of_a_panel_is_refused_with_the_remedy(merge):
    """Its holes would double. A drawing of the original traced into the image is said to be the original."""
    turned = tuple(replace(hole, at=(100 - hole.at[0], hole.at[1] + 3 * (hole.at[0] > 60))) for hole in ASKEW)
    (problem,) = said(merge("askew", FoundPanel(None, SQUARE, turned)))
    assert problem.startswith("the drawing is the mirror image of `askew`")
    assert "it shows `askew-image`" in problem
    (problem,) = said(merge("askew-image", FoundPanel(None, SQUARE, ASKEW)))
    assert "it shows `askew`, as it seems: boardmaker trace BIKE askew DRAWING" in problem
    (problem,) = said(
        merge("askew", FoundPanel(None, SQUARE, [replace(one, at=(one.at[0], 60 - one.at[1])) for one in ASKEW]))
    )
    assert "upside down" in problem
    assert "turn or mirror it in the drawing" in problem
    assert "write `holes: []` at `askew`" in problem


def test_ids_are_kept_where_one_is_taken_out(merge):
    """The second is the second no longer by its place, so that its id is written; a new one gets none of theirs."""
    found = FoundPanel(None, SQUARE, (*HOLES[1:], FoundHole((50, 20), "A")))
    merged = merge("own", found, Wishes(drop=True))
    assert merged.edit.dropped == {0}
    assert merged.edit.ids == {1: "2"}
    assert merged.edit.added[0].entries == (("id", "4"), ("fastener", "A"))


def test_a_hole_between_two_is_unclear(merge):
    """Nothing is guessed; the message names both."""
    found = FoundPanel(None, (), (FoundHole((1, 0), "A", where="row 2"), FoundHole((50, 0), "A")))
    assert "row 2 at [1, 0] could be hole 1 at [0, 0] or 2 at [2, 0]" in said(merge("close", found))[0]


def test_a_hole_drawn_twice_is_unclear(merge):
    """A circle for the head and one for the thread."""
    twice = FoundPanel(None, (), (FoundHole((1, 1), "A"), FoundHole((1.5, 1), "B")))
    assert "are one hole drawn twice" in said(merge("empty", twice))[0]


def test_every_hole_without_a_fastener_is_listed(merge):
    """With its place; the hint once."""
    found = FoundPanel(None, SQUARE, (FoundHole((5, 5), None, where="circle 'c1'"), FoundHole((55, 5), None), *HOLES))
    merged = merge("new-left", found)
    assert [one.split(" | ")[0] for one in said(merged)] == [
        "`new-left`: circle 'c1' at [5, 5] has no fastener",
        "`new-left`: a hole at [55, 5] has no fastener",
        "`new-left`: a hole at [90, 10] has no fastener",
    ]
    assert [bool(one.hint) for one in merged.problems] == [False, False, True]
    assert not merge("new-left", found, Wishes(fastener="B")).problems


def test_fastener_does_not_override_what_could_not_be_read(merge):
    """Q is no fastener; a text too far away is named; --fastener is for holes of which nothing speaks."""
    unread = FoundHole((5, 5), None, where="circle 'c1'", line=7, unread="text 'Q' in line 8")
    far = FoundHole((55, 5), None, where="circle in line 9", line=9, near="text 'A' in line 10, 18.2 mm away")
    found = FoundPanel(None, SQUARE, (unread, far))
    first, second = said(merge("new-left", found))
    assert first == (
        "`new-left`: circle 'c1' at [5, 5] has no fastener (line 7): text 'Q' in line 8 is no fastener; there are A, B"
        " | "
    )
    assert "circle in line 9 at [55, 5] has no fastener; the nearest is text 'A' in line 10, 18.2 mm away" in second
    assert "correct the name or take it out" in second
    (still,) = said(merge("new-left", found, Wishes(fastener="B")))
    assert "text 'Q' in line 8 is no fastener" in still
    assert "shared" in merge("new-left", replace(found, notes=("shared",))).notes


def test_an_unknown_fastener_is_said(merge):
    """A list may name one that is not there."""
    assert "has no fastener C" in said(merge("new-left", FoundPanel(None, (), (FoundHole((5, 5), "C"),))))[0]


def test_a_hole_keeps_its_fastener_and_that_is_said(merge):
    """The drawing says A, the file B."""
    merged = merge("own", FoundPanel(None, SQUARE, (HOLES[0], replace(HOLES[1], fastener="A"), HOLES[2])))
    assert not merged.edit.changes
    assert "hole 2 keeps fastener B" in merged.notes[0]


def test_a_hole_given_by_distances_stays(merge):
    """Its place is worked out from others; how far off the drawing is, is said."""
    raw = {"outline": SQUARE, "holes": [{"from": {"2": 80, "top": 57}}, {"at": [100, 30]}, {"at": [60, 70]}]}
    merged = merge("own", FoundPanel(None, SQUARE, (FoundHole((11, 10), "A"), *HOLES[1:])), raw=raw)
    assert states(merged)["1"] == "by distances"
    assert not merged.edit.moved
    assert "hole 1 is given by distances and stays as it is; the drawing has it 1.0 mm off" in merged.notes[0]


def test_side_and_name_come_from_key_or_wish(merge):
    """`knee-left` says left; `nose` says nothing."""
    found = FoundPanel(None, SQUARE, ())
    merged = merge("knee-left", found)
    assert merged.edit.head == (("name", "Left knee"), ("side", "left"))
    assert merge("nose", found, Wishes(side="centre", name="The nose")).edit.head == (
        ("name", "The nose"),
        ("side", "centre"),
    )
    assert "nothing says its side" in said(merge("nose", found))[0]
    assert "the key `knee-left` says left" in said(merge("knee-left", found, Wishes(side="right")))[0]
    assert "is for a new panel" in said(merge("own", FoundPanel(None, SQUARE, HOLES), Wishes(side="right")))[0]


def test_a_mirror_image_agrees_or_is_refused(merge):
    """Its outline and holes are the other panel's; one with holes of its own takes them."""
    turned = tuple(replace(hole, at=(100 - hole.at[0], hole.at[1])) for hole in HOLES)
    merged = merge("image", FoundPanel(None, SQUARE, turned))
    assert not merged.problems
    assert not merged.edit.changes
    assert "mirrors `own`" in said(merge("image", FoundPanel(None, SQUARE, turned[:2])))[0]
    own = merge("image-with-holes", FoundPanel(None, SQUARE, (FoundHole((91, 10), "A"),)))
    assert own.edit.moved == {0: (-19.0, None)}


def test_a_panel_without_outline_is_laid_over_its_holes(merge):
    """Its frame stays; the outline is new, and lies where the holes say."""
    found = FoundPanel(None, SQUARE, (FoundHole((10, 30), "A"), FoundHole((90, 30), "A")))
    merged = merge("bare", found)
    assert merged.new_outline
    assert not merged.edit.moved
    assert min(x for x, _ in merged.outline) == pytest.approx(-50)
    assert "do not tell how it lies" in said(merge("bare", replace(found, holes=found.holes[:1])))[0]


def test_an_id_of_a_list_that_is_taken_is_said(merge):
    """A row says id 2, and lies elsewhere."""
    row = FoundHole((70, 70), "A", (("id", "2"), ("stack", "9,50")), "row 4")
    assert "has the id 2" in said(merge("own", FoundPanel(None, (), (row,))))[0]
    merged = merge("empty", FoundPanel(None, (), (row,)))
    assert merged.edit.added[0].entries == (("id", "2"), ("fastener", "A"), ("stack", "9.5"))


# Letters that somebody laid or chose


def lettered(place, key):
    return replace(HOLES[place], fastener=key, decides=True, where=f"mark {key}")


def test_a_letter_that_was_laid_or_chosen_goes_before_the_files(merge):
    """A mark on the hole, or what was chosen on the page: place, id and all other keys stay."""
    merged = merge("own", FoundPanel(None, SQUARE, (lettered(0, "B"), *HOLES[1:])))
    assert not merged.problems
    assert (merged.edit.fasteners, merged.edit.moved, merged.edit.added) == ({0: "B"}, {}, ())
    hole = merged.holes[0]
    assert (hole.id, hole.state, hole.fastener_was, hole.fastener, hole.where) == ("1", "as it was", "A", "B", "mark B")
    assert merged.edit.changes
    assert merged.mirrored_by == ("image", "image-with-holes")
    same = merge("own", FoundPanel(None, SQUARE, (lettered(0, "A"), *HOLES[1:])))
    assert not same.edit.changes
    both = merge("own", FoundPanel(None, SQUARE, (replace(lettered(0, "B"), at=(12, 10)), *HOLES[1:])))
    assert (both.edit.fasteners, both.edit.moved, both.holes[0].state) == ({0: "B"}, {0: (22, None)}, "moved")


def test_a_hole_by_distances_gets_its_letter_too(merge):
    raw = {"outline": SQUARE, "holes": [{"from": {"2": 80, "top": 57}}, {"at": [100, 30]}, {"at": [60, 70]}]}
    found = FoundPanel(None, SQUARE, (replace(lettered(0, "B"), at=(11, 10)), *HOLES[1:]))
    merged = merge("own", found, raw=raw)
    assert (merged.holes[0].state, merged.edit.fasteners, merged.edit.moved) == ("by distances", {0: "B"}, {})


def test_a_letter_that_the_bike_has_not_is_refused(merge):
    (problem,) = said(merge("own", FoundPanel(None, SQUARE, (lettered(0, "C"), *HOLES[1:]))))
    assert "hole 1 at [20, 30], by mark C: the bike file has no fastener C" in problem


def test_a_mirror_image_has_no_letters_of_its_own(merge):
    turned = tuple(replace(hole, at=(100 - hole.at[0], hole.at[1])) for hole in (lettered(0, "B"), *HOLES[1:]))
    (problem,) = said(merge("image", FoundPanel(None, SQUARE, turned)))
    assert "mirrors `own`, and the drawing shows something else: hole 1 with fastener B" in problem


# Proposed holes


def test_proposed_holes_are_never_written(merge):
    """They lie in the panel's frame, have names of their own, and no letter."""
    spots = (FoundHole((30, 30), None, where="a round spot"), FoundHole((70, 30), None, where="a round spot"))
    merged = merge("own", FoundPanel(None, SQUARE, HOLES, proposed=spots))
    assert not merged.edit.changes
    assert not merged.problems
    assert [(one.id, one.at, one.fastener, one.state) for one in merged.proposed] == [
        ("p1", (40, 50), "", "proposed"), ("p2", (80, 50), "", "proposed"),
    ]  # fmt: skip
    assert len(merged.shown_holes) == 5
    asked = merge("own", FoundPanel(None, SQUARE, HOLES, proposed=spots), Wishes(fastener="B", drop=True))
    assert not asked.edit.changes


def test_a_spot_at_a_hole_of_the_file_says_that_it_is_there(merge):
    """Without its mark it is not moved, and not taken out either."""
    spots = (FoundHole((11, 10), None, where="a round spot"), FoundHole((30, 30), None, where="a round spot"))
    merged = merge("own", FoundPanel(None, SQUARE, HOLES[1:], proposed=spots), Wishes(drop=True))
    assert states(merged) == {"1": "as it was", "2": "as it was", "top": "as it was"}
    assert [one.at for one in merged.proposed] == [(40, 50)]
    assert not merged.edit.changes
    assert "hole 1 has no mark, and stays where it is; a round spot lies 1.0 mm beside it" in merged.notes


# The frame where the outline's lower left moved


DRAGGED = ((0.0, 0.0), (103.8, 0.0), (103.8, 60.0), (3.8, 60.0))  # SQUARE, its lower left 3.8 mm further left
ALONG = tuple(replace(hole, at=(hole.at[0] + 3.8, hole.at[1])) for hole in HOLES)


def test_a_drawing_that_knows_the_panels_frame_is_not_moved(merge):
    """As the page saves it: also where no hole tells that a point was dragged, and not by a hundredth of a mm."""
    knowing = FoundPanel("own", DRAGGED, (), origin=(-6.2, -20.0))
    assert merge("own", knowing).outline[0] == pytest.approx((6.2, 20))
    merged = merge("own", replace(knowing, holes=ALONG))
    assert states(merged) == {"1": "as it was", "2": "as it was", "top": "as it was"}
    assert not merged.notes
    crept = replace(knowing, outline=tuple((x, y + 0.02) for x, y in DRAGGED), holes=ALONG)
    assert [hole.at for hole in merge("own", crept).holes] == [(20, 30), (100, 30), (60, 70)]


def test_spots_tell_the_frame_as_holes_do(merge):
    """Photos without marks, whose outline differs at the lower left: what is seen at the holes says where they are."""
    spots = tuple(replace(hole, fastener=None, where="a round spot") for hole in ALONG)
    merged = merge("own", FoundPanel(None, DRAGGED, (), proposed=spots))
    assert states(merged) == {"1": "as it was", "2": "as it was", "top": "as it was"}
    assert merged.outline[0] == pytest.approx((6.2, 20), abs=0.05)
    assert merged.proposed == ()


def shifted(places, x, y):
    return tuple((u + x, v + y) for u, v in places)


def as_drawn(outline, holes):
    """What a reader of drawings makes of it: [0, 0] at the outline's lower left."""
    x0, y0 = min(x for x, _ in outline), min(y for _, y in outline)
    moved = [replace(hole, at=(hole.at[0] - x0, hole.at[1] - y0)) for hole in holes]
    return FoundPanel(None, shifted(outline, -x0, -y0), tuple(moved))


@pytest.mark.parametrize(
    ("outline", "lower_left"),
    [
        (((-8.0, 20.0), *SQUARE), "[2, 20]"),
        (((-1.0, 20.0), *SQUARE), "[9, 20]"),
        ((SQUARE[0], (50.0, -20.0), *SQUARE[1:]), "[10, 0]"),
        (((-4.0, -4.0), *SQUARE[1:]), "[6, 16]"),
        (((6.0, 8.0), (94.0, 4.0), (100.0, 60.0), (8.0, 60.0)), "[16, 24]"),
        (((-9.0, -9.0), (130.0, -9.0), (130.0, 90.0), (-9.0, 90.0)), "[1, 11]"),
    ],
)
def test_a_point_that_was_dragged_moves_no_hole(merge, outline, lower_left):
    """Leftmost, lowest, both, inwards, all of them: the holes agree on where the panel's frame is."""
    outline = tuple(dict.fromkeys(outline))
    merged = merge("own", as_drawn(outline, HOLES))
    assert not merged.problems
    assert set(states(merged).values()) == {"as it was"}
    assert merged.new_outline
    assert min(x for x, _ in merged.outline) == pytest.approx(10 + min(x for x, _ in outline))
    assert min(y for _, y in merged.outline) == pytest.approx(20 + min(y for _, y in outline))
    assert f"to {lower_left}; the rest did not" in merged.notes[0]


def test_one_hole_alone_needs_the_outline_to_agree(merge):
    """The side that nobody dragged says that the hole did not move; without that, the lower left counts."""
    own = merge("image-with-holes", as_drawn(((-8.0, 20.0), *SQUARE), (FoundHole((90, 10), "A"),)))
    assert set(states(own).values()) == {"as it was"}
    other = tuple((x * 1.3, y * 1.2) for x, y in SQUARE)
    assert merge("image-with-holes", as_drawn(other, (FoundHole((90, 10), "A"),))).notes == ()


def test_a_hole_moves_while_a_point_is_dragged(merge):
    """Two stay, one moves by 2 mm: only that is written."""
    moved = (HOLES[0], replace(HOLES[1], at=(88, 10)), HOLES[2])
    merged = merge("own", as_drawn(((-8.0, 20.0), *SQUARE), moved))
    assert states(merged) == {"1": "as it was", "2": "moved", "top": "as it was"}
    assert merged.edit.moved == {1: (98, None)}


def test_another_outline_of_photos_is_laid_by_its_holes(merge):
    """Nothing is exact there: all holes are within reach by one way, and by the lower left none is."""
    rough = tuple(replace(hole, at=(hole.at[0] + dx, hole.at[1] + dy)) for hole, (dx, dy) in zip(
        HOLES, ((0.6, -0.4), (-0.5, 0.3), (0.2, 0.7)), strict=True))  # fmt: skip
    merged = merge("own", as_drawn(((-5.0, -6.0), (100.5, 0.3), (99.6, 60.4), (0.2, 59.5)), rough))
    assert not merged.problems
    assert set(states(merged).values()) == {"moved"}
    assert all(abs(hole.at[0] - hole.was[0]) < 1 for hole in merged.holes)


def test_the_same_outline_says_where_the_frame_is(merge):
    """All holes moved by 2 mm and the outline did not: that is what they did."""
    merged = merge("own", FoundPanel(None, SQUARE, tuple(replace(one, at=(one.at[0] + 2, one.at[1])) for one in HOLES)))
    assert set(states(merged).values()) == {"moved"}
    assert merged.notes == ()
