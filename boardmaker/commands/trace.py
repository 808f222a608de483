"""`trace`: a drawing's panels, or one panel out of photos, into the bike file, with a picture of each to look at.

In: a request. Out: the bike file changed in its text, outlines beside it, pictures; or what is unclear, and nothing
written. All is worked out, and the new bike file read as the program reads any, before the first file is touched.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path
from typing import Any

from shapely import LinearRing

from boardmaker.commands.common import existing, say
from boardmaker.commands.correction import correction_file, page_name
from boardmaker.commands.options import length_option
from boardmaker.commands.photo_behind import page_picture, photo_behind
from boardmaker.commands.photo_mat import check_measured, chosen_mat
from boardmaker.commands.requests import TraceRequest
from boardmaker.geometry import Ring, bounds, distance
from boardmaker.inputs import read_bike_in_part, try_bike, try_bike_in_part
from boardmaker.inputs.lists.csv_reader import cut_off
from boardmaker.inputs.outlines import points_of_svg
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.inputs.yaml.panel_edits import edited_panels, lacks_holes, with_empty_holes
from boardmaker.inputs.yaml.reader import Document, read_bytes, read_content
from boardmaker.model import Bike
from boardmaker.output import change_file, write_set
from boardmaker.photo.asked import AskedOfPhotos, PhotoFromAbove
from boardmaker.photo.reading import is_photo, read_photos
from boardmaker.photo.with_photo import with_photo
from boardmaker.plain_text import shown
from boardmaker.problems import Interrupted, Problem, ProblemsFound, Severity, WrongUsage, error, nearest, warning
from boardmaker.render.png import GAP, render_png
from boardmaker.tracing.curve import straight_sides
from boardmaker.tracing.found import FoundPanel, Ignored, Tracing
from boardmaker.tracing.merge import (
    NONE_MOVED,
    SAME_DRAWING,
    MergedPanel,
    Wishes,
    merge_panel,
    place_text,
    too_many_holes,
)
from boardmaker.tracing.outline_file import outline_svg
from boardmaker.tracing.panel_keys import file_name_of_key
from boardmaker.tracing.picture import doubt_words, panel_on_page, picture_page
from boardmaker.tracing.reading import LISTS, read_tracing
from boardmaker.tracing.sorting import no_panel_named
from boardmaker.units import counted

ALL = "all"
OUTLINES = "outlines"  # the folder beside the bike file
_STILL_TO_TRACE = re.compile(r'there is no panel "|`[^`]*` lacks the key `holes`\Z')  # as the reader says it
MOST_IGNORED = 40  # lines about what was left out
ANOTHER_PANEL = 20.0  # mm by which no tracing of one panel is off another
DPI = 110  # dots per inch of the pictures


@dataclass(frozen=True)
class _BikeFile:
    """The bike file as it was read, once: everything is made from these bytes."""

    path: Path
    content: bytes
    document: Document
    bike: Bike
    problems: tuple[Problem, ...]

    def data(self, key: str) -> Mapping[str, Any]:
        """A panel as it is written; empty where it is not there."""
        found = self.panels.get(key)
        if lacks_holes(found):
            return {**found, "holes": []}
        return found if isinstance(found, dict) else {}

    @property
    def panels(self) -> Mapping[str, Any]:
        """The panels as they are written."""
        found = self.document.data.get("panels")
        return found if isinstance(found, dict) else {}


@dataclass(frozen=True)
class _Result:
    """What is to be written: the bike file's new content, the new outlines by file name."""

    content: bytes
    outlines: Mapping[str, bytes]
    panels: tuple[MergedPanel, ...]


def trace_panels(request: TraceRequest) -> None:
    """Take the panels of a drawing into the bike file.

    Raises ProblemsFound, with nothing written, for what is unclear.
    """
    file = _read(request.bike, request.panel)
    _check_request(request, file.bike)
    tracing, above = _seen(request, file)
    merged = _merged(request, file, tracing)
    result = _worked_out(file, tracing, merged)
    lacking = _refuse_new_problems(file, result)
    pictures = _pictures(request, file, tracing, result.panels, above)
    lines = (*_lines(result.panels, tracing), *_wrote(file, result, request.output.out, pictures), *lacking)
    _write(request, file, result, pictures)
    for line in lines:
        say(line, request.output.quiet)


