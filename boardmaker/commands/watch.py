"""`check --watch`: on each save of a bike file, or of an outline that it names, what is wrong and the pictures anew.

Files are looked at twice a second: size, time and number in the folder's index. An editor may replace a file, write it
in pieces or have it vanish for a moment; so nothing is read before two looks in a row have found the same, and all of
it there. No library is wanted for that: a bike file has a dozen outlines at most.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from boardmaker.commands.common import existing, say, say_warnings
from boardmaker.commands.doubts import look_at, unsaid_lines
from boardmaker.commands.picture_files import picture_files
from boardmaker.commands.requests import CheckRequest
from boardmaker.inputs import BikeInPart, in_file_order, outline_files
from boardmaker.output import write_set
from boardmaker.picture import PictureLook
from boardmaker.problems import Interrupted, Problem, ProblemsFound
from boardmaker.service import unsaid
from boardmaker.units import counted

PAUSE = 0.5  # s between two looks; a save is then seen within a second
GONE = 6  # looks at a file that is not there, before that is said

Stamp = tuple[int, int, int] | None  # size, time of the last change in ns, number; None where there is no such file
Stamps = tuple[tuple[Path, Stamp], ...]


def watch_bike(request: CheckRequest, wait: Callable[[], None] = lambda: time.sleep(PAUSE)) -> None:
    """Say what is wrong and draw, at once and on each save, until Ctrl-C: raises Interrupted then.

    Raises ProblemsFound where there is no such file, or its pictures must not be written. `wait` is the clock.
    """
    watched = _Watched(existing(request.bike))
    told = _Told()
    written = False
    try:
        for _ in settled(watched.looks(wait), lambda: _say_gone(request)):
            if not _told_anew(request, told):
                continue
            written = True
            watched.follow()
    except KeyboardInterrupt:
        said = f"the last pictures stay in {request.out}" if written else "nothing was written"
        raise Interrupted(said) from None


@dataclass
class _Watched:
    """A bike file and the outlines that it named when it could last be read."""

    bike: Path
    outlines: tuple[Path, ...] = ()

    def follow(self) -> None:
        """Take the outlines that the file names now; those of before where it cannot be read."""
        self.outlines = outline_files(self.bike) or self.outlines

    def looks(self, wait: Callable[[], None]) -> Iterator[Stamps]:
        """Yield what the files are like, a pause after each; without end."""
        self.follow()
        while True:
            yield tuple((path, stamp_of(path)) for path in (self.bike, *self.outlines))
            wait()


def stamp_of(path: Path) -> Stamp:
    """Return what changes when a file is written or replaced; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns, found.st_ino


def settled(looks: Iterable[Stamps], say_gone: Callable[[], None]) -> Iterator[Stamps]:
    """Yield each look that differs from the last one yielded, once the next look has found the same.

    A first file (the bike) that is not there is waited for; an outline that is not there is a problem like any other.
    """
    before: Stamps | None = None
    done: Stamps | None = None
    missing = 0
    for now in looks:
        missing = missing + 1 if now[0][1] is None else 0
        if missing == GONE:
            say_gone()
        if now == before and now != done and not missing:
            done = now
            yield now
        before = now


def _say_gone(request: CheckRequest) -> None:
    say(f"{request.bike} is not there any more; waiting for it", request.quiet)


@dataclass
class _Told:
    """What was said last: problems without their places, which move when lines are put in above them."""

    problems: Counter[tuple[str, str]] | None = None
    looks: int = (
        0  # so that a save that changes nothing is seen to have been noticed: there is no clock in what is said
    )

    def change(self, problems: Sequence[Problem]) -> str:
        """Return what has changed, such as `look 3: 2 problems, 1 new`, and keep what there is now."""
        self.looks += 1
        now = Counter((problem.severity.value, problem.message) for problem in problems)
        before, self.problems = self.problems, now
        said = [counted(now.total(), "problem") if now else "no problems"]
        if before is not None:
            new, gone = (now - before).total(), (before - now).total()
            said += [f"{new} new"] if new else []
            said += [f"{gone} gone"] if gone else []
        return f"look {self.looks}: {', '.join(said)}"


def _told_anew(request: CheckRequest, told: _Told) -> bool:
    """Say what is wrong and write the pictures; False where the file could not be read far enough for one."""
    read: BikeInPart | None = None
    try:
        read = look_at(request.bike)
        problems: Sequence[Problem] = read.problems
    except ProblemsFound as found:
        problems = found.problems
    say_warnings(in_file_order(problems))
    change = told.change(problems)
    if read is None:
        say(f"{request.bike}: {change}; the pictures stay as they were", request.quiet)
        return False
    if request.share:
        for line in unsaid_lines(unsaid(read.bike), str(request.bike)):
            say(line, request.quiet)
    files = watched_pictures(read)
    write_set(request.out, "picture", files, request.force)
    say(f"{request.bike}: {change}; {', '.join(files)} in {request.out}", request.quiet)
    return True


def watched_pictures(read: BikeInPart) -> dict[str, bytes]:
    """Return the pictures of the whole bike and of every panel."""
    files = picture_files(read, (), PictureLook())
    if read.bike.panels:
        files |= picture_files(read, tuple(panel.key for panel in read.bike.panels), PictureLook(), "panels")
    return files
