"""The kinds of files that strangers send: good ones to spoil, ways to spoil them, commands that read them.

A case is made of a kind, a seed and a number, and of nothing else: the same three give the same bytes.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pypdfium2
from one_kind import OUT, Kind
from spoil_pdf import spoil_objects, spoil_words
from spoil_picture import other_form, spoil_chunks
from spoil_text import ANY, TEXT
from spoil_tree import spoil_json, spoil_yaml
from traced_kinds import make_traced_files, traced_kinds

from boardmaker.command_line import run
from boardmaker.commands.common import demo_folder

INPUTS = Path(__file__).parents[2] / "fixtures" / "inputs"
SMALL = """
format: 1
bike: { name: Small, source: made up for a test, cautions: [Let it cool.] }
equipment: { rack: Luggage rack }
fasteners:
  A: { kind: shoulder screw, thread: M6, length: 21, shoulder: { length: 11, diameter: 9 },
       head: { shape: button, diameter: 14, height: 3.3 }, drive: T30, torque: 5 N·m, with_it: [washer] }
  B: { part: ISO 7380-2 - M6 x 16 - 10.9, torque: 6 N·m }
panels:
  seat: { name: Seat, side: centre, holes: [] }
  knee-left: { name: Knee, side: left, outline: [[0, 0], [260, 10], [240, 150], [30, 160]], after: [seat],
          on_bike: [400, 600],
          holes: [ { at: [40, 40], fastener: A }, { at: [200, 90], fastener: B, also_holds: [lid] } ] }
  lid: { name: Lid, side: left, on_bike: [200, 650],
         holes: [ { at: [0, 0], fastener: B, into: metal thread, stack: 3, depth: 14 },
                  { at: [60, 30], fastener: B } ] }
jobs: { oil: { name: Oil, remove: [lid], supplies: [ { what: Oil, count: 2 } ] } }
torques: { plug: { what: Drain plug, torque: 20 N·m, jobs: [oil], tool: hex 8 } }
"""
BAG = "key,designation,count\nA,,3\nB,,1\n,ISO 7380-2 - M6 x 16 - 10.9,1\n"
AUDIT = "hole,found\nknee-left/1,B\nknee-left/2,missing\nlid/1,other\nlid/2,ok\nothers,ok\n"
SCREW = ("--thread", "M6", "--length", "16")


@dataclass(frozen=True)
class Case:
    """One spoilt file and the command line over it."""

    name: str
    content: bytes
    arguments: tuple[str, ...]
    how: str
    beside: tuple[tuple[str, str], ...] = ()


def kinds(good: Path) -> tuple[Kind, ...]:
    """Return every kind; `good` is the folder that `make_good_files` filled."""
    small, bag, audit = (str(good / name) for name in ("small.yaml", "any-bag.csv", "any-audit.csv"))
    bike, setup, drawing, kept, pdf, png = "b.yaml", "s.yaml", "outlines/o.svg", "b.json", "f.pdf", "f.png"
    return (
        Kind(
            bike, ("small.yaml", "full-bike.yaml", "murmelo-140-scooter.yaml", "drawn-holes.yaml", "measured.yaml"),
            (*TEXT, *[spoil_yaml] * 12),
            (
                ("check", bike), ("check", bike, "--strict"), ("check", bike, "--share"),
                ("picture", bike, *OUT), ("picture", bike, "knee-left", *OUT),
                ("plan", bike, *OUT), ("torque", bike, *OUT),
                ("tally", bike, *OUT), ("tally", bike, "--template", *OUT), ("tally", bike, "--bag", bag, *OUT),
                ("tally", bike, "--audit", audit, *OUT), ("screw", bike, *SCREW),
                ("screw", bike, *SCREW, "--hole", "knee-left/1"),
                ("plan", bike, "--job", "oil", *OUT), ("new", "n.yaml", "--from", bike), ("mat", bike, *OUT),
                ("board", bike, "--effort", "quick", "--boards", "1", "--print", "whole", *OUT),
                ("trace", bike, "knee-left", "t.svg", "--fastener", "A", *OUT),
            ),
            (("outlines", "outlines"), ("outlines/h.svg", "holes.svg"), ("t.svg", "saved.svg")),
        ),
        Kind(
            setup, ("full-setup.yaml", "cases.yaml"), (*TEXT, *[spoil_yaml] * 12),
            (
                ("torque", small, "--setup", setup, *OUT), ("plan", small, "--setup", setup, *OUT),
                ("testpage", "--setup", setup, *OUT),
                ("calibrate", "--setup", setup, "--paper", "A4", "--measured", "185", "275"),
                ("board", small, "--setup", setup, "--effort", "quick", *OUT),
                ("board", small, "--setup", setup, "--case", "side", "--effort", "quick", *OUT),
                ("mat", small, "--setup", setup, *OUT),
            ),
        ),
        Kind(
            drawing, ("round.svg", "fjellvik-knee-left.svg", "fjellvik-nose.svg"), TEXT,
            (("check", "drawn.yaml"), ("plan", "drawn.yaml", *OUT), ("picture", "drawn.yaml", "p", *OUT)),
            (("drawn.yaml", "drawn.yaml"),),
        ),
        Kind(
            kept, ("board.json",), (*ANY, *[spoil_json] * 12),
            (
                ("repack", kept, "--effort", "quick", *OUT),
                ("repack", kept, "--case", "300 x 250 mm", "--effort", "quick", *OUT),
            ),
        ),
        Kind("bag.csv", ("bag.csv", "template-bag.csv"), TEXT, (("tally", small, "--bag", "bag.csv", *OUT),)),
        Kind("audit.csv", ("audit.csv", "template-audit.csv"), TEXT, (("tally", small, "--audit", "audit.csv", *OUT),)),
        Kind(
            pdf, ("testpage.pdf", "torque.pdf", "sheets.pdf", "plan.pdf"),
            (*ANY, *[spoil_objects] * 9, *[spoil_words] * 4),
            (("verify", pdf),),
        ),
        Kind(
            png, ("scan.png", "scan.jpg", "colours.png"), (*ANY, *[other_form] * 4, *[spoil_chunks] * 9),
            (
                ("calibrate", "--setup", "new.yaml", "--scan", png),
                ("calibrate", "--setup", "new.yaml", "--scan", png, "--dpi", "150"),
            ),
        ),
        *traced_kinds(good),
    )  # fmt: skip


def make_case(kind: Kind, good: Path, seed: int, number: int) -> Case:
    """Return case `number` of a kind."""
    dice = Random(f"{seed} {kind.name} {number}")
    contents = [(good / name).read_bytes() for name in kind.good]
    content, ways = dice.choice(contents), []
    for _ in range(dice.choice((1, 1, 1, 1, 2))):
        spoil = dice.choice(kind.spoils)
        try:
            content = spoil(content, dice, contents)
        except Exception:  # what is spoilt already need not be read any more
            content = TEXT[dice.randrange(len(ANY))](content, dice, contents)
        ways.append(spoil.__name__)
    return Case(kind.name, content, dice.choice(kind.commands), " + ".join(ways), kind.beside)


def lay_out(case: Case, good: Path, folder: Path) -> None:
    """Put the case's file into a folder of its own, with what it needs beside it."""
    target = folder / case.name
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(case.content)
    for name, source in case.beside:
        if (good / source).is_dir():
            shutil.copytree(good / source, folder / name, dirs_exist_ok=True)
        elif name != case.name:
            (folder / name).parent.mkdir(exist_ok=True)
            shutil.copy(good / source, folder / name)


