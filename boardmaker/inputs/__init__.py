"""The user's files: text in, a `Bike` and a `Setup` out, and everything that is wrong at once, each at its place.

Apart from the other stages because the outside world ends here: after `inputs` every quantity is in mm, N·m or
degrees, every reference exists, every outline is simple.
"""

from boardmaker.inputs.audit import read_audit
from boardmaker.inputs.bag import read_bag
from boardmaker.inputs.bike import read_bike
from boardmaker.inputs.kept_board import changed_since, problem_without_bike, read_kept_board
from boardmaker.inputs.setup import override_setup, paper_of, read_setup
from boardmaker.inputs.write_back import write_setup_value

__all__ = [
    "changed_since",
    "override_setup",
    "paper_of",
    "problem_without_bike",
    "read_audit",
    "read_bag",
    "read_bike",
    "read_kept_board",
    "read_setup",
    "write_setup_value",
]
