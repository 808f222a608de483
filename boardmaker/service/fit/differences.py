"""How another kind of fastener differs from the proper one, beyond the verdict: worth a look before it goes in."""

from __future__ import annotations

from boardmaker.model import Fastener, Hole
from boardmaker.service.fit.limits import HIGHER_HEAD, SAME_SIZE


def differences(other: Fastener, proper: Fastener, hole: Hole) -> tuple[str, ...]:
    """Return what is not the same and worth a look before it goes in, and what the file notes at screw and hole."""
    found = []
    longer = other.length - proper.length
    if longer and not (other.length_assumed or proper.length_assumed):
        found.append(f"{abs(longer):.4g} mm {'longer' if longer > 0.0 else 'shorter'}")
    if other.property_class != proper.property_class:
        found.append(f"class {other.property_class or 'not known'} for {proper.property_class or 'not known'}")
    if other.head.diameter < proper.head.diameter - SAME_SIZE:
        found.append(f"head {other.head.diameter:g} mm for {proper.head.diameter:g} mm")
    higher = other.head.height - proper.head.height
    if higher > HIGHER_HEAD and not (other.head.height_assumed or proper.head.height_assumed):
        found.append(f"head {other.head.height:g} mm high for {proper.head.height:g} mm")
    if other.drive != proper.drive:
        found.append("another drive")
    if other.with_it != proper.with_it:
        found.append(
            f"take over what is kept with {proper.key}" if proper.with_it else "leave off what is kept with it"
        )
    if proper.threadlocker not in (other.threadlocker, "none"):
        found.append(f"{proper.threadlocker} threadlocker")
    found += [f'the file notes "{note}"' for note in (proper.note, hole.note) if note]
    return tuple(found)
