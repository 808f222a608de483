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
RUN = "Run the engine outdoors, fingers, sleeves and cloths out of the fan and all that turns"  # and how it stands
RUN_IN_NEUTRAL = "in neutral (an automatic: rear wheel off the ground, rear brake held)."
RUN_AUTOMATIC = "on the centre stand, rear wheel clear of ground and people, rear brake held."
OIL_LAMP = "Oil lamp out within seconds, or stop at once."
OIL_LEVEL = "No drips. Engine off, wait as the manual asks, bike upright: read the level, top up."
COOLANT_LEVEL = "No drips. Engine and ignition off; level again when it is cold, top up, the cap shut until then."
JOINTS_DRY = "Every joint that was open stays dry; engine off."
KEY_OUT = "Ignition off, key out; the exhaust is cool before hands and panels come near it."
KEY_AND_BATTERY = (
    "Ignition off, key out, battery off again, minus first: only then connectors go in; the exhaust is cool before "
    "hands and panels come near it."
)
COOLANT_CAP = "Coolant is cold: cap first, under a cloth, to its first stop; wait, then off. Only then drain."
INTAKES_COVERED = "intakes covered with a cloth, box wiped"
COVER_OUT = "cloth out again: look in"
FOR_REFERENCE = "To look up: these belong to no job of this plan."
SAFETY_MARK = "⚠"  # beside every row that this is about
SAFETY_CAUTION = "Brakes and steering: if in doubt, ask a licensed workshop."
HELD_CAUTION = "Plastic that does not come by hand is still held."
FIRM_STAND = "Bike on a firm stand that cannot tip when weight comes off it."
WITHOUT_WHEEL = "A wheel comes out: it hangs clear of the ground, and the bike stands without it."
COOL_ENOUGH = "Engine and exhaust cool enough to touch."  # where nothing else asks for a cool or cold engine
IGNITION_OFF = "Ignition off, key out."
BATTERY_OFF = (
    "Ignition off, key out; battery off, minus first, before a connector is parted (if it lies under the seat, take "
    "the seat off first): have the codes of radio and alarm, if it has them, ready."
)
BATTERY_CODES = (
    "Ignition off, key out; have the codes of radio and alarm, if it has them, ready: the battery comes off."
)
BATTERY_HERE = "battery off, minus first"
BATTERY_HERE_ON = "battery on, plus first, minus last"
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
STORE_EMPTY = "Board and any bag are empty, nothing is left over."
NOTHING_LEFT_IN = "No cloth, rag, tie, prop, tool or screw is left in the bike."
CHAIN_RIGHT = "Chain slack and wheel alignment as the manual has them."
WHEELS_FREE = "Both wheels turn freely, nothing touches a tyre."
STEERING_FREE = (
    "Handlebar from lock to lock: nothing is pinched or pulled; at both locks the throttle opens freely and snaps shut."
)
HOSES_AND_WIRES = "Hoses and wires lie in their guides, clear of exhaust, wheels and chain."
HOSES_AND_WIRES_NO_CHAIN = "Hoses and wires lie in their guides, clear of exhaust and wheels."
BATTERY_ON = "Battery on again, plus first, minus last; clock set, codes and alarm too if it has them."
CLOCK_SET = "Clock set, codes and alarm too if it has them."
LIGHTS_WORK = "Lights, indicators and horn work."
UNPLUGGED_WORKS = "What was unplugged works"  # and what
MIRRORS_SET = "Mirrors set from the saddle."
BRAKES_FIRM = "Every brake lever (and pedal) is firm."
BRAKES_FIRM_PUMPED = "Every brake lever (and pedal) is firm: pump them first, brakes or wheels were open."
LEVELS_RIGHT = "Levels as the manual has them"  # of which fluids follows
DRY_TYRES = "Tyres, brake discs and exhaust are free of"  # what was about
REAR_WHEEL_RUN = (
    "Rear wheel turns freely by hand; then, outdoors, run the engine briefly, the wheel clear of the ground, a hand "
    "on the rear brake, nobody beside or behind it."
)
NOTHING_DRIPS = "Nothing drips: look again when the engine has run."
