"""The page in a real browser: what mouse, fingers and keys do there, and that `trace` takes what it saves."""

from __future__ import annotations

import io
import json
import shutil
from dataclasses import replace

import pytest
from browser import CTRL, SHIFT
from page_samples import HOLES, LAPTOP, OUTLINE, PANEL, PHONE, fastener
from PIL import Image
from shapely import LinearRing
from shapely import Point as Spot

from boardmaker.command_line import run
from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.pages import PageHole, PagePicture

pytest_plugins = ("shown_pages",)

pytestmark = pytest.mark.slow
SIZES = pytest.mark.parametrize(("size", "touch"), [(LAPTOP, False), (PHONE, True)], ids=["laptop", "phone"])


def ring_off(found, outline):
    """How far two outlines are apart at most, each from the lower left of its box."""
    x0, y0 = min(x for x, _ in outline), min(y for _, y in outline)
    there = LinearRing([(x - x0, y - y0) for x, y in outline])
    return LinearRing(found.outline).hausdorff_distance(there)


def holes_of(found):
    return [(hole.fastener, *hole.at) for hole in found.holes]


def near(places, wanted, off=0.002):
    assert len(places) == len(wanted)
    for (letter, x, y), (wanted_letter, wanted_x, wanted_y) in zip(places, wanted, strict=True):
        assert letter == wanted_letter
        assert (x, y) == pytest.approx((wanted_x, wanted_y), abs=off)


AS_IT_WAS = [(hole.fastener, *hole.at) for hole in HOLES]


@SIZES
def test_what_nobody_touched_comes_back(shown, size, touch):
    """Outline and holes, to a thousandth of a millimetre."""
    found, path = shown(size=size, touch=touch).save()
    assert ring_off(found, OUTLINE) < 0.001
    near(holes_of(found), AS_IT_WAS, 0.001)
    text = path.read_text(encoding="utf-8")
    assert 'id="knee-left"' in text
    assert [f'id="{name}"' in text for name in ("A-1", "B-1", "A-2")] == [True] * 3


def test_a_hole_is_dragged_with_the_mouse(shown):
    """It moves by as much as the mouse; undo and redo; the read-out says where it is."""
    page = shown()
    start = page.sheet((150, 140))
    page.browser.drag((start[0] + 3, start[1] - 2), (start[0] + 63, start[1] - 2 + 40))
    scale = (page.sheet((100, 0))[0] - page.sheet((0, 0))[0]) / 100
    at = (150 + 60 / scale, 140 - 40 / scale)
    assert page.said == f"Hole 3, A: x {at[0]:.1f}, y {at[1]:.1f} mm"
    near(holes_of(page.save()[0]), [*AS_IT_WAS[:2], ("A", *at)], 0.05)
    page.browser.key("z", CTRL)
    assert page.said == "Undone: hole 3 moved."
    near(holes_of(page.save()[0]), AS_IT_WAS)
    page.browser.key("y", CTRL)
    near(holes_of(page.save()[0]), [*AS_IT_WAS[:2], ("A", *at)], 0.05)


def test_a_point_is_added_dragged_and_deleted(shown):
    """A double click on the outline, a drag, a key."""
    page = shown()
    on_side = page.sheet((100, 0))
    page.browser.click(on_side, clicks=2)
    assert page.said.startswith("New point 2")
    end = page.sheet((100, 30))
    page.browser.drag(on_side, end)
    wanted = (OUTLINE[0], (100, 30), *OUTLINE[1:])
    assert ring_off(page.save()[0], wanted) < 0.6  # half a pixel
    page.browser.press("#delete")
    assert page.said == "Point 2 deleted."
    assert ring_off(page.save()[0], OUTLINE) < 0.001


