"""First guesses of where targets lie from tape readings: built up triangle by triangle, by chance.

A target that two readings reach from known places lies on one side or the other of the line
between those. The order of building, and the side, are drawn at random (always the same draws),
so that among many guesses some are built without the readings that are wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from math import cos, log1p, pi, sin
from typing import NamedTuple

import numpy as np

from beltpath.geometry import Point, distance
from beltpath.measure.equations import Equations
from beltpath.measure.views import Array

Places = dict[int, Point]
#: So many guesses are built; for targets to be added to a photograph fewer do.
GUESSES, GUESSES_ON_PHOTO = 200, 40
#: How often the place that fits best is taken, and not the next best.
BEST_TAKEN = 0.6
#: The places tried for a target are the crossings of so many of the readings that reach it.
MOST_CROSSED = 4
#: A reading that is off by more than this (mm) hardly counts in a guess.
FAR_OFF = 5.0
#: Places nearer to each other than this (mm) are one.
SAME_PLACE = 10.0
#: A target that no reading reaches is put this far (mm) from another.
SOMEWHERE = 200.0


class _Link(NamedTuple):
    """A reading seen from one of its ends: the other end, and the centre distance, mm."""

    other: int
    apart: float


def arrangements(equations: Equations, placed: Mapping[int, Point]) -> Iterator[Array]:
    """Guesses of all centres (targets × 2), around those that are `placed` by a photograph."""
    links = _links(equations)
    draw = np.random.default_rng(0)
    for _ in range(GUESSES_ON_PHOTO if placed else GUESSES):
        places = dict(placed) or _beginning(equations, draw)
        while left := [target for target in links if target not in places]:
            _place_one(left, links, places, draw)
        yield np.array([places[target] for target in links])
        if len(placed) == len(links):
            return


def _links(equations: Equations) -> dict[int, list[_Link]]:
    links: dict[int, list[_Link]] = {i: [] for i in range(len(equations.targets))}
    for (start, end), apart in zip(equations.ends.tolist(), _apart(equations), strict=True):
        links[start].append(_Link(end, apart))
        links[end].append(_Link(start, apart))
    return links


def _apart(equations: Equations) -> list[float]:
    """The centre distance that each reading stands for."""
    rims = equations.nominal[equations.ends].sum(axis=1)
    apart: list[float] = np.maximum(equations.distances - equations.rim_signs * rims, 1.0).tolist()
    return apart


def _beginning(equations: Equations, draw: np.random.Generator) -> Places:
    """Either end of a reading."""
    row = int(draw.integers(len(equations.ends)))
    start, end = equations.ends[row].tolist()
    return {start: (0.0, 0.0), end: (_apart(equations)[row], 0.0)}


def _place_one(
    left: list[int],
    links: Mapping[int, list[_Link]],
    places: Places,
    draw: np.random.Generator,
) -> None:
    """Place one more target, if possible one that two readings reach."""
    reached = {target: [link for link in links[target] if link.other in places] for target in left}
    ready = (
        [target for target in left if len(reached[target]) > 1]
        or [target for target in left if reached[target]]
        or left
    )
    target = ready[int(draw.integers(len(ready)))]
    if len(reached[target]) > 1:
        best = _places_for(reached[target], places, draw)
        places[target] = best[0 if draw.random() < BEST_TAKEN else -1]
        return
    # Nothing tells the direction: any will do.
    link = reached[target][0] if reached[target] else _Link(next(iter(places)), SOMEWHERE)
    (x, y), angle = places[link.other], draw.uniform(0.0, 2.0 * pi)
    places[target] = (x + link.apart * cos(angle), y + link.apart * sin(angle))


def _places_for(reached: list[_Link], places: Places, draw: np.random.Generator) -> list[Point]:
    """The two places that fit most of the readings that reach a target, the better first."""
    few = [reached[i] for i in draw.permutation(len(reached))[:MOST_CROSSED].tolist()]
    crossings = sorted(
        (
            place
            for one, other in combinations(few, 2)
            for place in _crossings(places[one.other], one.apart, places[other.other], other.apart)
        ),
        key=lambda place: _off(place, reached, places),
    )
    second = (place for place in crossings if distance(place, crossings[0]) > SAME_PLACE)
    return [crossings[0], *list(second)[:1]]


def _off(place: Point, reached: list[_Link], places: Places) -> float:
    """How badly a place fits the readings that reach it; a reading far off hardly counts."""
    return sum(
        log1p(((distance(place, places[link.other]) - link.apart) / FAR_OFF) ** 2)
        for link in reached
    )


def _crossings(a: Point, ra: float, b: Point, rb: float) -> list[Point]:
    """Where two circles cross, or for circles that do not, the point nearest to both."""
    d = max(distance(a, b), 1e-9)
    ux, uy = (b[0] - a[0]) / d, (b[1] - a[1]) / d
    along = (d * d + ra * ra - rb * rb) / (2.0 * d)
    across = max(ra * ra - along * along, 0.0) ** 0.5
    x, y = a[0] + along * ux, a[1] + along * uy
    return [(x - across * uy, y + across * ux), (x + across * uy, y - across * ux)]
