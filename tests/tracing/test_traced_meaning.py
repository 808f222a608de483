"""What a drawing means: whose hole, whose outline, which panel; and that what could mean two things is said.

The rules of `sorting`, `holes` and `names`, each in a drawing of a few lines.
"""

from __future__ import annotations

import pytest
from drawings import svg

from boardmaker.tracing import read_tracing

BOX = '<path id="path1" d="M10 10H110V60H10Z"/>'  # 100 x 50 mm


def text(x, y, words, size=2):
    return f'<text x="{x}" y="{y}" text-anchor="middle" font-size="{size}">{words}</text>'


def holes(tracing):
    (panel,) = tracing.panels
    return [(hole.at, hole.fastener) for hole in panel.holes]


NAMES = {
    'id="A"': "A",
    'id="A-3"': "A",
    'id="A_3"': "A",
    'id="A.3"': "A",
    'd:label="A 3"': "A",
    'd:label="a 3"': "A",
    'aria-label="D1"': "D1",
    'aria-label="D1-2-1"': "D1",
    'data-name="long-1"': "long-1",
    'id="long-1_2_"': None,
    'id="long-1-2"': "long-1",
    'id="_x41_-3"': "A",
    'id="circle12"': None,
    'id="path3"': None,
    'id="c-1"': None,  # the key is C; programs make such ids up
    'id="C-1"': "C",
    'd:label="c-1"': "C",
    'id="A3"': None,
    'id="Z-3"': None,
    'id="circle12" d:label="B"': "B",
    'id="A-1" d:label="A"': "A",
    "": None,
}


@pytest.mark.parametrize("name", NAMES)
def test_a_name_says_the_fastener(trace, name):
    """`A`, `A-3`, `A 3` and how programs spell them; what a program made up says nothing."""
    tracing = trace(svg(f'{BOX}<circle {name} cx="20" cy="20" r="3"/>'))
    assert holes(tracing) == [((10.0, 40.0), NAMES[name])]


def test_a_title_and_a_group_say_the_fastener(trace):
    """A title child of the circle, and the id of a group with more in it than the hole."""
    title = '<circle cx="20" cy="20" r="3"><title> B </title></circle>'
    group = '<g id="A-2"><path d="M28 20H32"/><circle cx="30" cy="20" r="3"/></g>'
    assert [key for _, key in holes(trace(svg(BOX + title + group)))] == ["B", "A"]


def test_the_nearest_text_says_the_fastener(trace):
    """Within 15 mm of the hole's centre, of all texts that are a key; others do not count."""
    circles = '<circle id="circle1" cx="20" cy="30" r="3"/><circle cx="60" cy="30" r="3"/>'
    words = text(20, 36, "A") + text(20, 31, "M6") + text(70, 30, "B 2") + text(60, 46.4, "C")
    assert [key for _, key in holes(trace(svg(BOX + circles + words)))] == ["A", "B"]
    assert [key for _, key in holes(trace(svg(BOX + circles + text(20, 44.9, "A"))))] == ["A", None]
    assert [key for _, key in holes(trace(svg(BOX + circles + text(20, 46, "A"))))] == [None, None]


TEXTS = {
    "anchored at its start": '<text x="60" y="31" font-size="4">A</text>',
    "anchored at its end": '<text x="52" y="31" style="font-size:4px;text-anchor:end">A</text>',
    "in a span": '<text font-size="4"><tspan x="60" y="31">A</tspan></text>',
    "in spans with places": '<text font-size="4"><tspan x="60" y="31">A</tspan><tspan x="90" y="55">B</tspan></text>',
    "in a span without a place": '<text x="60" y="31" font-size="4"><tspan>A</tspan></text>',
    "turned": '<g transform="translate(60 31) rotate(-90)"><text font-size="4">A</text></g>',
    "in units": '<text x="60" y="31" style="font-size:3pt">A</text>',
    "with a place for each letter": '<text x="60 63" y="31" font-size="4">A 3</text>',
}


