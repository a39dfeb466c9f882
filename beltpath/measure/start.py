"""First guesses, and the robust solution from which everything else goes on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, cos, radians, sin

import numpy as np

from beltpath.measure.adjustment import fit, robust_cost
from beltpath.measure.arrangements import arrangements
from beltpath.measure.equations import Equations, Unknowns
from beltpath.measure.photo_start import guesses
from beltpath.measure.views import Array, Camera

#: So many first guesses are kept, and so many of them followed to their robust solution.
MOST_GUESSES, MOST_FOLLOWED = 32, 8
#: A camera's solution is gone on with so often, and ends when its cost falls to no less than this
#: part of what it was.
MOST_ROUNDS, ENOUGH = 5, 0.99
#: Guesses of which no number differs by more than this (mm) are one.
ALIKE = 15.0


def first_guesses(equations: Equations) -> list[Array]:
    """Guesses of the unknowns that differ from each other, those that fit most readings first."""
    kept: list[Array] = []
    for p in sorted(_starts(equations), key=lambda p: robust_cost(equations.residuals(p))):
        if all(np.abs(p - other).max() > ALIKE for other in kept):
            kept.append(p)
        if len(kept) == MOST_GUESSES:
            break
    return kept


def robust_solution(equations: Equations, guesses: Sequence[Array]) -> Array:
    """The unknowns of least robust cost to which the first guesses lead."""
    return min(
        (
            settled(equations, p)
            for guess in guesses[:MOST_FOLLOWED]
            for p in _posed(equations, guess)
        ),
        key=lambda p: robust_cost(equations.residuals(p)),
    )


def _posed(equations: Equations, p: Array) -> Iterator[Array]:
    """A guess, and the same with the camera standing otherwise."""
    yield p
    if isinstance(equations.view, Camera):
        u = equations.unpack(p)
        for view in equations.view.other_poses(u.view):
            yield equations.pack(u._replace(view=view))


def settled(equations: Equations, start: Array) -> Array:
    """The robust solution next to a start.

    A camera's numbers hang together, so that its solution creeps: it is gone on with while that
    pays.
    """
    p = fit(equations, start, loss="cauchy")
    if isinstance(equations.view, Camera):
        cost = robust_cost(equations.residuals(p))
        for _ in range(MOST_ROUNDS):
            further = fit(equations, p, loss="cauchy")
            before, cost = cost, robust_cost(equations.residuals(further))
            p = further
            if cost > ENOUGH * before:
                break
    return upright(equations, p)


def upright(equations: Equations, p: Array) -> Array:
    """The same arrangement, turned by half a turn if its level line points backwards."""
    u = equations.unpack(p)
    level = equations.survey.level
    start, end = (u.centres[equations.index(name)] for name in (level.start, level.end))
    angle = radians(level.angle)
    if (end - start) @ (cos(angle), sin(angle)) >= 0.0:
        return p
    return equations.pack(gauged(equations, u, equations.view.front(u.view)))


def gauged(equations: Equations, u: Unknowns, image_to_front: Array) -> Unknowns:
    """The same arrangement moved and turned: crank at the origin, level line at its angle."""
    survey = equations.survey
    crank = u.centres[equations.index(survey.layout.crank.name)]
    start, end = (
        u.centres[equations.index(name)] for name in (survey.level.start, survey.level.end)
    )
    angle = radians(survey.level.angle) - atan2(end[1] - start[1], end[0] - start[0])
    turn = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    move = np.eye(3)
    move[:2, :2] = turn
    move[:2, 2] = -turn @ crank
    centres = (u.centres - crank) @ turn.T
    return Unknowns(centres, u.radii, equations.view.numbers_of(move @ image_to_front))


def _starts(equations: Equations) -> Iterator[Array]:
    if not len(equations.clicked):
        for centres in arrangements(equations, {}):
            yield _packed(equations, centres, equations.nominal, np.eye(3))
        return
    for guess in guesses(equations):
        radii = equations.nominal.copy()
        for target, radius in guess.radii.items():
            radii[target] = radius
        placed = {target: (float(x), float(y)) for target, (x, y) in guess.centres.items()}
        for centres in arrangements(equations, placed):
            yield _packed(equations, centres, radii, guess.image_to_front)


def _packed(equations: Equations, centres: Array, radii: Array, image_to_front: Array) -> Array:
    u = Unknowns(centres, radii, np.empty(0))
    return equations.pack(gauged(equations, u, image_to_front))
