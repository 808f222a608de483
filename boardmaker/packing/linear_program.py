"""Small linear programs with sparse rows, solved by Clarabel's interior point method.

In: maximise `gain @ x` where every row holds `row @ x <= limit` and every |x| stays in its box. Out: the best x, and
what each row costs. Apart because it is plain mathematics. An interior point method and not a simplex one, because of
all best x it gives one in their middle, which leaves bodies that are free to move where they have space, and because it
knows a price for every row that binds. Clarabel (Goulart and Chen, "Clarabel: An interior-point solver for conic
programs with quadratic objectives", 2024) works without BLAS in a fixed order, so the bits do not depend on the
processor.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import clarabel
import numpy as np
from numpy.typing import NDArray

from boardmaker.packing.settings import INTERIOR_POINT
from boardmaker.packing.shapes import Floats


@dataclass(frozen=True)
class SparseRows:
    """Sparse rows: `values` (rows, entries) in the columns `columns` (same shape), and their `limits` (rows,)."""

    columns: NDArray[np.int64]
    values: Floats
    limits: Floats

    def times(self, x: Floats) -> Floats:
        """Each row times x, entry by entry."""
        terms = self.values * x[self.columns]
        product: Floats = terms[:, 0]
        for column in range(1, terms.shape[1]):
            product = product + terms[:, column]
        return product


def maximise(gain: Floats, rows: SparseRows, box: Floats) -> tuple[Floats, Floats]:
    """The x with the greatest `gain @ x` under the rows and `|x| <= box`, to about 1e-6, and the price of each row.

    The price is what the gain would win if the row's limit rose by 1: 0, or nearly so, where the row does not bind.

    If the rows contradict one another it returns some x in the box: the caller has to check.
    """
    count, size = len(rows.limits), len(gain)
    solver = clarabel.DefaultSolver(
        _SparseColumns((size, size), [], [], [0] * (size + 1)),
        -gain,
        _in_columns(rows, size),
        np.concatenate([rows.limits, box, box]),
        [clarabel.NonnegativeConeT(count + 2 * size)],
        _settings(),
    )
    found = solver.solve()
    x = np.array(found.x)
    return np.clip(np.where(np.isfinite(x), x, 0.0), -box, box), np.array(found.z[:count])


class _SparseColumns(NamedTuple):
    """What Clarabel reads of a `csc_matrix` of scipy, which takes longer to import than anything else here."""

    shape: tuple[int, int]
    data: list[float]
    indices: list[int]
    indptr: list[int]
    has_canonical_format: bool = True


def _in_columns(rows: SparseRows, size: int) -> _SparseColumns:
    """The rows, and after them x <= box and -x <= box, one row for each x, column by column."""
    count, entries = rows.values.shape
    each, one = np.arange(size), np.ones(size)
    values = np.concatenate([rows.values.ravel(), one, -one])
    columns = np.concatenate([rows.columns.ravel(), each, each])
    numbers = np.concatenate([np.repeat(np.arange(count), entries), count + np.arange(2 * size)])
    used = np.flatnonzero(values)
    used = used[np.argsort(columns[used], kind="stable")]
    begins = np.concatenate([[0], np.cumsum(np.bincount(columns[used], minlength=size))])
    return _SparseColumns((count + 2 * size, size), values[used].tolist(), numbers[used].tolist(), begins.tolist())


@lru_cache(maxsize=1)
def _settings() -> clarabel.DefaultSettings:
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.max_threads = 1
    settings.direct_solve_method = "qdldl"  # plain loops; others choose instructions by the processor
    # Rows are of one scale already, and all of them are wanted back; the caller checks them and needs no last digits.
    settings.presolve_enable = settings.equilibrate_enable = settings.iterative_refinement_enable = False
    settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = INTERIOR_POINT.close
    return settings