@pytest.mark.parametrize("form", TEXTS)
def test_texts_as_programs_write_them(trace, form):
    """Each stands some mm beside the hole and says A."""
    drawing = svg(BOX + '<circle cx="55" cy="30" r="3"/>' + TEXTS[form] + text(55, 44, "C"))
    assert holes(trace(drawing)) == [((45.0, 30.0), "A")]


@pytest.mark.parametrize(
    ("x", "anchor", "key"),
    [
        (69, "start", "A"),
        (71, "start", None),
        (71, "end", "A"),
        (78, "middle", "A"),
        (80, "middle", None),
        (41, "end", "A"),
        (39, "end", None),
    ],
)
def test_a_text_is_where_its_nearest_letter_is(trace, x, anchor, key):
    """Three letters of 10 mm take some 18 mm: 15 mm are counted to the nearest end of them, as with a rule."""
    words = f'<g style="text-anchor:{anchor};font-size:10px"><text x="{x}" y="33.5">A-1</text></g>'
    assert holes(trace(svg(BOX + '<circle cx="55" cy="30" r="3"/>' + words))) == [((45.0, 30.0), key)]


def test_two_texts_equally_near_are_a_problem(refused, trace):
    """Neither is guessed; two of one key are no question, and a name of its own settles it."""
    both = text(26, 30, "A") + text(14, 30, "B")
    (problem,) = refused(svg(f'{BOX}\n<circle id="circle1" cx="20" cy="30" r="3"/>{both}'))
    assert problem.startswith("4: circle 'circle1': the texts `A` and `B` are equally near to it, 5.")
    assert holes(trace(svg(f'{BOX}<circle id="B-1" cx="20" cy="30" r="3"/>{both}')))[0][1] == "B"
    same = both.replace(">B<", ">A 2<")
    assert holes(trace(svg(f'{BOX}<circle cx="20" cy="30" r="3"/>{same}')))[0][1] == "A"
    nearer = text(26, 30, "A") + text(12.5, 30, "B")
    assert holes(trace(svg(f'{BOX}<circle cx="20" cy="30" r="3"/>{nearer}')))[0][1] == "A"


def test_two_names_of_one_hole_are_a_problem(refused):
    """An id that says A and a label that says B."""
    (problem,) = refused(svg(f'{BOX}\n<circle id="A-1" d:label="B" cx="20" cy="30" r="3"/>'))
    assert problem.startswith("4: circle 'B': `A` or `B` | ")


def test_a_hole_outside_is_a_problem_by_how_much(refused):
    """Twelve mm to the right of the outline, and two below: both at once."""
    out = '\n<circle id="A-1" cx="122" cy="30" r="3"/>\n<circle cx="50" cy="62" r="3"/>'
    first, second = refused(svg(BOX + out))
    assert first.startswith("4: circle 'A-1' lies 12.0 mm outside of the outline | ")
    assert second.startswith("5: circle in line 5 lies 2.0 mm outside of the outline | ")


def test_rings_around_one_centre_are_one_hole(trace, refused):
    """The head drawn around the hole: the smallest is the hole, a name of either counts, two names are a problem."""
    rings = '<circle id="A-1" cx="20" cy="30" r="6"/><circle id="in" cx="20.05" cy="30" r="3"/>'
    (panel,) = trace(svg(BOX + rings)).panels
    assert [(hole.fastener, hole.diameter, hole.where) for hole in panel.holes] == [("A", 6.0, "circle 'in'")]
    assert [one.why for one in panel.ignored] == ["it lies around the same centre as circle 'in'"]
    (problem,) = refused(svg(BOX + rings.replace('"in"', '"B"')))
    assert "it is named for `A` and `B`" in problem


