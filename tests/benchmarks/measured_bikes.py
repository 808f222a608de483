"""The bikes that several benchmarks measure: the bundled ones, then random ones, always the same."""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.service import Work, plan_work

sys.path.insert(0, str(Path(__file__).parents[1]))
from bikes import random_bike_text

DEMOS = ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter")
LEAST, MOST = 8, 26  # panels of a random bike


def measured_bikes(count: int) -> Iterator[tuple[str, Work]]:
    """Yield name and work (everything comes off) of each bundled bike and of so many random ones."""
    for stem in DEMOS:
        yield stem, plan_work(read_bike(demo_folder() / f"{stem}.yaml")[0])
    dice = random.Random(820)
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            panels = dice.randint(LEAST, MOST)
            path = Path(folder) / "bike.yaml"
            path.write_text(random_bike_text(number, panels), encoding="utf-8")
            yield f"random {number}, {panels} panels", plan_work(read_bike(path)[0])