def _read(path: Path, panel: str) -> _BikeFile:
    """The bike file, which may lack what is traced now: `holes` of a panel, or a whole panel that others name."""
    path = existing(path)
    if path.is_symlink():
        raise ProblemsFound([error(f"{path} is a link", hint=f"name the file itself: {shown(os.readlink(path))}")])
    if not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK):
        raise ProblemsFound([error(f"cannot write {path}: it is read-only", hint="make it writable first")])
    content = read_bytes(path)
    part = read_bike_in_part(path)
    if part.bike.sha256 != hashlib.sha256(content).hexdigest():
        raise ProblemsFound([error(f"{path} was changed while it was read", hint="run the command again")])
    file = _BikeFile(path, content, read_content(content, str(path)), part.bike, part.problems)
    whole = with_empty_holes(content, file.document, [*file.panels] if panel == ALL else [panel])
    bike, problems = (part.bike, part.problems) if whole == content else try_bike_in_part(path, whole)
    if lasting := {one.message for one in problems if _is_error(one) and not _STILL_TO_TRACE.match(one.message)}:
        known = [one for one in part.problems if one.message in lasting or not _is_error(one)]
        raise ProblemsFound(known if any(map(_is_error, known)) else problems)
    return replace(file, bike=bike)


def _is_error(problem: Problem) -> bool:
    return problem.severity is Severity.ERROR


def _check_request(request: TraceRequest, bike: Bike) -> None:
    keys = [one.key for one in bike.fasteners]
    if request.fastener is not None and request.fastener not in keys:
        near = nearest(request.fastener, keys)
        hint = f"did you mean {near}?" if near else f"it has {', '.join(keys) or 'none; write one under `fasteners`'}"
        raise ProblemsFound([error(f"--fastener: the bike file has no fastener {shown(request.fastener)}", hint=hint)])
    if not request.panel.strip() or not request.panel.isprintable():
        raise ProblemsFound([error("PANEL is the key of a panel", hint="such as knee-left, or `all`")])
    if request.panel == ALL and request.name is not None:
        raise ProblemsFound([error("--name is for one panel, not for `all`", hint="leave it away")])
    if request.panel == ALL and set(request.moved) - {NONE_MOVED}:
        raise ProblemsFound([error("--moved ID is for one panel, not for `all`", hint="trace that panel alone")])


# What the drawing holds


def _seen(request: TraceRequest, file: _BikeFile) -> tuple[Tracing, PhotoFromAbove | None]:
    """What the sources hold; of photos also the panel as seen from above."""
    photos = [is_photo(source) for source in request.sources]
    if all(photos):
        return _from_photos(request, file.bike)
    if any(photos) or len(request.sources) > 1:
        hint = "name one drawing or list, or photos only"
        raise WrongUsage([error("several sources are photos of one panel; a drawing stands alone", hint=hint)])
    said = request.photos
    given = {"--mat": said.mat, "--measured": said.measured, "--height": said.height, "--pen": said.pen or None}
    if option := _first_given(given | _of_standard_mat(request)):
        raise WrongUsage([error(f"{option} goes with photos", hint="leave it away")])
    known = length_option("--known", request.known) if request.known else None
    return _tracing(request, file, known), None


def _of_standard_mat(request: TraceRequest) -> dict[str, object]:
    said = request.photos
    return {"--setup": said.setup.setup, "--paper": said.setup.paper, "--tint": said.tint}


def _first_given(options: Mapping[str, object]) -> str:
    return next((option for option, value in options.items() if value is not None), "")


