"""The user's files: text in, a `Bike`, a `Setup`, a bag or an audit out; everything wrong at once, each at its place.

Apart from the other stages because the outside world ends here: after `inputs` every quantity is in mm, N·m or
degrees, every reference exists, every outline is simple.
"""

from boardmaker.inputs.bike.reading import BikeInPart, outline_files, read_bike, read_bike_in_part
from boardmaker.inputs.bike.trial import try_bike, try_bike_in_part
from boardmaker.inputs.complaints import all_in_file_order, in_file_order
from boardmaker.inputs.lists.audit import read_audit
from boardmaker.inputs.lists.bag import read_bag
from boardmaker.inputs.setup import override_setup, paper_of, read_setup
from boardmaker.inputs.yaml.write_back import write_setup_value

__all__ = [
    "BikeInPart",
    "all_in_file_order",
    "in_file_order",
    "outline_files",
    "override_setup",
    "paper_of",
    "read_audit",
    "read_bag",
    "read_bike",
    "read_bike_in_part",
    "read_setup",
    "try_bike",
    "try_bike_in_part",
    "write_setup_value",
]
