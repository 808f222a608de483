"""One command over one file in a process of its own, and what is wrong with how it ended.

The process is forked: the imports are done once, and a hang, a crash or a full memory is that process's alone; so is
the guarded child of `verify` and of a scan. With `fresh` it is a whole new `python -m boardmaker` instead.
"""

from __future__ import annotations

import importlib
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from boardmaker.command_line import run
from boardmaker.plain_text import HIDDEN

sys.path.append(str(Path(__file__).parents[1]))  # where it is no test that runs, but the campaign
from forked_guard import fork_and_answer

SECONDS = 10.0  # of a processor: a busy machine is not the program's fault
PATIENCE = 60.0  # seconds of the clock, for what waits
MEGABYTES = 1000
BARE = 150  # MB of a program that has not begun; one that is forked begins with all that the tests hold
MOST_LINES = 400  # fifty complaints of four lines, and a table
FAULT = re.compile(r"Traceback|internal fault|\b[A-Z]\w+(?:Warning|Error)\b|<class '|object at 0x")
ABOUT = (  # what else tells where a fault lies
    r"pages? \d|rows? \d|(?:photo|[12])\.jpg|the photos show|the mat's (?:tags|codes)|"
    r"the bar a|no board fits|paper \w+ \(|`[\w-]+`: mark|--\w|\d+ panels? and|"
    r"\d+ boards? with (?:its|their) screws stands?"
)
COMPLAINT = re.compile(
    rf"^(?:(?P<place>.+:\d+:\d+): )?(?P<severity>error|warning): (?P<about>{ABOUT})?.*\w", re.MULTILINE
)

# What commands import when they run, but for OpenCV: here once instead of in each forked process anew.
for _later in (
    *(f"boardmaker.commands.{name}" for name in ("calibrate", "correction", "picture", "screw", "trace", "verify")),
    "boardmaker.photo.reading", "boardmaker.tracing.dxf_drawing", "ezdxf.recover", "scipy.ndimage", "scipy.optimize",
    "scipy.signal",
):  # fmt: skip
    importlib.import_module(_later)

# `picture` draws a file with mistakes as far as it goes, and still says 1.
DRAWN_ALL_THE_SAME = ("picture.png", "picture.svg", ".boardmaker.json")


@dataclass(frozen=True)
class Ended:
    """How a run ended; `code` is minus the signal's number where one killed it, None where it was given up."""

    code: int | None
    said: str
    complained: str
    seconds: float
    megabytes: float


def run_apart(arguments: Sequence[str], folder: Path, fresh: bool = False) -> Ended:
    """Run a command line, with the folder as the current one and for temporary files."""
    said, complained = folder / "said", folder / "complained"
    inherited = 0.0 if fresh else _resident() - BARE
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of a fork beside the threads of numpy
        child = os.fork()
    if child == 0:
        try:
            _be_the_program(arguments, folder, said, complained, fresh)
        finally:
            os._exit(99)
    code, used = _wait_for(child)
    texts = (path.read_bytes().decode("utf-8", "surrogateescape") for path in (said, complained))
    fault = "".join(path.read_text(errors="replace") for path in folder.glob("boardmaker-fault*.log"))
    out, err = texts
    return Ended(code, out, err + fault, used.ru_utime + used.ru_stime, used.ru_maxrss / 1000 - inherited)


def _resident() -> float:
    """MB of memory that this process holds; `BARE` where the system does not say."""
    held = Path("/proc/self/statm")
    return int(held.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6 if held.exists() else BARE


def _be_the_program(arguments: Sequence[str], folder: Path, said: Path, complained: Path, fresh: bool) -> None:
    os.setsid()
    os.chdir(folder)
    tempfile.tempdir = str(folder)
    for path, number in ((said, 1), (complained, 2)):
        os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
    if fresh:
        paths = os.pathsep.join(filter(None, [str(Path(__file__).parents[2]), os.environ.get("PYTHONPATH")]))
        environment = {**os.environ, "TMPDIR": str(folder), "PYTHONPATH": paths}
        os.execve(sys.executable, [sys.executable, "-m", "boardmaker", *arguments], environment)
    sys.stdout = open(1, "w", encoding="utf-8", errors="replace")  # noqa: SIM115
    sys.stderr = open(2, "w", encoding="utf-8", errors="replace")  # noqa: SIM115
    subprocess.run = partial(fork_and_answer, subprocess.run)  # guarded's child; nothing else starts one
    code = run([*arguments])
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def _wait_for(child: int) -> tuple[int | None, object]:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        done, status, used = os.wait4(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), used
        time.sleep(0.003)
    os.killpg(child, signal.SIGKILL)
    return None, os.wait4(child, 0)[2]


def faults(ended: Ended, out: Path, name: str = "", strict: bool = False) -> Iterator[str]:
    """Yield what is wrong; `out` is where the command writes, `name` that of the file, which a refusal must say.

    Under `strict` a warning is reason enough.
    """
    both = ended.said + ended.complained
    if ended.code is None:
        yield f"no answer after {PATIENCE:g} s"
    elif ended.code not in (0, 1, 2):
        yield f"ended with {ended.code}"
    if found := FAULT.search(re.sub(r'"[^"\n]*"|^  \| .*$', "", ended.complained, flags=re.MULTILINE)):
        yield f"a machine's words: {found[0]}"
    if found := HIDDEN.search(both.replace("\n", "")):
        yield f"acts on the screen: {found[0]!r}"
    if len(both.splitlines()) > MOST_LINES:
        yield f"{len(both.splitlines())} lines are said"
    if ended.seconds > SECONDS:
        yield f"took {ended.seconds:.1f} s"
    if ended.megabytes > MEGABYTES:
        yield f"took {ended.megabytes:.0f} MB"
    yield from _odd_refusals(ended, out, name, strict)


def contents(folder: Path) -> dict[str, bytes]:
    """What every file below a folder holds, by its name there."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def changes(ended: Ended, before: Mapping[str, bytes], after: Mapping[str, bytes]) -> Iterator[str]:
    """Yield the files that a refusal changed, made or took away; what a run says is no such file."""
    of_the_run = ("said", "complained", *(f"out/{name}" for name in DRAWN_ALL_THE_SAME))
    for name in sorted({*before, *after}):
        if ended.code != 0 and name not in of_the_run and before.get(name) != after.get(name):
            yield f"refused, and {name} was changed"


def _odd_refusals(ended: Ended, out: Path, name: str, strict: bool) -> Iterator[str]:
    told = ("error", "warning") if strict and ended.code == 1 else ("error",)
    complaints = [found for found in COMPLAINT.finditer(ended.complained) if found["severity"] in told]
    if ended.code in (1, 2):
        if not complaints:
            yield "refused without a reason"
        elif name not in ended.said and not any(
            found["place"] or found["about"] or name in found[0] for found in complaints
        ):
            yield "refused without a place"
        if out.exists() and any(one.name not in DRAWN_ALL_THE_SAME for one in out.iterdir()):
            yield "refused, and files were written"
    elif ended.code == 0 and complaints:
        yield "an error is told, and the exit code is 0"
