"""The commands: the words of the help, the options above each function, and the request that it makes of them.

In: what click reads. Out: one call of `commands` with its request. Heavy stages are imported when a command runs.
"""

from __future__ import annotations

from functools import wraps
from pathlib import Path
from typing import get_args

import click

from boardmaker import __version__
from boardmaker.command_line.shared_options import (
    PATH,
    WORDS,
    Command,
    board_setup_options,
    output_options,
    packing_options,
    print_options,
    quiet_option,
    setup_options,
    work_options,
)
from boardmaker.commands.requests import (
    BoardRequest,
    CalibrateRequest,
    CheckRequest,
    DrawingUnit,
    Ink,
    MatRequest,
    NewRequest,
    OutputChoice,
    PackingChoice,
    PanelSide,
    PanelView,
    PhotoChoice,
    PictureRequest,
    PlanRequest,
    PrintChoice,
    RepackRequest,
    SchemaRequest,
    ScrewRequest,
    SetupChoice,
    SizesChoice,
    TallyRequest,
    TestpageRequest,
    Tint,
    TorqueRequest,
    TraceRequest,
    VerifyRequest,
    WorkChoice,
    WrenchChoice,
)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="boardmaker")
def boardmaker() -> None:
    """Boards for the panel screws of a motorcycle: a pocket for every screw, printed true to scale.

    A bike file says which panels come off and what holds them; a board shows every panel's outline with a place for
    each of its fasteners. The maker's manual comes first: a board is only as good as the file behind it.
    """


@boardmaker.command(epilog="Example:  boardmaker new my-bike.yaml")
@click.argument("file", metavar="FILE", type=PATH)
@click.option("--from", "from_", metavar="OTHER", type=PATH, help="Begin with this bike's fasteners, jobs and torques.")
@click.option("--force", is_flag=True, help="Overwrite a file that is there.")
@quiet_option
def new(file: Path, from_: Path | None, force: bool, quiet: bool) -> None:
    """Write a bike FILE to begin with: a small invented bike, with a comment at each key.

    It is valid at once and makes a board; put your own bike in, panel by panel. With --from it has another bike's
    fasteners, jobs and torques as they were written there, and no panels. bike.schema.json is written beside it: an
    editor then completes keys and words and marks mistakes.
    """
    from boardmaker.commands.new import make_bike_file  # noqa: PLC0415

    make_bike_file(NewRequest(file, from_, force, quiet))


@boardmaker.command(epilog="Example:  boardmaker schema my-bikes")
@click.argument("folder", metavar="FOLDER", type=PATH)
@click.option("--force", is_flag=True, help="Overwrite files of these names that are not ours.")
@quiet_option
def schema(folder: Path, force: bool, quiet: bool) -> None:
    """Write bike.schema.json and setup.schema.json into FOLDER, for an editor that knows JSON Schema.

    It then completes keys and words in the files of that folder, shows what a key means, and marks mistakes.
    """
    from boardmaker.commands.schema import write_editor_schemas  # noqa: PLC0415

    write_editor_schemas(SchemaRequest(folder, force, quiet))


@boardmaker.command(epilog="Example:  boardmaker board my-bike.yaml --job oil --case '470 x 370 mm' --out oil-board")
@work_options
@board_setup_options
@packing_options
@print_options
@click.option(
    "--boards",
    type=click.IntRange(1, 20),
    help="So many boards.  [default: as few as keep the scale at 1:5 or larger, at most 4]",
)
@click.option(
    "--arrange",
    type=click.FloatRange(0.0, 25.0),
    metavar="PERCENT",
    help="Give up at most so much of the largest scale (0 to 25) for boards that read like the bike; 0: the largest "
    "drawing and nothing else.  [default: 4 at 1:4 and below, 12 at 1:2 and above, evenly in between]",
)
@output_options
def board(
    work: WorkChoice,
    setup: SetupChoice,
    packing: PackingChoice,
    printing: PrintChoice,
    boards: int | None,
    arrange: float | None,
    output: OutputChoice,
) -> None:
    """Make the boards for BIKE: sheets to print, drawings to cut from, the board file.

    Without BIKE the bundled demo tourer is used. Without --job every panel comes off.
    """
    from boardmaker.commands.board import make_board  # noqa: PLC0415

    make_board(BoardRequest(work, setup, packing, printing, boards, arrange, output))


