"""What a torque does to a screw: its tension, held against what its thread and head bear.

In: a torque in N·m, a thread, a property class. Out: forces in N and shares of the proof load. Apart because fasteners,
torque rows and holes are judged alike. One formula for all: T = K F d. The nut factor K holds all of the friction: the
same torque pulls harder where oil, grease or liquid threadlocker lowers it.
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.model import Torque
from boardmaker.standards import StrengthClass, Thread, strength
from boardmaker.standards.strength import breaking_torque_nm

# K of T = K F d by what is on the thread. Dry zinc-plated steel, and "lubricated" 0.18: Budynas and Nisbett, Shigley's
# Mechanical Engineering Design, 9th ed., table 8-15 (plain black 0.30). Liquid threadlocker wets a thread until it has
# cured, and counts as lubricated (common practice, no source). Oil or grease on purpose: 0.15 beside 0.20 dry in torque
# charts (a note on the nut factor, mobiletechengineering.com 2020; aionlinecalculator.com: "about 0.15"); that is a
# friction of about 0.11, inside of the 0.08 to 0.16 of VDI 2230 for oiled and waxed steel.
DRY, THREADLOCKER, OIL = "", "threadlocker", "oil or grease"
NUT_FACTORS = {DRY: 0.20, THREADLOCKER: 0.18, OIL: 0.15}
K = NUT_FACTORS[DRY]
WARNED_SHARE = (
    0.75  # of the proof load: what a joint that is taken apart again is tightened to (Shigley, equation 8-31)
)
WARNED_SHARE_WET = 0.9  # of it, where the nut factor is a guess: many a maker tightens oiled threads to more than 75 %
STRONGEST = "12.9"  # of ISO 898-1: where no class is given, what even this one cannot bear
REDUCED_HEAD = 0.8  # of the load in the thread: "reduced loadability" (scopes of ISO 7380-2:2022 and ISO 14581)
REDUCED_SHAPES = ("button", "flanged button", "countersunk", "raised countersunk")


def tension(torque_nm: float, diameter: float, factor: float = K) -> float:
    """Return the screw's tension F in N from T = K F d; the thread's diameter in mm, `factor` is K."""
    return torque_nm / (factor * diameter / 1000.0)


def tightening_torque_nm(force: float, diameter: float) -> float:
    """Return the torque T = K F d in N·m that gives a tension in N; the thread's diameter in mm."""
    return K * force * diameter / 1000.0


@dataclass(frozen=True)
class Loads:
    """What a screw bears, in N: up to `proof` it does not stretch for good, at `breaking` it may break."""

    proof: float
    breaking: float

    def passed_words(self, pull: float) -> str:
        """Say what a pull in N above the proof load does, with both strengths: what stands after `the screw`."""
        strengths = f"stretches above {self.proof / 1000:.3g} kN and may break from {self.breaking / 1000:.3g} kN"
        return f"{strengths}, this pulls {pull / 1000:.3g} kN"


def screw_loads(thread: Thread, property_class: str, head_shape: str = "") -> Loads | None:
    """Return proof and breaking load: stress area x stress (ISO 898-1), for a button or countersunk head 80 % of it.

    None for a tapping thread and where the class says nothing of a screw's strength (none given, a nut's class).
    """
    known = screw_strength(thread, property_class)
    if known is None or thread.stress_area is None:
        return None
    reduced = known.reduced or head_shape in REDUCED_SHAPES
    bearing = thread.stress_area * (REDUCED_HEAD if reduced else 1.0)
    return Loads(bearing * known.proof_mpa, bearing * known.tensile_mpa)


def tapping_torque_nm(thread: Thread) -> float | None:
    """Return the torque in N·m from which a screw with a tapping thread may break; None for any other thread."""
    return breaking_torque_nm(thread.diameter) if thread.system == "tapping" else None


def judged_class(thread: Thread, property_class: str) -> str:
    """Return the class that a torque is held against: the own one, or the strongest there is where it says nothing.

    What even that cannot bear, none can: no class is given, or that of a nut, whose screw is not in the file.
    """
    return property_class if screw_strength(thread, property_class) else STRONGEST


def proof_load(thread: Thread, property_class: str, head_shape: str = "") -> float | None:
    """Return the proof load in N, or None where `screw_loads` has none."""
    loads = screw_loads(thread, property_class, head_shape)
    return loads.proof if loads else None


def screw_strength(thread: Thread, property_class: str) -> StrengthClass | None:
    """Return what a class says of a screw with this thread; None where it says nothing."""
    try:
        return strength(property_class, thread.diameter) if property_class else None
    except ValueError:
        return None


def aimed_nm(torque: Torque) -> float:
    """Return the torque in N·m that a wrench is set to: the middle of a range; of several stages the largest.

    Stages that are angles are left out: how far an angle stretches a screw is no matter of T = K F d.
    """
    return max((stage.low_nm + stage.high_nm) / 2 for stage in torque.stages if stage.low_nm and stage.high_nm)


def highest_nm(torque: Torque) -> float:
    """Return the largest torque in N·m that is allowed, angles left out."""
    return max(stage.high_nm for stage in torque.stages if stage.high_nm)
