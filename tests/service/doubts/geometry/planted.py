"""The usual slips of geometry, planted into bike files as plain data by a seed.

In: a demo's data (outlines as points), dice. Out: the key of the panel that has the slip, and words of which one must
be in what `check` says; None where the slip would change nothing on this bike.
"""

from __future__ import annotations

import json
from copy import deepcopy
from types import SimpleNamespace

from ruamel.yaml.nodes import MappingNode, ScalarNode, SequenceNode

from boardmaker.commands.common import demo_folder
from boardmaker.geometry import bounds
from boardmaker.inputs import read_bike
from boardmaker.inputs.yaml.reader import read_yaml
from boardmaker.model import swap_words

PX = 25.4 / 96
NODES = (
    (dict, "map"),
    (list, "seq"),
    (str, "str"),
    (bool, "bool"),
    (int, "int"),
    (float, "float"),
    (type(None), "null"),
)


def demo_data(stem):
    """A demo as plain data that can be written again, and the points of its drawings by panel."""
    path = demo_folder() / f"{stem}.yaml"
    return json.loads(json.dumps(read_yaml(path).data)), {
        panel.key: panel.outline for panel in read_bike(path)[0].panels
    }


def nodes_of(value):
    """What the YAML reader makes of plain data, in a fifteenth of its time; all of it stands at the first letter."""
    kind = next(name for plain, name in NODES if isinstance(value, plain))
    tag, mark = f"tag:yaml.org,2002:{kind}", SimpleNamespace(line=0, column=0)
    if isinstance(value, dict):
        return MappingNode(tag, [(nodes_of(key), nodes_of(one)) for key, one in value.items()], mark, mark)
    if isinstance(value, list):
        return SequenceNode(tag, [nodes_of(one) for one in value], mark, mark)
    return ScalarNode(tag, json.dumps(value) if not isinstance(value, str) else value, mark, mark)


def drawn(panel, rings, key):
    """The panel's outline as points, in place of the drawing that it is in."""
    if isinstance(panel["outline"], dict):
        panel["outline"] = [[round(x, 1), round(y, 1)] for x, y in rings[key]]
    return panel["outline"]


def written_out(data, rings, key, dice):
    """The twin of a panel as somebody would measure it who does not know `mirrors`, as well as one can."""
    twin = next((one for one, panel in data["panels"].items() if panel.get("mirrors") == key), None)
    if twin is None:
        return None
    panel, original = data["panels"][twin], data["panels"][key]
    plain = deepcopy({name: value for name, value in original.items() if name not in ("tag", "name", "side")})
    plain = json.loads(swap_words(json.dumps(plain)))
    plain |= {"name": swap_words(original["name"]), "side": "right" if original["side"] == "left" else "left"}
    wide, high = (
        dice.uniform(0.993, 1.007),
        dice.uniform(0.993, 1.007),
    )  # a drawing traced once more is as large as that
    plain["outline"] = [[-x * wide, y * high] for x, y in drawn(original, rings, key)]
    for hole in plain["holes"]:
        hole["at"] = [-hole["at"][0] + dice.uniform(-1.5, 1.5), hole["at"][1] + dice.uniform(-1.5, 1.5)]
    for fixing in plain.get("fixings", ()):
        fixing.pop("at", None)
    panel.clear()
    panel.update(plain)
    return twin


def _panels(data, *needed, side=None):
    return [
        key
        for key, panel in data["panels"].items()
        if all(panel.get(name) for name in ("outline", *needed)) and side in (None, panel.get("side"))
    ]


def _one_hole(data, dice, fits=lambda at: True):
    """A panel with an outline of its own and one of its holes."""
    found = [(key, hole) for key in _panels(data, "holes") for hole in data["panels"][key]["holes"] if fits(hole["at"])]
    return dice.choice(found)


def x_negated(data, rings, dice):
    """At one hole, or at all of a panel of a side."""
    key, hole = _one_hole(data, dice, lambda at: abs(at[0]) > 10)
    holes = [hole] if dice.random() < 0.6 or data["panels"][key]["side"] == "centre" else data["panels"][key]["holes"]
    for one in holes:
        one["at"][0] *= -1
    return key, ("x turned round",)