@boardmaker.command(epilog="Example:  boardmaker repack oil-board/board.json --case '400 x 300 mm' --out small-board")
@click.argument("board_file", metavar="BOARD.json", type=PATH)
@click.option("--bike", type=PATH, help="The bike file, if it lies elsewhere.")
@board_setup_options
@packing_options
@print_options
@click.option(
    "--boards",
    type=click.IntRange(1, 20),
    metavar="N",
    help="At most so many boards, to keep the scale.  [default: as many as before]",
)
@output_options
def repack(
    board_file: Path,
    bike: Path | None,
    setup: SetupChoice,
    packing: PackingChoice,
    printing: PrintChoice,
    boards: int | None,
    output: OutputChoice,
) -> None:
    """Pack boards again for another case, board stock, paper or number of boards.

    The scale stays if it fits, and every panel stays near its old place and turn; what moved is said. The board file is
    enough: it holds the bike. Without --setup your setup is taken from it too.
    """
    from boardmaker.commands.repack import repack as repack_boards  # noqa: PLC0415

    repack_boards(RepackRequest(board_file, bike, setup, packing, printing, boards, output))


def _wrench_options(command: Command) -> Command:
    """Ask for a torque wrench with an adapter: `wrench`."""

    @click.option(
        "--wrench",
        metavar="LENGTH",
        help="With --adapter: your torque wrench, from the middle of its drive to the middle of its grip.",
    )
    @click.option(
        "--adapter",
        metavar="LENGTH",
        help="A crowfoot or extension on it, from drive to nut: every row then says what to set, too.",
    )
    @click.option(
        "--adapter-angle",
        type=click.FloatRange(0.0, 180.0),
        default=0.0,
        show_default=True,
        metavar="DEGREES",
        help="0: straight on; 90: square to the wrench, nothing changes; 180: back towards the hand.",
    )
    @wraps(command, WORDS)
    def gather(wrench: str | None, adapter: str | None, adapter_angle: float, **others: object) -> None:
        command(wrench=WrenchChoice(wrench, adapter, adapter_angle), **others)

    return gather


@boardmaker.command(epilog="Example:  boardmaker torque my-bike.yaml --job oil --width '62 mm'")
@work_options
@setup_options
@click.option("--width", metavar="LENGTH", help="Width of a card, such as '62 mm'.  [default: as reads well]")
@click.option(
    "--units",
    metavar="UNIT",
    help="Second unit beside N·m: lbf.ft, lbf.in, kgf.m, kgf.cm or none.  [default: lbf·in or lbf·ft, as is handier]",
)
@_wrench_options
@output_options
def torque(
    work: WorkChoice,
    setup: SetupChoice,
    width: str | None,
    units: str | None,
    wrench: WrenchChoice,
    output: OutputChoice,
) -> None:
    """Make the torque strip alone: torque.pdf.

    One card a job with the torque of every row, tool, order and what to renew. The maker's manual comes first.
    """
    from boardmaker.commands.pages import make_torque_strip  # noqa: PLC0415

    make_torque_strip(TorqueRequest(work, setup, width, units, wrench, output))


@boardmaker.command(epilog="Example:  boardmaker plan my-bike.yaml --job valves --paper A5 --out valves")
@work_options
@click.option(
    "--board",
    "board_file",
    metavar="BOARD.json",
    type=PATH,
    help="For this board: its bike, jobs and equipment, unless you say otherwise; says where numbers differ.",
)
@setup_options
@output_options
def plan(work: WorkChoice, board_file: Path | None, setup: SetupChoice, output: OutputChoice) -> None:
    """Make removal and refit sheets in working order, with hang tags: plan.pdf, plan.md, plan.csv.

    Every step with its fasteners, tools and pockets to tick off, the torques in between, then everything in reverse.
    Without --job every panel comes off. Pocket numbers depend on jobs and equipment: --board takes them from the board
    that you have. The maker's manual comes first.
    """
    from boardmaker.commands.plan import make_plan_files  # noqa: PLC0415

    make_plan_files(PlanRequest(work, board_file, setup, output))


@boardmaker.command(epilog="Example:  boardmaker testpage --paper letter")
@setup_options
@click.option("--check", is_flag=True, help="Draw it with the setup's printer scale, to see that it now measures true.")
@output_options
def testpage(setup: SetupChoice, check: bool, output: OutputChoice) -> None:
    """Make the scale test page for this paper and printer: testpage.pdf.

    Print it before the first board and measure its two bars.
    """
    from boardmaker.commands.pages import make_testpage  # noqa: PLC0415

    make_testpage(TestpageRequest(setup, check, output))


