"""Every limit of the geometry checks, in one table, each with its source.

Lengths in mm. Apart so that a mechanic who doubts a warning finds the number behind it, and where it comes from, on one
screen. The law's largest sizes of two-wheelers (4000 long, 2500 high, 2000 wide: Delegated Regulation (EU) 44/2014,
annex XI, from memory) are too wide to find a slip; what is below is what motorcycles are.
"""

from __future__ import annotations

# --- what was measured
MEASURED = (
    3.0  # beyond an outline at which nothing is said: holes and outlines are no better; common practice, no source
)
POORLY_KNOWN = 4.0  # mm that a hole moves for 1 mm in its distances, from which it is said; ways 20 degrees apart

# --- sizes
LARGEST_PANEL = 1500.0  # width or height of one part; the longest tail units are 1100; common practice, no source
SMALLEST_PANEL = 12.0  # both of them: no lid is smaller than its screw's head; common practice, no source

# --- places on the bike, ahead of the rear axle and above the ground
REARMOST = -900.0  # a rear wheel's radius (320) and a case behind it; common practice, no source
FOREMOST = 2400.0  # longest wheelbase (1800) and a front wheel's radius (350), a mudguard; common practice, no source
LOWEST = 50.0  # no panel comes nearer to the ground: clearance is 100 and more; common practice, no source
HIGHEST = 1900.0  # screens and mirrors end below; common practice, no source
METRES = 5.0  # ahead and above, both: so near to the axle's foot on the ground nothing sits

# --- what touches what
UNDER_HEAD = 40.0  # from a screw to the outline of a panel that it also holds: on_bike is good to 20; no source
RIDES = 60.0  # from a panel to the one that it rides on; no source
WAITS = 400.0  # from a panel to one that must be off before it: another may lie between; no source
DEPTH = 300.0  # how far a panel may bend away from the plane in which it is drawn; no source
HALF_WIDTH = 600.0  # of a motorcycle: handlebars are 1000 wide at most; common practice, no source
PAST_MIDDLE = 60.0  # that a panel of a side may reach past the bike's middle; no source

# --- screws beside each other
ONE_SPOT = 1.0  # holes of a panel cannot be nearer, and nobody measures better
ONE_SCREW = 6.0  # between holes of two panels that may be one: twice what each is off; common practice, no source
WIDEST = 60.0  # no head of a panel's fastener is wider; common practice, no source
FREE = 20.0  # around a place at which another hole may have been meant: more than a head; no source
METRES_NEAR = 2.0  # from [0, 0], both ways: places that may be in metres

# --- pairs
PAIRED = 6.0  # from the mirror image of a hole to its counterpart: each is off by 3; no source
LIKE = 0.90  # of the area of two outlines laid on each other, their share that both cover: the same shape; no source
CLEARER = 0.04  # by which one way of laying them must be better than the other to be told apart; no source
TWINS_APART = 0.5  # of a panel's length by which its twin may sit further ahead or higher, and more by:
TWINS_OFF = 100.0  # as `on_bike` is good to 20, and halves of a bike differ by a pipe or a stand; no source

# --- scale slips
TOGETHER = 3  # holes from which one slip is asked about for the whole panel; no source
SHARE = 0.3  # of the panel's size that a hole lies outside, or near [0, 0], where its unit may be the slip; no source
# The share of the outline, from its [0, 0], into which holes shrink where they alone are in that unit: 1 / 1000,
# 1 / 25.4, 1 / 10, 25.4 / 96, and somewhat more.
CORNER = {"metres": 0.003, "inches": 0.06, "centimetres": 0.12, "pixels": 0.3}
SPREAD = 0.5  # of the outline, both ways, over which they lie in the right unit: screws hold a panel's edges; no source
