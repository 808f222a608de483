"""A bike file changed in its text: what is wanted comes, and not one letter outside the panel changes."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

import pytest

from boardmaker.commands.common import demo_folder
from boardmaker.inputs import try_bike
from boardmaker.inputs.yaml.edits import entry_of, last_letter
from boardmaker.inputs.yaml.panel_edits import NewHole, PanelEdit, edited_panels
from boardmaker.inputs.yaml.reader import compose, read_content
from boardmaker.problems import ProblemsFound
from boardmaker.tracing.found import FoundHole, FoundPanel
from boardmaker.tracing.merge import Wishes, merge_panel

DEMOS = sorted(demo_folder().glob("*.yaml"))
HEAD = """\
format: 1
bike: { name: Test }
fasteners:
  A: { part: ISO 7380-2 - M6 x 16 - 10.9 }
  B: { part: ISO 7380-2 - M6 x 12 - 10.9 }
"""
STYLES = {
    "block": """\
panels:
  one:
    name: One   # first
    side: left
    holes:
      - { at: [10, 20], fastener: A } # a
      # between
      - { at: [90, 20.0], fastener: B, note: "it's: so" }
      - at: [50, 80]
        fastener: A
  # after
  two: { name: Two, side: right, holes: [] }
""",
    "flow holes": """\
panels:
  one:
    name: One
    side: left
    holes: [ { at: [10, 20], fastener: A }, # a
      { at: [90, 20.0], fastener: B },
      { at: [50, 80], fastener: A } ]
  two: { name: Two, side: right, holes: [] }
""",
    "flow panel": """\
panels:
  one: { name: One, side: left, holes: [ { at: [10, 20], fastener: A },\
 { at: [90, 20.0], fastener: B }, { at: [50, 80], fastener: A } ] }
  two: { name: Two, side: right, holes: [] } # end
""",
    "flow panels": """\
panels: { one: { name: One, side: left,
    holes: [ { at: [10, 20], fastener: A },
    { at: [90, 20.0], fastener: B },
    { at: [50, 80], fastener: A }, ] },
  two: { name: Two, side: right, holes: [] } }
""",
    "dashes under their key": """\
panels:
  two: { name: Two, side: right, holes: [] }
  one:
    name: One
    holes:
    - { at: [10, 20], fastener: A }
    - at: [90, 20.0]   # tab	here
      fastener: B
    -   { at: [50, 80], fastener: A }
    side: left""",
    "points in a block": """\
