"""Property classes: how strong a screw is, and which classes a part may have.

In: a class such as `8.8` or `A2-70`. Out: its tensile strength, yield and proof stress in MPa. Apart because torques
are held against it without a part. A tapping screw has no class, but a torque from which it may break. Tables:
`iso_898_1` (steel), `iso_3506_1` (stainless), stresses in MPa, diameter ranges in mm; `other_classes` (what nuts,
washers and tapping screws are marked with); `iso_2702`, least breaking torques of tapping screws in N·m.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from boardmaker.standards.reading import read_table
from boardmaker.standards.wording import format_number, suggest

OF_STEEL = ("screw", "bolt", "shoulder screw")  # kinds with a class of ISO 898-1 or ISO 3506-1


@dataclass(frozen=True)
class StrengthClass:
    """A property class; stresses in MPa.

    Minimum tensile strength Rm, minimum yield (ReL, Rp0.2 or Rpf, whichever the standard gives) and stress under proof
    load Sp. ISO 3506-1 has no proof stress: there `proof_mpa` is the yield. `reduced`: marked with a leading 0, the
    material is that of the class but the head carries less (ISO 898-1).
    """

    name: str
    tensile_mpa: float
    yield_mpa: float
    proof_mpa: float
    reduced: bool = False


def strength(property_class: str, diameter: float | None = None) -> StrengthClass:
    """Return a class of ISO 898-1 or ISO 3506-1 at a thread diameter in mm; without one, the class's lowest values.

    Raises ValueError for an unknown class or a diameter that the class does not cover.
    """
    name = property_class.strip().upper()
    material = name[1:] if re.fullmatch(r"0\d+\.\d", name) else name
    rows = [row for row in _strength_rows() if row["class"] == material]
    if not rows:
        raise ValueError(_unknown_class(property_class, "ISO 898-1 or ISO 3506-1", property_classes("screw")))
    for row in rows:
        if diameter is None or float(row["d_over"]) < diameter <= float(row["d_to"]):
            return _read_strength(row, name, reduced=name != material)
    raise ValueError(
        f"class {name} is for diameters up to {rows[-1]['d_to']} mm, this one has {format_number(diameter or 0)} mm"
    )


def breaking_torque_nm(diameter: float) -> float | None:
    """Return the torque in N·m from which a tapping screw of this diameter in mm may break (ISO 2702), or None."""
    return next((float(row["torque_min"]) for row in read_table("iso_2702") if float(row["d"]) == diameter), None)


def property_classes(kind: str) -> tuple[str, ...]:
    """Return the classes that a kind of part may have (screw, bolt, tapping screw, nut, washer)."""
    if kind in OF_STEEL:
        return tuple(dict.fromkeys(row["class"] for row in _strength_rows()))
    return tuple(row["class"] for row in read_table("other_classes") if row["kind"] == kind)


def check_class(text: str, kind: str) -> str:
    """Return the class as the standard writes it; ValueError where this kind of part has no such class."""
    if kind in OF_STEEL:
        return strength(text).name
    written = {name.casefold().replace(" ", ""): name for name in property_classes(kind)}
    folded = text.casefold().replace(" ", "")
    if folded not in written:
        raise ValueError(_unknown_class(text, f"a {kind}", written.values()))
    return written[folded]


def _strength_rows() -> tuple[Mapping[str, str], ...]:
    return read_table("iso_898_1") + read_table("iso_3506_1")


def _read_strength(row: Mapping[str, str], name: str, *, reduced: bool) -> StrengthClass:
    yield_mpa = float(row["Re_min"])
    return StrengthClass(name, float(row["Rm_min"]), yield_mpa, float(row["Sp"] or yield_mpa), reduced)


def _unknown_class(text: str, where: str, known: Iterable[str]) -> str:
    names = tuple(known)
    return f"{text!r} is not a property class of {where}: known are {', '.join(names)}{suggest(text, names)}"
