"""The four words that say whether a screw suits a hole, and what they rest on.

In: findings. Out: a `Fit`: the worst of them, with every reason of that weight. Apart because everything that judges,
and everything that prints, speaks in them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Literal

About = Literal["thread", "kind", "head", "tip", "hold", "grip", "strength"]


class Verdict(IntEnum):
    """From good to bad; the worst finding decides."""

    FITS = 0
    CANNOT_SAY = 1
    DOUBTFUL = 2
    MUST_NOT = 3

    @property
    def words(self) -> str:
        """The verdict as it is printed."""
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True)
class Finding:
    """One thing that speaks against a screw in a hole; `settle` is what has to be known to decide it, "" if all is."""

    verdict: Verdict
    about: About
    reason: str
    settle: str = ""


@dataclass(frozen=True)
class Fit:
    """Everything that speaks against a screw in a hole. Nothing: it fits."""

    findings: tuple[Finding, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The worst finding's."""
        return max((one.verdict for one in self.findings), default=Verdict.FITS)

    @property
    def reason(self) -> str:
        """Every reason for the verdict, in the order in which a hand meets them: the thread first."""
        worst = [one.reason for one in self.findings if one.verdict is self.verdict]
        return "; ".join(dict.fromkeys(worst)) or "fits by the file's numbers"

    @property
    def to_settle(self) -> tuple[str, ...]:
        """What has to be known before anybody can say that it fits."""
        return tuple(dict.fromkeys(one.settle for one in self.findings if one.settle))

    def worst_about(self, *subjects: About) -> Verdict:
        """Return the worst verdict of these subjects alone."""
        return max((one.verdict for one in self.findings if one.about in subjects), default=Verdict.FITS)


def must_not(about: About, reason: str) -> Finding:
    """Make the finding that keeps a screw out of a hole."""
    return Finding(Verdict.MUST_NOT, about, reason)


def doubtful(about: About, reason: str, settle: str = "") -> Finding:
    """Make the finding that a mechanic has to look into."""
    return Finding(Verdict.DOUBTFUL, about, reason, settle)


def cannot_say(about: About, reason: str, settle: str) -> Finding:
    """Make the finding of what is not known; `settle` says what would settle it."""
    return Finding(Verdict.CANNOT_SAY, about, reason, settle)
