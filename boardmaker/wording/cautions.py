"""The cautions, each in one place: boards, sheets and lists all take their words from here."""

from __future__ import annotations

MANUAL_FIRST = (
    "The maker's manual comes first, for torque as for the order of work; where a licence is asked for, leave the work "
    "to those who have it."
)
BOARD_TRUST = "This board is only as good as the bike file behind it."
PLAN_TRUST = "This plan is only as good as the bike file behind it."
GENERAL_CAUTIONS = (
    "The maker's manual comes first. These numbers are only as good as the bike file.",
    "Bike on a firm stand, engine cool, fuel and sparks apart.",
)
TORQUE_CAUTION = (
    "Clean, dry threads unless a row says otherwise. The maker's manual comes first: if it disagrees with a row, it is "
    "right. A torque wrench that has not been checked is a guess."
)
TIGHTENED_LATER = "What goes back only in the refit is tightened then, in the order of its row: take this sheet along."
FILLED = (
    "Filled and vented as the manual has it; run the engine outdoors, look for drips, look at the level again when "
    "it has cooled"
)  # and before what
BATTERY_FOR_THE_RUN = "Battery on for that, plus first; off again, minus first, before connectors go in."
FOR_REFERENCE = "To look up: these belong to no job of this plan."
SAFETY_MARK = "⚠"  # beside every row that this is about
SAFETY_CAUTION = "Brakes and steering: if in doubt, ask a licensed workshop."
HELD_CAUTION = "Plastic that does not come by hand is still held."
FIRM_STAND = "Bike on a firm stand that cannot tip when weight comes off it; engine and exhaust cool enough to touch."
IGNITION_OFF = "Ignition off, key out."
BATTERY_OFF = (
    "Ignition off, key out; battery off, minus first, before a plug is parted: have the codes of radio and alarm, "
    "if it has them, ready."
)
FUEL_NEAR = "Fuel near: no flame, no spark, engine cold, doors open."
COLD_COOLANT = "Hot coolant is under pressure and scalds: open cap, hose or drain only when the engine is cold."
HOT_OIL = "Hot oil burns: drain it warm at most, hands and face out of its way."
TURNING_PARTS = "Chain, belt and wheels: engine off, and no finger near them while they turn."
BRAKES_AND_STEERING = "Brakes and steering: only with the maker's manual and the training it asks for."
AIRBAGS = (
    "Airbags: only with the maker's manual and the training it asks for; battery off, then wait as long as it says."
)
CHECKED = "Checked: a board from this file has been built and used."
UNCHECKED = "NOT CHECKED: nobody has yet built and used a board from this file."
BEFORE_THE_RIDE = "The usual last look; the maker's manual comes first and may ask for more."
STORE_EMPTY = "Board and bag are empty, nothing is left over."
NOTHING_LEFT_IN = "No cloth, rag, tool or screw is left in the bike."
CHAIN_RIGHT = "Chain slack and wheel alignment as the manual has them."
WHEELS_FREE = "Both wheels turn freely, nothing touches a tyre."
STEERING_FREE = (
    "Handlebar from lock to lock: nothing is pinched or pulled; at both locks the throttle opens freely and snaps shut."
)
HOSES_AND_WIRES = "Hoses and wires lie in their guides, clear of exhaust, wheels and chain."
BATTERY_ON = "Battery on again, plus first, minus last; clock set, codes and alarm too if it has them."
LIGHTS_WORK = "Lights, indicators and horn work."
BRAKES_FIRM = "Every brake lever (and pedal) is firm."
BRAKES_FIRM_PUMPED = "Every brake lever (and pedal) is firm: pump them first, brakes or wheels were open."
LEVELS_RIGHT = "Levels as the manual has them"  # of which fluids follows
NOTHING_DRIPS = "Nothing drips: look again when the engine has run."
