"""What comes off for the chosen jobs, in which order, which fasteners that frees, which torques it needs.

In: a `Bike`, the chosen jobs, the equipment that is on. Out: `Work`. Apart from drawing because the order of work and
the count of fasteners must be right even where nothing is ever printed.
"""

from boardmaker.service.equipment import only_present
from boardmaker.service.places import panel_height
from boardmaker.service.plan import ByHand, Group, Plan, RefitStep, RemovalStep, Renewal, Service, make_plan
from boardmaker.service.removal import remove_for
from boardmaker.service.strays import strays
from boardmaker.service.suitability import Fit, Verdict, judge_fit, misfits
from boardmaker.service.work import Freed, Step, TorqueCard, Work, plan_work

__all__ = [
    "ByHand",
    "Fit",
    "Freed",
    "Group",
    "Plan",
    "RefitStep",
    "RemovalStep",
    "Renewal",
    "Service",
    "Step",
    "TorqueCard",
    "Verdict",
    "Work",
    "judge_fit",
    "make_plan",
    "misfits",
    "only_present",
    "panel_height",
    "plan_work",
    "remove_for",
    "strays",
]
