"""What comes off for the chosen jobs, in which order, which fasteners that frees, which torques it needs.

In: a `Bike`, the chosen jobs, the equipment that is on. Out: `Work`. Apart from drawing because the order of work and
the count of fasteners must be right even where nothing is ever printed.
"""

from boardmaker.service.equipment import only_present
from boardmaker.service.loose_ends import loose_ends
from boardmaker.service.overtorque import overtorqued
from boardmaker.service.places import panel_height
from boardmaker.service.plan import (
    ByHand,
    Group,
    Plan,
    RefitStep,
    RemovalStep,
    Renewal,
    Service,
    Shared,
    is_threaded,
    make_plan,
)
from boardmaker.service.recognition import Match, Measured, recognise
from boardmaker.service.removal import remove_for
from boardmaker.service.riders import staying_riders
from boardmaker.service.spots import Spot, find_spots
from boardmaker.service.strays import strays
from boardmaker.service.suitability import Fit, Verdict, judge_fit, misfits
from boardmaker.service.trial import has_another_thread, try_in
from boardmaker.service.work import Freed, Step, TorqueCard, Work, plan_work

__all__ = [
    "ByHand",
    "Fit",
    "Freed",
    "Group",
    "Match",
    "Measured",
    "Plan",
    "RefitStep",
    "RemovalStep",
    "Renewal",
    "Service",
    "Shared",
    "Spot",
    "Step",
    "TorqueCard",
    "Verdict",
    "Work",
    "find_spots",
    "has_another_thread",
    "is_threaded",
    "judge_fit",
    "loose_ends",
    "make_plan",
    "misfits",
    "only_present",
    "overtorqued",
    "panel_height",
    "plan_work",
    "recognise",
    "remove_for",
    "staying_riders",
    "strays",
    "try_in",
]
