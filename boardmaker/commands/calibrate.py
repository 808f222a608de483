"""`calibrate`: what the printed test page measures, turned into the printer's scale in the setup file."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from boardmaker.commands.common import existing, is_there, load_setup, say, say_warnings
from boardmaker.commands.options import length_option
from boardmaker.commands.requests import CalibrateRequest, SetupChoice
from boardmaker.geometry import Point
from boardmaker.guarded import Limits, guarded, read_at_most
from boardmaker.inputs import write_setup_value
from boardmaker.model import Setup
from boardmaker.problems import Interrupted, Problem, ProblemsFound, WrongUsage, error, warning
from boardmaker.scan import ScanMarks, ScanMeasurement, measure_scan
from boardmaker.sheets import DOT, testpage_bars, testpage_dots

FARTHEST = 0.05  # of the length: a printer that is further off did not do it alone
ROUNDING = 1e-9
TRUE = 0.002  # off by less than this counts as right: 0.2 mm on 100 mm
ALIKE, SUSPICIOUS = 0.003, 0.015  # both axes off by the same: a scaled print rather than a stretching printer
COARSEST, FINEST = 10.0, 20_000.0  # dpi; no scanner is beyond, and a slip is said before the picture is opened
AXES = ("across", "along")
MOST_MEGABYTES = 100  # of a scan's file; A4 at 300 dpi has 1 to 25
LIMITS = Limits(seconds=7.0, megabytes=900)  # A4 in colour at 1000 dpi takes 5 s and comes close to the memory
SCAN_AGAIN = "scan the page at 300 dpi in grey, and save it as PNG or JPEG"


def calibrate_printer(request: CalibrateRequest) -> None:
    """Work out the printer's scale and write it into the setup file, which is made if there is none."""
    _check_usage(request)
    path = request.setup
    owned, warnings = load_setup(SetupChoice(path if is_there(path) else None, request.paper))
    say_warnings(warnings)
    scale = _scale(request, owned)
    if scale is None:
        return
    if not request.force:
        _refuse_check_page(owned.printer.scale, scale)
    say_warnings(_doubts(scale))
    _write(path, owned.printer.scale, scale, request.quiet)


def _check_usage(request: CalibrateRequest) -> None:
    dots_per_inch = request.dots_per_inch
    if (request.measured is None) == (request.scan is None):
        raise WrongUsage(
            [error("calibrate needs either --measured ACROSS ALONG or --scan FILE", hint="see calibrate --help")]
        )
    if dots_per_inch is not None and request.scan is None:
        raise WrongUsage([error("--dpi goes with --scan", hint="leave it away, or give the scan")])
    if dots_per_inch is not None and not COARSEST <= dots_per_inch <= FINEST:
        raise WrongUsage([error(f"--dpi {dots_per_inch:g} is no resolution", hint="for example --dpi 300")])


def _scale(request: CalibrateRequest, owned: Setup) -> Point | None:
    """The scale that the lengths or the scan show; None after a word about a scan of a check page."""
    if request.measured is not None:
        return _scale_of_bars(request.measured, testpage_bars(owned), owned)
    assert request.scan is not None  # one of the two is given
    return _scale_of_scan(request.scan, request.dots_per_inch, owned, request.quiet)


def _scale_of_bars(measured: tuple[str, str], bars: Point, setup: Setup) -> Point:
    across, along = (length_option(f"--measured, {axis}", text) for axis, text in zip(AXES, measured, strict=True))
    lengths = (across, along)
    scale = (lengths[0] / bars[0], lengths[1] / bars[1])
    if max(abs(one - 1.0) for one in scale) > FARTHEST + ROUNDING:
        raise ProblemsFound(list(_implausible(lengths, bars, setup.paper.name)))
    return scale


def _scale_of_scan(scan: Path, dots_per_inch: float | None, setup: Setup, quiet: bool) -> Point | None:
    """The scale that a scan shows; None after a word about it where the scan is of a check page."""
    content = read_at_most(existing(scan), MOST_MEGABYTES, SCAN_AGAIN)
    found = guarded(scan.name, SCAN_AGAIN, LIMITS, _measured_scan, content, scan.name, dots_per_inch, setup)
    if found.is_check_page:
        _say_check(found, setup, quiet)
        return None
    for axis, bar, scale, doubt in zip(AXES, testpage_bars(setup), found.scale, found.uncertainty, strict=True):
        say(f"bar {axis}: {bar:g} mm, by this scan printed {bar * scale:.2f} ± {bar * doubt:.2f} mm long (95 %)", quiet)
    say("a scanner's own error is not in that: lay a steel rule on one bar, and trust the rule", quiet)
    return found.scale


