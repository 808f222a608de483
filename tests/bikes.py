"""Bike files for tests, as text: small ones to read at a glance, and random ones of any size."""

from __future__ import annotations

import math
import random
import re

HEAD = """
format: 1
bike: { name: Test bike, source: made up for a test }
fasteners:
  A: { kind: shoulder screw, thread: M6, length: 21, shoulder: { length: 11, diameter: 9 },
       head: { shape: button, diameter: 14, height: 3.3 }, drive: T30, torque: 5 N·m }
  B: { part: ISO 7380-2 - M6 x 16 - 10.9 }
  C: { kind: screw, thread: M5, length: 12, head: { shape: binding, diameter: 10 }, drive: T25, torque: 3 N·m }
  P: { kind: push clip, hole: 8, length: 15, head: { shape: round, diameter: 18 } }
"""


def bike_text(panels, jobs="", rest=""):
    """A bike file with the usual four fasteners; `panels` and `jobs` are indented YAML."""
    text = f"{HEAD}panels:\n{panels}\n"
    return text + (f"jobs:\n{jobs}\n" if jobs else "") + rest


def random_bike_text(seed, panels, names=None, with_outlines=True):
    """A random bike with so many panels: wavy outlines, one to seven holes each, some screws through two panels."""
    dice = random.Random(seed)
    lines = []
    for number in range(panels):
        side = dice.choice(["left", "right", "centre"])
        width, height = dice.uniform(120, 800), dice.uniform(90, 450)
        name = names[number % len(names)] if names else f"Panel number {number + 1}"
        lines.append(f"  panel-{number}:\n    name: {name} {number + 1}\n    side: {side}")
        lines.append(f"    on_bike: [{dice.uniform(0, 1400):.0f}, {dice.uniform(200, 1000):.0f}]")
        if with_outlines:
            lines.append(f"    outline: {_wavy_outline(dice, width, height)}")
        if number and dice.random() < 0.4:
            lines.append(f"    after: [panel-{dice.randrange(number)}]")
        lines.append("    holes:")
        lines += [_hole(dice, number, panels, width, height) for _ in range(dice.randint(1, 7))]
    return bike_text("\n".join(lines))


def _wavy_outline(dice, width, height):
    corners = dice.randint(5, 14)
    points = []
    for corner in range(corners):
        angle = 2 * math.pi * corner / corners
        reach = dice.uniform(0.55, 1.0)
        points.append(
            [round(width / 2 * (1 + reach * math.cos(angle)), 1), round(height / 2 * (1 + reach * math.sin(angle)), 1)]
        )
    return points


def _hole(dice, number, panels, width, height):
    at = [round(width * dice.uniform(0.3, 0.7), 1), round(height * dice.uniform(0.3, 0.7), 1)]
    later = range(number + 1, panels)  # never an earlier one: that could make a circle
    also = f", also_holds: [panel-{dice.choice(later)}]" if later and dice.random() < 0.15 else ""
    return f"      - {{ at: {at}, fastener: {dice.choice('ABCP')}{also} }}"


def small_panel_with_many_screws(count=18):
    """One panel of 200 x 120 mm with its screws around the edge and inside."""
    dice = random.Random(7)
    places = []
    while len(places) < count:
        place = (dice.randrange(8, 192), dice.randrange(8, 112))
        if all(math.dist(place, other) > 12 for other in places):
            places.append(place)
    holes = "\n".join(f"      - {{ at: [{x}, {y}], fastener: {'ABC'[i % 3]} }}" for i, (x, y) in enumerate(places))
    panel = "  small:\n    name: Small lid\n    side: left\n    outline: [[0, 0], [200, 0], [200, 120], [0, 120]]\n"
    return bike_text(f"{panel}    holes:\n{holes}")


def noted_bike_text(seed, panels, names=None):
    """A random bike where every panel, every hole and most fixings carry a note of their own; some panels ride."""
    dice = random.Random(seed)
    text = random_bike_text(seed, panels, names)
    lines, notes = [], 0
    for line in text.splitlines():
        if line.strip() == "holes:":
            notes += 1
            lines.append(f"    note: about panel {notes:03}")
            lines.append(
                f"    fixings: [{', '.join(_fixing(dice, notes, place) for place in range(dice.randint(0, 4)))}]"
            )
        noted = line
        if "fastener: " in line and "at: " in line:
            notes += 1
            noted = re.sub(r"(fastener: .)", rf"\1, note: about hole {notes:03}", line)
        lines.append(noted)
        if line.startswith("  panel-") and dice.random() < 0.2 and (number := int(line.strip(" :")[6:])):
            lines.append(f"    rides_on: panel-{number - 1}")
    return "\n".join(lines) + "\n"


def _fixing(dice, number, place):
    kind = dice.choice(["grommet pin", "hook", "tab", "interlocking tape", "clip", "strap", "connector", "hose"])
    return f"{{ kind: {kind}, note: about fixing {number:03}-{place} }}" if place else f"{{ kind: {kind} }}"