@boardmaker.command(epilog="Example:  boardmaker tally my-bike.yaml --job oil")
@work_options
@click.option("--bag", metavar="FILE.csv", type=PATH, help="Hold this bag's list against the tally.")
@click.option("--audit", metavar="FILE.csv", type=PATH, help="What you found in which hole: what to do.")
@click.option("--template", is_flag=True, help="Write bag.csv and audit.csv to fill in, and nothing else.")
@output_options
def tally(work: WorkChoice, bag: Path | None, audit: Path | None, template: bool, output: OutputChoice) -> None:
    """Count the fasteners of BIKE, per panel and in all, with what to renew and what to carry as spares: tally.csv.

    With --bag or --audit also what to buy (shopping.csv), with --audit a note for the owner (owner-note.md). The
    maker's manual comes first: a tally is only as good as the bike file.
    """
    from boardmaker.commands.tally import make_tally  # noqa: PLC0415

    make_tally(TallyRequest(work, bag, audit, template, output))


@boardmaker.command(epilog="Example:  boardmaker calibrate --setup my-setup.yaml --measured 178.6 271.2")
@click.option(
    "--setup",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    help="Your setup file, which gets the scale; made if there is none.",
)
@click.option("--paper", metavar="SIZE", help="The test page's paper, if it is not the setup file's.")
@click.option(
    "--measured",
    nargs=2,
    metavar="ACROSS ALONG",
    help="Lengths of the two long bars as printed: lying, then upright; in mm, or such as '7.03 in'.",
)
@click.option("--scan", type=PATH, help="A flatbed scan of the printed page (PNG or JPEG) instead.")
@click.option(
    "--dpi", "dots_per_inch", type=float, metavar="N", help="The scan's resolution, if the file does not say."
)
@click.option("--force", is_flag=True, help="Write a scale of nearly 1 over another one.")
@quiet_option
def calibrate(
    setup: Path,
    paper: str | None,
    measured: tuple[str, str] | None,
    scan: Path | None,
    dots_per_inch: float | None,
    force: bool,
    quiet: bool,
) -> None:
    """Tell the setup file by how much your printer stretches: every sheet is then drawn with the inverse.

    Print the page of `boardmaker testpage` at 100 % and measure its two long bars, or scan it.
    """
    from boardmaker.commands.calibrate import calibrate_printer  # noqa: PLC0415

    calibrate_printer(CalibrateRequest(setup, paper, measured, scan, dots_per_inch, force, quiet))


@boardmaker.command(epilog="Example:  boardmaker verify out/sheets.pdf")
@click.argument("file", metavar="FILE.pdf", type=PATH)
@quiet_option
def verify(file: Path, quiet: bool) -> None:
    """Open a finished PDF as a stranger would and say whether it prints true to scale.

    Measures both test bars of every page and looks for whatever makes printers change the size. Exit code 1 where the
    file does not print true.
    """
    from boardmaker.commands.verify import verify_file  # noqa: PLC0415

    verify_file(VerifyRequest(file, quiet))


def _sizes_options(command: Command) -> Command:
    """Ask for the sizes of the screw in the hand: `sizes`."""

    @click.option("--thread", metavar="THREAD", help="M6, M6x0.75, 1/4-20; 5.9 = its outside, pitch unknown; none.")
    @click.option(
        "--length",
        metavar="LENGTH",
        help="From under the head to the tip, the shoulder included; over everything where the head is countersunk.",
    )
    @click.option("--shoulder", metavar="LENGTH", help="Length of the plain part under the head; none if it has none.")
    @click.option("--shoulder-diameter", metavar="LENGTH", help="Diameter of that plain part.")
    @click.option("--head", metavar="LENGTH", help="Diameter of the head, over everything.")
    @click.option("--head-height", metavar="LENGTH", help="Height of the head.")
    @click.option("--head-shape", metavar="SHAPE", help="As in the bike file: button, pan, countersunk, hex, round ...")
    @click.option("--drive", metavar="DRIVE", help="T30, PH2, PZ2, 'hex 4', 'hexagon 10', slot, 'JIS 2'.")
    @click.option("--class", "property_class", metavar="CLASS", help="The mark on the head: 8.8, 10.9, A2-70.")
    @click.option(
        "--kind", metavar="KIND", help="As in the bike file: screw (threaded up to the head), bolt, push clip ..."
    )
    @click.option("--clip-hole", metavar="LENGTH", help="Diameter of the hole that a clip or rivet is made for.")
    @wraps(command, WORDS)
    def gather(  # noqa: PLR0913, PLR0917
        thread: str | None,
        length: str | None,
        shoulder: str | None,
        shoulder_diameter: str | None,
        head: str | None,
        head_height: str | None,
        head_shape: str | None,
        drive: str | None,
        property_class: str | None,
        kind: str | None,
        clip_hole: str | None,
        **others: object,
    ) -> None:
        sizes = SizesChoice(
            thread, length, shoulder, shoulder_diameter, head, head_height, head_shape, drive, property_class, kind,
            clip_hole,
        )  # fmt: skip
        command(sizes=sizes, **others)

    return gather


