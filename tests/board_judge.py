"""A slow, obvious judge of board files: recomputes with shapely what always holds, from board.json alone.

The rules that the functions name are those of DEVELOPERS.md, "What always holds".

Every function returns the faults it finds as texts; an empty list is a clean board. Tolerance: the file's last decimal.
"""

from __future__ import annotations

import itertools
import math
import re

import shapely
from shapely import LineString, Point, Polygon, affinity

from boardmaker.display_list import Text

ROUNDING = 2e-4  # mm: two places, each rounded to four decimals
LINE_TOLERANCE = 1e-3  # mm under a head, or beyond another leader, that no eye sees and rounding may make


def panel_items(board):
    return [item for item in board["items"] if item["kind"] == "panel"]


def pockets(board_file):
    return [p for board in board_file["boards"] for item in panel_items(board) for p in item["pockets"]]


def pocket_faults(board_file, expected_holes):
    """One pocket each: every fastener that comes off has exactly one, nothing else has one."""
    found = sorted(pocket["hole"] for pocket in pockets(board_file))
    return [] if found == sorted(expected_holes) else [f"pockets {found} for holes {sorted(expected_holes)}"]


def zone_faults(board_file):
    """Clear of each other: zones keep clearance and margin, nothing lies in a cut corner."""
    setup = board_file["setup"]["board"]
    faults = []
    for number, board in enumerate(board_file["boards"], 1):
        inside = Polygon(board["outline"]).buffer(-setup["margin"] + ROUNDING, join_style="mitre")
        zones = [(item["kind"], item.get("key"), Polygon(item["zone"])) for item in board["items"]]
        for kind, key, zone in zones:
            if not zone.is_valid or zone.area <= 0:
                faults.append(f"board {number}: zone of {kind} {key} is no simple polygon")
            if not inside.contains(zone):
                faults.append(f"board {number}: {kind} {key} is nearer than the margin to the edge")
        for (kind, key, zone), (other_kind, other_key, other) in itertools.combinations(zones, 2):
            if zone.distance(other) < setup["clearance"] - ROUNDING:
                faults.append(f"board {number}: {kind} {key} and {other_kind} {other_key}: {zone.distance(other)}")
    return faults


def claim_faults(board_file):
    """A zone holds all that its item draws: outline, heads, true places, labels, leaders, ghosts, fixings."""
    faults = []
    for board in board_file["boards"]:
        for item in board["items"]:
            zone = Polygon(item["zone"]).buffer(ROUNDING)
            shapes = [Point(p["at"]).buffer(p["head_diameter"] / 2) for p in item.get("pockets", [])]
            shapes += [Point(p["true_at"]) for p in item.get("pockets", []) if "true_at" in p]
            shapes += [shapely.box(*label["box"]) for label in item.get("labels", [])]
            shapes += [LineString(leader) for leader in item.get("leaders", [])]
            shapes += [Point(mark["at"]) for mark in (*item.get("ghosts", []), *item.get("fixings", []))]
            if item.get("outline"):
                shapes.append(Polygon(item["outline"]))
            faults += [f"{item['kind']} {item.get('key')}: {s.wkt[:60]} outside" for s in shapes if not zone.covers(s)]
    return faults


def case_faults(board_file, section_at):
    """Inside its case: each board lies in it at its height; `section_at(height)` is the free inside there."""
    faults = []
    for number, board in enumerate(board_file["boards"], 1):
        place = board["in_case"]
        outline = affinity.rotate(Polygon(board["outline"]), place["turn"], origin=(0, 0))
        outline = affinity.translate(outline, *place["at"])
        if not section_at(place["floor_height"]).buffer(ROUNDING).covers(outline):
            faults.append(f"board {number} does not lie in the case")
    return faults


def head_faults(board_file):
    """Room for fingers: between any two heads of a board; a moved pocket is tied to its true place."""
    room = board_file["setup"]["board"]["finger_room"]
    faults = []
    for board in board_file["boards"]:
        heads = [p for item in board["items"] for p in item.get("pockets", [])]
        for a, b in itertools.combinations(heads, 2):
            gap = math.dist(a["at"], b["at"]) - (a["head_diameter"] + b["head_diameter"]) / 2
            if gap < room - ROUNDING:
                faults.append(f"{a.get('hole')} and {b.get('hole')}: {gap:.4f} mm between heads")
        for item in panel_items(board):
            ends = {(tuple(leader[0]), tuple(leader[-1])) for leader in item["leaders"]}
            for p in item["pockets"]:
                if math.dist(p["at"], p["true_at"]) > ROUNDING and (tuple(p["at"]), tuple(p["true_at"])) not in ends:
                    faults.append(f"{p['hole']} moved without a leader")
    return faults


