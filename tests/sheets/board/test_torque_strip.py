"""The torque strip's cards on their pages."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.display_list import Path
from boardmaker.model import Setup
from boardmaker.service import plan_work
from boardmaker.service.torque.adapter import Adapter
from boardmaker.sheets import lay_torque_strip
from boardmaker.sheets.paper import lay_page
from boardmaker.wording.torques import TorqueStyle

PANEL = "  p: { name: Cover, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
LONG_JOB = "  long: { name: Valve clearance and spark plugs and all that is behind the cover of the engine }"


@pytest.mark.parametrize("style", [TorqueStyle(), TorqueStyle(adapter=Adapter(300.0, 40.0))], ids=["plain", "adapter"])
@pytest.mark.parametrize("width", [36.0, 62.0, None])
def test_a_card_with_a_long_heading_stays_on_its_page(bike_from, width, style):
    """Rows get the room that title and caution leave, however many lines these have."""
    rows = "".join(f"  r{i}: {{ what: Row number {i}, torque: {i + 5} N·m, jobs: [long] }}\n" for i in range(60))
    bike = bike_from(bike_text(PANEL, LONG_JOB, f"torques:\n{rows}"))
    left, bottom, right, top = lay_page(Setup()).picture
    frames = [
        item
        for page in lay_torque_strip(plan_work(bike), Setup(), width, style)
        for item in page.items
        if isinstance(item, Path) and item.closed and item.line_width == 0.35
    ]
    assert len(frames) > 1
    for frame in frames:
        assert all(left - 0.1 <= x <= right + 0.1 and bottom - 0.1 <= y <= top + 0.1 for x, y in frame.points)