def test_a_finger_drags_holds_and_two_zoom(shown):
    """Touch alone: a hole moves, a press on the outline that stays becomes a point, two fingers zoom and move."""
    page = shown(size=PHONE, touch=True)
    start = page.sheet((150, 140))
    page.browser.swipe([(start[0] + 10, start[1] + 8)], [(start[0] + 10, start[1] + 58)])
    scale = (page.sheet((100, 0))[0] - page.sheet((0, 0))[0]) / 100
    near(holes_of(page.save()[0])[2:], [("A", 150, 140 - 50 / scale)], 0.1)

    at = page.sheet((100, 0))
    page.browser.touch("touchStart", at)
    page.browser.wait_for("document.querySelector('#said').textContent.startsWith('New point')")
    page.browser.touch("touchMove", (at[0], at[1] - 20))
    page.browser.touch("touchMove", (at[0], at[1] - 40))
    page.browser.touch("touchEnd")
    wanted = (OUTLINE[0], (100, 40 / scale), *OUTLINE[1:])
    assert ring_off(page.save()[0], wanted) < 1.0

    x, y = page.browser.middle_of("#drawing")
    page.browser.swipe([(x - 20, y), (x + 20, y)], [(x - 60, y), (x + 60, y)])
    wide = page.browser.value("document.querySelector('#outline').getBoundingClientRect().width")
    assert wide == pytest.approx(3 * 320 * scale, rel=0.03)


def test_the_ground_is_dragged_and_the_wheel_zooms(shown):
    """What is under the mouse stays there."""
    page = shown()
    box = "(b => [b.left, b.top, b.width])(document.querySelector('#outline').getBoundingClientRect())"
    left, top, wide = page.browser.value(box)
    page.browser.drag(page.sheet((150, 70)), page.sheet((170, 60)))
    moved = page.browser.value(box)
    assert moved[:2] == pytest.approx([left + 20 * wide / 320, top + 10 * wide / 320], abs=1.5)
    page.look()
    at = page.sheet((20, 20))
    page.browser.mouse("mouseWheel", at, deltaX=0, deltaY=-240)
    page.look()
    assert page.sheet((20, 20)) == pytest.approx(at, abs=1)
    assert page.browser.value(box)[2] == pytest.approx(wide * 2.718**0.6, rel=0.02)
    near(holes_of(page.save()[0]), AS_IT_WAS)


def test_everything_by_keys(shown):
    """No mouse: from hole to hole, nudged, lettered, added, deleted, measured, saved."""
    page = shown()
    page.browser.value("document.querySelector('#drawing').focus()")
    page.browser.key("n")
    assert page.said == "Hole 1, A: x 20.0, y 20.0 mm"
    page.browser.key("ArrowRight", times=3)
    page.browser.key("ArrowUp", SHIFT, times=2)
    assert page.said == "Hole 1, A: x 20.3, y 22.0 mm"
    page.browser.key("l")
    page.browser.key("C")
    page.browser.key("Escape")
    assert page.said == "Hole 1, C: x 20.3, y 22.0 mm"
    page.browser.key("h")
    assert page.said.startswith("New hole 4, C: x 160.0, y 90.0")
    page.browser.key("p")
    page.browser.key("m")
    page.browser.key("n")
    assert page.browser.text("#distance") == "Hole 3 to hole 4: 51.0 mm (10.0 across, 50.0 up)"
    page.browser.key("p", times=2)
    page.browser.key("Delete")
    found, _ = page.save(button=False)
    near(holes_of(found), [("C", 20.3, 22), ("A", 150, 140), ("C", 160, 90)], 0.01)
    assert "Saved saved-corrected.svg. Now: boardmaker trace b.yaml knee-left saved-corrected.svg --drop" in page.said
    assert "The bike file gets another fastener for hole 1 (A → C)." in page.said
    page.browser.key("z", CTRL, times=5)  # delete, new hole, letter, and each way of arrows in one
    near(holes_of(page.save(button=False)[0]), AS_IT_WAS)


def test_one_step_back_takes_all_nudges_of_one_kind(shown):
    """And a step of another kind is a step of its own."""
    page = shown()
    page.browser.value("document.querySelector('#drawing').focus()")
    page.browser.key("n")
    page.browser.key("ArrowRight", times=5)
    page.browser.key("n")
    page.browser.key("ArrowLeft", times=2)
    page.browser.key("z", CTRL)
    near(holes_of(page.save()[0]), [("A", 20.5, 20), *AS_IT_WAS[1:]])


