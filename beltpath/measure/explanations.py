"""Which readings are wrong, when another arrangement with other readings wrong fits as well.

A slip of the tape can put a target onto the other side of a line, where a sound reading then looks
wrong in its stead. So whenever a tape reading is in doubt, every arrangement that can be found is
screened for itself, and the explanations are compared: by the chi-square of what each keeps, plus a
price for each reading that it sets aside.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from beltpath.measure.adjustment import Adjusted, fit, robust_cost
from beltpath.measure.blunders import NEARLY_AS_WELL, Screened, screen
from beltpath.measure.equations import Equations
from beltpath.measure.flips import images
from beltpath.measure.start import settled
from beltpath.measure.views import Array

#: Explanations whose distances all agree within this (mm) put nothing in a wrong place.
SAME_PLACES = 3.0
#: What a reading set aside costs, as a chi-square: twice the log of how much less likely a slip is
#: than none (guide values: one reading in a hundred, of any size up to some 200 sigmas).
SLIP_PRICE = 18.0
#: So many of the arrangements of least robust cost are screened.
MOST_SCREENED = 8


def explained(system: Equations, screened: Screened, guesses: Sequence[Array]) -> Screened:
    """The best explanation of what does not fit, and what others about as good set aside.

    `system` are the equations with the sigmas as stated, `guesses` starts for other arrangements.
    """
    if not any(system.rows[doubt.row].kind == "tape" for doubt in screened.doubts):
        return screened
    sigmas = screened.adjusted.equations.sigmas
    others = _arrangements(system, screened.adjusted, guesses)
    found = [screened, *(screen(system, p, sigmas=sigmas) for p in others)]
    best = min(found, key=_price)
    likely = [one for one in found if _price(one) < _price(best) + NEARLY_AS_WELL]
    rows = {doubt.row for one in likely if _elsewhere(one, best) for doubt in one.doubts}
    if best is not screened:
        best = screen(system, best.adjusted.p)
    return replace(best, others=tuple(sorted(rows - {doubt.row for doubt in best.doubts})))


def _price(screened: Screened) -> float:
    """Chi-square of what is kept, and the price of every reading set aside."""
    return screened.adjusted.chi_square + SLIP_PRICE * len(screened.doubts)


def _elsewhere(one: Screened, other: Screened) -> bool:
    moved = _apart(one.adjusted.centres) - _apart(other.adjusted.centres)
    return float(np.abs(moved).max()) > SAME_PLACES


def _arrangements(
    system: Equations, adjusted: Adjusted, guesses: Sequence[Array]
) -> Iterator[Array]:
    """Robust solutions from all starts, those of least robust cost, each and its image once."""
    starts = [*guesses, *images(adjusted), *_other_sizes(system, adjusted.p)]
    reached = sorted(
        (settled(system, start) for start in starts),
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
    """All distances between the centres: the same for an arrangement and its mirror image."""
    apart: Array = np.linalg.norm(centres[:, None] - centres[None, :], axis=2)
    return apart


def _other_sizes(system: Equations, p: Array) -> Iterator[Array]:
    """Starts where one rim's size is what the readings over it say, and not what the file says."""
    for row in np.flatnonzero(system.of_kind("radius")):
        others = np.arange(len(system.rows)) != row
        yield fit(system, p, keep=others, loss="cauchy")
