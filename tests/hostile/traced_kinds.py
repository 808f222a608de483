"""Kinds of files for `trace` (drawings, lists, photos, mats), and for `new`, `schema` and the record of a folder.

In: the folder that `make_traced_files` filled. Out: kinds, as in `kinds`. All photos show `tests/photo`'s panel on its
mat, as small as they are read, since each costs a second.
"""

from __future__ import annotations

import importlib.util
import io
import os
import shutil
import subprocess
import sys
from pathlib import Path

import ezdxf
from one_kind import OUT, Kind
from spoil_dxf import dxf_pairs, in_binary, spoil_pairs
from spoil_photo import PHOTO
from spoil_text import ANY, TEXT
from spoil_tree import spoil_json

from boardmaker.command_line import run

HAS_PHOTOS = importlib.util.find_spec("cv2") is not None
TRACED = """
format: 1
bike: { name: Traced }  # a comment
fasteners:
  A: { kind: screw, thread: M6, length: 16 }
  B: { kind: screw, thread: M5, length: 16 }
  "=C": { kind: screw, thread: M5, length: 12 }
panels:
  knee-left: { name: Knee, side: left, outline: [[0, 0], [260, 10], [240, 150], [30, 160]],
               holes: [ { id: x, at: [40, 40], fastener: A }, { at: [200, 90], fastener: A } ] }
  knee-right: { name: Knee, mirrors: knee-left }
  lid: { name: Lid, side: left, holes: [] }
"""
DRAWN_HOLES = """
format: 1
bike: { name: Drawn }
fasteners: { A: { thread: M6 }, B: { thread: M5 } }
panels:
  p: { name: P, side: left, outline: { file: outlines/h.svg }, holes: from outline }
  q: { name: Q, side: left, outline: [[0, 0], [90, 0], [50, 60]], holes: [ { at: [9, 9], fastener: B } ] }
"""
MEASURED = """
format: 1
bike: { name: Measured }
fasteners: { A: { thread: M6, length: 16 }, B: { thread: M5, length: 12 } }
panels:
  p: { name: P, side: left, outline: [[0, 0], [260, 10], [240, 150], [30, 160]], on_bike: [400, 600],
       holes: [ { id: 1, at: [40, 40], fastener: A }, { id: 2, at: [200, 90], fastener: B },
                { id: 3, from: { 1: 60 mm, 2: 125 mm }, hand: left, fastener: B },
                { id: 4, from: { 1: 90 mm, 2: 80 mm, 3: 92 mm }, fastener: A } ] }
  q: { name: Q, mirrors: p }
"""
_SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:d="http://example.org/d"'
TEXTS = {
    "traced.yaml": TRACED,
    "drawn-holes.yaml": DRAWN_HOLES,
    "measured.yaml": MEASURED,
    "panels.svg": f'{_SVG} width="400mm" height="300mm" viewBox="0 0 400 300">\n'
    '<g d:label="Layer 1" transform="translate(3,2) rotate(2)">\n'
    '<g id="knee-left"><path d="M10,10 C 60,0 120,0 280,10 A 20 20 0 0 1 290 190 L 10 190 z"/>\n'
    '<circle id="A-1" cx="50" cy="158" r="3"/><circle id="A-2" cx="207" cy="103" r="3"/><text x="70" y="60">A</text>\n'
    '<circle cx="71" cy="52" r="3"/></g><g id="lid"><title>lid</title><path d="M310 20h60v50h-60z"/></g>\n'
    '<path id="known" d="M10 250H222"/><use href="#A-1" x="30" y="5"/></g></svg>\n',
    "names.svg": f'{_SVG} width="20cm" height="15cm" viewBox="0 0 2000 1500">\n'
    '<polygon id="knee_x2D_left" points="100,100 1900,120 1800,1400 90,1300"/>\n'
    '<ellipse d:label="A" cx="500" cy="700" rx="30" ry="30"/><rect id="known" width="500" height="9"/></svg>\n',
    "saved.svg": f'{_SVG} width="263mm" height="162mm" viewBox="0 0 263 162" overflow="visible" fill="none" '
    'stroke="black" stroke-width="0.5">\n'
    '  <path id="knee-left" d="M 0,162 L 260,152 L 240,12 L 30,2 Z"/>\n'
    '  <circle id="A-1" cx="41" cy="121" r="3.2"/>\n  <circle id="=C-2" cx="200" cy="72" r="3.2"/>\n</svg>\n',
    "holes.svg": f'{_SVG} width="300mm" height="200mm" viewBox="0 0 300 200">\n'
    '<g id="p"><path d="M10,10 L 280,10 L 290,190 L 10,190 z"/><circle id="A-1" cx="40" cy="50" r="3"/>\n'
    '<circle d:label="B-2" cx="140" cy="50" r="3"/></g>\n'
    '<g transform="scale(.5)"><path id="q" d="M10,10 L 80,10 L 90,90z"/></g></svg>\n',
    "list.csv": "panel,x,y,what,fastener,id,note\nknee-left,0,0,outline,,,\nknee-left,260,10,outline,,,\n"
    'knee-left,240,150,outline,,,\nknee-left,30,160,outline,,,\nknee-left,40,41,,A,x,"black, long"\n'
    "lid,0,0,hole,=C,,\n",
    "semicolons.csv": "sep=;\nX;Y;fastener;depth;into\n40,5;40;A;12 mm;metal thread\n200;90 mm;A;;\n",
    "bare.csv": "x\ty\tpanel\tfastener\n40\t41\tknee-left\tA\n3.5in\t90\tknee-left\tA\n",
}