def test_a_large_round_opening_is_no_hole(trace):
    """The opening for a lamp: 61 mm wide, unless its name says that it is a fastener's."""
    big = '<path d="M0 0H200V100H0Z"/><circle id="{}" cx="50" cy="50" r="30.5"/>'
    (panel,) = trace(svg(big.format("lamp"))).panels
    assert panel.holes == ()
    assert [(one.what, one.why, one.at) for one in panel.ignored] == [
        ("circle 'lamp'", "it is 61 mm wide; no fastener is", (50.0, 50.0))
    ]
    assert len(trace(svg(big.format("A"))).panels[0].holes) == 1


PAIR = (
    '<g d:label="Knee left"><path d="M0 0H100V50H0Z"/><circle id="A-1" cx="20" cy="30" r="3"/></g>'
    '<g id="knee_right" transform="translate(120 0)"><path d="M0 0H100V50H0Z"/>'
    '<circle id="A-1" cx="80" cy="30" r="3"/></g>'
)


def test_panels_by_the_names_of_groups(trace):
    """Labels, ids and how programs spell them; in the drawing's order, each in its own frame."""
    tracing = trace(svg(PAIR))
    assert [(one.key, [hole.at for hole in one.holes]) for one in tracing.panels] == [
        ("knee-left", [(20.0, 20.0)]),
        ("knee-right", [(80.0, 20.0)]),
    ]
    assert {one.outline for one in tracing.panels} == {((0.0, 50.0), (0.0, 0.0), (100.0, 0.0), (100.0, 50.0))}


def test_a_named_path_takes_what_lies_in_it(trace, refused):
    """Its holes need no group: circles in it are its own, lines in it are ignored there, what is far away is too."""
    path = '<path id="seat" d="M0 0H100V50H0Z"/>\n'
    inside = '<circle id="A-1" cx="20" cy="30" r="3"/><rect id="slot" x="50" y="20" width="9" height="5"/>'
    far = '<circle id="logo" cx="180" cy="200" r="9"/><rect id="saet" x="130" y="200" width="9" height="5"/>'
    tracing = trace(svg(path + inside + far))
    (panel,) = tracing.panels
    assert panel.key == "seat"
    assert [hole.at for hole in panel.holes] == [(20.0, 20.0)]
    assert [one.what for one in panel.ignored] == ["rect 'slot'"]
    assert [(one.what, one.why) for one in tracing.ignored] == [
        ("circle 'logo'", "it lies in no panel"),
        ("rect 'saet'", "it lies in no panel; was `seat` meant by its name?"),
    ]
    near = '<circle id="x" cx="112" cy="20" r="3"/>'
    assert "lies 12.0 mm outside of the outline of panel `seat`" in refused(svg(path + near))[0]
    named = '<circle id="A-9" cx="180" cy="20" r="3"/>'
    assert "lies 80.0 mm outside of the outline of panel `seat`" in refused(svg(path + named))[0]


def test_a_path_in_a_group_of_its_name_is_one_panel(trace):
    """The layer `seat` has a path `seat` and circles beside it."""
    slot = '<path d="M20 20H40V25H20Z"/><circle id="B" cx="9" cy="9" r="3"/>'
    body = f'<g d:label="seat"><path id="seat" d="M0 0H100V50H0Z"/>{slot}</g>'
    assert [(one.key, len(one.holes), len(one.ignored)) for one in trace(svg(body)).panels] == [("seat", 1, 1)]


def test_texts_of_another_panel_do_not_count(trace):
    """Two panels that touch: a text in the group of one says nothing of the other's hole."""
    one = '<g id="seat"><path d="M0 0H50V50H0Z"/><circle cx="45" cy="25" r="3"/></g>'
    two = f'<g id="knee-left"><path d="M50 0H100V50H50Z"/>{text(51, 25, "A")}<circle cx="70" cy="9" r="3"/></g>'
    tracing = trace(svg(one + two))
    assert [[hole.fastener for hole in panel.holes] for panel in tracing.panels] == [[None], [None]]


