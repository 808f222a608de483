"""What comes off for the chosen jobs, in which order, which fasteners that frees, which torques it needs.

In: a `Bike`, the chosen jobs, the equipment that is on. Out: `Work`. Apart from drawing because the order of work and
the count of fasteners must be right even where nothing is ever printed.
"""

from boardmaker.service.doubts.geometry.checks import misplaced
from boardmaker.service.doubts.geometry.measured import left_over
from boardmaker.service.doubts.loose_ends import FIRST_PANEL, loose_ends
from boardmaker.service.doubts.misfits import misfits, unsettled
from boardmaker.service.doubts.overtorque import overtorqued
from boardmaker.service.doubts.strays import strays
from boardmaker.service.doubts.unsaid import Gap, unsaid
from boardmaker.service.fit.recognition import Match, Measured, recognise
from boardmaker.service.fit.suitability import has_another_thread, judge_fit, judge_in_hand
from boardmaker.service.fit.verdict import Fit, Verdict
from boardmaker.service.removal.equipment import only_present
from boardmaker.service.removal.holes import HoleOnBoard, holes_on_board
from boardmaker.service.removal.on_board import BoardCheck, BoardMade, BoardPocket, check_board
from boardmaker.service.removal.places import panel_height, place_on_bike
from boardmaker.service.removal.plan import (
    CONDITIONS,
    ByHand,
    Group,
    Plan,
    RefitStep,
    RemovalStep,
    Renewal,
    Service,
    Shared,
    make_plan,
)
from boardmaker.service.removal.pocket_numbers import pocket_numbers, with_pockets
from boardmaker.service.removal.riders import staying_riders, uncounted
from boardmaker.service.removal.units import remove_for
from boardmaker.service.removal.work import Freed, Step, TorqueCard, Work, is_threaded, plan_work

__all__ = [
    "CONDITIONS",
    "FIRST_PANEL",
    "BoardCheck",
    "BoardMade",
    "BoardPocket",
    "ByHand",
    "Fit",
    "Freed",
    "Gap",
    "Group",
    "HoleOnBoard",
    "Match",
    "Measured",
    "Plan",
    "RefitStep",
    "RemovalStep",
    "Renewal",
    "Service",
    "Shared",
    "Step",
    "TorqueCard",
    "Verdict",
    "Work",
    "check_board",
    "has_another_thread",
    "holes_on_board",
    "is_threaded",
    "judge_fit",
    "judge_in_hand",
    "left_over",
    "loose_ends",
    "make_plan",
    "misfits",
    "misplaced",
    "only_present",
    "overtorqued",
    "panel_height",
    "place_on_bike",
    "plan_work",
    "pocket_numbers",
    "recognise",
    "remove_for",
    "staying_riders",
    "strays",
    "uncounted",
    "unsaid",
    "unsettled",
    "with_pockets",
]
