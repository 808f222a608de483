"""Small linear programs with sparse rows, solved by an interior point method.

In: maximise `gain @ x` where every row holds `row @ x <= limit` and every |x| stays in its box. Out: the best x, and
what each row costs. Apart because it is plain mathematics.
Method: Mehrotra, "On the implementation of a primal-dual interior point method", SIAM J. Optimization 2 (1992).
"""

from __future__ import annotations

from dataclasses import dataclass

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
        """Each row times x."""
        product: Floats = np.sum(self.values * x[self.columns], axis=1)
        return product

    def weighted_sum(self, weights: Floats, size: int) -> Floats:
        """All rows added up, each times its weight, (size,)."""
        return _added_up(self.columns, self.values * weights[:, None], size)

    def squares(self, weights: Floats, size: int) -> Floats:
        """The sum of weight times row times row transposed, (size, size)."""
        places = self.columns[:, :, None] * size + self.columns[:, None, :]
        products = self.values[:, :, None] * (self.values * weights[:, None])[:, None, :]
        return _added_up(places, products, size * size).reshape(size, size)


def _added_up(places: NDArray[np.int64], values: Floats, size: int) -> Floats:
    """The sum of the values for each place, in the order given: the same on every machine."""
    return np.bincount(places.ravel(), values.ravel(), size).astype(np.float64, copy=False)


def maximise(gain: Floats, rows: SparseRows, box: Floats) -> tuple[Floats, Floats]:
    """The x with the greatest `gain @ x` under the rows and `|x| <= box`, to about 1e-7, and the price of each row.

    The price is what the gain would win if the row's limit rose by 1: 0 where the row does not bind.

    If the rows contradict one another it returns some x: the caller has to check.
    """
    count, size = len(rows.limits), len(gain)
    rows = _with_box(rows, box)
    x, slack, price = np.zeros(size), np.maximum(rows.limits, 1.0), np.ones(len(rows.limits))
    for _ in range(INTERIOR_POINT.rounds):
        short = rows.limits - rows.times(x) - slack
        unpaid = gain - rows.weighted_sum(price, size)
        gap = float(np.mean(slack * price))
        if all(error < INTERIOR_POINT.close for error in (gap, np.max(np.abs(short)), np.max(np.abs(unpaid)))):
            break
        if gap > INTERIOR_POINT.hopeless or float(np.max(price)) > INTERIOR_POINT.hopeless:
            break
        solve = _Newton(rows, slack, price, size)
        _, d_slack, d_price = solve.step(short, unpaid, -slack * price)
        ahead = np.mean((slack + _reach(slack, d_slack) * d_slack) * (price + _reach(price, d_price) * d_price))
        centre = gap * (float(ahead) / gap) ** 3
        d_x, d_slack, d_price = solve.step(short, unpaid, centre - slack * price - d_slack * d_price)
        primal, dual = INTERIOR_POINT.step * _reach(slack, d_slack), INTERIOR_POINT.step * _reach(price, d_price)
        x = x + primal * d_x
        slack = np.maximum(slack + primal * d_slack, INTERIOR_POINT.least)
        price = np.maximum(price + dual * d_price, INTERIOR_POINT.least)
    return np.clip(x, -box, box), price[:count]


def _with_box(rows: SparseRows, box: Floats) -> SparseRows:
    entries = rows.columns.shape[1]
    columns = np.repeat(np.arange(len(box))[:, None], entries, axis=1)
    ones = np.zeros((len(box), entries))
    ones[:, 0] = 1.0
    return SparseRows(
        np.concatenate([rows.columns, columns, columns]),
        np.concatenate([rows.values, ones, -ones]),
        np.concatenate([rows.limits, box, box]),
    )


def _reach(values: Floats, change: Floats) -> float:
    """The longest step, at most 1, that keeps the values from turning negative."""
    falling = change < 0
    return min(1.0, float(np.min(-values[falling] / change[falling], initial=1.0)))


class _Newton:
    """The Newton equations of one round, factorised once and solved for two right hand sides."""

    def __init__(self, rows: SparseRows, slack: Floats, price: Floats, size: int) -> None:
        self._rows, self._slack, self._price, self._size = rows, slack, price, size
        self._ratio = price / slack
        self._matrix = rows.squares(self._ratio, size)
        ridge = np.diag(INTERIOR_POINT.ridge * (1.0 + np.diag(self._matrix)))
        self._inverse = np.linalg.inv(self._matrix + ridge)

    def step(self, short: Floats, unpaid: Floats, product: Floats) -> tuple[Floats, Floats, Floats]:
        direct = product / self._slack - self._ratio * short
        right = unpaid - self._rows.weighted_sum(direct, self._size)
        d_x = self._inverse @ right
        d_x += self._inverse @ (right - self._matrix @ d_x)
        d_slack = short - self._rows.times(d_x)
        return d_x, d_slack, (product - self._price * d_slack) / self._slack