def test_two_panels_of_one_key_are_a_problem(refused, trace):
    """A copied group keeps its label; without an outline of its own it is the rest of the panel."""
    again = PAIR.replace('id="knee_right"', 'd:label="knee-left"').replace("</g><g", "</g>\n<g")
    (problem,) = refused(svg(again))
    assert problem.startswith("4: two panels are called `knee-left`")
    rest = '<g d:label="knee-left"><circle id="B-1" cx="40" cy="30" r="3"/></g>'
    assert [len(panel.holes) for panel in trace(svg(PAIR + rest)).panels] == [2, 1]


def test_a_name_of_two_panels_is_a_problem(refused, trace):
    """An id that is one panel's key and a label that is another's; and a spelling that may be either's."""
    (problem,) = refused(svg('<path id="seat" d:label="knee-left" d="M0 0H100V50H0Z"/>'))
    assert "path 'knee-left' names two panels: `knee-left` or `seat`" in problem
    body = svg('<path d:label="SIDE A" d="M0 0H100V50H0Z"/>')
    assert "`side-a` or `side_a`" in refused(body, panels=("side-a", "side_a"))[0]
    exact = body.replace("SIDE A", "side_a")
    assert trace(exact, panels=("side-a", "side_a")).panels[0].key == "side_a"


def test_two_large_outlines_without_a_name_are_a_problem(refused, trace):
    """Beside each other: which is the panel? Smaller ones, and those within, are ignored with a word."""
    beside = '\n<path d="M10 70H110V95H10Z"/>'
    (problem,) = refused(svg(BOX + beside))
    assert "path 'path1' and path in line 4 lie beside each other (100.0 x 50.0 mm and 100.0 x 25.0 mm)" in problem
    assert "which is the panel?" in problem
    (panel,) = trace(svg(BOX + '<path id="tab" d="M10 70H110V80H10Z"/><path id="in" d="M20 20H80V50H20Z"/>')).panels
    assert [(one.what, one.why) for one in panel.ignored] == [
        ("path 'tab'", "it is not round: 100.0 x 10.0 mm, and not within the outline"),
        ("path 'in'", "it is not round: 60.0 x 30.0 mm"),
    ]


def test_a_frame_as_large_as_the_sheet_is_no_panel(refused, trace):
    """A ground behind the drawing would be the largest path: it is asked, unless the panel has a name."""
    ground = '<rect id="bg" width="210" height="297"/>'
    large = '<path id="p" d="M5 5H200V200H5Z"/>'
    (problem,) = refused(svg(ground + large))
    assert "rect 'bg' is as large as the sheet, and path 'p' lies in it: which is the panel?" in problem
    assert trace(svg(ground + large.replace('"p"', '"seat"'))).panels[0].key == "seat"


def test_a_drawing_without_a_closed_path(refused):
    """It says by how much the longest line fails to close, and what the reader left out."""
    assert "no closed path" in refused(svg(""))[0]
    (problem,) = refused(svg('<path id="seat" d="M0 0H100V50H0V3.5"/><image id="i" width="5" height="5"/>'))
    assert "panel `seat` has no closed path; the ends of path 'seat' are 3.5 mm apart" in problem
    assert "image 'i': it is a picture" in problem
    (problem,) = refused(svg('<circle cx="9" cy="9" r="3"/><circle cx="29" cy="9" r="3"/><path d="M0 0H100V50H0V2"/>'))
    assert "the drawing has circles, but no closed path around them; the ends of path in line 3 are 2.0 mm" in problem


def test_a_round_panel(trace):
    """A clutch cover: the largest circle is the outline, as the others lie in it."""
    body = '<circle cx="80" cy="80" r="70"/><circle id="A" cx="80" cy="20" r="3"/>'
    (panel,) = trace(svg(body)).panels
    assert [hole.at for hole in panel.holes] == [pytest.approx((70, 130), abs=0.01)]
    assert max(x for x, _ in panel.outline) == pytest.approx(140, abs=0.01)


