"""The packing engine: items and regions in, placements out. It has never heard of motorcycles.

Public: `largest_scale`, `pack`, `nearest_fit`, `arrange`, `read_packing`, `restore`, `violations`, `items_too_large`,
`crowding`.

Where the method comes from. The problem is a two-dimensional irregular packing (nesting) problem with fixed containers,
in which the items' common scale is what is searched.

- Items may overlap during the search, and overlaps are resolved one move after the other with a weight for each pair
  that grows while the pair overlaps (`separation`): Voudouris and Tsang, "Guided local search and its application to
  the traveling salesman problem", European Journal of Operational Research 113 (1999), from memory. Egeblad, Nielsen
  and Odgaard, "Fast neighborhood search for two- and three-dimensional nesting problems", same journal 183 (2007), use
  it for nesting.
- How weights grow and decay is Algorithm 8 of Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to reboot
  2D nesting research", arXiv 2509.13329 (2025), with the constants of their program `sparrow`: 1.2 to 2.0 by the share
  of the largest overlap, 0.95 where there is none (`settings.SEPARATION`). The name exploration for a search that goes
  through layouts with overlaps to ever tighter targets is theirs too; no other number here is known to be.
- Overlap is measured on a raster: two items' no-fit polygon and an item's inner-fit polygon in its container as arrays
  of nodes (`no_fit`, `raster`). Both ideas are explained in Bennell and Oliveira, "The geometry of nesting problems: a
  tutorial", European Journal of Operational Research 184 (2008). Our no-fit raster also holds how much two items
  overlap: the square root of the cells that they share. It is a correlation by fast Fourier transform.
- Layouts are made exact and tight by a sequence of linear programs in which each pair of near convex pieces is held
  apart along one direction (`compaction`): Li and Milenkovic, "Compaction and separation algorithms for non-convex
  polygons and their applications", European Journal of Operational Research 84 (1995); year and volume from memory, the
  report of that title is Harvard TR-13-93. That it grows the items instead of shortening a strip is our own.
"""

from boardmaker.packing.arrange import arrange, read_packing
from boardmaker.packing.diagnosis import TooLarge, crowding, items_too_large
from boardmaker.packing.judge import violations
from boardmaker.packing.near_fit import NearFit, nearest_fit
from boardmaker.packing.restoration import restore
from boardmaker.packing.scale_search import largest_scale, pack

__all__ = [
    "NearFit",
    "TooLarge",
    "arrange",
    "crowding",
    "items_too_large",
    "largest_scale",
    "nearest_fit",
    "pack",
    "read_packing",
    "restore",
    "violations",
]
