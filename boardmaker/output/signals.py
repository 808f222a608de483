"""Ctrl-C and SIGTERM held back while a folder changes, and passed on when it is in order.

Apart because it is the one place that touches the process. Outside the main thread, where Python takes no signals,
nothing is held.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

_HELD = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


class Stopped(Exception):
    """A signal came before anything was changed."""


@dataclass(frozen=True)
class HeldSignals:
    """The signals that came meanwhile, in order."""

    came: list[int] = field(default_factory=list)

    def stop_here(self) -> None:
        """Raise Stopped if a signal came: to be called where nothing is changed yet."""
        if self.came:
            raise Stopped

    def pass_on(self) -> None:
        """Do what the first signal does otherwise: SIGTERM ends the process, Ctrl-C raises KeyboardInterrupt."""
        if self.came:
            signal.raise_signal(self.came[0])


@contextmanager
def hold_signals() -> Iterator[HeldSignals]:
    """Hold signals back; those that the process ignores, or that another library handles beyond Python, stay so."""
    held, before = HeldSignals(), {}
    try:
        for number in _HELD if threading.current_thread() is threading.main_thread() else ():
            if signal.getsignal(number) not in (signal.SIG_IGN, None):
                before[number] = signal.signal(number, lambda came, _frame: held.came.append(came))
        yield held
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
