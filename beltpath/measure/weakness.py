"""What is held too weakly, and which reading to take next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from beltpath.measure.adjustment import Adjusted
from beltpath.measure.views import Array

#: Beyond this sigma (mm) nothing holds a target at all.
LOOSE = 150.0
#: No belt can be judged on a centre that is known no better than this (mm, 1 sigma), ...
WEAK = 10.0
#: ... unless the tape itself was read so badly: this many times the worst reading's sigma.
WEAK_IN_TAPES = 5.0
#: So many readings are named at most.
MOST_NAMED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """A reading, centre to centre, that would help most, and the worst sigma after it, mm."""

    start: str
    end: str
    worst_after: float


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