def traced_kinds(good: Path) -> tuple[Kind, ...]:
    """Return the kinds; those of photos only where there is OpenCV."""
    trace, bike = ("trace", "b.yaml"), (("b.yaml", "traced.yaml"),)
    small = str(good / "small.yaml")

    def ways(name: str) -> tuple[tuple[str, ...], ...]:
        return (
            (*trace, "knee-left", name, "--fastener", "A", *OUT), (*trace, "all", name, *OUT),
            (*trace, "knee-left", name, "--fastener", "A", "--moved", "none", "--drop", *OUT),
            (*trace, "tail-left", name, "--unit", "mm", "--fastener", "=C", *OUT),
            (*trace, "knee-left", name, "--known", "212 mm", "--fastener", "A", "--moved", "x", *OUT),
        )  # fmt: skip

    drawn = "outlines/h.svg"
    cheap = (
        Kind("t.svg", ("panels.svg", "names.svg", "fjellvik-knee-left.svg"), TEXT, ways("t.svg"), bike),
        Kind("knee-left.svg", ("saved.svg",), TEXT, ways("knee-left.svg"), bike),
        Kind("t.dxf", ("t.dxf", "binary.dxf", "old.dxf"), (*ANY, *[spoil_pairs] * 16), ways("t.dxf"), bike),
        Kind("t.csv", ("list.csv", "semicolons.csv", "bare.csv"), TEXT, ways("t.csv"), bike),
        Kind(
            drawn, ("holes.svg",), TEXT,
            (("check", "drawn-holes.yaml"), ("plan", "drawn-holes.yaml", *OUT), ("picture", "drawn-holes.yaml", *OUT)),
            (("drawn-holes.yaml", "drawn-holes.yaml"),),
        ),
        Kind(
            "bike.schema.json", ("bike.schema.json",), (*ANY, *[spoil_json] * 3),
            (("schema", "."), ("schema", ".", "--force"), ("new", "n.yaml")), every=5,
        ),
        Kind(
            "out/.boardmaker.json", ("made/.boardmaker.json",), (*ANY, *[spoil_json] * 6),
            (("torque", small, *OUT), ("mat", small, *OUT), ("picture", small, "--force", *OUT)), every=3,
        ),
    )  # fmt: skip
    return (*cheap, *_photo_kinds(bike)) if HAS_PHOTOS else cheap


