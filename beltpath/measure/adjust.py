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

from beltpath.measure.answer import NextReading
from beltpath.measure.equations import Equations
from beltpath.measure.views import Array

Mask = NDArray[np.bool_]
Loss = Literal["linear", "soft_l1", "cauchy"]

#: Residuals beyond about this many sigmas lose their pull in the robust solutions.
ROBUST_SCALE = 3.0
#: 1 sigma (mm) of the weak prior that stands for "somewhere at this engine".
ANYWHERE = 1000.0


def fit(
    equations: Equations, start: Array, *, keep: Mask | None = None, loss: Loss = "linear"
) -> Array:
    """The unknowns that minimise the kept rows' sum of squares (or of a robust loss of them)."""
    rows = np.ones(len(equations.rows), dtype=bool) if keep is None else keep

    def residuals(p: Array) -> Array:
        return equations.residuals(p)[rows]

    def slopes(p: Array) -> Array:
        return equations.jacobian(p)[rows]

    found = least_squares(
        residuals,
        start,
        jac=slopes,
        # MINPACK's is the quicker one; it knows no robust loss and needs rows for all unknowns.
        method="lm" if loss == "linear" and rows.sum() >= len(start) else "trf",
        x_scale="jac",
        loss=loss,
        f_scale=ROBUST_SCALE,
        max_nfev=60,
    )
    solved: Array = found.x
    return solved


def robust_cost(residuals: Array) -> float:
    """The cost of residuals in sigmas where far ones hardly count (Cauchy's loss)."""
    return float(np.log1p((residuals / ROBUST_SCALE) ** 2).sum())


@dataclass(frozen=True, kw_only=True, eq=False)
class Adjusted:
    """Unknowns adjusted to the kept rows, and what follows from them."""

    equations: Equations
    p: Array
    keep: Mask

    @cached_property
    def residuals(self) -> Array:
        """Residuals of all rows, kept or not, in sigmas."""
        return self.equations.residuals(self.p)

    @cached_property
    def jacobian(self) -> Array:
        """Slopes of all rows."""
        return self.equations.jacobian(self.p)

    @cached_property
    def covariance(self) -> Array:
        """Covariance of the unknowns from the kept rows, the weak prior included."""
        slopes = self.jacobian[self.keep]
        normal = slopes.T @ slopes
        normal[np.diag_indices_from(normal)] += self._prior(np.diag(normal))
        # Scaled to a diagonal of ones, so that pixels and millimetres do not spoil the inverse.
        size = 1.0 / np.sqrt(np.diag(normal))
        inverse = np.linalg.inv(normal * np.outer(size, size)) * np.outer(size, size)
        return inverse.astype(np.float64)

    @property
    def chi_square(self) -> float:
        """Sum of squares of the kept rows."""
        return float((self.residuals[self.keep] ** 2).sum())

    @cached_property
    def redundancy(self) -> Array:
        """For each row the part of a slip in it that shows in its own residual.

        For a kept row 1 − h, between 0 (nothing checks it) and 1; the parts of all kept rows sum to
        readings less unknowns. For a row set aside 1 + h, the variance of measured less predicted.
        """
        spread = np.einsum("ij,jk,ik->i", self.jacobian, self.covariance, self.jacobian)
        parts: Array = np.where(self.keep, 1.0 - spread, 1.0 + spread)
        return parts

    @cached_property
    def normalized(self) -> Array:
        """Each residual over its own standard deviation; 0 where nothing checks the row.

        W. Baarda's test of a single reading (A testing procedure for use in geodetic networks,
        1968, from memory).
        """
        checked = self.redundancy > UNCHECKED
        parts: Array = np.where(
            checked, self.residuals / np.sqrt(np.where(checked, self.redundancy, 1.0)), 0.0
        )
        return parts

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
        wide: Array = basis @ self.covariance[:free, :free] @ basis.T
        return wide

    @cached_property
    def sigmas(self) -> Array:
        """Two sigmas per target: along the longer and the shorter axis of its error ellipse."""
        blocks = [self.centre_covariance[i : i + 2, i : i + 2] for i in self._starts()]
        axes: Array = np.sqrt(np.maximum(np.linalg.eigvalsh(np.array(blocks)), 0.0))[:, ::-1]
        return axes

    def _starts(self) -> range:
        return range(0, 2 * len(self.equations.targets), 2)

    def _prior(self, normal: Array) -> Array:
        """Weak weights: a metre for centres, next to nothing for the rest."""
        free = self.equations.basis.shape[1]
        prior = 1e-12 * (1.0 + normal)
        prior[:free] = ANYWHERE**-2.0
        return prior


#: Steps by which a solution is brought to rounding.
POLISHES = 3
#: Rows of which a smaller part than this shows in their own residual are not checked.
UNCHECKED = 0.02


def adjust(equations: Equations, start: Array, keep: Mask) -> Adjusted:
    """Least squares on the kept rows, from a start that is near."""
    p = _polished(equations, fit(equations, start, keep=keep), keep)
    return Adjusted(equations=equations, p=p, keep=keep)


def _polished(equations: Equations, p: Array, keep: Mask) -> Array:
    """The same solution to rounding, so that it does not hang on the machine that found it.

    Plain Gauss-Newton steps, taken only where they lower the sum of squares or leave it.
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


#: Beyond this sigma (mm) nothing holds a target at all.
LOOSE = 150.0
#: No belt can be judged on a centre that is known no better than this (mm, 1 sigma), ...
WEAK = 10.0
#: ... unless the tape itself was read so badly: this many times the worst reading's sigma.
WEAK_IN_TAPES = 5.0
#: So many readings are named at most.
MOST_NAMED = 4


def weak_targets(adjusted: Adjusted) -> tuple[int, ...]:
    """Targets whose place is held too weakly to be of use, the weakest first."""
    worst = max((tape.sigma for tape in adjusted.equations.survey.tapes), default=0.0)
    limit = max(WEAK, WEAK_IN_TAPES * worst)
    sigmas = adjusted.sigmas[:, 0]
    return tuple(int(i) for i in np.argsort(-sigmas) if sigmas[i] > limit)


def next_readings(adjusted: Adjusted, count: int = 1) -> Iterator[NextReading]:
    """The readings not taken yet that would help most, one after another.

    Greedy: each is the one whose adding takes most off the sum of all variances. Adding a reading
    with slopes a and variance s² takes C·a·aᵀ·C / (s² + aᵀ·C·a) off the covariance C.
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
        yield NextReading(start=names[best[0]], end=names[best[1]], worst_after=_worst(covariance))


def _taken_off(centres: Array, covariance: Array, one: int, other: int, sigma: float) -> Array:
    apart = centres[other] - centres[one]
    unit = apart / max(float(np.linalg.norm(apart)), 1e-9)
    slopes = np.zeros(len(covariance))
    slopes[2 * one : 2 * one + 2], slopes[2 * other : 2 * other + 2] = -unit, unit
    moved = covariance @ slopes
    off: Array = np.outer(moved, moved) / (sigma**2 + slopes @ moved)
    return off


def _worst(covariance: Array) -> float:
    blocks = [covariance[i : i + 2, i : i + 2] for i in range(0, len(covariance), 2)]
    return float(np.sqrt(max(np.linalg.eigvalsh(np.array(blocks)).max(), 0.0)))
