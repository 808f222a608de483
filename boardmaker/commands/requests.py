"""What a command was asked: one request a command, made of the choices that commands have in common.

In: what click has read. Out: what the function of a command takes; the text of a length or a scale is still as typed,
the command reads it. Apart from the commands, because the command line imports it for every `--help`: nothing heavy may
be imported here.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

# As in `packing.problem` and `boards.build`, which are heavy to import; mypy holds the two against each other.
Effort = Literal["quick", "normal", "thorough"]
DrawingUnit = Literal["mm", "cm", "in", "px", "pt"]
PanelSide = Literal["left", "right", "centre"]
PanelView = Literal["top", "front", "rear"]
Tint = Literal["green", "magenta"]
PrintAs = Literal["tiles", "cutouts", "whole"]
Ink = Literal["colour", "black"]


@dataclass(frozen=True)
class WorkChoice:
    """What comes off which bike: the bike file (None: the demo), jobs (none: every panel), equipment on and off it."""

    bike: Path | None
    jobs: tuple[str, ...]
    with_: tuple[str, ...]
    without: tuple[str, ...]


@dataclass(frozen=True)
class SetupChoice:
    """The user's setup file (None: the usual values), and what wins over it.

    Paper, board stock, inside of the case, "colour" or "black" ink, `large` type; None for what the file says.
    """

    setup: Path | None
    paper: str | None
    board_size: str | None = None
    case: str | None = None
    ink: Ink | None = None
    large: bool | None = None


@dataclass(frozen=True)
class PackingChoice:
    """How to look for the largest drawing."""

    scale: str
    effort: Effort
    seed: int


@dataclass(frozen=True)
class PrintChoice:
    """What becomes of the boards on paper; `pages` is a list such as `3,5-6`, None for all."""

    pages: str | None
    print_as: PrintAs


@dataclass(frozen=True)
class OutputChoice:
    """The folder for the files, whether to overwrite what is not ours there, whether to say only what is wrong."""

    out: Path
    force: bool
    quiet: bool


@dataclass(frozen=True)
class BoardRequest:
    """`board`: so many `boards`, None for few; `arrange`: per cent of the scale to give up, None for the usual."""

    work: WorkChoice
    setup: SetupChoice
    packing: PackingChoice
    printing: PrintChoice
    boards: int | None
    arrange: float | None
    output: OutputChoice


@dataclass(frozen=True)
class RepackRequest:
    """`repack`: a board file; its bike file, if that lies elsewhere; at most `boards` boards (None: as before)."""

    board_file: Path
    bike: Path | None
    setup: SetupChoice
    packing: PackingChoice
    printing: PrintChoice
    boards: int | None
    output: OutputChoice


@dataclass(frozen=True)
class WrenchChoice:
    """A torque wrench and the adapter on it, lengths with their units; the angle between them in degrees."""

    wrench: str | None
    adapter: str | None
    adapter_angle: float


@dataclass(frozen=True)
class TorqueRequest:
    """`torque`: the width of a card (None: as reads well), the second unit (None: the handier one), the wrench."""

    work: WorkChoice
    setup: SetupChoice
    width: str | None
    units: str | None
    wrench: WrenchChoice
    output: OutputChoice


@dataclass(frozen=True)
class PlanRequest:
    """`plan`: for any board, or for the one of a board file."""

    work: WorkChoice
    board_file: Path | None
    setup: SetupChoice
    output: OutputChoice


@dataclass(frozen=True)
class TestpageRequest:
    """`testpage`: drawn without calibration, or with the setup's printer scale to `check` it."""

    setup: SetupChoice
    check: bool
    output: OutputChoice


@dataclass(frozen=True)
class TallyRequest:
    """`tally`: alone, or against the list of a `bag` or an `audit`, or only the `template` of both lists."""

    work: WorkChoice
    bag: Path | None
    audit: Path | None
    template: bool
    output: OutputChoice


@dataclass(frozen=True)
class CalibrateRequest:
    """`calibrate`: the setup file to write into; two lengths as `measured`, across and along, or a `scan`."""

    setup: Path
    paper: str | None
    measured: tuple[str, str] | None
    scan: Path | None
    dots_per_inch: float | None
    force: bool
    quiet: bool


@dataclass(frozen=True)
class VerifyRequest:
    """`verify`: the PDF to measure."""

    file: Path
    quiet: bool


@dataclass(frozen=True)
class SizesChoice:
    """The sizes of the screw in the hand as typed; None for what was not measured."""

    thread: str | None
    length: str | None
    shoulder: str | None
    shoulder_diameter: str | None
    head: str | None
    head_height: str | None
    head_shape: str | None
    drive: str | None
    property_class: str | None
    kind: str | None
    clip_hole: str | None


@dataclass(frozen=True)
class ScrewRequest:
    """`screw`: its sizes, good to the `tolerance`; the `hole` to try it in (None: all of them)."""

    work: WorkChoice
    sizes: SizesChoice
    tolerance: str
    hole: str | None
    quiet: bool


@dataclass(frozen=True)
class NewRequest:
    """`new`: the bike file to write, and the one whose fasteners, jobs and torques it begins with (None: a starter)."""

    file: Path
    from_: Path | None
    force: bool
    quiet: bool


@dataclass(frozen=True)
class SchemaRequest:
    """`schema`: the folder of the bike files."""

    folder: Path
    force: bool
    quiet: bool


@dataclass(frozen=True)
class CheckRequest:
    """`check`: a bike file; `strict` takes warnings for errors; `share` says what a stranger would miss.

    `watch`: on each save anew, with the pictures into a folder.
    """

    bike: Path
    strict: bool
    share: bool
    watch: bool
    out: Path
    force: bool
    quiet: bool


@dataclass(frozen=True)
class PhotoChoice:
    """What `trace` is told of photos: the mat's `mat.json`, its bars as printed, the edge's height, both as typed.

    `pen`: the photo shows no panel but what was drawn on the mat. Without `mat` it is the one that `mat` makes with
    `setup` and `tint` (None: green).
    """

    mat: Path | None = None
    measured: tuple[str, str] | None = None
    height: str | None = None
    pen: bool = False
    setup: SetupChoice = SetupChoice(None, None)
    tint: Tint | None = None


@dataclass(frozen=True)
class TraceRequest:
    """`trace`: a panel of the bike file (`all`: those that the drawing names) from a drawing, or photos of one panel.

    None for what the drawing, the key or the bike file says: the fastener of holes without one, side, view and name
    of a new panel, the length of the line `known` as typed, the drawing's unit. `drop`: holes that are not found go.
    `moved`: ids of holes that went further than 3 mm; "none" where no other one did.
    """

    bike: Path
    panel: str
    sources: tuple[Path, ...]
    side: PanelSide | None
    view: PanelView | None
    name: str | None
    fastener: str | None
    known: str | None
    unit: DrawingUnit | None
    drop: bool
    moved: tuple[str, ...]
    photos: PhotoChoice
    output: OutputChoice


@dataclass(frozen=True)
class MatRequest:
    """`mat`: marks for the fasteners of a bike file (None: letters A to F), the colour of the sheets."""

    bike: Path | None
    setup: SetupChoice
    tint: Tint
    output: OutputChoice


@dataclass(frozen=True)
class PictureRequest:
    """`picture`: a bike file, the keys of the panels to draw (none: the whole bike), "colour" or "black"."""

    bike: Path
    panels: tuple[str, ...]
    ink: Ink | None
    output: OutputChoice