def test_open_lines_that_meet_are_one_outline(trace):
    """Lines and arcs one by one, whichever way they run, with gaps of less than 0.1 mm."""
    lines = (
        '<line id="seat" x1="10" y1="10" x2="90" y2="10"/><path d="M10.05 60H90V60"/>'
        '<path d="M90.06 10A25 25 0 0 1 90 60"/><polyline points="10,60 10,10.07"/>'
    )
    tracing = trace(svg(lines.replace('id="seat"', "") + '<circle id="A" cx="20" cy="20" r="3"/>'))
    assert holes(tracing) == [((10.0, 40.0), "A")]
    assert max(x for x, _ in tracing.panels[0].outline) == pytest.approx(105, abs=0.1)
    assert tracing.panels[0].ignored == ()


def test_lines_that_fork_are_not_followed(refused):
    """Where three lines meet, nobody knows which way the outline goes."""
    lines = '<path d="M10 10H90V60"/><path d="M90 60H10"/><path d="M10 60V10"/><path d="M90 60L150 90"/>'
    assert "no closed path" in refused(svg(lines))[0]
    beside = '<path d="M10 10H90V60"/><path d="M90.08 60H10V10"/><path d="M90.16 60L150 90"/>'
    assert "no closed path" in refused(svg(beside))[0]


def test_an_outline_that_crosses_itself_is_a_problem(refused):
    """With the place, as in a bike file."""
    (problem,) = refused(svg('\n<path id="p" d="M10 10L60 40V10L10 40Z"/>'))
    assert problem.startswith("4: path 'p': the outline crosses itself at [35, ")


def test_what_is_open_is_said_and_not_without_end(trace):
    """Twenty lines one by one, the rest as a number."""
    lines = "".join(f'<path d="M20 {20 + i}h30"/>' for i in range(25))
    (panel,) = trace(svg(BOX + lines)).panels
    assert panel.ignored[0].why == "it is open: its ends are 30.0 mm apart"
    assert [(one.what, one.why) for one in panel.ignored[20:]] == [("5 more lines", "they are open")]


def test_every_problem_at_once(refused):
    """A hole outside, two texts, two names: one run says all, from top to bottom."""
    body = (
        f'{BOX}\n<circle id="A-1" cx="130" cy="30" r="3"/>\n<circle cx="20" cy="30" r="3"/>'
        f'\n<circle id="A" d:label="B" cx="80" cy="30" r="3"/>{text(26, 30, "A")}{text(14, 30, "B")}'
    )
    assert [one.split(":")[0] for one in refused(svg(body))] == ["4", "5", "6"]


def test_more_circles_than_any_bike_has(refused):
    """What would take without end is counted first."""
    many = "".join(f'<circle cx="{20 + i % 80}" cy="{20 + i // 80}" r=".1"/>' for i in range(2001))
    assert "2001 circles" in refused(svg(BOX + many))[0]


def test_a_file_of_another_kind(refused):
    """It says which kinds are read."""
    (problem,) = refused("x", name="d.dwg")
    assert "SVG or DXF" in problem


def test_a_text_that_looks_like_a_key_is_kept_with_its_hole(trace):
    """Q where there is no Q, as text or label: nothing else is taken in its place; a thread or a word is no key."""
    circle = '<circle {} cx="20" cy="30" r="3"/>'

    def unread(name, words):
        (panel,) = trace(svg(BOX + "\n" + circle.format(name) + words)).panels
        return panel.holes[0].fastener, panel.holes[0].unread

    assert unread("", text(26, 31, "Q")) == (None, "text 'Q' in line 4")
    assert unread("", text(26, 31, "Q-2") + text(20, 40, "A")) == (None, "text 'Q-2' in line 4")
    assert unread("", text(26, 31, "A") + text(20, 40, "Q")) == ("A", "")
    assert unread("", text(26, 31, "lnog")) == (None, "text 'lnog' in line 4")
    assert unread('d:label="Q-1"', "") == (None, "name 'Q-1'")
    assert unread('id="Q-1"', "") == (None, "name 'Q-1'")
    assert unread('id="c9"', "") == (None, "")
    assert unread("", text(26, 31, "M6") + text(20, 26, "up")) == (None, "")


