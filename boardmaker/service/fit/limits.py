"""Every limit of the judgement whether a screw suits a hole, in one table, each with its source.

Lengths in mm unless said otherwise; d is the thread's diameter. Apart so that a mechanic who doubts a verdict finds the
number behind it, and where it comes from, on one screen.
"""

from __future__ import annotations

EXACT = 1e-9  # sums of written decimals may miss by rounding; nobody measures that

# --- too long
NEAR_BEHIND = 2.0  # that the tip has to stay short of what is behind; common practice, no source
# Pitches beyond the proper screw up to which nobody asks what is behind; common practice, no source
LONGER_PITCHES = 1.0
SAME_LENGTH = 0.2  # lengths in a file may be measured ones, with a calliper; common practice, no source

# --- too short: thread that has to hold, in d, and what it is in. A screw of 8.8 in steel of like strength breaks
# before it strips at 0.75 to 0.8 d (Machinery's Handbook, 27th ed., fastener engagement: M6 4.66 mm); handbooks round
# to 1 d, for aluminium to 1.5 d and more. In plastic, 2 d and more (common practice, no source).
HELD = {"steel": 1.0, "aluminium": 1.5, "magnesium": 1.5, "plastic boss": 2.0, "threaded insert": 1.0}
HARDLY_HELD = 0.5  # of it, below which nothing can be said to hold; common practice, no source
TIP_PITCHES = 1.0  # at the tip that do not hold: the chamfer and the first turn (ISO 4753: two pitches incomplete)
# Pitches that a tip has to show beyond a nut: "at least one thread length beyond the open end" of a blind rivet nut (a
# maker's page on choosing its screw, boellhoff.com); of other nuts common practice, no source.
SHOWN_PITCHES = 1.0
THINNEST_NUT = 0.5  # d, the height of a thin nut (ISO 4035): no nut holds on less

# --- grip
LOOSE_SHOULDER = 1.0  # of shoulder beyond the stack from which a panel rattles; common practice, no source
GROMMET_SQUEEZE = 1.0  # that a grommet in the stack gives way; common practice, no source

# --- head and clip
# Wider than the proper one, beyond which a head may not go into its recess: counterbores leave 1 to 2 mm (DIN 974-1 for
# ISO 4762: M5 8.5 in 10, M6 10 in 11, M8 13 in 15 mm; from memory).
LARGER_HEAD = 1.0
HIGHER_HEAD = 1.0  # that a head may stand higher before it is said: a panel may lie over it; common practice, no source
SAME_SIZE = 0.05  # sizes of clips and shoulders are given to a tenth
CLIP_LENGTH = 1.0  # that another clip's legs may be longer or shorter; common practice, no source