def test_places_are_typed_and_letters_chosen(shown):
    """The fields beside the sheet."""
    page = shown()
    page.browser.press("#holes li:nth-child(2) button")
    page.browser.type_into("#x", "271.25")
    page.browser.type_into("#y", "33.5")
    page.browser.value(
        "(e => { e.value = 2; e.dispatchEvent(new Event('change')) })(document.querySelector('#letter'))"
    )
    near(holes_of(page.save()[0]), [AS_IT_WAS[0], ("C", 271.25, 33.5), AS_IT_WAS[2]])
    page.browser.type_into("#x", "")
    near(holes_of(page.save()[0]), [AS_IT_WAS[0], ("C", 271.25, 33.5), AS_IT_WAS[2]])


def test_add_buttons_ask_where(shown):
    """A press on the button, then one on the sheet."""
    page = shown()
    page.browser.press("#add-hole")
    page.browser.click(page.sheet((200, 60)))
    page.browser.press("#add-point")
    page.browser.click(page.sheet((310, 62)))
    found, _ = page.save()
    near(holes_of(found)[3:], [(None, 200, 60)], 0.5)
    assert len(found.outline) == 5  # the point on the straight side says nothing new, and is thinned out
    assert page.browser.text("#size") == "320.0 × 180.0 mm, 6 points"


@pytest.mark.parametrize(
    ("drag", "words"),
    [
        (((0, 150), (310, 150)), "The outline crosses itself at"),
        (((150, 140), (150, 178.5)), ""),
        (((150, 140), (20, 140)), ""),
        (((280, 30), (310, 10)), "Hole 2 lies outside of the outline."),
        (((280, 30), (150, 140)), "Hole 3 lies on hole 2."),
    ],
)
def test_what_trace_would_refuse_is_not_saved(shown, drag, words):
    """It is said, marked, and can be taken back."""
    page = shown()
    page.browser.drag(*map(page.sheet, drag))
    if words.endswith("hole 2."):
        page.browser.type_into("#x", "150")
        page.browser.type_into("#y", "140.1")
    if not words:
        page.save()
        return
    assert words in page.browser.text("#odd-list")
    assert page.browser.value("document.querySelectorAll('#things .odd').length") >= 1
    page.browser.press("#save")
    assert page.said.startswith("Not saved.")
    assert words in page.said
    page.browser.key("z", CTRL, times=3)
    near(holes_of(page.save()[0]), AS_IT_WAS)


def test_fewer_points_keep_the_outline(shown):
    """As far off as is said, and the box stays."""
    ring = [Spot(150, 90).buffer(90, quad_segs=60).exterior.coords[i] for i in range(240)]
    round_panel = replace(
        PANEL,
        outline=tuple((round(x, 3), round(y, 3)) for x, y in ring),
        holes=(HOLES[2], PageHole("2", (200, 60), "B")),
    )
    page = shown(round_panel)
    page.browser.press("#fewer")
    assert "the outline is off by 0.05 mm at most" in page.said
    count = int(page.said.split()[0])
    assert (
        94 <= count <= 188
    )  # chords of 3.82 degrees are 0.05 mm off at a radius of 90; halving takes up to twice as many
    found, _ = page.save()
    assert len(found.outline) <= count
    assert ring_off(found, round_panel.outline) < 0.05 + 0.035
    page.browser.press("#undo")
    assert ring_off(page.save()[0], round_panel.outline) < 0.035


INNER = 0.551915  # of the radius: the inner points of a quarter circle's curve (Goldapp 1991, from memory)
CIRCLE = Spot(150, 90).buffer(90, quad_segs=90).exterior.coords[:-1]


def curved_panel(*corners):
    """A circle of 90 mm of four curved sides; the points of these numbers without curves behind them."""
    ways = [(1, 0), (0, 1), (-1, 0), (0, -1)]
    points = []
    for i, (x, y) in enumerate(ways):
        behind = (-90 * INNER * y, 90 * INNER * x)
        straight = i in corners
        points.append(
            (150 + 90 * x, 90 + 90 * y, *(-way for way in behind), *((0, 0) if straight else behind)),
        )
    for i in corners:
        x, y, *_, out_x, out_y = points[(i + 1) % 4]
        points[(i + 1) % 4] = (x, y, 0, 0, out_x, out_y)
    return replace(PANEL, outline=tuple(points), holes=(HOLES[2], PageHole("2", (100, 60), "B")))


