"""`trace`: a drawing's panels, or one panel out of photos, into the bike file, with a picture of each to look at.

In: a request. Out: the bike file changed in its text, outlines beside it, pictures; or what is unclear, and nothing
written. All is worked out, and the new bike file read as the program reads any, before the first file is touched.
"""

from __future__ import annotations

import hashlib
import os
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import Any

from shapely import LinearRing

from boardmaker.commands.common import existing, say
from boardmaker.commands.options import length_option
from boardmaker.commands.requests import TraceRequest
from boardmaker.geometry import Ring, bounds, distance
from boardmaker.inputs import read_bike, try_bike
from boardmaker.inputs.outlines import points_of_svg
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.inputs.yaml.panel_edits import edited_panels
from boardmaker.inputs.yaml.reader import Document, read_bytes, read_content
from boardmaker.model import Bike
from boardmaker.output import change_file, write_set
from boardmaker.photo.asked import AskedOfPhotos, SeenFromAbove
from boardmaker.photo.reading import is_photo, read_photos
from boardmaker.photo.with_photo import with_photo
from boardmaker.plain_text import shown
from boardmaker.problems import Interrupted, Problem, ProblemsFound, WrongUsage, error, nearest
from boardmaker.render.png import GAP, render_png
from boardmaker.tracing.found import FoundPanel, Ignored, Tracing
from boardmaker.tracing.merge import SAME_DRAWING, MergedPanel, Wishes, merge_panel, place_text
from boardmaker.tracing.outline_file import outline_svg
from boardmaker.tracing.panel_keys import file_name_of_key
from boardmaker.tracing.picture import panel_on_page, picture_page
from boardmaker.tracing.reading import read_tracing
from boardmaker.units import counted

ALL = "all"
OUTLINES = "outlines"  # the folder beside the bike file
DPI = 110  # dots per inch of the pictures


@dataclass(frozen=True)
class _BikeFile:
    """The bike file as it was read, once: everything is made from these bytes."""

    path: Path
    content: bytes
    document: Document
    bike: Bike
    warnings: tuple[Problem, ...]

    def data(self, key: str) -> Mapping[str, Any]:
        """A panel as it is written; empty where it is not there."""
        found = (self.document.data.get("panels") or {}).get(key)
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
    file = _read(request.bike)
    _check_request(request, file.bike)
    tracing, above = _seen(request, file)
    merged = _merged(request, file, tracing)
    result = _worked_out(file, tracing.source, merged)
    _refuse_new_problems(file, result)
    pictures = {
        f"{file_name_of_key(one.key)}-traced.png": _picture(one, _scale_line(tracing), above) for one in result.panels
    }
    lines = (*_lines(result.panels, tracing), *_wrote(file, result, request.output.out, pictures))
    _write(request, file, result, pictures)
    for line in lines:
        say(line, request.output.quiet)


def _read(path: Path) -> _BikeFile:
    path = existing(path)
    if path.is_symlink():
        raise ProblemsFound([error(f"{path} is a link", hint=f"name the file itself: {shown(os.readlink(path))}")])
    if not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK):
        raise ProblemsFound([error(f"cannot write {path}: it is read-only", hint="make it writable first")])
    content = read_bytes(path)
    bike, warnings = read_bike(path)
    if bike.sha256 != hashlib.sha256(content).hexdigest():
        raise ProblemsFound([error(f"{path} was changed while it was read", hint="run the command again")])
    return _BikeFile(path, content, read_content(content, str(path)), bike, warnings)


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


# What the drawing holds


def _seen(request: TraceRequest, file: _BikeFile) -> tuple[Tracing, SeenFromAbove | None]:
    """What the sources hold; of photos also the panel as seen from above."""
    photos = [is_photo(source) for source in request.sources]
    if all(photos):
        return _from_photos(request)
    if any(photos) or len(request.sources) > 1:
        hint = "name one drawing or list, or photos only"
        raise WrongUsage([error("several sources are photos of one panel; a drawing stands alone", hint=hint)])
    for option, value in zip(("--mat", "--measured", "--height"), astuple(request.photos), strict=True):
        if value is not None:
            raise WrongUsage([error(f"{option} goes with photos", hint="leave it away")])
    known = length_option("--known", request.known) if request.known else None
    return _tracing(request, file, known), None


def _from_photos(request: TraceRequest) -> tuple[Tracing, SeenFromAbove | None]:
    for option, value in (("--known", request.known), ("--unit", request.unit)):
        if value is not None:
            raise WrongUsage([error(f"{option} goes with a drawing, not with photos", hint="the mat gives the scale")])
    if request.panel == ALL:
        raise WrongUsage([error("photos show one panel, and `all` is for drawings", hint="name the panel")])
    if request.photos.mat is None:
        hint = "--mat FILE: the mat.json that was written beside the mat.pdf that you printed"
        raise WrongUsage([error("photos are read by the mat that the panel lies on", hint=hint)])
    found = read_photos([existing(one) for one in request.sources], existing(request.photos.mat), _asked(request))
    return found.tracing, found.above


def _asked(request: TraceRequest) -> AskedOfPhotos:
    said = request.photos
    measured = None
    if said.measured is not None:
        across, along = (length_option("--measured", text) for text in said.measured)
        measured = (across, along)
    return AskedOfPhotos(measured, _height(said.height), request.fastener is not None)


