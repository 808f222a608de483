"""The guarded child (`boardmaker.guarded`) as a fork: what it would import anew, for a second, is there already.

In: what `guarded` gives to `subprocess.run`. Out: what that returns. Limits are kept but for the clock. That the child
of a user is one of its own is asked in `test_guarded`.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Sequence

from boardmaker import guarded


def fork_and_answer(
    afresh: Callable[..., subprocess.CompletedProcess], command: Sequence[str], input: bytes, **others: object
) -> subprocess.CompletedProcess:
    """Do what `python -m boardmaker.guarded` does, without a second of imports; its own clock is not kept.

    What reads photos is run afresh where OpenCV is at work here: its threads do not outlive a fork, and its locks do.
    """
    if "cv2" in sys.modules and pickle.loads(input)[1].__module__.startswith("boardmaker.photo"):
        return afresh(command, input=input, **others)
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        for number in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), number)
        with contextlib.suppress(MemoryError), os.fdopen(write, "wb") as out:
            limits, function, args, kwargs = pickle.loads(input)
            guarded._limit(limits)
            out.write(guarded._called(function, args, kwargs))
            out.flush()
            os._exit(0)
        os._exit(guarded.OUT_OF_MEMORY)
    os.close(write)
    with os.fdopen(read, "rb") as answer:
        said = answer.read()
    return subprocess.CompletedProcess(command, os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), said, b"")
