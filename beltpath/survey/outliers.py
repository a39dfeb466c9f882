"""Outliers: readings that do not fit the others are found and set aside.

Each kept reading is tested by its normalized residual (data snooping, W. Baarda 1968, from memory).
The worst reading beyond the `critical` value is set aside and the rest is adjusted again; a reading
that fits after all comes back. A reading counts as *located* only when no other reading, set aside
in its place, explains the misfit nearly as well.

A wrong tape reading can move a target across a line, where a sound reading then looks wrong. With a
tape reading in doubt, every other solution that can be reached is screened too. These hypotheses
are compared by the chi-square of what each keeps plus a penalty for each reading set aside.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import sqrt

import numpy as np
from scipy.stats import norm

from beltpath.survey.adjust import Adjusted, Mask, adjust, fit, robust_cost
from beltpath.survey.equations import Equations, Kind
from beltpath.survey.mirrors import mirror_starts
from beltpath.survey.start import robust_fit
from beltpath.survey.views import Array

#: Probability that sound readings give any outlier.
FALSE_ALARM = 0.01
#: Another reading explains a misfit as well when its chi-square is less by no more than this
#: (a likelihood ratio of 1 to about 200).
NEARLY_AS_WELL = 10.8
#: The redundancy that a kind of readings needs before its scatter is estimated.
FEWEST_CHECKS = 10.0
SCATTERING: tuple[Kind, ...] = ("tape", "click")
#: A median scatter larger than stated by this factor enlarges the sigmas before the tests.
CLEARLY_MORE = 1.3
#: An error is detected in 8 of 10 cases when its test's mean exceeds the critical value by this.
POWER = 0.84
#: Hypotheses whose distances all agree within this (mm) give the same centres.
SAME_PLACES = 3.0
#: The penalty for an outlier, as a chi-square: twice the log of how much less likely an error is
#: than none (guide values: one reading in a hundred, of any size up to some 200 sigmas).
PENALTY = 18.0
#: The number of solutions of least robust cost that are screened.
MOST_SCREENED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlier:
    """A row that was set aside, and the rows that may be wrong instead."""

    row: int
    rivals: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Screened:
    """The adjustment without outliers.

    `scatter` is the factor by which each kind scatters more than stated. `others` are rows that
    other hypotheses, about as likely, would set aside.
    """

    adjusted: Adjusted
    outliers: tuple[Outlier, ...]
    scatter: dict[Kind, float]
    others: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BlindSpot:
    """An error of a row that the tests would probably miss: up to `error` sigmas.

    It moves the centre of `target` (an index) by `moves` mm. `error` is infinite when nothing
    checks the row.
    """

    row: int
    error: float
    target: int
    moves: float


def critical(rows: int) -> float:
    """The normalized residual that the largest of `rows` exceeds in 1 of 100 sound surveys."""
    return float(norm.isf(FALSE_ALARM / (2.0 * rows)))


def screen(equations: Equations, p: Array, *, sigmas: Array | None = None) -> Screened:
    """Set the outliers aside, from a robust solution.

    The sigmas are enlarged for readings that scatter more than stated. Given `sigmas` are used as
    they are, so that several solutions can be compared.
    """
    if sigmas is None:
        adjusted = _with_wider_sigmas(_screened(_allowing_for_scatter(equations, p), p))
    else:
        adjusted = _screened(equations.with_sigmas(sigmas), p)
    ratio = adjusted.equations.sigmas / equations.sigmas
    return Screened(
        adjusted=adjusted,
        outliers=tuple(
            Outlier(row=int(row), rivals=_rivals(adjusted, int(row)))
            for row in np.flatnonzero(~adjusted.keep)
        ),
        scatter={
            kind: float(ratio[equations.of_kind(kind)].max(initial=1.0)) for kind in SCATTERING
        },
    )


def _with_wider_sigmas(adjusted: Adjusted) -> Adjusted:
    """Adjusted again with sigmas enlarged to the scatter of the kept readings."""
    factors = np.ones(len(adjusted.equations.rows))
    for kind in SCATTERING:
        factors[adjusted.equations.of_kind(kind)] = max(1.0, _scatter(adjusted, kind))
    wider = adjusted.equations.with_sigmas(adjusted.equations.sigmas * factors)
    return adjust(wider, adjusted.p, adjusted.keep)


def blind_spots(adjusted: Adjusted, at_least: float) -> Iterator[BlindSpot]:
    """Errors in tapes and radii that the tests would miss, moving a centre by `at_least` mm."""
    limit = critical(len(adjusted.equations.rows)) + POWER
    for row, kind in enumerate(row.kind for row in adjusted.equations.rows):
        if not adjusted.keep[row] or kind not in ("tape", "radius"):
            continue
        moved = _influence(adjusted, row)
        target = int(np.argmax(moved))
        checked = float(adjusted.redundancy[row])
        error = limit / sqrt(checked) if checked > 1e-6 else np.inf
        if moved[target] > 1e-6 and error * moved[target] > at_least:
            yield BlindSpot(row=row, error=error, target=target, moves=error * float(moved[target]))


def similar_rims(adjusted: Adjusted) -> Iterator[tuple[int, int]]:
    """Pairs of rims whose names could be exchanged without showing: indices of targets.

    Exchanged names give both a wrong radius. The redundancy of the two rows tells whether the tests
    detect it.
    """
    equations = adjusted.equations
    limit = (critical(len(equations.rows)) + POWER) ** 2
    taped = set(equations.ends.ravel().tolist())
    rows = {
        row.number: i
        for i, row in enumerate(equations.rows)
        if row.kind == "radius" and adjusted.keep[i] and row.number not in taped
    }
    clicked = [int(target) for target in np.unique(equations.clicked) if int(target) in rows]
    for one, other in combinations(clicked, 2):
        pair = [rows[one], rows[other]]
        slopes = adjusted.jacobian[pair]
        shows = np.eye(2) - slopes @ adjusted.covariance @ slopes.T
        off = equations.nominal[other] - equations.nominal[one]
        error = np.array([off, -off]) / equations.sigmas[pair]
        if error @ shows @ error < limit:
            yield one, other


def _allowing_for_scatter(equations: Equations, p: Array) -> Equations:
    """The equations with sigmas enlarged for clicks or tapes that clearly scatter more."""
    residuals = np.abs(equations.residuals(p))
    sigmas = equations.sigmas.copy()
    for kind in SCATTERING:
        rows = equations.of_kind(kind)
        share = rows.sum() - equations.size * rows.sum() / len(rows)
        if share < FEWEST_CHECKS:
            continue
        # 1.4826 times the median absolute value of a normal distribution is its sigma.
        scale = 1.4826 * float(np.median(residuals[rows])) * sqrt(rows.sum() / share)
        if scale > CLEARLY_MORE:
            sigmas[rows] *= scale
    return equations.with_sigmas(sigmas)


def _screened(equations: Equations, p: Array) -> Adjusted:
    limit = critical(len(equations.rows))
    droppable = ~equations.of_kind("focal")
    keep: Mask = (np.abs(equations.residuals(p)) < 2.0 * limit) | ~droppable
    adjusted = adjust(equations, p, keep)
    seen: set[bytes] = set()
    while adjusted.keep.tobytes() not in seen:
        seen.add(adjusted.keep.tobytes())
        adjusted = adjust(equations, adjusted.p, _changed(adjusted, limit, droppable))
    return adjusted


def _changed(adjusted: Adjusted, limit: float, droppable: Mask) -> Mask:
    """The kept rows after one step: the best outlier comes back, or the worst row goes."""
    size = np.abs(adjusted.normalized)
    keep = adjusted.keep.copy()
    back = np.where(keep, np.inf, size)
    if back.min() < limit:
        keep[int(np.argmin(back))] = True
        return keep
    worst = np.where(keep & droppable, size, 0.0)
    if worst.max() > limit:
        keep[int(np.argmax(worst))] = False
    return keep


def _scatter(adjusted: Adjusted, kind: Kind) -> float:
    """Root of chi-square over redundancy of a kind's kept rows; 1 with too little redundancy."""
    rows = adjusted.equations.of_kind(kind) & adjusted.keep
    checks = float(adjusted.redundancy[rows].sum())
    if checks < FEWEST_CHECKS:
        return 1.0
    return sqrt(float((adjusted.residuals[rows] ** 2).sum()) / checks)