def make_good_files(good: Path) -> None:
    """Fill a folder with the files that are spoilt later; every one of them is as our own commands make it."""
    for path in (INPUTS / "full-bike.yaml", INPUTS / "full-setup.yaml", demo_folder() / "murmelo-140-scooter.yaml"):
        shutil.copy(path, good)
    shutil.copytree(demo_folder() / "outlines", good / "outlines")
    for name in ("fjellvik-knee-left.svg", "fjellvik-nose.svg"):
        shutil.copy(good / "outlines" / name, good)
    for name, text in TEXTS.items():
        (good / name).write_text(text, encoding="utf-8")
    small = str(good / "small.yaml")
    for arguments in (
        ("testpage",), ("torque", small), ("plan", small), ("tally", small, "--template"),
        ("board", small, "--effort", "quick", "--boards", "1", "--arrange", "0", "--board", "300 x 200 mm"),
    ):  # fmt: skip
        assert run([*arguments, "--quiet", "--out", str(good / "made")]) == 0
    for name in ("testpage.pdf", "torque.pdf", "plan.pdf", "sheets.pdf", "board.json"):
        shutil.copy(good / "made" / name, good)
    for name, filled in (("bag.csv", b"2\r\n"), ("audit.csv", b"ok\r\n")):
        header, *lines = (good / "made" / name).read_bytes().split(b"\r\n")
        (good / f"template-{name}").write_bytes(header + b"\r\n" + b"".join(line + filled for line in lines if line))
    _scan(good)
    make_traced_files(good)


def _scan(good: Path) -> None:
    document = pypdfium2.PdfDocument((good / "testpage.pdf").read_bytes())
    picture = document[0].render(scale=150 / 72).to_pil()
    picture.convert("L").save(good / "scan.png", dpi=(150, 150))
    picture.convert("RGB").save(good / "scan.jpg", dpi=(150, 150), quality=85)
    picture.convert("RGB").quantize(16).save(good / "colours.png", dpi=(150, 150), icc_profile=b"x" * 300)
    document.close()


TEXTS = {
    "small.yaml": SMALL,
    "bag.csv": BAG,
    "audit.csv": AUDIT,
    "any-bag.csv": "key,count\nA,3\n",
    "any-audit.csv": "hole,found\nknee-left/1,missing\nothers,ok\n",
    "drawn.yaml": "format: 1\nbike: { name: Drawn }\nfasteners: { A: { thread: M6 } }\npanels:\n"
    "  p: { name: P, side: left, outline: { file: outlines/o.svg }, holes: [ { at: [90, 90], fastener: A } ] }\n",
    "cases.yaml": "format: 1\ncases:\n  top: { inside: 15 x 11 in, height: 4 in, corner_radius: 1 in }\n"
    "  side: { outline: [[0, 0], [300, 0], [320, 200], [10, 210]], height: 90 mm }\npaper: letter\n",
    "round.svg": '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">\n'
    '<defs><path id="a" d="M10 10h9v9z"/></defs><style>.b{fill:none}</style>\n'
    '<g transform="translate(5, 5) rotate(3)" class="b">\n'
    '<path id="outline" style="fill:none" d="M10,10 C 60,0 120,0 280,10 A 20 20 0 0 1 290 190 L 10 190 z"/></g>\n'
    "</svg>\n",
}