def _height(text: str | None) -> float | None:
    """The edge's height; 0 is one, though no length."""
    if text is None or text.strip() in ("0", "0 mm"):
        return None if text is None else 0.0
    return length_option("--height", text)


def _picture(panel: MergedPanel, scale_said: str, above: SeenFromAbove | None) -> bytes:
    """The picture of a panel; over the photo, where there is one and its outline was taken."""
    png = render_png([picture_page(panel, scale_said)], dpi=DPI)
    if above is None or not panel.outline:
        return png
    frame = panel_on_page(panel, scale_said)
    lower_left = bounds(panel.outline)[:2]
    origin = frame.at(lower_left)
    return with_photo(png, above, origin, frame.reduction, DPI, round(GAP / 25.4 * DPI))


def _tracing(request: TraceRequest, file: _BikeFile, known: float | None) -> Tracing:
    keys = [one.key for one in file.bike.panels]
    keys += [request.panel] if request.panel not in (*keys, ALL) else []
    fasteners = [one.key for one in file.bike.fasteners]
    return read_tracing(existing(request.sources[0]), keys, fasteners, known, request.unit)


def _merged(request: TraceRequest, file: _BikeFile, tracing: Tracing) -> tuple[MergedPanel, ...]:
    wishes = Wishes(request.fastener, request.side, request.name, request.drop)
    chosen = _all_named(tracing) if request.panel == ALL else ((request.panel, _the_one(tracing, request.panel)),)
    merged = tuple(merge_panel(file.bike, file.data(key), key, found, wishes) for key, found in chosen)
    if problems := [problem for one in merged for problem in one.problems]:
        raise ProblemsFound(problems)
    return merged


def _all_named(tracing: Tracing) -> tuple[tuple[str, FoundPanel], ...]:
    """Every panel that the drawing names. Raises ProblemsFound where it names none, or one twice."""
    named = [(one.key, one) for one in tracing.panels if one.key is not None]
    if not named:
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


def _worked_out(file: _BikeFile, source: Path, merged: Sequence[MergedPanel]) -> _Result:
    outlines: dict[str, bytes] = {}
    panels = []
    for one in merged:
        name = ""
        if one.new_outline:
            name = _source_as_outline(file.path.parent, source, one.outline) if len(merged) == 1 else ""
            if not name:
                own = f"{file_name_of_key(one.key)}.svg"
                outlines[own] = outline_svg(one.name, one.outline)
                name = f"{OUTLINES}/{own}"
        panels.append(replace(one, edit=replace(one.edit, outline_file=name)))
    content = edited_panels(file.content, file.document, [one.edit for one in panels])
    return _Result(content, outlines, tuple(panels))


def _source_as_outline(folder: Path, source: Path, ring: Ring) -> str:
    """The drawing's name below the bike file's folder, where a bike file reads the same outline off it; else ""."""
    if source.suffix.lower() != ".svg" or not source.resolve().is_relative_to(folder.resolve()):
        return ""
    name = source.resolve().relative_to(folder.resolve()).as_posix()
    try:
        points = points_of_svg(folder, name)
    except OutlineError:
        return ""
    return name if LinearRing(points).hausdorff_distance(LinearRing(ring)) <= SAME_DRAWING else ""


def _refuse_new_problems(file: _BikeFile, result: _Result) -> None:
    """Raise ProblemsFound for whatever the new bike file would have and the old one has not."""
    drawings = {f"{OUTLINES}/{name}": drawing for name, drawing in result.outlines.items()}
    try:
        _, problems = try_bike(file.path, result.content, drawings)
    except ProblemsFound as found:
        problems = found.problems
    had = Counter((one.severity, one.message) for one in file.warnings)
    fresh = []
    for one in problems:
        if had[one.severity, one.message]:
            had[one.severity, one.message] -= 1
        else:
            fresh.append(one)
    if fresh:
        message = f"with what was traced {file.path} would have problems; nothing was written:"
        raise ProblemsFound([error(message), *fresh])


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
        yield from (f"  {note}" for note in one.notes)
        yield from _ignored_lines(one.ignored, "  ")
        yield from (f"  `{key}` mirrors it and changes with it" for key in one.mirrored_by)


def _summary(panel: MergedPanel) -> str:
    states = Counter(hole.state for hole in panel.holes)
    counts = ", ".join(f"{count} {state}" for state, count in states.items())
    new = f"a new panel, {panel.name}, {panel.side}; " if panel.is_new else ""
    return f"{new}{counted(len(panel.holes), 'hole')}{f': {counts}' if counts else ''}"


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
            yield f"{name} at {place_text(hole.at)} was not found and is taken out"


def _ignored_lines(ignored: Iterable[Ignored], indent: str) -> Iterator[str]:
    for one in ignored:
        yield f"{indent}ignored: {one.what}{f' at {place_text(one.at)}' if one.at else ''}: {one.why}"


def _wrote(file: _BikeFile, result: _Result, out: Path, pictures: Mapping[str, bytes]) -> Iterator[str]:
    if result.content == file.content and not result.outlines:
        yield f"{file.path} says all this already: not changed"
    else:
        beside = f", with {', '.join(f'{OUTLINES}/{name}' for name in result.outlines)}" if result.outlines else ""
        yield f"changed {file.path}{beside}"
    yield f"wrote to {out}: {', '.join(pictures)}; look whether it is as you drew it"