def true_place_faults(board_file, bike):
    """Outlines and true places are the bike file's, at the file's scale, turned and moved as the item says."""
    scale = board_file["scale"]
    faults = []
    for board in board_file["boards"]:
        for item in panel_items(board):
            panel = bike.panel(item["key"])
            holes = {f"{panel.key}/{hole.id}": hole.at for hole in panel.holes}
            expected = [_placed(at, scale, item) for at in panel.outline]
            if not _same_outline(expected, item["outline"]):
                faults.append(f"{panel.key}: outline")
            if item["turn"] not in (0, 90, 270):
                faults.append(f"{panel.key}: stands at {item['turn']} degrees")
            faults += [
                p["hole"]
                for p in item["pockets"]
                if p["hole"] not in holes or math.dist(_placed(holes[p["hole"]], scale, item), p["true_at"]) > 0.01
            ]
    return faults


def _same_outline(expected, drawn):
    """Point by point; where the outline at scale nearly touches itself, points may be lacking within 0.02 mm."""
    if len(expected) == len(drawn) and all(math.dist(a, b) <= 0.01 for a, b in zip(expected, drawn, strict=True)):
        return True
    touching = shapely.minimum_clearance(Polygon(expected)) < 3e-4
    return touching and Polygon(expected).exterior.hausdorff_distance(Polygon(drawn).exterior) < 0.02


def _placed(at, scale, item):
    turned = affinity.rotate(Point(at[0] * scale, at[1] * scale), item["turn"], origin=(0, 0))
    return turned.x + item["at"][0], turned.y + item["at"][1]


def label_faults(board_file):
    """Labels keep off: none covers a pocket, a leader's end or another label."""
    faults = []
    for board in board_file["boards"]:
        labels = [
            (label["text"], shapely.box(*label["box"])) for item in board["items"] for label in item.get("labels", [])
        ]
        heads = [Point(p["at"]).buffer(p["head_diameter"] / 2) for i in board["items"] for p in i.get("pockets", [])]
        ends = [Point(p["true_at"]) for i in panel_items(board) for p in i["pockets"]]
        for text, box in labels:
            faults += [f"“{text}” covers a head" for head in heads if box.intersection(head).area > 1e-3]
            faults += [f"“{text}” covers a leader's end" for end in ends if box.distance(end) < 1e-6]
        for (text, box), (other_text, other) in itertools.combinations(labels, 2):
            if box.intersection(other).area > 1e-3:
                faults.append(f"“{text}” covers “{other_text}”")
    return faults


def leader_faults(board_file):
    """A leader can be followed: none, of pocket, label, ghost or title, runs under a head or across another."""
    faults = []
    for board in board_file["boards"]:
        for item in panel_items(board):
            faults += [f"{item['key']}: {fault}" for fault in leader_faults_of(item["leaders"], item["pockets"])]
    return faults


def leader_faults_of(leaders, pockets):
    """The same for the leaders of one panel; a pocket's own leader may begin under its own head."""
    lines = [LineString(leader) for leader in leaders]
    heads = [(Point(p["at"]), p["head_diameter"] / 2, p["number"]) for p in pockets]
    faults = []
    for line in lines:
        start = Point(line.coords[0])
        for at, radius, number in heads:
            own = start.distance(at) < ROUNDING
            if not own and (depth := radius - line.distance(at)) > LINE_TOLERANCE:
                faults.append(f"leader {line.wkt} runs {depth:.3f} mm under head {number}")
    for one, other in itertools.combinations(lines, 2):
        if one.crosses(other) or one.overlaps(other):
            met = one.intersection(other)
            if all(met.distance(Point(end)) > LINE_TOLERANCE for end in (*one.coords, *other.coords)):
                faults.append(f"leaders {one.wkt} and {other.wkt} cross")
    return faults


def drawn_outline_faults(board_file):
    """An outline as it is drawn is a simple polygon."""
    return [
        f"{item['key']}: its outline is no simple polygon"
        for board in board_file["boards"]
        for item in panel_items(board)
        if not Polygon(item["outline"]).is_valid
    ]


