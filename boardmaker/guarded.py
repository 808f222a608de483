"""Work on a stranger's file in a process of its own, with limits of time and memory.

In: a function that can be pickled by its name, what it is called with, and its limits. Out: its result, or one clear
problem where the process ended any other way. Apart from the readers because the engines that they use (PDFium, pypdf,
Pillow) may hang, abort or fill the memory, whatever is checked before; what they write on the way is thrown away.
"""

from __future__ import annotations

import contextlib
import math
import os
import pickle
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from boardmaker.problems import ProblemsFound, error

if sys.platform == "win32":
    import msvcrt
else:
    import resource

P = ParamSpec("P")
T = TypeVar("T")

MEGABYTE = 1_000_000
OUT_OF_MEMORY = 77  # exit code of the child
# A busy computer may give the child a part of a processor only. Where the child's own time is limited, the clock is
# the last resort; where it is not (Windows), the clock alone counts.
PATIENCE = 2.0 if sys.platform == "win32" else 6.0
_PAGES_OF = Path("/proc/self/statm")


@dataclass(frozen=True)
class Limits:
    """What the work may take once everything is imported: seconds of a processor, and megabytes."""

    seconds: float
    megabytes: int


class _Lost(Exception):
    """The child ended without an answer; says how in plain words."""


def read_at_most(path: Path, megabytes: int, hint: str) -> bytes:
    """Return a file's bytes. Raises ProblemsFound where it is larger, is no ordinary file or cannot be read."""
    try:
        if not path.is_file():
            raise ProblemsFound([error(f"{path} is no ordinary file")])
        most = megabytes * MEGABYTE
        if path.stat().st_size <= most:
            with path.open("rb") as file:
                content = file.read(most + 1)
            if len(content) <= most:
                return content
    except OSError as failure:
        raise ProblemsFound(
            [error(f"cannot read {path}: {failure.strerror or failure}", hint="check who may read it")]
        ) from None
    raise ProblemsFound([error(f"{path} is larger than {megabytes} MB: it is not read", hint=hint)])


def guarded(name: str, hint: str, limits: Limits, function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """Return what `function` returns, called in a fresh process; `name` of the file and `hint` are for messages.

    Raises ProblemsFound where the function does, and where the process ran out of its limits or broke down.
    """
    try:
        kind, value = pickle.loads(_ask(pickle.dumps((limits, function, args, kwargs)), limits))
    except _Lost as lost:
        raise ProblemsFound([error(f"{name} {lost}", hint=hint)]) from None
    if kind == "problems":
        raise ProblemsFound(value)
    if kind == "fault":
        raise RuntimeError(value)
    result: T = value
    return result


def _ask(question: bytes, limits: Limits) -> bytes:
    """The child's answer. Raises _Lost; whatever happens, the child is gone afterwards."""
    # -P: the folder that happens to be the current one is no place to import from, unless it was one for us.
    paths = os.pathsep.join(sys.path)
    threads = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}  # each would take memory, and time from others
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-m", "boardmaker.guarded"],
            input=question,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": paths, **threads},
            timeout=PATIENCE * limits.seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise _Lost(_too_slow(limits)) from None
    if done.returncode == -signal.SIGINT:
        raise KeyboardInterrupt
    if done.returncode == OUT_OF_MEMORY:
        raise _Lost(f"needs more than {limits.megabytes} MB of memory to be read: it was given up")
    if sys.platform != "win32" and done.returncode == -signal.SIGXCPU:
        raise _Lost(_too_slow(limits))
    if done.returncode != 0 or not done.stdout:
        raise _Lost("cannot be read: its reader broke down over it, or ran out of memory")
    return done.stdout


def _too_slow(limits: Limits) -> str:
    return f"takes more than {limits.seconds:g} s to be read: it was given up"


def _answer() -> None:
    """Be the child: read the question, answer it, let nothing else out."""
    out = os.dup(sys.stdout.fileno())
    with open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), sys.stdout.fileno())
    limits, function, args, kwargs = pickle.load(sys.stdin.buffer)
    _limit(limits)
    try:
        answer = _called(function, args, kwargs)
        with os.fdopen(out, "wb") as file:
            file.write(answer)
    except MemoryError:
        os._exit(OUT_OF_MEMORY)  # at once: nothing that asks for memory works any more


def _called(function: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> bytes:
    try:
        return pickle.dumps(("result", function(*args, **kwargs)))
    except MemoryError:
        raise
    except ProblemsFound as found:
        return pickle.dumps(("problems", found.problems))
    except Exception:  # a fault of ours: it belongs into the parent's log
        return pickle.dumps(("fault", traceback.format_exc()))


def _limit(limits: Limits) -> None:
    """Limit what this process may still take, beyond what its imports took."""
    if sys.platform == "win32":
        msvcrt.SetErrorMode(msvcrt.SEM_FAILCRITICALERRORS | msvcrt.SEM_NOGPFAULTERRORBOX)  # no window over a crash
        return
    seconds = math.ceil(time.process_time() + limits.seconds)
    taken = 0
    with contextlib.suppress(OSError):
        taken = int(_PAGES_OF.read_text(encoding="ascii").split()[0]) * resource.getpagesize()
    for kind, most in (
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_AS, taken + limits.megabytes * MEGABYTE),
    ):
        _, hard = resource.getrlimit(kind)
        soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
        with contextlib.suppress(OSError, ValueError):  # macOS knows the limit of memory and does not always take it
            resource.setrlimit(kind, (soft, hard))


if __name__ == "__main__":
    _answer()
