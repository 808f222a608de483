"""`check --share`: what a stranger would miss in a bike file; nothing is changed."""

from __future__ import annotations

from boardmaker.commands.common import load_bike, say, say_warnings
from boardmaker.commands.doubts import unsaid_lines
from boardmaker.commands.requests import CheckRequest
from boardmaker.service import unsaid


def say_unsaid(request: CheckRequest) -> None:
    """Print what is not said, grouped, each with its place. Raises ProblemsFound for a file with errors."""
    bike, warnings = load_bike(request.bike)
    say_warnings(warnings)
    for line in unsaid_lines(unsaid(bike), str(request.bike)):
        say(line, quiet=False)