def _rivals(adjusted: Adjusted, row: int) -> tuple[int, ...]:
    """Kept rows that explain the misfit nearly as well as the row set aside."""
    keep = adjusted.keep.copy()
    keep[row] = True
    with_row = replace(adjusted, keep=keep)
    step = with_row.covariance @ with_row.jacobian[keep].T @ with_row.residuals[keep]
    residuals = with_row.residuals - with_row.jacobian @ step
    checked = np.maximum(with_row.redundancy, 1e-12)
    tests = np.where(keep & (with_row.redundancy > 1e-6), residuals**2 / checked, 0.0)
    tests[adjusted.equations.of_kind("focal")] = 0.0
    near = np.flatnonzero(tests > tests[row] - NEARLY_AS_WELL)
    return tuple(int(i) for i in near if i != row)


def _influence(adjusted: Adjusted, row: int) -> Array:
    """How far each centre moves for an error of one sigma in a row, mm."""
    step = adjusted.covariance @ adjusted.jacobian[row]
    lengths: Array = np.linalg.norm(adjusted.equations.centres(step), axis=1)
    return lengths


def best_hypothesis(system: Equations, screened: Screened, guesses: Sequence[Array]) -> Screened:
    """The best hypothesis on the outliers, with the rows that others about as good set aside.

    `system` holds the sigmas as stated; `guesses` are starts for other solutions.
    """
    if not any(system.rows[one.row].kind == "tape" for one in screened.outliers):
        return screened
    sigmas = screened.adjusted.equations.sigmas
    others = _other_solutions(system, screened.adjusted, guesses)
    found = [screened, *(screen(system, p, sigmas=sigmas) for p in others)]
    best = min(found, key=_cost)
    likely = [one for one in found if _cost(one) < _cost(best) + NEARLY_AS_WELL]
    apart = _apart(best.adjusted.centres)
    elsewhere = [
        one for one in likely if np.abs(_apart(one.adjusted.centres) - apart).max() > SAME_PLACES
    ]
    rows = {out.row for one in elsewhere for out in one.outliers}
    if best is not screened:
        best = screen(system, best.adjusted.p)
    return replace(best, others=tuple(sorted(rows - {out.row for out in best.outliers})))