def _from_photos(request: TraceRequest, bike: Bike) -> tuple[Tracing, PhotoFromAbove | None]:
    for option, value in (("--known", request.known), ("--unit", request.unit)):
        if value is not None:
            raise WrongUsage([error(f"{option} goes with a drawing, not with photos", hint="the mat gives the scale")])
    if request.panel == ALL:
        raise WrongUsage([error("photos show one panel, and `all` is for drawings", hint="name the panel")])
    if request.photos.mat is not None and (option := _first_given(_of_standard_mat(request))):
        raise WrongUsage(
            [error(f"{option} is of a mat without --mat: mat.json says that itself", hint="leave it away")]
        )
    if request.photos.pen and (len(request.sources) > 1 or request.photos.height is not None):
        raise WrongUsage([error("a drawing on the mat lies flat: --pen takes one photo and no --height")])
    sources = [existing(one) for one in request.sources]
    asked = _asked(request)
    mat = chosen_mat(request.photos, bike)
    check_measured(mat.known, asked.measured)
    found = read_photos(sources, mat.known, asked)
    scale = "; ".join([found.tracing.scale_said, *mat.said])
    return replace(found.tracing, scale_said=scale), found.above


def _asked(request: TraceRequest) -> AskedOfPhotos:
    said = request.photos
    measured = None
    if said.measured is not None:
        across, along = (length_option("--measured", text) for text in said.measured)
        measured = (across, along)
    return AskedOfPhotos(measured, _height(said.height), request.fastener is not None, said.pen)


def _height(text: str | None) -> float | None:
    """The edge's height; 0 is one, though no length."""
    if text is None or text.strip() in ("0", "0 mm"):
        return None if text is None else 0.0
    return length_option("--height", text)


def _picture(panel: MergedPanel, scale_said: str, photo: PhotoFromAbove | None) -> bytes:
    """The picture of a panel; over the photo in the panel's frame, where there is one."""
    png = render_png([picture_page(panel, scale_said)], dpi=DPI)
    if photo is None:
        return png
    frame = panel_on_page(panel, scale_said)
    return with_photo(png, photo, frame.at((0.0, 0.0)), frame.reduction, DPI, round(GAP / 25.4 * DPI))


def _tracing(request: TraceRequest, file: _BikeFile, known: float | None) -> Tracing:
    keys = [one.key for one in file.bike.panels]
    keys += [request.panel] if request.panel not in (*keys, ALL) else []
    fasteners = [one.key for one in file.bike.fasteners]
    wanted = None if request.panel == ALL else request.panel
    return read_tracing(existing(request.sources[0]), keys, fasteners, known, request.unit, wanted)


def _merged(request: TraceRequest, file: _BikeFile, tracing: Tracing) -> tuple[MergedPanel, ...]:
    wishes = Wishes(request.fastener, request.side, request.name, request.drop, request.moved, request.view)
    chosen = _chosen(request, tracing)
    name = tracing.source.name
    if endless := [problem for key, found in chosen for problem in too_many_holes(name, key, found)]:
        raise ProblemsFound(endless)
    merged = tuple(merge_panel(file.bike, file.data(key), key, found, wishes) for key, found in chosen)
    if problems := [problem for one in merged for problem in one.problems]:
        raise ProblemsFound([*cut_off(problems), *_columns_not_read(tracing)])
    return merged


def _chosen(request: TraceRequest, tracing: Tracing) -> tuple[tuple[str, FoundPanel], ...]:
    """The panels that are asked for, each with its key. Raises ProblemsFound."""
    return _all_named(tracing) if request.panel == ALL else ((request.panel, _the_one(tracing, request.panel)),)


def _columns_not_read(tracing: Tracing) -> tuple[Problem, ...]:
    """What of a list was not read: the column of the fasteners may be called otherwise."""
    if not _is_list(tracing):
        return ()
    lines = (f"ignored: {one.what}: {one.why}" for one in tracing.ignored[:MOST_IGNORED])
    return tuple(warning(line, hint="give the column one of these names") for line in lines)


def _is_list(tracing: Tracing) -> bool:
    return tracing.source.suffix.casefold() in LISTS


