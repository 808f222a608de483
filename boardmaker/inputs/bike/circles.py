"""Panels that wait for each other in a circle can never come off: found here, at their place in the file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from boardmaker.inputs.findings import Findings
from boardmaker.model import Panel

MOST_CIRCLES = 50  # no more are looked for; n panels that all wait for each other make n² of them
Waits = Mapping[str, Sequence[str]]


def check_circles(panels: Sequence[Panel], findings: Findings) -> None:
    """Complain of a circle in `rides_on`, and in what must be off before what."""
    riding = {panel.key: [panel.rides_on] if panel.rides_on else [] for panel in panels}
    if (circle := _find_circle(riding)) is not None:
        _complain(findings, circle, "rides_on", "ride on each other")
        return
    waits = _waits(panels)
    found = _all_circles(waits) or _on_themselves(panels) or _all_circles(_between_units(panels, waits))
    for circle in found:
        _complain(findings, circle, "after", "wait for each other")


def _all_circles(graph: Waits) -> list[list[str]]:
    """Circles until none is left, the last step of each taken out before the next is looked for."""
    left = {key: list(others) for key, others in graph.items()}
    circles: list[list[str]] = []
    while len(circles) < MOST_CIRCLES and (circle := _find_circle(left)) is not None:
        circles.append(circle)
        left[circle[-2]] = [key for key in left[circle[-2]] if key != circle[-1]]
    return circles


def _on_themselves(panels: Sequence[Panel]) -> list[list[str]]:
    """Carriers that name in `after` what leaves the bike only on them; a rider's screw may well hold its carrier."""
    carriers = {panel.key: panel.rides_on for panel in panels}
    under = {key: _ridden_by(key, carriers) for key in carriers}
    return [[panel.key, other, panel.key] for panel in panels for other in panel.after if panel.key in under[other]]


def _ridden_by(key: str, carriers: Mapping[str, str]) -> set[str]:
    """What a panel rides on, and what that rides on."""
    under = set()
    while carriers[key]:
        key = carriers[key]
        under.add(key)
    return under


def _complain(findings: Findings, circle: Sequence[str], key: str, what: str) -> None:
    path = ("panels", circle[0], key)
    findings.error(
        path if path in findings.document.values else path[:2],
        f"these panels {what} in a circle: {' -> '.join(circle)}",
        "one of them can come off first: look at `after`, `also_holds` and `rides_on`",
        key=path not in findings.document.values,
    )


def _waits(panels: Sequence[Panel]) -> dict[str, list[str]]:
    """Per panel what must be off before it: `after`, and the owners of screws that also hold it."""
    waits = {panel.key: list(panel.after) for panel in panels}
    for panel in panels:
        for hole in panel.holes:
            for held in hole.also_holds:
                waits[held].append(panel.key)
    return waits


def _between_units(panels: Sequence[Panel], waits: Waits) -> dict[str, list[str]]:
    """The same between carriers, each with all that rides on it."""
    carriers = {panel.key: panel.rides_on for panel in panels}

    def root(key: str) -> str:
        while carriers[key]:
            key = carriers[key]
        return key

    units: dict[str, list[str]] = {root(panel.key): [] for panel in panels}
    for key, others in waits.items():
        units[root(key)] += [root(other) for other in others if root(other) != root(key)]
    return units


def _find_circle(graph: Waits) -> list[str] | None:
    """A circle as a list that ends where it begins, None where there is none (depth first, without recursion)."""
    done: set[str] = set()
    for start in graph:
        trail: list[str] = []
        steps = [(start, iter(graph[start]))] if start not in done else []
        trail += [start] if steps else []
        while steps:
            key, others = steps[-1]
            other = next(others, None)
            if other is None:
                done.add(key)
                steps.pop()
                trail.pop()
            elif other in trail:
                return [*trail[trail.index(other) :], other]
            elif other not in done:
                steps.append((other, iter(graph[other])))
                trail.append(other)
    return None