def test_a_curved_outline_comes_back_as_its_curves(shown):
    """Piece by piece, a straight side as a line; and as the circle that it is."""
    page = shown(curved_panel())
    found, path = page.save()
    assert ring_off(found, CIRCLE) < 0.06
    assert len(found.curve) == 4
    assert path.read_text(encoding="utf-8").count(" C ") == 4
    found, path = shown(curved_panel(2)).save()
    text = path.read_text(encoding="utf-8")
    assert (text.count(" C "), text.count(" L ")) == (3, 1)
    assert sum(start == inner for start, inner, *_ in found.curve) == 1


def test_a_point_more_or_less_on_a_curve(shown):
    """One more does not change the shape; one that is moved keeps its ways; one less is still a curve."""
    page = shown(curved_panel())
    page.browser.click(page.sheet((150 + 90 * 0.6, 90 + 90 * 0.8)), clicks=2)
    assert page.said.startswith("New point 2")
    found, _ = page.save()
    assert len(found.curve) == 5
    assert ring_off(found, CIRCLE) < 0.06
    page.browser.press("#drawing")
    page.browser.press("#undo")
    page.browser.value("document.querySelector('#drawing').focus()")
    for _ in range(3):
        page.browser.key("n")  # two holes, then the first point
    page.browser.type_into("#x", "250")
    found, _ = page.save()
    assert len(found.curve) == 4
    right = max(x for x, _ in found.outline)
    assert right == pytest.approx(190, abs=0.01)
    page.browser.press("#delete")
    found, _ = page.save()
    assert len(found.curve) == 3
    assert all(start != inner for start, inner, *_ in found.curve)


def test_fewer_points_of_a_curve(shown):
    """Points that do not shape it go first, and the outline is as near as is said."""
    page = shown(curved_panel())
    page.browser.value("document.querySelector('#drawing').focus()")
    for _ in range(3):
        page.browser.key("n")
    for _ in range(4):
        page.browser.key("a")
    assert len(page.save()[0].curve) == 8
    page.browser.press("#fewer")
    count, off = int(page.said.split()[0]), float(page.said.split(" by ")[1].split(" mm")[0])
    assert count < 8
    found, _ = page.save()
    assert len(found.curve) == count
    assert ring_off(found, CIRCLE) < off + 0.06


def test_what_hides_behind_other_points_is_said(shown):
    """Of many points near to each other some are not shown, and the outline's size says so."""
    points = [(150 + 90 * x / 90, 90 + (y - 90)) for x, y in CIRCLE]
    page = shown(replace(PANEL, outline=tuple(points), holes=(HOLES[2], PageHole("2", (200, 60), "B"))))
    assert "zoom in for all: " in page.browser.text("#size")
    assert "360 points" in page.browser.text("#size")
    assert "zoom in" not in shown().browser.text("#size")


def test_a_hole_without_a_fastener_is_told(shown):
    """A new hole has no letter of another one unless that is selected; saving says which still want one."""
    page = shown()
    page.browser.value("document.querySelector('#drawing').focus()")
    page.browser.key("h")
    page.browser.press("#save")
    page.browser.wait_for("document.querySelector('#said').textContent.startsWith('Saved')")
    assert "Choose a fastener for hole 4, or add --fastener KEY" in page.said
    page.browser.value("document.querySelector('#drawing').focus()")
    page.browser.key("h")  # hole 4 is selected, and has none
    assert page.browser.text("#holes li:nth-child(5)").startswith("5no fastener") or "no fastener" in page.said


def test_awkward_keys_come_back(shown):
    """Letters that mean something in SVG, keys that begin with another key, a key from right to left."""
    keys = ("long", "long-1", 'a"<b>&c', "é 1", "דג", "x_x41_y", "</script>")
    holes = tuple(PageHole(str(i), (20.0 + 40 * i, 40.0), key) for i, key in enumerate(keys, 1))
    panel = replace(
        PANEL, key='seat "<1>&', holes=(*holes, PageHole("9", (150, 140), ""), PageHole("10", (160, 120), "long"))
    )
    page = shown(panel, tuple(map(fastener, keys)))
    found, _ = page.save()
    assert [hole.fastener for hole in found.holes] == [*keys, None, "long"]


