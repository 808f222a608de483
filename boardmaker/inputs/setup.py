"""A setup file becomes a `Setup`; what the command line says wins over it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from shapely import Polygon

from boardmaker.geometry import Point, ring_of
from boardmaker.inputs.complaints import check_shape, in_file_order, split_hint
from boardmaker.inputs.findings import Findings
from boardmaker.inputs.outlines import outline_from_points
from boardmaker.inputs.schema import BoardShape, CaseShape, MarginsShape, PrinterShape, SetupFileShape
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.inputs.yaml.reader import Document, KeyPath, read_yaml
from boardmaker.model import BoardSetup, CaseSetup, KeepOut, Margins, Paper, PrinterSetup, Setup
from boardmaker.model.setup import LARGEST_BOARD, SMALLEST_BOARD
from boardmaker.problems import Problem, ProblemsFound, Severity, WrongUsage, error
from boardmaker.standards import paper as standard_paper
from boardmaker.units import is_in_inches, parse_length, parse_size

LONGEST_SHEET = 10_000.0  # mm of a roll
UNIT_HINT = "write 20 x 30 in for inches; without a unit it is mm"
MOST_OBSTACLES = 50  # of a case; one has four to eight, and finding the boards between fifty takes seconds
LEAST_HOLLOW = 1.0  # mm²


def read_setup(path: Path | None) -> tuple[Setup, tuple[Problem, ...]]:
    """Return the setup and the warnings about its file; without a file the defaults.

    Raises ProblemsFound with every problem of the file where there is an error among them.
    """
    if path is None:
        return Setup(), ()
    document = read_yaml(path)
    shape, complaints = check_shape(document, SetupFileShape, {})
    findings = Findings(document, list(complaints))
    setup = Setup(
        board=_board(shape.board, findings),
        case=_case(("case",), shape.case, findings) if shape.case else None,
        paper=_paper(shape.paper, findings),
        printer=_printer(shape.printer),
        cases=tuple(
            (name, case)
            for name, one in shape.cases.items()
            if (case := _case(("cases", name), one, findings)) is not None
        ),
        inches=_in_inches(document),
    )
    problems = in_file_order(findings.problems)
    if any(problem.severity is Severity.ERROR for problem in problems):
        raise ProblemsFound(problems)
    return setup, tuple(problems)


def override_setup(
    setup: Setup,
    *,
    board: str | None,
    case: str | None,
    paper: str | None,
    ink: str | None = None,
    large: bool | None = None,
) -> Setup:
    """Return the setup with the command line's board, case, paper, ink and type. Raises WrongUsage for what is no size.

    A case from the command line is one of the setup's named cases, or a size: sharp corners, upright walls, no height
    limit and no clearance.
    """
    problems: list[Problem] = []
    setup = _with_look(setup, ink, large)

    def size(option: str, text: str) -> Point | None:
        try:
            return _sheet_size(parse_size(text))
        except ValueError as wrong:
            problems.append(_option_problem(option, wrong))
        return None

    if board and (found := size("--board", board)):
        setup = replace(setup, board=replace(setup.board, size=_long_side_first(found)), inches=is_in_inches(board))
        problems += _too_small(board, setup.board)
    named = dict(setup.cases)
    if case and case in named:
        setup = replace(setup, case=named[case])
    elif case and named and not any(letter.isdigit() for letter in case):
        problems.append(error(f'--case: the setup file has no case "{case}"', hint=f"it has: {', '.join(named)}"))
    elif case and (found := size("--case", case)):
        setup = replace(setup, case=CaseSetup(found, inches=is_in_inches(case)))
    if paper:
        try:
            setup = replace(setup, paper=paper_of(paper))
        except ValueError as wrong:
            problems.append(_option_problem("--paper", wrong))
    if problems:
        raise WrongUsage(problems)
    return setup


def _with_look(setup: Setup, ink: str | None, large: bool | None) -> Setup:
    """The setup with another ink and type, where they are given."""
    board = setup.board
    return replace(setup, board=replace(board, ink=ink or board.ink, large=board.large if large is None else large))


def _too_small(option: str, board: BoardSetup) -> Iterator[Problem]:
    """What of the setup's own lengths leaves nothing of a board of the size that was typed."""
    if 2 * board.margin >= min(board.size):
        yield error(f"--board {option}: the margin of {board.margin:g} mm leaves nothing")
    if board.clearance >= min(board.size):
        yield error(f"--board {option}: the clearance of {board.clearance:g} mm is as much")


def _option_problem(option: str, wrong: ValueError) -> Problem:
    message, hint = split_hint(str(wrong))
    return error(f"{option}: {message}", hint=hint)


def paper_of(text: str) -> Paper:
    """Return the paper of a name, of `13 x 19 in` or of `roll of 610 mm`. ValueError says which there are."""
    if roll := re.fullmatch(r"\s*roll\s+(?:of\s+)?(.+)", text, re.IGNORECASE):
        return Paper(text.strip(), _paper_side(parse_length(roll[1])), LONGEST_SHEET, roll=True)
    if re.match(r"\s*[\d.]", text):
        width, height = sorted(_paper_side(side) for side in parse_size(text))
        return Paper(text.strip(), width, height)
    found = standard_paper(text)
    return Paper(found.name, found.width, found.height)


def _paper_side(side: float) -> float:
    if not 50.0 <= side <= LONGEST_SHEET:
        raise ValueError(
            f"a side of {side:g} mm is no paper: write a size with its unit, from 50 mm to {LONGEST_SHEET / 1000:g} m"
        )
    return side


def _sheet_size(size: Point) -> Point:
    if not SMALLEST_BOARD <= min(size) <= max(size) <= LARGEST_BOARD:
        shown = f"{size[0]:g} x {size[1]:g} mm"
        raise ValueError(f"{shown} is not between {SMALLEST_BOARD:g} mm and {LARGEST_BOARD / 1000:g} m: {UNIT_HINT}")
    return size


