"""Weighted least squares adjustment: the best-fitting unknowns, their covariance and redundancy.

The covariance of the unknowns is (JᵀJ)⁻¹. J holds the derivatives of the residuals, each residual
divided by its sigma (JCGM 102:2011 for several output quantities; the method is due to Gauss). A
weak prior of one metre keeps an undetermined centre finite: its sigma becomes large, and the
inversion does not fail.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from beltpath.survey.answer import NextReading
from beltpath.survey.equations import Equations
from beltpath.survey.views import Array

Mask = NDArray[np.bool_]
Loss = Literal["linear", "soft_l1", "cauchy"]

#: Residuals beyond about this many sigmas lose their weight in the robust loss.
ROBUST_SCALE = 3.0
#: 1 sigma of the weak prior of every centre, mm.
ANYWHERE = 1000.0
#: Gauss-Newton steps that take a solution to rounding.
POLISHES = 3
#: A row with less redundancy than this counts as not checked.
UNCHECKED = 0.02
#: A target with a larger sigma than this (mm) is undetermined.
LOOSE = 150.0
#: A centre with a larger sigma than this (mm) is too uncertain to judge a belt by, ...
WEAK = 10.0
#: ... or than this many times the worst tape reading's sigma, if that is more.
WEAK_IN_TAPES = 5.0
#: The number of readings named at most.
MOST_NAMED = 4


def fit(
    equations: Equations, start: Array, *, keep: Mask | None = None, loss: Loss = "linear"
) -> Array:
    """The unknowns that minimise the sum of squares, or the robust loss, of the kept rows."""
    rows = np.ones(len(equations.rows), dtype=bool) if keep is None else keep

    def residuals(p: Array) -> Array:
        return equations.residuals(p)[rows]

    def derivatives(p: Array) -> Array:
        return equations.jacobian(p)[rows]

    found = least_squares(
        residuals,
        start,
        jac=derivatives,
        # MINPACK (lm) is faster, but has no robust loss and needs as many rows as unknowns.
        method="lm" if loss == "linear" and rows.sum() >= len(start) else "trf",
        x_scale="jac",
        loss=loss,
        f_scale=ROBUST_SCALE,
        max_nfev=60,
    )
    return found.x


def robust_cost(residuals: Array) -> float:
    """The cost of residuals in sigmas by Cauchy's loss: far ones hardly count."""
    return float(np.log1p((residuals / ROBUST_SCALE) ** 2).sum())


@dataclass(frozen=True, kw_only=True, eq=False)
class Adjusted:
    """A least squares solution: unknowns `p` adjusted to the rows in `keep`."""

    equations: Equations
    p: Array
    keep: Mask

    @cached_property
    def residuals(self) -> Array:
        """Residuals of all rows, in sigmas."""
        return self.equations.residuals(self.p)

    @cached_property
    def jacobian(self) -> Array:
        """Derivatives of all residuals."""
        return self.equations.jacobian(self.p)

    @cached_property
    def covariance(self) -> Array:
        """Covariance of the unknowns from the kept rows and the weak prior."""
        slopes = self.jacobian[self.keep]
        normal = slopes.T @ slopes
        # The weak prior: a metre for centres, close to no weight for the rest.
        prior = 1e-12 * (1.0 + np.diag(normal))
        prior[: self.equations.basis.shape[1]] = ANYWHERE**-2.0
        normal[np.diag_indices_from(normal)] += prior
        # Scaled to a unit diagonal, so that mixed units do not make the matrix ill-conditioned.
        size = 1.0 / np.sqrt(np.diag(normal))
        inverse = np.linalg.inv(normal * np.outer(size, size)) * np.outer(size, size)
        return inverse.astype(np.float64)

    @property
    def chi_square(self) -> float:
        """Sum of squares of the kept rows."""
        return float((self.residuals[self.keep] ** 2).sum())

    @cached_property
    def redundancy(self) -> Array:
        """For each row the share of an error in it that shows in its own residual.

        For a kept row 1 − h, between 0 (nothing checks it) and 1; these sum to readings less
        unknowns. For a row set aside 1 + h, the variance of measured less predicted.
        """
        spread = np.einsum("ij,jk,ik->i", self.jacobian, self.covariance, self.jacobian)
        wide: Array = np.where(self.keep, 1.0 - spread, 1.0 + spread)
        return wide

    @cached_property
    def normalized(self) -> Array:
        """Each residual over its own standard deviation; 0 where nothing checks the row.

        W. Baarda's test of a single reading (A testing procedure for use in geodetic networks,
        1968, from memory).
        """
        checked = self.redundancy > UNCHECKED
        return np.where(
            checked, self.residuals / np.sqrt(np.where(checked, self.redundancy, 1.0)), 0.0
        )

    @property
    def centres(self) -> Array:
        """The centres, targets × 2, mm."""
        return self.equations.centres(self.p)

    @property
    def level_ends(self) -> tuple[Array, Array]:
        """The two ends of the level line, mm."""
        return self.equations.level_ends(self.centres)

    @cached_property
    def centre_covariance(self) -> Array:
        """Covariance of all centre coordinates (x, y of the first target, then the next), mm²."""
        basis = self.equations.basis
        free = basis.shape[1]
        return basis @ self.covariance[:free, :free] @ basis.T

    @cached_property
    def sigmas(self) -> Array:
        """1 sigma along the longer and the shorter axis of each target's error ellipse, mm."""
        return _axes(self.centre_covariance)[:, ::-1]