@pytest.mark.parametrize("words", ["A-1", "A 1", "A", "a"])
def test_a_text_is_read_like_an_id(trace, words):
    """With a number behind it."""
    assert holes(trace(svg(f'{BOX}<circle cx="20" cy="30" r="3"/>{text(27, 31, words)}'))) == [((10.0, 30.0), "A")]


def test_a_text_beyond_the_reach_is_named_with_its_distance(trace):
    """And one that two holes share is said: one of them may be meant for another."""
    body = BOX + '\n<circle cx="20" cy="30" r="3"/>\n<circle cx="90" cy="30" r="3"/>\n' + text(40, 30, "B")
    (panel,) = trace(svg(body)).panels
    assert [hole.fastener for hole in panel.holes] == [None, None]
    assert panel.holes[0].near == "text 'B' in line 6, 19.4 mm away"
    assert panel.notes == ()
    (panel,) = trace(svg(body.replace('cx="90"', 'cx="50"').replace('x="40"', 'x="34"'))).panels
    assert [hole.fastener for hole in panel.holes] == ["B", None]
    (panel,) = trace(svg(body.replace('cx="90"', 'cx="46"').replace('x="40"', 'x="33"'))).panels
    assert panel.notes == ("text 'B' in line 6 is taken for 2 holes: circle in line 4, circle in line 5",)


LAYERS = """<g id="all">
<g d:label="seat"><path d="M0 0H100V50H0Z"/><circle id="A-1" cx="20" cy="30" r="3"/></g>
<g d:label="hood"><path d="M60 60H190V90H60Z"/><circle id="B-1" cx="180" cy="80" r="3"/>
<circle id="B-2" cx="65" cy="62" r="3"/><path d="M70 70H80"/></g>
<g d:label="bolts"><circle id="C" cx="50" cy="25" r="3"/><circle id="C-2" cx="170" cy="70" r="3"/></g>
<g d:label="over"><path d="M-20 -20H30V20H-20Z"/><circle id="B-3" cx="10" cy="10" r="3"/></g>
<g d:label="knee-left" transform="translate(0 100)"><path d="M0 0H100V50"/><circle id="A" cx="2" cy="2" r="1"/></g>
</g>"""


def test_one_panel_is_taken_out_of_a_drawing_of_many(tmp_path):
    """Layers that the file does not know are none of its business, nor is what is wrong with the other panels.

    A layer of bolts for all panels is shared: the one that lies in the panel is its own.
    """
    path = tmp_path / "d.svg"
    path.write_text(svg(LAYERS), encoding="utf-8")
    tracing = read_tracing(path, ("seat", "knee-left"), ("A", "B", "C"), None, None, "seat")
    (panel,) = tracing.panels
    assert [(hole.at, hole.fastener) for hole in panel.holes] == [((20, 20), "A"), ((50, 25), "C")]
    assert [(one.what, one.why) for one in tracing.ignored] == [
        ("`knee-left`", "`seat` alone is asked for"),
        ("7 lines of 'hood', 'bolts', 'over'", "another group than `seat`"),
    ]
    assert tracing.others == ("hood", "over")


def test_layers_that_are_no_panels_are_named(refused, trace):
    """Every layer has a label, and none is in the file: the labels and the way on, instead of "which is the panel"."""
    (problem,) = refused(svg(LAYERS), panels=("tank",))
    assert "names no panel of the bike file; its groups are seat, hood, over | " in problem
    assert "boardmaker trace BIKE seat d.svg" in problem
    assert "which is the panel" in refused(svg(LAYERS.replace("d:label", "d:role")), panels=("tank",))[0]