def _all_named(tracing: Tracing) -> tuple[tuple[str, FoundPanel], ...]:
    """Every panel that the drawing names. Raises ProblemsFound where it names none, or one twice."""
    named = [(one.key, one) for one in tracing.panels if one.key is not None]
    if not named and tracing.others:
        raise ProblemsFound([no_panel_named(tracing.source, tracing.others)])
    if not named:
        if _is_list(tracing):
            hint = "the column with the panels' keys must be called `panel`; or name one PANEL instead of `all`"
            problem = error(f"{tracing.source} names no panel", hint=hint)
            raise ProblemsFound([problem, *_columns_not_read(tracing)])
        hint = "give each path, group, layer or block the key of its panel as its id or name; or name one PANEL"
        raise ProblemsFound([error(f"{tracing.source} names no panel", hint=hint)])
    counts = Counter(key for key, _ in named)
    if twice := [key for key, count in counts.items() if count > 1]:
        raise ProblemsFound([_drawn_twice(tracing, key) for key in twice])
    return tuple(named)


def _the_one(tracing: Tracing, key: str) -> FoundPanel:
    """The panel that is asked for: the one of its key, or the only one if that has no key."""
    same = [one for one in tracing.panels if one.key == key]
    if len(same) == 1:
        return same[0]
    if len(same) > 1:
        raise ProblemsFound([_drawn_twice(tracing, key)])
    if len(tracing.panels) == 1 and tracing.panels[0].key is None:
        return tracing.panels[0]
    raise ProblemsFound([_not_there(tracing, key)])


def _drawn_twice(tracing: Tracing, key: str) -> Problem:
    return error(f"{tracing.source} has two panels `{key}`", hint="take one of them out, or give it its own key")


def _not_there(tracing: Tracing, key: str) -> Problem:
    named = ", ".join(f"`{one.key}`" for one in tracing.panels if one.key is not None)
    if not tracing.panels:
        return error(f"{tracing.source} shows no panel", hint="it needs a closed outline, or holes in a CSV")
    what = f"{counted(len(tracing.panels), 'panel')}{f', {named}' if named else ''}, and none says that it is `{key}`"
    return error(f"{tracing.source} has {what}", hint=f"give its path or group the id or label {key}")


# What is to be written


def _worked_out(file: _BikeFile, tracing: Tracing, merged: Sequence[MergedPanel]) -> _Result:
    outlines: dict[str, bytes] = {}
    panels = []
    for one in merged:
        name, notes = "", one.notes
        if one.new_outline:
            name = _source_as_outline(file.path.parent, tracing, one.outline) if len(merged) == 1 else ""
            if not name:
                own, left = _free_name(file, one.key)
                outlines[own] = outline_svg(one.name, one.curve or straight_sides(one.outline))
                name = f"{OUTLINES}/{own}"
                notes = (*notes, *(f"{other} is there already, and not this panel's alone: it stays" for other in left))
        panels.append(replace(one, edit=replace(one.edit, outline_file=name), notes=notes))
    base = with_empty_holes(file.content, file.document, [one.key for one in panels])
    document = read_content(base, file.document.name)
    content = edited_panels(base, document, [one.edit for one in panels])
    return _Result(content, outlines, tuple(panels))


def _free_name(file: _BikeFile, key: str) -> tuple[str, tuple[str, ...]]:
    """A name for a panel's outline in the folder of outlines, and the files that have the plainer names.

    What is there already and is not named by this panel, or by another one too, may be another bike's.
    """
    named = _outlines_named(file)
    left = []
    for number in count():
        ending = ("", f"{file.path.stem}-")[min(number, 1)] + key + (f"-{number}" if number > 1 else "")
        name = f"{file_name_of_key(ending)}.svg"
        path = f"{OUTLINES}/{name}"
        if not os.path.lexists(file.path.parent / path) or named.get(path) == [key]:
            break
        left.append(path)
    return name, tuple(left)


def _outlines_named(file: _BikeFile) -> dict[str, list[str]]:
    """The drawings that the bike file names, each with the panels that it is the outline of."""
    named: dict[str, list[str]] = {}
    for key in file.panels:
        outline = file.data(key).get("outline")
        if isinstance(outline, dict) and isinstance(outline.get("file"), str):
            named.setdefault(os.path.normpath(outline["file"]), []).append(key)
    return named


