"""Bike files with planted mistakes, for what a picture shows of them."""

from __future__ import annotations

from bikes import HEAD

SQUARE = "outline: [[0, 0], [300, 0], [300, 200], [0, 200]]"

# Hole 2 outside by 60 mm, hole 4 on hole 3, hole 5 far outside; the tail cannot be read.
WRONG = f"""{HEAD}panels:
  knee-left:
    name: Left knee cover
    tag: KL
    side: left
    on_bike: [1000, 590]
    {SQUARE}
    holes:
      - {{ at: [40, 30], fastener: B }}
      - {{ at: [150, 260], fastener: B }}
      - {{ at: [160, 110], fastener: B }}
      - {{ at: [160.4, 110], fastener: B }}
      - {{ at: [2800, 90], fastener: B }}
  tail: {{ name: Tail, side: middle, holes: [ {{ at: [0, 0], fastener: B }} ] }}
  lid: {{ name: Lid, side: centre, holes: [ {{ at: [0, 0], fastener: Z }}, {{ at: [90, 0], fastener: B }} ] }}
  seat: {{ name: Seat, side: centre, holes: [] }}
jobs:
  oil: {{ name: Oil, remove: [knee-lef] }}
"""
