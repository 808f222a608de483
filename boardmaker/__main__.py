"""`python -m boardmaker`, and the program's door: Ctrl-C is seen to before anything is imported.

An import takes a large part of the first second. Some libraries turn an interrupt in the middle of theirs into a fault
of their own, or print it, so that while something is being imported the program just leaves: nothing is written then.
"""

from __future__ import annotations

import gc
import os
import signal
from types import FrameType

INTERRUPTED = 130  # exit code
_IMPORTING = "<frozen importlib._bootstrap>"


def main() -> None:
    """Run the program and leave with its exit code."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:  # else somebody has it ignored
        signal.signal(signal.SIGINT, _interrupt)
    gc.set_threshold(10_000)  # to look for cycles after every 700 new things takes a search a twelfth of its time
    from boardmaker.command_line import main as run_program  # noqa: PLC0415

    run_program()


def _interrupt(_number: int, frame: FrameType | None) -> None:
    """Leave at once in the middle of an import; elsewhere Ctrl-C is what it always is."""
    while frame is not None:
        if frame.f_code.co_filename == _IMPORTING:
            os.write(2, b"interrupted: nothing was written\n")
            os._exit(INTERRUPTED)
        frame = frame.f_back
    raise KeyboardInterrupt


if __name__ == "__main__":
    main()