@boardmaker.command(
    epilog="Example:  boardmaker screw my-bike.yaml --thread M6 --length 21 --shoulder 11 --hole knee-left/1"
)
@_sizes_options
@click.option(
    "--tolerance",
    metavar="calliper|ruler|LENGTH",
    default="calliper",
    show_default=True,
    help="How far off each measurement may be: a calliper 0.2 mm, a ruler 1 mm, or a length.",
)
@click.option(
    "--hole", metavar="PANEL/HOLE", help="Would it do in this hole? As in the file, or as on the board: 'KL 1'."
)
@work_options
@quiet_option
def screw(work: WorkChoice, sizes: SizesChoice, tolerance: str, hole: str | None, quiet: bool) -> None:
    """Say which fastener this one is, where it belongs and where it must not go.

    Measure what you can; a bare number is in mm. Every size is allowed its tolerance, and what the standard lets pass;
    a head 0.2 mm more for paint and wear. What the bike file does not give speaks neither for nor against a kind. With
    --hole: fits, doubtful, must not or cannot say, and why; nothing that is not known is taken as good. The maker's
    manual comes first.
    """
    from boardmaker.commands.screw import find_screw  # noqa: PLC0415

    find_screw(ScrewRequest(work, sizes, tolerance, hole, quiet))


@boardmaker.command(epilog="Example:  boardmaker check my-bike.yaml --watch --out look")
@click.argument("bike", type=PATH)
@click.option("--strict", is_flag=True, help="Take warnings for errors.")
@click.option("--share", is_flag=True, help="Say instead what a stranger with the same bike would miss in the file.")
@click.option("--watch", is_flag=True, help="On each save anew, with pictures of bike and panels, until Ctrl-C.")
@click.option("--out", type=PATH, default=Path("out"), show_default=True, help="With --watch: folder for the pictures.")
@click.option("--force", is_flag=True, help="With --watch: overwrite files that are not ours or were edited.")
@quiet_option
def check(bike: Path, strict: bool, share: bool, watch: bool, out: Path, force: bool, quiet: bool) -> None:
    """Say everything that is wrong or doubtful in BIKE, with file:line:column.

    With --watch keep an editor on one half of the screen and picture.png on the other.
    """
    request = CheckRequest(bike, strict, share, watch, out, force, quiet)
    if watch:
        from boardmaker.commands.watch import watch_bike  # noqa: PLC0415

        watch_bike(request)
    elif share:
        from boardmaker.commands.sharing import say_unsaid  # noqa: PLC0415

        say_unsaid(request)
    else:
        from boardmaker.commands.check import check_bike  # noqa: PLC0415

        check_bike(request)