def _measured_scan(content: bytes, name: str, dots_per_inch: float | None, setup: Setup) -> ScanMeasurement:
    """The scan measured as a fresh test page, or else as a check page, whose dots can lie elsewhere."""
    try:
        found = measure_scan(content, name, _marks(setup, calibrated=False), dots_per_inch)
    except ProblemsFound:
        if setup.printer.scale == (1.0, 1.0):
            raise
        with contextlib.suppress(ProblemsFound):
            check = measure_scan(content, name, _marks(setup, calibrated=True), dots_per_inch)
            if check.is_check_page:
                return check
        raise
    return measure_scan(content, name, _marks(setup, calibrated=True), dots_per_inch) if found.is_check_page else found


def _marks(setup: Setup, calibrated: bool) -> ScanMarks:
    dots = testpage_dots(setup, calibrated)
    return ScanMarks(dots.places, dots.check_place, DOT)


def _say_check(found: ScanMeasurement, setup: Setup, quiet: bool) -> None:
    """Say what a scan of the check page shows. Raises ProblemsFound where its bars are still off."""
    off = [scale - 1.0 for scale in found.scale]
    told = f"its bars are {_signed(off[0], 2)} and {_signed(off[1], 2)} off"
    if max(map(abs, off)) > TRUE + max(found.uncertainty):
        raise ProblemsFound(
            [
                error(
                    f"this is a scan of the check page, and {told}: the scale "
                    f"[{setup.printer.scale[0]:g}, {setup.printer.scale[1]:g}] does not suit this printer",
                    hint="print `boardmaker testpage` without --check, scan that and calibrate again",
                )
            ]
        )
    say(f"this is a scan of the check page: {told}, so the calibration holds; nothing was written", quiet)


def _signed(share: float, decimals: int = 1) -> str:
    """A share of one as `+1.5 %` or `−11.1 %`, the minus as long as the plus."""
    return f"{100 * share:+.{decimals}f} %".replace("-", "\u2212")


def _implausible(lengths: Point, bars: Point, paper: str) -> Iterator[Problem]:
    """An error for each bar that is more than 5 % off, with the likeliest reason."""
    if all(abs(length / bar - 1.0) <= FARTHEST + ROUNDING for length, bar in zip(lengths, bars[::-1], strict=True)):
        yield error(
            f"{lengths[0]:g} and {lengths[1]:g} mm look changed round: the bars are {bars[0]:g} mm across and "
            f"{bars[1]:g} mm along",
            hint="first the bar across (lying, at the lower edge), then the bar along (upright)",
        )
        return
    for axis, length, bar in zip(AXES, lengths, bars, strict=True):
        if abs(length / bar - 1.0) > FARTHEST + ROUNDING:
            yield error(
                f"the bar {axis} is {bar:g} mm long on {paper}; {length:g} mm is {_signed(length / bar - 1.0)} off: "
                "your print dialog scaled the page",
                hint="print the test page again at 100 % (“actual size”); if the words at its bars name other lengths, "
                f"it was made for other paper than {paper} (--paper) or other margins (--setup)",
            )


def _doubts(scale: Point) -> Iterator[Problem]:
    """Warnings about a result that can be right and often is not."""
    across, along = scale
    if abs(across - along) < ALIKE and abs(across - 1.0) > SUSPICIOUS:
        yield warning(
            f"both bars are off by about the same, {_signed(across - 1.0)}: "
            "more likely a scaled print than the printer",
            hint="look once more for “fit” or “shrink” in the print dialog; print at 100 % and calibrate again",
        )


def _refuse_check_page(before: Point, scale: Point) -> None:
    """Raise ProblemsFound where the lengths are those of a page that was corrected already."""
    if before != (1.0, 1.0) and max(abs(one - 1.0) for one in scale) < ALIKE:
        raise ProblemsFound(
            [
                error(
                    f"the setup file has the scale [{before[0]:g}, {before[1]:g}], and these lengths are right without",
                    hint="if you measured the page of `testpage --check`, all is well as it is; if this is another "
                    "printer, take the line `scale` out of the file, or say --force",
                )
            ]
        )


def _write(path: Path, before: Point, scale: Point, quiet: bool) -> None:
    rounded = (round(scale[0], 5), round(scale[1], 5))
    new = not is_there(path)
    write_setup_value(path, ("printer", "scale"), rounded)
    was = "a new file" if new else f"it was [{before[0]:g}, {before[1]:g}]"
    try:
        say(f"printed length / true length: {rounded[0]:g} across, {rounded[1]:g} along the page", quiet)
        say(f"wrote printer: scale: [{rounded[0]:g}, {rounded[1]:g}] into {path} ({was})", quiet)
        page = f"“boardmaker testpage --setup {path} --check”"
        say(f"now print {page} at 100 %: its bars must measure what they say", quiet)
    except KeyboardInterrupt:
        raise Interrupted(f"the scale was written into {path}") from None