def _photo_kinds(bike: tuple[tuple[str, str], ...]) -> tuple[Kind, ...]:
    trace = ("trace", "b.yaml", "tail-left")
    measured = ("--measured", "181", "261", "--fastener", "A")
    return (
        Kind(
            "mat.json", ("sample-mat.json", "sample-mat.json"), (*ANY, *[spoil_json] * 15),
            (
                (*trace, "1.jpg", "--mat", "mat.json", *OUT), (*trace, "1.jpg", "--mat", "mat.json", *measured, *OUT),
                (*trace, "1.jpg", "--mat", "mat.json", "--pen", "--fastener", "A", *OUT),
                (*trace, "1.jpg", "2.jpg", "--mat", "mat.json", *OUT),
            ),
            (*bike, ("1.jpg", "1.jpg"), ("2.jpg", "2.jpg")), every=4,
        ),
        Kind(
            "photo.jpg", ("1.jpg", "1.png", "2.jpg"), (*ANY, *PHOTO),
            (
                (*trace, "photo.jpg", "--mat", "mat.json", *OUT),
                (*trace, "photo.jpg", "--mat", "mat.json", "--pen", "--fastener", "A", *OUT),
                (*trace, "photo.jpg", "1.jpg", "--mat", "mat.json", *measured, *OUT),
            ),
            (*bike, ("1.jpg", "1.jpg"), ("mat.json", "sample-mat.json")), every=10,
        ),
    )  # fmt: skip


def make_traced_files(good: Path) -> None:
    """Add to the folder of good files; `made` is there already."""
    for name, text in TEXTS.items():
        (good / name).write_text(text, encoding="utf-8")
    (good / "t.dxf").write_text(_dxf("R2010"), encoding="utf-8")
    (good / "binary.dxf").write_bytes(in_binary(dxf_pairs(_dxf("R2000").encode())))
    (good / "old.dxf").write_text(_dxf("R12"), encoding="utf-8")
    assert run(["schema", str(good / "made"), "--quiet"]) == 0
    shutil.copy(good / "made" / "bike.schema.json", good)
    assert run(["mat", str(good / "small.yaml"), "--quiet", "--out", str(good / "made")]) == 0
    if HAS_PHOTOS:
        _photos(good)


def _dxf(version: str) -> str:
    document = ezdxf.new(version, units=4)
    space = document.modelspace()
    document.layers.add("knee-left")
    on = {"layer": "knee-left"}
    space.add_polyline2d(
        [(0, 0, 0.3), (260, 10, 0), (240, 150, 0), (30, 160, 0)], format="xyb", close=True, dxfattribs=on
    )
    space.add_circle((40, 40), 3, dxfattribs=on)
    space.add_text("A", height=3, dxfattribs={"insert": (45, 42), **on})
    block = document.blocks.new("A")
    block.add_circle((0, 0), 3)
    block.add_arc((0, 0), 4, 0, 90)
    space.add_blockref("A", (200, 90), dxfattribs=on)
    space.add_line((0, 300), (212, 300), dxfattribs={"layer": "known"})
    if version != "R12":
        space.add_lwpolyline([(300, 0), (380, 0), (380, 60)], close=True, dxfattribs={"layer": "lid"})
        space.add_spline([(300, 200), (330, 220), (300, 230), (290, 210)], dxfattribs={"layer": "0"})
        space.add_ellipse((340, 20), (5, 0), 0.8, dxfattribs={"layer": "lid"})
        space.add_mtext("=C", dxfattribs={"insert": (345, 22), "layer": "lid"})
    text = io.StringIO()
    document.write(text)
    return text.getvalue().replace("HEADER\n", "HEADER\n  9\n$INSUNITS\n 70\n4\n", 1)  # R12 has none of its own


def _photos(good: Path) -> None:
    paths = {"PYTHONPATH": os.pathsep.join(sys.path)}
    program = str(Path(__file__).with_name("make_photos.py"))
    subprocess.run([sys.executable, program, str(good)], check=True, env={**os.environ, **paths})
