"""What the mechanic types: arguments, printing and exit codes, nothing else.

Heavy stages are imported when a command runs, so that `--help` answers at once.
"""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from boardmaker import __version__
from boardmaker.problems import Interrupted, ProblemsFound, WrongUsage, format_problem

FAULT_LOG = "boardmaker-fault.log"

Command = Callable[..., Any]


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="boardmaker")
def boardmaker() -> None:
    """Boards for the panel screws of a motorcycle: a pocket for every screw, printed true to scale.

    A bike file says which panels come off and what holds them; a board shows every panel's outline with a place for
    each of its fasteners. The maker's manual comes first: a board is only as good as the file behind it.
    """


def main() -> None:
    """Run the program and leave with its exit code: 0 done, 1 cannot, 2 wrong usage, 130 interrupted."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command line and return its exit code; problems and faults are printed, never raised."""
    try:
        boardmaker.main(arguments, prog_name="boardmaker", standalone_mode=False)
    except ProblemsFound as found:
        _say_problems(found)
        return 2 if isinstance(found, WrongUsage) else 1
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.ClickException as wrong:
        wrong.show()
        return wrong.exit_code
    except Interrupted as interrupted:
        click.echo(f"interrupted: {interrupted}", err=True)
        return 130
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted: nothing was written", err=True)
        return 130
    except Exception:  # the last line of defence: a bug must not meet the mechanic as a traceback
        _log_fault()
        return 1
    return 0


def _say_problems(found: ProblemsFound) -> None:
    for problem in found.problems:
        click.echo(format_problem(problem), err=True)


def _log_fault() -> None:
    log = Path(tempfile.gettempdir()) / FAULT_LOG
    try:
        log.write_text(traceback.format_exc(), encoding="utf-8")
        where = f"details are in {log}"
    except OSError:
        where = f"the details could not be written to {log}"
    click.echo(f"error: an internal fault of boardmaker; nothing was written; {where}", err=True)