def adjust(equations: Equations, start: Array, keep: Mask) -> Adjusted:
    """Least squares adjustment of the kept rows, from a near start."""
    p = _polished(equations, fit(equations, start, keep=keep), keep)
    return Adjusted(equations=equations, p=p, keep=keep)


def _polished(equations: Equations, p: Array, keep: Mask) -> Array:
    """The same solution to rounding, so that every machine gives the same one.

    A Gauss-Newton step is taken only if it does not raise the sum of squares.
    """
    best = float((equations.residuals(p)[keep] ** 2).sum())
    for _ in range(POLISHES):
        slopes = equations.jacobian(p)[keep]
        size = np.maximum(np.sqrt((slopes**2).sum(axis=0)), 1e-12)
        step = np.linalg.lstsq(slopes / size, -equations.residuals(p)[keep], rcond=1e-9)[0] / size
        square = float((equations.residuals(p + step)[keep] ** 2).sum())
        if not square <= best * (1.0 + 1e-9):
            return p
        p, best = p + step, min(square, best)
    return p


def weak_targets(adjusted: Adjusted) -> tuple[int, ...]:
    """Targets whose centre is too uncertain to use, the worst first."""
    worst = max((tape.sigma for tape in adjusted.equations.survey.tapes), default=0.0)
    limit = max(WEAK, WEAK_IN_TAPES * worst)
    sigmas = adjusted.sigmas[:, 0]
    return tuple(int(i) for i in np.argsort(-sigmas) if sigmas[i] > limit)


def next_readings(adjusted: Adjusted, count: int = 1) -> Iterator[NextReading]:
    """The readings not taken yet that would help most, one after another.

    Greedy: each is the one that lowers the sum of all variances most. A reading with derivatives a
    and variance s² lowers the covariance C by C·a·aᵀ·C / (s² + aᵀ·C·a).
    """
    names = [target.name for target in adjusted.equations.targets]
    sigma = adjusted.equations.survey.tape_sigma
    taken = {tape.pair for tape in adjusted.equations.survey.tapes}
    covariance = adjusted.centre_covariance
    for _ in range(count):
        best, gain = None, 0.0
        for one, other in combinations(range(len(names)), 2):
            if {names[one], names[other]} in taken:
                continue
            taken_off = _taken_off(adjusted.centres, covariance, one, other, sigma)
            if (trace := float(np.trace(taken_off))) > gain:
                best, gain, less = (one, other), trace, taken_off
        if best is None:
            return
        covariance = covariance - less
        taken.add(frozenset(names[i] for i in best))
        yield NextReading(
            start=names[best[0]], end=names[best[1]], worst_after=float(_axes(covariance).max())
        )


def _taken_off(centres: Array, covariance: Array, one: int, other: int, sigma: float) -> Array:
    apart = centres[other] - centres[one]
    unit = apart / max(float(np.linalg.norm(apart)), 1e-9)
    slopes = np.zeros(len(covariance))
    slopes[2 * one : 2 * one + 2], slopes[2 * other : 2 * other + 2] = -unit, unit
    moved = covariance @ slopes
    return np.outer(moved, moved) / (sigma**2 + slopes @ moved)


def _axes(covariance: Array) -> Array:
    """1 sigma along the shorter and the longer axis of each centre's error ellipse."""
    blocks = [covariance[i : i + 2, i : i + 2] for i in range(0, len(covariance), 2)]
    return np.sqrt(np.maximum(np.linalg.eigvalsh(np.array(blocks)), 0.0))
