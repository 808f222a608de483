"""One kind of file: what is good of it, what spoils it, what lies beside it, which commands read it."""

from __future__ import annotations

from dataclasses import dataclass

from spoil_text import Spoil

OUT = ("--out", "out")


@dataclass(frozen=True)
class Kind:
    """Good files, what spoils them, and the commands over one of them, which is called `name`.

    `beside` are good files and folders that are copied into the case's folder: (name there, name of the good one).
    A kind whose commands take seconds has its turn in one round of `every`.
    """

    name: str
    good: tuple[str, ...]
    spoils: tuple[Spoil, ...]
    commands: tuple[tuple[str, ...], ...]
    beside: tuple[tuple[str, str], ...] = ()
    every: int = 1