def _options(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """Several click options as one decorator, in the order in which the help lists them."""

    def decorate(command: Command) -> Command:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


_bike_argument = click.argument("bike", required=False, type=click.Path(path_type=Path))
_work_options = _options(
    click.option(
        "--job", "jobs", metavar="KEY", multiple=True, help="Only this job; may be given again. [default: all]"
    ),
    click.option("--with", "with_", metavar="KEY", multiple=True, help="Equipment that this bike has."),
    click.option("--without", metavar="KEY", multiple=True, help="Equipment that this bike does not have."),
)
_setup_options = _options(
    click.option("--setup", type=click.Path(path_type=Path), help="Your setup file: board stock, case, printer."),
    click.option("--paper", metavar="SIZE", help="A3, A4, A5, letter, legal, tabloid, '13 x 19 in', 'roll of 610 mm'."),
)
_output_options = _options(
    click.option(
        "--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder for the files."
    ),
    click.option("--force", is_flag=True, help="Overwrite files that are not ours or were edited."),
    click.option("--quiet", is_flag=True, help="Say only what is wrong."),
)
_boards_option = _options(
    click.option("--boards", type=click.IntRange(1, 20), default=4, show_default=True, help="At most so many boards."),
)
_packing_options = _options(
    click.option("--board", "board_size", metavar="SIZE", help="Board stock as bought, such as '20 x 30 in'."),
    click.option("--case", metavar="SIZE", help="Inside of the case, such as '470 x 370 mm', or a case's name."),
    click.option("--scale", default="auto", show_default=True, metavar="SCALE", help="auto, standard, 1:4 or 0.25."),
    click.option(
        "--effort", type=click.Choice(["quick", "normal", "thorough"]), default="normal", show_default=True,
        help="How long to search for the largest drawing.",
    ),
    click.option("--seed", type=click.IntRange(min=0), default=0, show_default=True, help="Another try."),
    click.option("--pages", metavar="LIST", help="Only these pages in sheets.pdf, such as 3,5-6."),
    click.option(
        "--print", "print_as", type=click.Choice(["tiles", "cutouts", "whole"]), default="tiles", show_default=True,
        help="Tiles of the boards, each figure to cut out, or one true-size page a board.",
    ),
)  # fmt: skip
_arrange_option = _options(
    click.option(
        "--arrange", type=click.FloatRange(0.0, 2.0), is_flag=False, flag_value=2.0, default=0.0, metavar="[PERCENT]",
        help="Give up so much of the scale, at most 2 %, for boards that read more like the bike. "
        "[default: 0; 2 if no number follows]",
    ),
)  # fmt: skip


@boardmaker.command(epilog="Example:  boardmaker board my-bike.yaml --job oil --case '470 x 370 mm' --out oil-board")
@_bike_argument
@_work_options
@_setup_options
@_packing_options
@_boards_option
@_arrange_option
@_output_options
def board(**arguments: Any) -> None:
    """Make the boards for BIKE: sheets to print, drawings to cut from, the board file.

    Without BIKE the bundled demo tourer is used. Without --job every panel comes off.
    """
    from boardmaker.commands.board import make_board  # noqa: PLC0415

    make_board(**arguments)


@boardmaker.command(epilog="Example:  boardmaker repack oil-board/board.json --case '400 x 300 mm' --out small-board")
@click.argument("board_file", metavar="BOARD.json", type=click.Path(path_type=Path))
@click.option("--bike", type=click.Path(path_type=Path), help="The bike file, if it lies elsewhere.")
@_setup_options
@_packing_options
@click.option(
    "--boards",
    type=click.IntRange(1, 20),
    metavar="N",
    help="At most so many boards, to keep the scale.  [default: as many as before]",
)
@_output_options
def repack(**arguments: Any) -> None:
    """Pack boards again for another case, board stock, paper or number of boards.

    The scale stays if it fits, and every panel stays near its old place and turn; what moved is said. The board file is
    enough: it holds the bike. Without --setup your setup is taken from it too.
    """
    from boardmaker.commands.repack import repack as repack_boards  # noqa: PLC0415

    repack_boards(**arguments)


@boardmaker.command(epilog="Example:  boardmaker torque my-bike.yaml --job oil --width '62 mm'")
@_bike_argument
@_work_options
@_setup_options
@click.option("--width", metavar="LENGTH", help="Width of a card, such as '62 mm'.  [default: as reads well]")
@click.option(
    "--units",
    metavar="UNIT",
    help="Second unit beside N·m: lbf.ft, lbf.in, kgf.m, kgf.cm or none.  [default: lbf·in or lbf·ft, as is handier]",
)
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
@_output_options
def torque(**arguments: Any) -> None:
    """Make the torque strip alone: torque.pdf.

    One card a job with the torque of every row, tool, order and what to renew. The maker's manual comes first.
    """
    from boardmaker.commands.pages import make_torque_strip  # noqa: PLC0415

    make_torque_strip(**arguments)


@boardmaker.command(epilog="Example:  boardmaker plan my-bike.yaml --job valves --paper A5 --out valves")
@_bike_argument
@_work_options
@_setup_options
@_output_options
def plan(**arguments: Any) -> None:
    """Make removal and refit sheets in working order, with hang tags: plan.pdf, plan.md, plan.csv.

    Every step with its fasteners, tools and pockets to tick off, the torques in between, then everything in reverse.
    Without --job every panel comes off. The maker's manual comes first.
    """
    from boardmaker.commands.plan import make_plan_files  # noqa: PLC0415

    make_plan_files(**arguments)


@boardmaker.command(epilog="Example:  boardmaker testpage --paper letter")
@_setup_options
@click.option("--check", is_flag=True, help="Draw it with the setup's printer scale, to see that it now measures true.")
@_output_options
def testpage(**arguments: Any) -> None:
    """Make the scale test page for this paper and printer: testpage.pdf.

    Print it before the first board and measure its two bars.
    """
    from boardmaker.commands.pages import make_testpage  # noqa: PLC0415

    make_testpage(**arguments)


@boardmaker.command(epilog="Example:  boardmaker tally my-bike.yaml --job oil")
@_bike_argument
@_work_options
@click.option(
    "--bag", metavar="FILE.csv", type=click.Path(path_type=Path), help="Hold this bag's list against the tally."
)
@click.option(
    "--audit", metavar="FILE.csv", type=click.Path(path_type=Path), help="What you found in which hole: what to do."
)
@click.option("--template", is_flag=True, help="Write bag.csv and audit.csv to fill in, and nothing else.")
@_output_options
def tally(**arguments: Any) -> None:
    """Count the fasteners of BIKE, per panel and in all, with what to renew and what to carry as spares: tally.csv.

    With --bag or --audit also what to buy (shopping.csv), with --audit a note for the owner (owner-note.md). The
    maker's manual comes first: a tally is only as good as the bike file.
    """
    from boardmaker.commands.tally import make_tally  # noqa: PLC0415

    make_tally(**arguments)


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
@click.option(
    "--scan", type=click.Path(path_type=Path), help="A flatbed scan of the printed page (PNG or JPEG) instead."
)
@click.option(
    "--dpi",
    "dots_per_inch",
    type=float,
    metavar="N",
    help="The scan's resolution, if the file does not say.",
)
@click.option("--force", is_flag=True, help="Write a scale of nearly 1 over another one.")
@click.option("--quiet", is_flag=True, help="Say only what is wrong.")
def calibrate(**arguments: Any) -> None:
    """Tell the setup file by how much your printer stretches: every sheet is then drawn with the inverse.

    Print the page of `boardmaker testpage` at 100 % and measure its two long bars, or scan it.
    """
    from boardmaker.commands.calibrate import calibrate_printer  # noqa: PLC0415

    calibrate_printer(**arguments)


@boardmaker.command(epilog="Example:  boardmaker verify out/sheets.pdf")
@click.argument("file", metavar="FILE.pdf", type=click.Path(path_type=Path))
@click.option("--quiet", is_flag=True, help="Say only what is wrong.")
def verify(**arguments: Any) -> None:
    """Open a finished PDF as a stranger would and say whether it prints true to scale.

    Measures both test bars of every page and looks for whatever makes printers change the size. Exit code 1 where the
    file does not print true.
    """
    from boardmaker.commands.verify import verify_file  # noqa: PLC0415

    verify_file(**arguments)


@boardmaker.command(
    epilog="Example:  boardmaker screw my-bike.yaml --thread M6 --length 21 --shoulder 11 --hole knee-left/1"
)
@_bike_argument
@click.option("--thread", metavar="THREAD", help="M6, M6x0.75, 1/4-20; 5.9 = its outside, pitch unknown; none.")
@click.option("--length", metavar="LENGTH", help="From under the head to the tip, the shoulder included.")
@click.option("--shoulder", metavar="LENGTH", help="Length of the plain part under the head; none if it has none.")
@click.option("--shoulder-diameter", metavar="LENGTH", help="Diameter of that plain part.")
@click.option("--head", metavar="LENGTH", help="Diameter of the head, over everything.")
@click.option("--head-height", metavar="LENGTH", help="Height of the head.")
@click.option("--drive", metavar="DRIVE", help="T30, PH2, PZ2, 'hex 4', 'hexagon 10', slot, 'JIS 2'.")
@click.option(
    "--tolerance", metavar="calliper|ruler|LENGTH", default="calliper", show_default=True,
    help="How far off each measurement may be: a calliper 0.2 mm, a ruler 1 mm, or a length.",
)  # fmt: skip
@click.option(
    "--hole", metavar="PANEL/HOLE", help="Would it do in this hole? As in the file, or as on the board: 'KL 1'."
)
@_work_options
@click.option("--quiet", is_flag=True, help="Say only what is wrong.")
def screw(**arguments: Any) -> None:
    """Say which fastener this one is, where it belongs and where it must not go.

    Measure what you can; a bare number is in mm. Every size is allowed its tolerance, and what the standard lets pass;
    a head 0.2 mm more for paint and wear. What the bike file does not give is unknown: it speaks neither for nor
    against. With --hole: fits, doubtful, must not or cannot say, and why. The maker's manual comes first.
    """
    from boardmaker.commands.screw import find_screw  # noqa: PLC0415

    find_screw(**arguments)


@boardmaker.command(epilog="Example:  boardmaker check my-bike.yaml --strict")
@click.argument("bike", type=click.Path(path_type=Path))
@click.option("--strict", is_flag=True, help="Take warnings for errors.")
@click.option("--quiet", is_flag=True, help="Say only what is wrong.")
def check(**arguments: Any) -> None:
    """Say everything that is wrong or doubtful in BIKE, with file:line:column."""
    from boardmaker.commands.check import check_bike  # noqa: PLC0415

    check_bike(**arguments)
