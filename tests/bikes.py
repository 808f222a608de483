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

# Two panels, a job for each, and a screw that only some bikes have: its absence changes the numbers of the others.
LID_AND_TAIL = """
  lid:
    name: Lid
    side: left
    holes:
      - { at: [0, 0], fastener: A }
      - { at: [0, 40], fastener: C, with: [audio] }
      - { at: [0, 80], fastener: B }
  tail: { name: Tail, side: right, holes: [ { at: [0, 0], fastener: A } ] }
"""
LID_AND_TAIL_JOBS = "  oil: { name: Oil, remove: [lid] }\n  lamp: { name: Lamp, remove: [tail] }"
EQUIPMENT = "equipment: { audio: Speakers, rack: Luggage rack }\n"


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


def full_bike_text():
    """A small bike of which a plan has something of everything to say; its job `valves` takes a rider apart."""
    panels = """
  tank:
    name: Tank cover
    side: centre
    note: lay it on a blanket
    fixings: [ { kind: connector, note: fuel gauge }, { kind: hose, note: breather }, { kind: hook } ]
    holes:
      - { at: [0, 0], fastener: A, stack: 11, room: 4, behind: fuel tank }
      - { at: [9, 20], fastener: B, stack: 3, into: metal thread, depth: 20, behind: radiator, room: 20 }
      - { at: [9, 30], fastener: P, note: push the pin in }
      - { at: [9, 40], fastener: N, also_holds: [side] }
      - { at: [9, 50], fastener: N, also_holds: [side] }
  side:
    name: Side cover
    side: left
    after: [tank]
    note: two hands
    fixings: [ { kind: tab, note: towards you } ]
    holes: [ { at: [0, 0], fastener: A }, { at: [0, 30], fastener: N }, { at: [0, 60], fastener: B } ]
  vent:
    name: Vent
    side: left
    rides_on: side
    fixings: [ { kind: connector, note: lamp in the vent }, { kind: clip, note: four of them } ]
    holes: [ { at: [0, 0], fastener: C }, { at: [50, 0], fastener: C } ]
  guard: { name: Guard, side: right, with: [bars], holes: [ { at: [0, 0], fastener: B } ] }
"""
    jobs = """
  valves: { name: Valves, every: 24000 km, remove: [side], apart: [vent], note: engine cold,
            supplies: [ { what: Feeler gauge }, { what: Oil, count: 2.6 L } ] }
  oil: { name: Oil change, remove: [side], supplies: [ { what: washer 14 x 20 } ] }
"""
    rest = """
equipment: { bars: Crash bars, rack: Luggage rack }
torques:
  head: { what: Cylinder head, where: engine, torque: [20 N·m, 35 to 40 N·m, 90 deg], count: 6, order: crosswise,
          thread: M10, renew: true, jobs: [valves] }
  cover: { what: Valve cover, torque: 9 to 11 N·m, count: 4, renew: gasket, tool: T30, jobs: [valves] }
  plug: { what: Sump plug, torque: 30 N·m, tool: hexagon 17, renew: washer 14 x 20, note: not too tight, jobs: [oil] }
  axle: { what: Axle nut, torque: 100 N·m, tool: hexagon 27, threadlocker: strong }
"""
    kinds = """  N: { kind: screw, thread: M6, length: 20, drive: T30, torque: 9 N·m, threadlocker: medium, renew: true,
       with_it: [washer, collar], note: the long ones }
panels:"""
    text = bike_text(panels, jobs, rest).replace("panels:", kinds, 1).replace("P: { kind", "P: { renew: if loose, kind")
    about = "years: 2001-2004, cautions: [Acid in the battery.], source"
    return text.replace("source", about, 1)


LONG_NAMES = ["Lower inner fairing with air duct", "Battery lid", "Windscreen bracket cover", "Tail", "Seat side trim"]


def dense_bike_text(seed, panels):
    """A random bike whose small panels carry up to 18 screws each, with screws of their neighbours and fixings."""
    dice = random.Random(seed)
    lines = []
    for number in range(panels):
        width, height = dice.uniform(50, 260), dice.uniform(35, 220)
        lines.append(f"  panel-{number}:\n    name: {dice.choice(LONG_NAMES)} {number + 1}")
        lines.append("    side: left" if dice.random() < 0.8 else "    side: centre")
        lines.append(f"    on_bike: [{dice.uniform(0, 300):.0f}, {dice.uniform(200, 400):.0f}]")
        lines.append(f"    outline: {_wavy_outline(dice, width, height)}")
        fixings = [_placed_fixing(dice, width, height) for _ in range(dice.choice([0, 0, 1, 3]))]
        lines.append(f"    fixings: [{', '.join(fixings)}]")
        lines.append("    holes:")
        lines += [_dense_hole(dice, number, panels, width, height) for _ in range(dice.randint(1, 18))]
    return bike_text("\n".join(lines))


def _dense_hole(dice, number, panels, width, height):
    at = [round(width * dice.uniform(0.15, 0.85), 1), round(height * dice.uniform(0.15, 0.85), 1)]
    later = range(number + 1, panels)
    also = f", also_holds: [panel-{dice.choice(later)}]" if later and dice.random() < 0.2 else ""
    behind = ", behind: fuel tank" if dice.random() < 0.15 else ""
    return f"      - {{ at: {at}, fastener: {dice.choice('ABCP')}{also}{behind} }}"


def _placed_fixing(dice, width, height):
    at = [round(width * dice.uniform(0.2, 0.8), 1), round(height * dice.uniform(0.2, 0.8), 1)]
    return f"{{ kind: {dice.choice(['grommet pin', 'hook', 'tab', 'clip'])}, at: {at} }}"