def stack_faults(board_file, bike):
    """Under its lid: no board's screws stand nearer to the rim than the case's clearance, nor its tips below the floor.

    Recomputed from the pockets, the lowest board first: tips below, board, heads and shoulders above, 1 mm of air.
    """
    case = board_file["setup"].get("case") or {}
    if case.get("height") is None:
        return []
    thickness, top = board_file["setup"]["board"]["thickness"], None
    for board in board_file["boards"]:
        kinds = [bike.fastener(p["fastener"]) for item in panel_items(board) for p in item["pockets"]]
        shoulders = [kind.shoulder.length if kind.shoulder else 0.0 for kind in kinds]
        flat = [k.length - s > 45.0 for k, s in zip(kinds, shoulders, strict=True)]  # lies on the board
        each = list(zip(kinds, shoulders, flat, strict=True))
        above = max((k.head.diameter if lies else k.head.height + s for k, s, lies in each), default=0.0)
        below = max((0.0 if lies else k.length - s - thickness for k, s, lies in each), default=0.0)
        floor = max(0.0, below) + (0.0 if top is None else top + 1.0)
        top = floor + thickness + above
    lacking = top + case.get("clearance", 0.0) - case["height"]
    return [f"the stack stands {lacking:.2f} mm too high"] if lacking > 1e-6 else []


def number_faults(board_file):
    """Each panel's pockets are numbered 1, 2, 3 …"""
    return [
        item["key"]
        for board in board_file["boards"]
        for item in panel_items(board)
        if sorted(p["number"] for p in item["pockets"]) != list(range(1, len(item["pockets"]) + 1))
    ]


def sheet_faults(board_file, glue_needed=0.0):
    """No gap on paper: the windows together cover every mark, each shown at true size."""
    faults = []
    for number, board in enumerate(board_file["boards"], 1):
        sheets = [sheet for sheet in board_file["sheets"] if sheet["board"] == number]
        shown = shapely.union_all([shapely.box(*sheet["window"]) for sheet in sheets])
        marks = shapely.union_all([Polygon(board["outline"]).exterior, *(Polygon(i["zone"]) for i in board["items"])])
        if not shown.buffer(ROUNDING).covers(marks):
            faults.append(f"board {number}: the windows do not show everything")
        for sheet in sheets:
            x0, y0, x1, y1 = sheet["window"]
            size = (x1 - x0, y1 - y0) if sheet["turn"] == 0 else (y1 - y0, x1 - x0)
            a, b, c, d = sheet["on_page"]
            if max(abs(c - a - size[0]), abs(d - b - size[1])) > 0.01:
                faults.append(f"tile {sheet['tile']} is not shown at true size")
    return faults


def patch_faults(sheets):
    """Patches that are on the page map, on their pages and in the list alike, none within another."""
    names = [one.tile.replace("patch ", "P") for one in sheets.patches]
    on_map = [i.text for page in sheets.pages if page.label == "map" for i in page.items if isinstance(i, Text)]
    shown = [text for text in on_map if re.fullmatch(r"P\d+", text)]
    said = {
        (number, i.text.split(":")[0])
        for number, page in enumerate(sheets.pages, start=1)
        for i in page.items
        if isinstance(i, Text) and re.match(r"patch \d+:", i.text)
    }
    listed = {(one.page, one.tile) for one in sheets.patches}
    within = [
        f"{a.tile} lies within {b.tile}"
        for a, b in itertools.permutations(sheets.patches, 2)
        if a.board == b.board and shapely.box(*b.window).covers(shapely.box(*a.window))
    ]
    map_differs = [f"map: {sorted(shown)}, listed: {sorted(names)}"] if sorted(shown) != sorted(names) else []
    return map_differs + ([f"pages: {said}, listed: {listed}"] if said != listed else []) + within


def map_faults(board_file, work):
    """The bike's picture: each part of it once and upright, the tags those of the panels of this work that say where.

    Where there is a picture, both sides are in it.
    """
    parts = [item for board in board_file["boards"] for item in board["items"] if item["kind"] == "bike map"]
    if not parts:
        return []
    faults = [f"{item.get('key')} of the bike map is turned" for item in parts if item["turn"] != 0]
    words = sorted(label["text"] for item in parts for label in item["labels"] if label["text"] != "edge on")
    views = [view for view in ("left", "right", "above") if view in words]
    panels = {freed.panel.key: freed.panel for freed in work.freed if freed.panel.on_bike and freed.panel.outline}
    expected = views + [panel.tag for panel in panels.values() for view in _seen_from(panel) if view in views]
    faults += [] if words == sorted(expected) else [f"the bike map has {words}, not {sorted(expected)}"]
    return faults + ([] if _sides_of(work) <= set(words) else ["a side is missing in the bike map"])