def _source_as_outline(folder: Path, tracing: Tracing, ring: Ring) -> str:
    """The drawing's name below the bike file's folder, where a bike file reads the same outline off it; else "".

    What was saved on a page is none: it is written over by the next correction.
    """
    source = tracing.source
    if any(panel.origin is not None for panel in tracing.panels):
        return ""
    if source.suffix.lower() != ".svg" or not source.resolve().is_relative_to(folder.resolve()):
        return ""
    name = source.resolve().relative_to(folder.resolve()).as_posix()
    try:
        points = points_of_svg(folder, name)
    except OutlineError:
        return ""
    return name if LinearRing(points).hausdorff_distance(LinearRing(ring)) <= SAME_DRAWING else ""


def _refuse_new_problems(file: _BikeFile, result: _Result) -> tuple[str, ...]:
    """Raise ProblemsFound for whatever the new bike file would have and the old one has not; return what else lacks."""
    drawings = {f"{OUTLINES}/{name}": drawing for name, drawing in result.outlines.items()}
    try:
        _, problems = try_bike(file.path, result.content, drawings)
    except ProblemsFound as found:
        problems = found.problems
    had = Counter((one.severity, one.message) for one in file.problems)
    fresh = []
    for one in problems:
        if had[one.severity, one.message]:
            had[one.severity, one.message] -= 1
        else:
            fresh.append(one)
    if fresh:
        message = f"with what was traced {file.path} would have problems; nothing was written:"
        raise ProblemsFound([error(message), *fresh])
    return tuple(f"still to be traced or written: {one.message}" for one in problems if _is_error(one))


def _pictures(
    request: TraceRequest,
    file: _BikeFile,
    tracing: Tracing,
    panels: Sequence[MergedPanel],
    above: PhotoFromAbove | None,
) -> dict[str, bytes]:
    """For each panel the picture to look at and the page to put it right, by file name."""
    made: dict[str, bytes] = {}
    scale = _scale_line(tracing)
    for panel in panels:
        photo = photo_behind(panel, above, request.output.out / page_name(panel.key))
        made[f"{file_name_of_key(panel.key)}-traced.png"] = _picture(panel, scale, photo)
        picture = None if photo is None else page_picture(photo)
        made |= correction_file(panel, file.bike.fasteners, request.bike, scale, picture)
    return made


def _write(request: TraceRequest, file: _BikeFile, result: _Result, pictures: Mapping[str, bytes]) -> None:
    """Pictures first: where they cannot be written, the bike file is not touched."""
    output = request.output
    write_set(output.out, "trace", pictures, output.force, adds=True)
    if result.content == file.content and not result.outlines:
        return
    try:
        change_file(file.path, file.content, result.content, OUTLINES, result.outlines, output.force)
    except KeyboardInterrupt:
        raise Interrupted(f"the pictures were written to {output.out}, and {file.path} is as it was") from None
    except ProblemsFound as found:
        message = f"the pictures in {output.out} show what would have been traced: {file.path} does not have it"
        raise ProblemsFound([*found.problems, warning(message, hint="mend that, and run the command again")]) from None


# What is said


def _scale_line(tracing: Tracing) -> str:
    return f"{tracing.source.name}: {tracing.scale_said}"


def _lines(panels: Sequence[MergedPanel], tracing: Tracing) -> Iterator[str]:
    yield _scale_line(tracing)
    yield from _ignored_lines(tracing.ignored, "")
    for one in panels:
        yield f"{one.key}: {_summary(one)}"
        yield from _outline_lines(one)
        yield from _hole_lines(one)
        yield from _letter_lines(one)
        yield from _proposed_lines(one)
        yield from (f"  {note}" for note in one.notes)
        yield from _ignored_lines(one.ignored, "  ")
        yield from (f"  `{key}` mirrors it and changes with it" for key in one.mirrored_by)


def _summary(panel: MergedPanel) -> str:
    states = Counter(hole.state for hole in panel.holes)
    counts = ", ".join(f"{count} {state}" for state, count in states.items())
    new = f"a new panel, {panel.name}, {_seen_from(panel)}; " if panel.is_new else ""
    more = f"; {len(panel.proposed)} proposed and not taken" if panel.proposed else ""
    return f"{new}{counted(len(panel.holes), 'hole')}{f': {counts}' if counts else ''}{more}"


