"""What the owner is told of a wrong fastener."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.model import Audit, AuditFind
from boardmaker.service import plan_work
from boardmaker.service.counting.audit import check_audit
from boardmaker.text.owner_note import advice, reason_words

PANELS = """
  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: P }, { at: [50, 0], fastener: B } ] }
"""


@pytest.mark.parametrize(
    ("hole", "found", "told"), [("lid/1", "B", "Look at the hole and"), ("lid/2", "P", "Look at the thread and")]
)
def test_nobody_looks_for_the_thread_of_a_clip(bike_from, hole, found, told):
    """A push clip has none; its hole may be torn."""
    work = plan_work(bike_from(bike_text(PANELS)))
    (wrong,) = check_audit(work, Audit((AuditFind(hole, "wrong", found),))).wrong
    assert advice(wrong).startswith(told)
    assert "for an 8 mm hole" in reason_words(wrong)