panels:
  one:
    name: One
    side: left
    outline: # traced
      # from the left
      - [0, 0]
      - [100, 0]
      - [50, 100] # top
    holes:
      - at:
          - 10 # across
          - 20
        fastener: A
      - { at: [90, 20.0], fastener: B }
      - { at: [50, 80], fastener: A }
  two: { name: Two, side: right, holes: [] }""",
}
WAYS = {
    "as it is": lambda text: text.encode(),
    "CRLF": lambda text: text.replace("\n", "\r\n").encode(),
    "byte-order mark": lambda text: b"\xef\xbb\xbf" + text.encode(),
    "no line end": lambda text: text.rstrip("\n").encode(),
    "CRLF and mark, no line end": lambda text: b"\xef\xbb\xbf" + text.rstrip("\n").replace("\n", "\r\n").encode(),
}
FOURTH = NewHole((5, 6), (("id", "4"), ("fastener", "B")))
EDITS = {
    "moved": PanelEdit("one", moved={0: (11.5, None), 2: (49.0, 81.25)}),
    "other fasteners": PanelEdit("one", fasteners={0: "B", 1: "it's #2", 2: "B"}),
    "other fastener, place and id": PanelEdit(
        "one", moved={1: (1.0, None)}, fasteners={1: "A"}, dropped=frozenset({0}), ids={1: "2", 2: "3"}
    ),
    "added": PanelEdit("one", added=(NewHole((5.0, 6.0), (("fastener", "B"), ("stack", "3 mm"))),)),
    "first dropped": PanelEdit("one", dropped=frozenset({0}), ids={1: "2", 2: "3"}),
    "last dropped": PanelEdit("one", dropped=frozenset({2})),
    "two last dropped": PanelEdit("one", dropped=frozenset({1, 2}), moved={0: (1.0, 2.0)}),
    "all dropped": PanelEdit("one", dropped=frozenset({0, 1, 2})),
    "all in place of others": PanelEdit("one", dropped=frozenset({0, 1, 2}), added=(FOURTH,)),
    "all at once": PanelEdit(
        "one", outline_file="outlines/one.svg", moved={2: (1.0, 2.0)}, dropped=frozenset({1}), ids={2: "3"},
        added=(FOURTH, NewHole((7, 8), (("id", "5"), ("fastener", "A"), ("note", "it's: #1, so")))),
    ),
    "outline": PanelEdit("one", outline_file="outlines/one.svg"),
    "outline of one without holes": PanelEdit("two", outline_file="outlines/two.svg"),
    "into an empty list": PanelEdit("two", added=(NewHole((5, 6), (("fastener", "B"),)),)),
    "a new panel": PanelEdit(
        "Höcker: left", (("name", "The #1: 'it'"), ("side", "left")), "outlines/x.svg", added=(FOURTH,)
    ),
}  # fmt: skip


def same_beginning(one, other):
    """How many bytes two texts have in common from their beginning."""
    return next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


@cache
def spans(text, key):
    """All before a panel, and all behind the line of its last letter."""
    found = entry_of(entry_of(compose(text.removeprefix("\ufeff")), "panels")[1], key)
    mark = text.startswith("\ufeff")
    end = text.find("\n", last_letter(found[1]) + mark)
    return text[: found[0].start_mark.index + mark], "" if end < 0 else text[end:].removeprefix("\n")


@pytest.mark.parametrize(
    ("style", "way"),
    [
        *((style, way) for style in STYLES for way in ("as it is", "CRLF and mark, no line end")),
        *((style, way) for style in ("block", "flow panels") for way in ("CRLF", "byte-order mark", "no line end")),
    ],
)
def test_every_style_takes_every_edit(style, way):
    """The data are as wanted (`edited_panels` holds them against it), and what is outside of the panel stays."""
    content = WAYS[way](HEAD + STYLES[style])
    document = read_content(content, "bike.yaml")
    for edit in EDITS.values():
        only_the_panel_changes(content, document, edit)


def only_the_panel_changes(content, document, edit):
    edited = edited_panels(content, document, [edit])
    assert edited != content
    assert edited.startswith(b"\xef\xbb\xbf") == content.startswith(b"\xef\xbb\xbf")
    assert (b"\r\n" in edited) == (b"\r\n" in content)
    assert edited.count(b"\n") - edited.count(b"\r\n") == (0 if b"\r\n" in content else edited.count(b"\n"))
    data = read_content(edited, "bike.yaml").data
    assert {key: one for key, one in data["panels"].items() if key != edit.key} == {
        key: one for key, one in document.data["panels"].items() if key != edit.key
    }
    if not edit.head:
        before, after = spans(content.decode(), edit.key)
        assert edited.decode().startswith(before)
        assert edited.decode().endswith(after)
    else:
        assert same_beginning(content, edited) + same_beginning(content[::-1], edited[::-1]) >= len(content)


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
@pytest.mark.parametrize("panels", ["panels:\n", "panels: {}   # none yet\n", "panels: # none\n  # yet\n"])
def test_the_first_panel_of_all(panels, way):
    """A file that `new` made has none."""
    content = way(HEAD + panels + "jobs: {}\n")
    edited = edited_panels(content, read_content(content, "bike.yaml"), [EDITS["a new panel"]])
    assert list(read_content(edited, "bike.yaml").data["panels"]) == ["Höcker: left"]
    assert edited.decode().rstrip().endswith("jobs: {}")


SHARED = {
    "a panel": """\
panels:
  one: &x { name: One, side: left, holes: [ { at: [1, 2], fastener: A } ] }
  two: *x
""",
    "holes": """\
panels:
  two: { name: Two, side: left, holes: &h [ { at: [1, 2], fastener: A } ] }
  one: { name: One, side: left, holes: *h }
""",
    "a place": """\
panels:
  two: { name: Two, side: left, holes: [ { at: &p [1, 2], fastener: A } ] }
  one: { name: One, side: left, holes: [ { at: *p, fastener: A } ] }
""",
}
SHARED_LETTER = """\
panels:
  two: { name: Two, side: left, holes: [ { at: [1, 2], fastener: &f A } ] }
  one: { name: One, side: left, holes: [ { at: [3, 4], fastener: *f } ] }