def _seen_from(panel: MergedPanel) -> str:
    if panel.side != "centre":
        return panel.side
    seen = {"top": "above", "front": "the front", "rear": "the rear"}[panel.view]
    others = " or ".join(f"--view {one}" for one in ("front", "rear")) if panel.view == "top" else ""
    return f"centre, seen from {seen}{f' ({others} if it is not)' if others else ''}"


def _outline_lines(panel: MergedPanel) -> Iterator[str]:
    if not panel.outline:
        yield "  no outline in the drawing: it is drawn around the holes"
        return
    x0, y0, x1, y1 = bounds(panel.outline)
    size = f"{x1 - x0:.1f} x {y1 - y0:.1f} mm"
    if not panel.new_outline:
        yield f"  outline {size}, as it was"
        return
    yield f"  outline {size}, now from {panel.edit.outline_file}"
    if panel.was:
        off = LinearRing(panel.outline).hausdorff_distance(LinearRing(panel.was))
        doubt = ": is it the right panel?" if off > ANOTHER_PANEL else ""
        yield f"  OUTLINE REPLACED: the one of before was up to {off:.1f} mm elsewhere{doubt}"
    if panel.doubtful:
        x, y = (round(one, 1) for one in panel.doubtful[0].line[len(panel.doubtful[0].line) // 2])
        where = f"{counted(len(panel.doubtful), 'place')}, first at {place_text((x, y))}"
        yield f"  look at {where}, orange in the pictures: {doubt_words(panel)}"
    if panel.edit.unsmooth:
        yield "  `smooth` is now false: a traced outline is round where it is round"


def _hole_lines(panel: MergedPanel) -> Iterator[str]:
    for hole in panel.holes:
        name = f"  hole {hole.id} ({hole.fastener})"
        if hole.state == "moved" and hole.was:
            way = f"{place_text(hole.was)} to {place_text(hole.at)}"
            yield f"{name} moved by {distance(hole.at, hole.was):.2f} mm, {way}"
        elif hole.state == "new":
            yield f"{name} is new, at {place_text(hole.at)}{f': {hole.where}' if hole.where else ''}"
        elif hole.state == "not found":
            yield f"{name} at {place_text(hole.at)} was not found and stays; --drop takes it out"
        elif hole.state == "taken out":
            beside = f", and with it {hole.lost}" if hole.lost else ""
            yield f"{name} at {place_text(hole.at)} was not found and is taken out{beside}"


def _letter_lines(panel: MergedPanel) -> Iterator[str]:
    """The holes that have another fastener now; a wrong one is what this program is there to prevent."""
    for hole in panel.holes:
        if hole.fastener_was:
            yield (
                f"  ANOTHER FASTENER: hole {hole.id} at {place_text(hole.at)} was {hole.fastener_was} and is now "
                f"{hole.fastener}, as {hole.where or 'the drawing'} says"
            )


def _proposed_lines(panel: MergedPanel) -> Iterator[str]:
    for hole in panel.proposed:
        yield f"  hole {hole.id} is proposed, at {place_text(hole.at)}: {hole.where}"
    if panel.proposed:
        page = page_name(panel.key)
        yield f"  choose a fastener on {page} for those that are holes; or --fastener KEY takes all of them"


def _ignored_lines(ignored: Iterable[Ignored], indent: str) -> Iterator[str]:
    found = [*ignored]
    for one in found[:MOST_IGNORED]:
        yield f"{indent}ignored: {one.what}{f' at {place_text(one.at)}' if one.at else ''}: {one.why}"
    if len(found) > MOST_IGNORED:
        yield f"{indent}ignored: {len(found) - MOST_IGNORED} more, of such kinds or others"


def _wrote(file: _BikeFile, result: _Result, out: Path, pictures: Mapping[str, bytes]) -> Iterator[str]:
    if result.content == file.content and not result.outlines:
        yield f"{file.path} says all this already: not changed"
    else:
        beside = f", with {', '.join(f'{OUTLINES}/{name}' for name in result.outlines)}" if result.outlines else ""
        yield f"changed {file.path}{beside}"
    yield f"wrote to {out}: {', '.join(pictures)}; look whether it is as the panel is"