def y_negated(data, rings, dice):
    """At one hole, at all, or at `on_bike`."""
    key, hole = _one_hole(data, dice, lambda at: abs(at[1]) > 10)
    which = dice.choice(["hole", "holes", "on_bike"])
    if which == "on_bike":
        data["panels"][key]["on_bike"][1] *= -1
    for one in {"hole": [hole], "holes": data["panels"][key]["holes"]}.get(which, ()):
        one["at"][1] *= -1
    return key, ("y turned round",)


def axes_swapped(data, rings, dice):
    """At one hole, or at all."""
    key, hole = _one_hole(data, dice, lambda at: abs(at[0] - at[1]) > 10)
    for one in [hole] if dice.random() < 0.6 else data["panels"][key]["holes"]:
        one["at"].reverse()
    return key, ("x and y swapped",)


def mirrored_panel(data, rings, dice):
    """The whole panel as seen from inside: its twin written by hand, or the panel about its own [0, 0]."""
    paired = [one for one in _panels(data, "holes", "on_bike") if f'"mirrors": "{one}"' in json.dumps(data)]
    key = dice.choice(paired)
    panel = data["panels"][key]
    if dice.random() < 0.6:
        key = written_out(data, rings, key, dice)
        panel = data["panels"][key]
        about = sum(bounds(panel["outline"])[::2])
    else:
        about = 0.0
    panel["outline"] = [[about - x, y] for x, y in drawn(panel, rings, key)]
    for hole in panel["holes"]:
        hole["at"][0] = about - hole["at"][0]
    return key, ("from the other side", "turned round")


def wrong_side(data, rings, dice):
    """Left written for right."""
    key = dice.choice([key for key in _panels(data) if data["panels"][key]["side"] != "centre"])
    panel = data["panels"][key]
    panel["side"] = "right" if panel["side"] == "left" else "left"
    return key, ("write side:",)


def metres(data, rings, dice):
    """Of a hole, all holes, the outline, or `on_bike`."""
    key, hole = _one_hole(data, dice, lambda at: max(at) > 10)
    panel = data["panels"][key]
    which = dice.choice(["hole", "holes", "outline", "on_bike"])
    if which == "on_bike":
        panel["on_bike"] = [round(value / 1000, 4) for value in panel["on_bike"]]
    elif which == "outline":
        panel["outline"] = [[x / 1000, y / 1000] for x, y in drawn(panel, rings, key)]
    for one in {"hole": [hole], "holes": panel["holes"]}.get(which, ()):
        one["at"] = [round(value / 1000, 4) for value in one["at"]]
    return key, ("metres",)


def reference_across(data, rings, dice):
    """`also_holds`, `rides_on` or `after` of a panel of a side names the twin of what is meant."""
    found = []
    for key, panel in data["panels"].items():
        named = [(panel, "rides_on"), (panel, "after"), *((hole, "also_holds") for hole in panel.get("holes", ()))]
        for where, name in named:
            written = where.get(name, [])
            keys = [written] if isinstance(written, str) else written
            found += [
                (key, where, name, one) for one in keys if swap_words(one) in data["panels"] and one != swap_words(one)
            ]
    found = [one for one in found if one[0] != swap_words(one[0]) or one[2] == "also_holds"]
    if not found:
        return None
    key, where, name, one = dice.choice(found)
    where[name] = swap_words(one) if name == "rides_on" else [swap_words(k) if k == one else k for k in where[name]]
    return key, (f'did you mean "{one}"',)


def pixels(data, rings, dice):
    """Holes read off in pixels, or an outline that is."""
    key = dice.choice(_panels(data, "holes"))
    panel = data["panels"][key]
    if dice.random() < 0.5:
        for hole in panel["holes"]:
            hole["at"] = [round(value / PX, 1) for value in hole["at"]]
    else:
        panel["outline"] = [[round(x / PX, 1), round(y / PX, 1)] for x, y in drawn(panel, rings, key)]
    return key, ("pixels",)


def hole_doubled(data, rings, dice):
    """Written twice, 2 mm off at most."""
    key, hole = _one_hole(data, dice)
    again = deepcopy(hole) | {"id": "again"}
    again["at"] = [value + dice.uniform(-1.4, 1.4) for value in hole["at"]]
    data["panels"][key]["holes"].append(again)
    return key, ("written twice",)


KINDS = (
    x_negated, y_negated, axes_swapped, mirrored_panel, wrong_side, metres, reference_across, pixels, hole_doubled,
)  # fmt: skip