def _long_side_first(size: Point) -> Point:
    return max(size), min(size)


def _in_inches(document: Document) -> bool:
    board = document.data.get("board")
    return isinstance(board, dict) and is_in_inches(board.get("size"))


def _board(shape: BoardShape, findings: Findings) -> BoardSetup:
    _check_size(("board", "size"), shape.size, findings)
    if 2 * shape.margin >= min(shape.size) >= SMALLEST_BOARD:
        findings.error(("board", "margin"), f"a margin of {shape.margin:g} mm leaves nothing of the board")
    if shape.clearance >= min(shape.size) >= SMALLEST_BOARD:
        message = f"a clearance of {shape.clearance:g} mm is as much as the board: no two figures find room on one"
        findings.error(("board", "clearance"), message, "it is the gap between two figures; 6 mm is usual")
    return BoardSetup(
        _long_side_first(shape.size),
        shape.thickness,
        shape.material,
        shape.margin,
        shape.clearance,
        shape.finger_room,
        shape.ink,
        shape.large,
    )


def _check_size(path: KeyPath, size: Point, findings: Findings) -> None:
    try:
        _sheet_size(size)
    except ValueError as wrong:
        _complain(path, wrong, findings)


def _complain(path: KeyPath, wrong: ValueError, findings: Findings) -> None:
    message, hint = split_hint(str(wrong))
    findings.error(path, f"`{path[-1]}`: {message}", hint)


def _case(path: KeyPath, shape: CaseShape, findings: Findings) -> CaseSetup | None:
    if (shape.inside is None) == (shape.outline is None):
        findings.error(path, "a case needs either `inside` or `outline`", "write inside: 560 x 400 mm", key=True)
        return None
    ring: tuple[Point, ...] = ()
    if shape.outline is not None:
        try:
            ring = _at_origin(outline_from_points(shape.outline, smooth=False))
        except OutlineError as wrong:
            findings.error((*path, "outline"), f"outline of the case: {wrong}", wrong.hint)
            return None
    inside = shape.inside or (max(x for x, _ in ring), max(y for _, y in ring))
    _check_case(path, shape, inside, findings)
    if message := too_many_obstacles(ring, len(shape.keep_out)):
        findings.error(path, message, "leave out what no board comes near", key=True)
        return None
    return CaseSetup(
        inside,
        ring,
        shape.corner_radius,
        shape.height,
        shape.floor,
        shape.clearance,
        tuple(KeepOut(one.at, one.size) for one in shape.keep_out),
        any(is_in_inches(findings.value((*path, key))) for key in ("inside", "outline")),
    )


def too_many_obstacles(outline: Sequence[Point], keep_outs: int) -> str:
    """Return the complaint about a case with more locks, hinges and hollows of its outline than it may have, or ""."""
    whole = Polygon(outline) if outline else Polygon()
    hollows = whole.convex_hull.difference(whole)
    count = keep_outs + sum(1 for one in getattr(hollows, "geoms", [hollows]) if one.area > LEAST_HOLLOW)
    if count <= MOST_OBSTACLES:
        return ""
    return f"the case has {count} keep-outs and hollows of its outline, more than {MOST_OBSTACLES}"


def _at_origin(ring: tuple[Point, ...]) -> tuple[Point, ...]:
    """The ring with the lower left of its bounding box at the origin."""
    x0, y0, _, _ = Polygon(ring).bounds
    return ring_of(Polygon([(x - x0, y - y0) for x, y in ring]))


def _check_case(path: KeyPath, shape: CaseShape, inside: Point, findings: Findings) -> None:
    _check_size((*path, "inside" if shape.inside else "outline"), inside, findings)
    if shape.corner_radius > min(inside) / 2 + 1e-9:
        findings.error(
            (*path, "corner_radius"), f"a corner radius of {shape.corner_radius:g} mm is more than half a side"
        )
    if shape.outline is not None and shape.corner_radius:
        findings.error((*path, "corner_radius"), "a corner radius goes with `inside`, not with `outline`")
    if shape.floor is not None and shape.height is None:
        message = "a `floor` needs the `height` between it and the rim, else nobody knows how the walls lean"
        findings.error((*path, "floor"), message, "write height: 120 mm")
    if shape.floor is not None and (shape.floor[0] > inside[0] or shape.floor[1] > inside[1]):
        message = f"the floor is larger than the inside at the rim, {inside[0]:g} x {inside[1]:g} mm"
        findings.error((*path, "floor"), message, "`inside` is measured at the rim, `floor` where the walls lean in")
    if shape.height is not None and shape.clearance >= shape.height:
        findings.error((*path, "clearance"), f"a clearance of {shape.clearance:g} mm leaves nothing of the height")
    for index, keep_out in enumerate(shape.keep_out):
        (x, y), (width, height) = keep_out.at, keep_out.size
        if x + width <= 0 or y + height <= 0 or x >= inside[0] or y >= inside[1]:
            findings.warning((*path, "keep_out", index), "this keep-out lies outside of the case and changes nothing")


def _paper(text: str | None, findings: Findings) -> Paper:
    if text is None:
        return Setup.paper
    try:
        return paper_of(text)
    except ValueError as wrong:
        _complain(("paper",), wrong, findings)
        return Setup.paper


def _printer(shape: PrinterShape) -> PrinterSetup:
    if isinstance(shape.margins, MarginsShape):
        own = shape.margins
        return PrinterSetup(Margins(own.left, own.right, own.top, own.bottom), shape.scale)
    return PrinterSetup(Margins(*[shape.margins] * 4), shape.scale)