def _cost(screened: Screened) -> float:
    """Chi-square of the kept rows plus the penalties of the outliers."""
    return screened.adjusted.chi_square + PENALTY * len(screened.outliers)


def _other_solutions(
    system: Equations, adjusted: Adjusted, guesses: Sequence[Array]
) -> Iterator[Array]:
    """Robust solutions from all starts in the order of their cost; mirror images count once."""
    starts = [*guesses, *mirror_starts(adjusted), *_other_sizes(system, adjusted.p)]
    reached = sorted(
        (robust_fit(system, start) for start in starts),
        key=lambda p: robust_cost(system.residuals(p)),
    )
    seen: list[Array] = [_apart(adjusted.centres)]
    for p in reached:
        if len(seen) > MOST_SCREENED:
            return
        apart = _apart(system.unpack(p).centres)
        if all(np.abs(apart - other).max() > SAME_PLACES for other in seen):
            seen.append(apart)
            yield p


def _apart(centres: Array) -> Array:
    """All distances between the centres: the same for a solution and its mirror image."""
    apart: Array = np.linalg.norm(centres[:, None] - centres[None, :], axis=2)
    return apart


def _other_sizes(system: Equations, p: Array) -> Iterator[Array]:
    """Starts where the readings alone determine one rim's size."""
    for row in np.flatnonzero(system.of_kind("radius")):
        others = np.arange(len(system.rows)) != row
        yield fit(system, p, keep=others, loss="cauchy")