def _seen_from(panel):
    if panel.side != "centre":
        return (panel.side,)
    return ("above",) if panel.view == "top" else ("left", "right")


def _sides_of(work):
    """The sides from which something is seen."""
    panels = [freed.panel for freed in work.freed if freed.panel.on_bike and freed.panel.outline]
    return {view for panel in panels for view in _seen_from(panel)} - {"above"}


def reading_of(board_file, bike):
    """How the boards read, from the drawn outlines and the bike's own numbers: shares by name, and their mean."""
    panels = {panel.key: panel for panel in bike.panels}
    lies = {}
    for number, board in enumerate(board_file["boards"]):
        for item in panel_items(board):
            x0, y0, x1, y1 = Polygon(item["outline"]).bounds
            share = ((x0 + x1) / 2 / board["stock"][0], (y0 + y1) / 2 / board["stock"][1])
            lies[item["key"]] = number, *share, item["turn"]
    several = len(board_file["boards"]) > 1
    cases = {"side": [], "height": [], "ends": [], "twins": [], "upright": []}
    for key, (board, x, y, turn) in lies.items():
        panel = panels[key]
        cases["side"].append(_on_its_side(panel, board, x, lies, panels, several))
        cases["upright"].append(turn == 0)
        if panel.mirrors in lies:
            other, other_x, other_y, _ = lies[panel.mirrors]
            off = math.hypot((1 - x - other_x) / 0.5, (y - other_y) / 0.5)
            cases["twins"].append(max(0.0, 1 - off) if other == board else 0.0)
    for one, other in itertools.combinations(lies, 2):
        if lies[one][0] == lies[other][0]:
            _compare(panels[one], panels[other], lies[one][1:3], lies[other][1:3], cases)
    shares = {name: sum(found) / len(found) for name, found in cases.items() if found}
    return {**shares, "mean": sum(shares.values()) / len(shares)}


def _on_its_side(panel, board, x, lies, panels, several):
    if panel.side == "centre":
        return 0.25 <= x <= 0.75
    other = {"left": "right", "right": "left"}[panel.side]
    if several and not any(panels[key].side == other and lie[0] == board for key, lie in lies.items()):
        return True
    return x <= 0.5 if panel.side == "left" else x >= 0.5


def _compare(one, other, at, other_at, cases):
    """Height and order along the bike, where the two are clearly apart there."""
    mine, theirs = _middle_on_bike(one), _middle_on_bike(other)
    if mine is None or theirs is None:
        return
    if abs(mine[1] - theirs[1]) > 80:
        cases["height"].append((mine[1] < theirs[1]) == (at[1] < other_at[1]))
    if one.side == other.side != "centre" and abs(mine[0] - theirs[0]) > 150:
        front_is_left = one.side == "left"
        cases["ends"].append(((mine[0] > theirs[0]) == front_is_left) == (at[0] < other_at[0]))


def _middle_on_bike(panel):
    """How far ahead and how high; a left panel's x runs rearwards, a centre one's along the bike only from above."""
    if panel.on_bike is None:
        return None
    x0, y0, x1, y1 = Polygon(panel.outline).bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    if panel.side == "centre":
        return (
            (panel.on_bike[0] + y, panel.on_bike[1])
            if panel.view == "top"
            else (panel.on_bike[0], panel.on_bike[1] + y)
        )
    return panel.on_bike[0] + (x if panel.side == "right" else -x), panel.on_bike[1] + y


def reading_faults(board_file, bike):
    """The file says how its boards read: to the third decimal, since a middle may lie on a line."""
    found, said = reading_of(board_file, bike), board_file["reading"]
    if found.keys() != said.keys():
        return [f"the file tells of {sorted(said)}, there are {sorted(found)}"]
    return [f"{name} is {found[name]:.4f}, not {said[name]}" for name in found if abs(found[name] - said[name]) > 1e-3]


def all_faults(board_file, work):
    """Every fault that can be seen without the case's outline and the printed files."""
    return [
        *pocket_faults(board_file, [freed.hole_key for freed in work.freed]),
        *zone_faults(board_file),
        *claim_faults(board_file),
        *head_faults(board_file),
        *true_place_faults(board_file, work.bike),
        *label_faults(board_file),
        *leader_faults(board_file),
        *stack_faults(board_file, work.bike),
        *drawn_outline_faults(board_file),
        *number_faults(board_file),
        *sheet_faults(board_file),
        *reading_faults(board_file, work.bike),
        *map_faults(board_file, work),
    ]