PROPOSED = replace(
    PANEL, holes=(*HOLES, PageHole("p1", (200, 60), "", "proposed"), PageHole("p2", (60, 60), "", "proposed"))
)
RINGS = "[...document.querySelectorAll('#things .hole')].map(e => getComputedStyle(e).strokeDasharray)"


def choose_letter(browser, number):
    browser.value(
        f"(e => {{ e.value = {number}; e.dispatchEvent(new Event('change')) }})(document.querySelector('#letter'))"
    )


@SIZES
def test_a_proposed_hole_is_taken_once_it_has_a_letter(shown, size, touch):
    """Dashed, named and not saved before that; a tap on it and a letter take it, as one that was chosen by hand."""
    page = shown(PROPOSED, size=size, touch=touch)
    assert page.said == "5 points and 3 holes, 2 more proposed."
    assert page.browser.text("#holes-title") == "3 holes, 2 more proposed"
    assert [ring != "none" for ring in page.browser.value(RINGS)] == [False] * 3 + [True] * 2
    near(holes_of(page.save()[0]), AS_IT_WAS)
    assert "2 proposed holes without a fastener: not saved." in page.said
    at = page.sheet((200, 60))
    page.browser.tap(at) if touch else page.browser.click(at)
    assert page.said == "Hole p1, proposed: x 200.0, y 60.0 mm"
    assert "Choose its fastener if it is a hole" in page.browser.text("#proposed-help")
    choose_letter(page.browser, 1)
    assert page.said == "Taken: hole p1, B: x 200.0, y 60.0 mm"
    assert page.browser.value("document.querySelector('#proposed-help').hidden")
    assert [ring != "none" for ring in page.browser.value(RINGS)] == [False] * 4 + [True]
    found, _ = page.save()
    near(holes_of(found), [*AS_IT_WAS, ("B", 200, 60)])
    assert [hole.decides for hole in found.holes] == [False, False, False, True]
    choose_letter(page.browser, -1)
    near(holes_of(page.save()[0]), AS_IT_WAS)


def test_what_is_only_proposed_is_in_nobodys_way(shown):
    """Outside of the outline, or on a hole: it is not saved, and so no reason not to save."""
    spots = (PageHole("p1", (600, 60), "", "proposed"), PageHole("p2", (20.2, 20), "", "proposed"))
    page = shown(replace(PANEL, holes=(*HOLES, *spots)))
    near(holes_of(page.save()[0]), AS_IT_WAS)
    page.browser.press("#holes li:nth-child(4) button")
    choose_letter(page.browser, 0)
    page.browser.press("#save")
    assert "Hole p1 lies outside of the outline." in page.said


def test_a_letter_that_was_chosen_is_saved_as_such(shown):
    """Only where it is another one: what nobody touched does not go before the bike file."""
    page = shown()
    page.browser.press("#holes li:nth-child(2) button")
    choose_letter(page.browser, 2)
    found, path = page.save()
    assert holes_of(found)[1][0] == "C"
    assert [hole.decides for hole in found.holes] == [False, True, False]
    assert path.read_text(encoding="utf-8").count('data-letter="chosen"') == 1
    assert "The bike file gets another fastener for hole 2 (B → C)." in page.said
    page.browser.key("z", CTRL)
    choose_letter(page.browser, -1)
    assert [hole.fastener for hole in page.save()[0].holes] == ["A", None, "A"]


def test_the_picture_lies_where_it_belongs(shown):
    """A picture of known colours: what is at a place of the panel is under that place of the sheet."""
    picture = Image.new("RGB", (340, 200), "white")
    picture.paste("lime", (10 + 100, 10 + 180 - 60, 10 + 120, 10 + 180 - 40))  # x 100 to 120, y 40 to 60
    file = io.BytesIO()
    picture.save(file, "PNG")
    page = shown(picture=PagePicture(file.getvalue(), (-10, -10, 330, 190)))
    page.browser.press("#grid")
    shot = page.browser.folder / "shot.png"
    page.browser.screenshot(shot)
    with Image.open(shot) as seen:
        inside = [seen.convert("RGB").getpixel(tuple(map(round, page.sheet(at)))) for at in ((102, 42), (118, 58))]
        outside = [seen.convert("RGB").getpixel(tuple(map(round, page.sheet(at)))) for at in ((98, 50), (110, 62))]
    assert inside == [(0, 255, 0)] * 2
    assert outside == [(255, 255, 255)] * 2