"""
COMMAS = "panels:\n  one: { name: One, side: left, holes: [ { at: [1,5, 2], fastener: A } ] }\n"


@pytest.mark.parametrize(
    ("text", "said"), [*((text, "several places") for text in SHARED.values()), (COMMAS, "cannot change")]
)
def test_a_form_that_cannot_be_edited_is_refused(text, said):
    """With the place of the panel and what to do."""
    content = (HEAD + text).encode()
    document = read_content(content, "bike.yaml")
    with pytest.raises(ProblemsFound, match=said) as found:
        edited_panels(content, document, [PanelEdit("one", moved={0: (7.0, 8.0)})])
    assert found.value.problems[0].where.line > 5
    assert found.value.problems[0].hint


def found_of(panel, chance):
    """A drawing of a panel that differs from it: holes missing, moved, new."""
    holes = []
    for hole in panel.holes:
        what = chance.random()
        if what < 0.2:
            continue
        by = (0.0, 0.0) if what < 0.5 else (chance.uniform(-0.9, 0.9), chance.uniform(-0.9, 0.9))
        holes.append(FoundHole((hole.at[0] + by[0], hole.at[1] + by[1]), None))
    for number in range(chance.randrange(3)):
        holes.append(
            FoundHole((5000.0 + 20 * number, chance.uniform(0, 200)), "A", (("stack", "3 mm"), ("note", "so: #1")))
        )
    chance.shuffle(holes)
    return FoundPanel(panel.key, (), tuple(holes))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("path", "way"),
    [
        *((path, "as it is") for path in DEMOS),
        (DEMOS[-1], "byte-order mark"),
        (DEMOS[-1], "CRLF and mark, no line end"),
    ],
    ids=lambda value: getattr(value, "stem", value),
)
def test_the_demos_with_random_edits(demo_bike, path, way, tmp_path):
    """Outside of the panel not a byte changes; in it the holes are as merged; every other panel is as before."""
    content = WAYS[way](path.read_text(encoding="utf-8"))
    bike = demo_bike(path.stem)
    document = read_content(content, str(path))
    chance = random.Random(f"{path.name} {way}")
    own = [panel for panel in bike.panels if isinstance(document.data["panels"][panel.key].get("holes"), list)]
    for panel in chance.sample(own, 1):
        left_out = any("without_holes" in one for one in document.data["panels"].values())  # names holes of another
        wishes = Wishes(drop=not left_out and chance.random() < 0.6)
        merged = merge_panel(bike, document.data["panels"][panel.key], panel.key, found_of(panel, chance), wishes)
        assert not merged.problems
        edited = edited_panels(content, document, [merged.edit])
        before, after = spans(content.decode(), panel.key)
        assert edited.decode().startswith(before)
        assert edited.decode().endswith(after)
        new, _ = try_bike(path, edited, {})
        staying = {hole.id: (hole.at, hole.fastener) for hole in merged.holes if hole.state != "taken out"}
        assert {hole.id: (hole.at, hole.fastener) for hole in new.panel(panel.key).holes} == staying
        old = {hole.id: hole for hole in panel.holes}
        for hole in new.panel(panel.key).holes:
            if hole.id in old:
                assert (hole.stack, hole.depth, hole.into, hole.note) == (
                    old[hole.id].stack,
                    old[hole.id].depth,
                    old[hole.id].into,
                    old[hole.id].note,
                )
        others = [one for one in bike.panels if panel.key not in (one.key, one.mirrors)]
        assert [one for one in new.panels if panel.key not in (one.key, one.mirrors)] == others


@pytest.mark.slow
@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_demo_traced_as_it_is_changes_nothing(demo_bike, path):
    """Every panel with its own outline and holes: not an edit, mirror images too."""
    bike = demo_bike(path.stem)
    content = path.read_bytes()
    document = read_content(content, str(path))
    for panel in bike.panels:
        outline = () if panel.outline_drawn else panel.outline
        x0, y0 = (min(x for x, _ in outline), min(y for _, y in outline)) if outline else (0.0, 0.0)
        holes = tuple(FoundHole((hole.at[0] - x0, hole.at[1] - y0), hole.fastener) for hole in panel.holes)
        found = FoundPanel(panel.key, tuple((x - x0, y - y0) for x, y in outline), holes)
        merged = merge_panel(bike, document.data["panels"][panel.key], panel.key, found, Wishes(drop=True))
        assert not merged.problems
        assert not merged.edit.changes
        assert not merged.new_outline
        assert edited_panels(content, document, [merged.edit]) == content


def test_a_file_is_tried_without_touching_its_folder(tmp_path):
    """Problems are placed as if it stood there."""
    path = tmp_path / "bike.yaml"
    text = HEAD + "panels:\n  one: { name: One, side: left, outline: { file: outlines/one.svg }, holes: [] }\n"
    with pytest.raises(ProblemsFound) as found:
        try_bike(path, text.encode(), {})
    assert found.value.problems[0].where.file == str(path)
    path_of_it = '<path d="M0 0H40V40Z"/>'
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 50 50">{path_of_it}</svg>'.encode()
    bike, _ = try_bike(path, text.encode(), {"outlines/one.svg": drawing})
    assert len(bike.panel("one").outline) == 3
    assert list(Path(tmp_path).iterdir()) == []


def test_a_fastener_that_is_written_for_two_holes_is_not_changed():
    content = (HEAD + SHARED_LETTER).encode()
    with pytest.raises(ProblemsFound, match="several places"):
        edited_panels(content, read_content(content, "bike.yaml"), [PanelEdit("one", fasteners={0: "B"})])


def test_another_fastener_changes_nothing_else():
    """Not a comment, not a blank, not the order of keys."""
    text = HEAD + STYLES["block"]
    content = text.encode()
    edited = edited_panels(content, read_content(content, "b.yaml"), [PanelEdit("one", fasteners={0: "B", 2: "B"})])
    wanted = text.replace("[10, 20], fastener: A } # a", "[10, 20], fastener: B } # a")
    assert edited.decode() == wanted.replace("80]\n        fastener: A\n", "80]\n        fastener: B\n")
