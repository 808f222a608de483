"""`check --share`: what a stranger would miss in a bike file; nothing is changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from boardmaker.commands.common import load_bike, say, say_warnings
from boardmaker.commands.requests import CheckRequest
from boardmaker.service import Gap, unsaid
from boardmaker.units import counted


def say_unsaid(request: CheckRequest) -> None:
    """Print what is not said, grouped, each with its place. Raises ProblemsFound for a file with errors."""
    bike, warnings = load_bike(request.bike)
    say_warnings(warnings)
    for line in unsaid_lines(unsaid(bike), str(request.bike)):
        say(line, quiet=False)


def unsaid_lines(gaps: Sequence[Gap], file: str) -> Iterator[str]:
    """Yield a heading a group and a line an entry, then the count."""
    for group, entries in groupby(gaps, key=lambda gap: gap.group):
        yield f"{group}:"
        for gap in entries:
            place = f"{file}:{gap.where.line}:{gap.where.column}: {gap.name}: " if gap.where else f"{file}: "
            yield f"  {place}{'; '.join(gap.missing)}"
    count = sum(len(gap.missing) for gap in gaps)
    missed = f"{counted(count, 'thing')} that a stranger would miss" if count else "nothing that a stranger would miss"
    yield f"{file}: {missed}; nothing was changed"