HOSTILE = "</script><img src=x onerror=alert(1)>\"'&\u202eה"


@SIZES
def test_a_hostile_name_is_shown_and_does_nothing(shown, size, touch):
    """As it was written, hidden marks written out; the fixture sees to it that nothing runs or is loaded."""
    panel = replace(PANEL, name=HOSTILE, notes=(HOSTILE,), holes=tuple(replace(one, id=HOSTILE) for one in HOLES[:2]))
    page = shown(panel, size=size, touch=touch)
    as_shown = HOSTILE.replace("\u202e", "\\u202e")
    assert page.browser.text("h1") == as_shown
    assert page.browser.text("#holes li").startswith(as_shown)
    assert page.browser.value("document.documentElement.scrollWidth") <= size[0]
    assert len(page.save()[0].holes) == 2


def test_the_policy_holds(shown):
    """A script that somebody puts into the page does not run, nor may the page ask for anything."""
    page = shown()
    page.browser.value(
        "document.body.append(Object.assign(document.createElement('script'), {text: 'window.ran = 1'}))"
    )
    refused = page.browser.value("fetch('data:text/plain,x').then(() => 'loaded', () => 'refused')")
    assert (page.browser.value("window.ran ?? 'never'"), refused) == ("never", "refused")
    page.browser.value("document.body.setAttribute('style', 'background: red')")
    assert page.browser.value("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert len(page.browser.messages) >= 3
    page.browser.messages.clear()


@SIZES
def test_room_and_names(shown, size, touch):
    """Nothing reaches over the window's side; what is pressed is large enough and has a name."""
    page = shown(size=size, touch=touch)
    page.browser.press("#holes li button")
    assert page.browser.value("document.documentElement.scrollWidth") <= size[0]
    small = page.browser.value(
        "[...document.querySelectorAll('button, select, input')].filter(e => e.offsetParent)"
        ".filter(e => e.getBoundingClientRect().height < 40 || e.getBoundingClientRect().width < 44).map(e => e.id)"
    )
    assert small == []
    page.browser.value("scrollTo(0, 0)")
    sheet, save = (
        page.browser.value(f"document.querySelector('{one}').getBoundingClientRect().bottom")
        for one in ("#drawing", "#save")
    )
    assert save < sheet <= size[1]
    nodes = page.browser.call("Accessibility.getFullAXTree")["nodes"]
    asked = ("button", "combobox", "spinbutton", "application", "textbox")
    named = [one["name"]["value"] for one in nodes if not one["ignored"] and one["role"]["value"] in asked]
    assert len(named) > 15
    assert all(named)
    assert {"Undo", "Zoom in", "Save", "x mm", "y mm", "Drawing: outline and holes"} <= set(named), named


def test_tab_goes_from_tools_to_the_drawing_to_the_words(shown):
    """And the focus is seen."""
    page = shown()
    active = "document.activeElement"
    way = []
    for _ in range(8):
        page.browser.key("Tab")
        way.append(page.browser.value(f"[{active}.id || {active}.tagName, getComputedStyle({active}).outlineStyle]"))
    ids = ["smaller", "larger", "whole", "grid", "add-point", "add-hole", "save", "drawing"]
    assert way == [[one, "solid"] for one in ids]


def traced_knee(tmp_path, monkeypatch):
    """A demo bike in `layouts`, its left knee cover traced from a drawing with two holes; the bike file's name."""
    shutil.copytree(demo_folder(), tmp_path / "layouts")
    monkeypatch.chdir(tmp_path / "layouts")
    bike = "kestmark-590-naked.yaml"
    (tmp_path / "layouts" / "s.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" viewBox="0 0 400 400"><g id="knee-left">'
        '<path d="M 20 20 L 320 30 L 330 200 L 20 210 Z"/><circle id="A-1" cx="40" cy="40" r="4"/>'
        '<circle id="A-2" cx="300" cy="180" r="4"/></g></svg>',
        encoding="utf-8",
    )
    assert run(["trace", bike, "knee-left", "s.svg", "--quiet"]) == 0
    return bike


def test_from_the_bike_file_and_back(browser, tmp_path, monkeypatch, capsys):
    """`trace` writes the page; what is put right there and saved, `trace` takes into the bike file."""
    bike = traced_knee(tmp_path, monkeypatch)
    browser.open(tmp_path / "layouts" / "out" / "knee-left-traced.html", *LAPTOP)
    browser.press("#holes li:nth-child(2) button")
    browser.type_into("#x", "281.3")
    browser.value("document.querySelector('#drawing').focus()")
    browser.key("h")
    browser.press("#save")
    browser.wait_for("document.querySelector('#said').textContent.startsWith('Saved')")
    said = browser.text("#said")
    assert "boardmaker trace kestmark-590-naked.yaml knee-left knee-left-corrected.svg" in said
    saved = browser.folder / "knee-left-corrected.svg"
    assert run(["trace", bike, "knee-left", str(saved)]) == 0
    out = capsys.readouterr().out
    assert "hole 2 (A) moved by 1.30 mm, [280, 30] to [281.3, 30]" in out
    assert "3 holes: 1 as it was, 1 moved, 1 new" in out
    panel = read_bike(tmp_path / "layouts" / bike)[0].panel("knee-left")
    assert [hole.at for hole in panel.holes] == [(20, 170), (281.3, 30), (155, 95)]
    assert json.loads((tmp_path / "layouts" / "out" / ".boardmaker.json").read_text())["knee-left-traced.html"]


def test_what_was_put_right_comes_into_the_bike_file(browser, tmp_path, monkeypatch, capsys):
    """The leftmost point dragged by 30 mm and a letter changed: the holes stay, and the letter is the new one."""
    bike = traced_knee(tmp_path, monkeypatch)
    before = read_bike(tmp_path / "layouts" / bike)[0].panel("knee-left")
    other = next(one.key for one in read_bike(tmp_path / "layouts" / bike)[0].fasteners if one.key != "A")
    browser.open(tmp_path / "layouts" / "out" / "knee-left-traced.html", *LAPTOP)
    browser.press("#holes li:nth-child(2) button")
    keys = browser.value("JSON.parse(document.querySelector('#data').textContent).fasteners.map(one => one.key)")
    choose_letter(browser, keys.index(other))
    browser.value("document.querySelector('#drawing').focus()")
    browser.key("n")
    while (
        not browser.text("#selected-title").startswith("Point")
        or browser.value("document.querySelector('#x').value") != "0.00"
    ):
        browser.key("n")
    browser.type_into("#x", "-30")
    browser.press("#save")
    browser.wait_for("document.querySelector('#said').textContent.startsWith('Saved')")
    text = (tmp_path / "layouts" / bike).read_text(encoding="utf-8")
    assert run(["trace", bike, "knee-left", str(browser.folder / "knee-left-corrected.svg")]) == 0
    out = capsys.readouterr().out
    assert f"ANOTHER FASTENER: hole 2 at [280, 30] was A and is now {other}, as circle '{other}-1' says" in out
    assert "outline 340.0 x 190.0 mm, now from outlines/knee-left.svg" in out
    after = read_bike(tmp_path / "layouts" / bike)[0].panel("knee-left")
    assert [hole.at for hole in after.holes] == [hole.at for hole in before.holes]
    assert [hole.fastener for hole in after.holes] == ["A", other]
    assert min(x for x, _ in after.outline) == pytest.approx(-30)
    changed = [
        (a, b)
        for a, b in zip(
            text.splitlines(), (tmp_path / "layouts" / bike).read_text(encoding="utf-8").splitlines(), strict=True
        )
        if a != b
    ]
    assert len(changed) == 1
    assert run(["trace", bike, "knee-left", str(browser.folder / "knee-left-corrected.svg")]) == 0
    assert "says all this already: not changed" in capsys.readouterr().out
