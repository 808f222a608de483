"""One run at a time in a folder.

Where the system locks folders (`flock`), the lock is on the folder itself: it leaves no file, and ends with the
process, however that ends. Elsewhere it is a file that is made anew and kept open, with the machine and the process in
it; one whose process is gone is taken away.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from boardmaker.output.safe_files import open_fresh, read_small
from boardmaker.output.signals import HeldSignals
from boardmaker.problems import Problem, ProblemsFound, error

LOCK = ".boardmaker.lock"
TRIES, PAUSE = 100, 0.1  # s; a set is written in a fraction of a second, so another run is soon done


@contextmanager
def locked(folder: Path, signals: HeldSignals) -> Iterator[None]:
    """Have the folder alone; waits for another run for ten seconds.

    Raises ProblemsFound where that goes on, Stopped where a signal comes meanwhile, OSError where the folder cannot be
    opened or, without `flock`, written to.
    """
    for _ in range(TRIES):
        signals.stop_here()
        if release := _take(folder):
            break
        time.sleep(PAUSE)
    else:
        raise ProblemsFound([_in_use(folder)])
    try:
        yield
    finally:
        release()


def _in_use(folder: Path) -> Problem:
    file = folder / LOCK
    remedy = f", or delete {file} if there is none" if os.path.lexists(file) else ""
    return error(
        f"cannot write to {folder}: another run of boardmaker is writing there; nothing was changed",
        hint=f"run again when that one is done{remedy}",
    )


def _take(folder: Path) -> Callable[[], None] | None:
    """How to give the lock back, or None where another run has it."""
    handle = -1
    try:
        flock = importlib.import_module("fcntl")
        handle = os.open(folder, os.O_RDONLY)
        flock.flock(handle, flock.LOCK_EX | flock.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        return None
    except ImportError:
        return _take_file(folder)
    except OSError:
        if handle < 0:
            raise
        os.close(handle)
        return _take_file(folder)  # a file system, mostly over a network, that locks no folders
    return lambda: os.close(handle)


def _take_file(folder: Path) -> Callable[[], None] | None:
    path = folder / LOCK
    _remove_stale(path)
    try:
        handle = open_fresh(path)
    except FileExistsError:
        return None

    def release() -> None:
        os.close(handle)
        path.unlink(missing_ok=True)

    try:
        os.write(handle, f"{socket.gethostname()} {os.getpid()}\n".encode())
    except BaseException:
        release()
        raise
    return release


def _remove_stale(path: Path) -> None:
    """Take a lock away whose process on this machine is gone."""
    if os.name == "nt":  # a file that is open cannot be removed there
        with contextlib.suppress(OSError):
            path.unlink()
        return
    host, _, number = (read_small(path, 1000) or b"").decode("utf-8", "replace").partition(" ")
    if host != socket.gethostname() or not number.strip().isdecimal():
        return
    if not _is_running(int(number)):
        with contextlib.suppress(OSError):
            path.unlink()


def _is_running(process: int) -> bool:
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True