@boardmaker.command(
    epilog="Example:  boardmaker trace my-bike.yaml knee-left knee.svg --fastener A --name 'Left knee cover'"
)
@click.argument("bike", metavar="BIKE", type=PATH)
@click.argument("panel", metavar="PANEL")
@click.argument("sources", metavar="SOURCE...", type=PATH, nargs=-1, required=True)
@click.option("--side", type=click.Choice(get_args(PanelSide)), help="Of a new panel, where its key does not say it.")
@click.option(
    "--view",
    type=click.Choice(get_args(PanelView)),
    help="From where a new panel in the middle is drawn.  [default: top]",
)
@click.option("--name", metavar="TEXT", help="Of a new panel, as printed.  [default: from its key]")
@click.option("--fastener", metavar="KEY", help="What sits in new holes for which the source names no fastener.")
@click.option("--known", metavar="LENGTH", help="How long the line with the id or label `known` is, such as '212 mm'.")
@click.option("--unit", type=click.Choice(get_args(DrawingUnit)), help="Of a drawing that does not say it.")
@click.option("--drop", is_flag=True, help="Take out holes that the drawing does not have.")
@click.option(
    "--moved",
    metavar="ID",
    multiple=True,
    help="The hole of this id went to a place further off than 3 mm; `none`: no hole did. May be repeated.",
)
@click.option(
    "--mat",
    metavar="FILE",
    type=PATH,
    help="Of photos: the mat.json beside the printed mat.  [default: the mat of your setup's paper]",
)
@setup_options
@click.option("--tint", type=click.Choice(get_args(Tint)), help="Of a mat without --mat.  [default: green]")
@click.option(
    "--measured",
    nargs=2,
    metavar="ACROSS ALONG",
    help="Of photos: how long the mat's two bars came out of the printer, in mm.",
)
@click.option("--height", metavar="LENGTH", help="Of photos: how high the panel's edge stands above the mat.")
@click.option("--pen", is_flag=True, help="Of one photo: outline and holes are drawn on the mat with a felt pen.")
@output_options
def trace(  # noqa: PLR0913, PLR0917
    bike: Path,
    panel: str,
    sources: tuple[Path, ...],
    side: PanelSide | None,
    view: PanelView | None,
    name: str | None,
    fastener: str | None,
    known: str | None,
    unit: DrawingUnit | None,
    drop: bool,
    moved: tuple[str, ...],
    mat: Path | None,
    setup: SetupChoice,
    tint: Tint | None,
    measured: tuple[str, str] | None,
    height: str | None,
    pen: bool,
    output: OutputChoice,
) -> None:
    """Take outline and holes of PANEL out of a drawing (SVG, DXF, CSV), or photos (JPEG, PNG), into BIKE.

    The rest of the bike file stays as it is, comments too; the panel is made if it is not there. A hole within 3 mm of
    one that is there keeps id, fastener and all else, and moves; others are added. The outline becomes a file in
    `outlines` beside BIKE. PANEL `all`: every panel that the drawing names. Nothing is written where something is
    unclear. Look at PANEL-traced.png before you go on; put right what is off on PANEL-traced.html, in any browser.

    Photos show the panel on the printed mat, outside up: two of them, from places a step apart. Round hole marks say
    hole and fastener; through holes without one are proposed on the page, and taken with --fastener only. With --pen
    one photo of the mat alone, on which the panel's outline is drawn, and a loop around each hole: boardmaker trace
    my-bike.yaml knee-left knee.jpg --pen --measured 180.2 259.1 --fastener A
    """
    from boardmaker.commands.trace import trace_panels  # noqa: PLC0415

    photos = PhotoChoice(mat, measured, height, pen, setup, tint)
    trace_panels(
        TraceRequest(bike, panel, sources, side, view, name, fastener, known, unit, drop, moved, photos, output)
    )


@boardmaker.command(epilog="Example:  boardmaker mat my-bike.yaml --setup my-setup.yaml --out mat")
@click.argument("bike", required=False, type=PATH)
@setup_options
@click.option(
    "--tint",
    type=click.Choice(get_args(Tint)),
    default="green",
    show_default=True,
    help="Colour of the sheets: one that your panels do not have.",
)
@output_options
def mat(bike: Path | None, setup: SetupChoice, tint: Tint, output: OutputChoice) -> None:
    """Make the mat on which panels are photographed, and marks for their holes: mat.pdf, mat.json.

    Sheets to trim and tape together, with codes by which a photo is measured; round papers to stick over the holes,
    with a code and the key of each fastener of BIKE, without BIKE with the letters A to F. The first page says how to
    take the photos. Keep mat.json: it says what lies where.
    """
    from boardmaker.commands.mat import make_mat  # noqa: PLC0415

    make_mat(MatRequest(bike, setup, tint, output))


@boardmaker.command(epilog="Example:  boardmaker picture my-bike.yaml knee-left seat --out look")
@click.argument("bike", type=PATH)
@click.argument("panels", nargs=-1)
@click.option("--ink", type=click.Choice(get_args(Ink)), help="black leaves colour out. [default: colour]")
@output_options
def picture(bike: Path, panels: tuple[str, ...], ink: Ink | None, output: OutputChoice) -> None:
    """Draw what BIKE says: picture.png, picture.svg.

    With the keys of panels: each as described, with its size, axes, holes and what is odd about them. Without: the
    whole bike from left, right and above. A file with mistakes is drawn as far as it goes.
    """
    from boardmaker.commands.picture import draw_pictures  # noqa: PLC0415

    draw_pictures(PictureRequest(bike, panels, ink, output))
