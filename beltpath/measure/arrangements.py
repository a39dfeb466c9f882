"""First guesses of where targets lie from tape readings: built up triangle by triangle.

A target that two readings reach from known places lies on one side or the other of the line
between those; every such choice is followed, the better fitting first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, islice
from math import cos, sin
from typing import NamedTuple

import numpy as np

from beltpath.geometry import Point, distance
from beltpath.measure.equations import Equations
from beltpath.measure.views import Array

Places = dict[int, Point]
#: No more first guesses than this are built from one beginning.
MOST_FROM_ONE = 16
#: No more beginnings than this are tried.
MOST_BEGINNINGS = 16
#: Directions (rad) for targets that a single reading reaches, one after another.
_TURN = 2.399963


class _Link(NamedTuple):
    """A reading seen from one of its ends: the other end, and the centre distance, mm."""

    other: int
    apart: float


def arrangements(equations: Equations, placed: Mapping[int, Point]) -> Iterator[Array]:
    """Guesses of all centres (targets × 2), around those that are `placed` by a photograph."""
    links = _links(equations)
    for beginning in _beginnings(equations, placed):
        for places in islice(_grown(links, beginning), MOST_FROM_ONE):
            yield np.array([places[target] for target in range(len(equations.targets))])


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


def _beginnings(equations: Equations, placed: Mapping[int, Point]) -> Iterator[Places]:
    """Where to begin: at what is placed already, or at either end of a reading."""
    if placed:
        yield dict(placed)
        return
    readings = list(zip(equations.ends.tolist(), _apart(equations), strict=True))
    for (start, end), apart in readings[:: max(1, len(readings) // MOST_BEGINNINGS)]:
        yield {start: (0.0, 0.0), end: (apart, 0.0)}


def _grown(links: Mapping[int, list[_Link]], places: Places) -> Iterator[Places]:
    """All completions of what is placed, each target as soon as most readings reach it."""
    left = [target for target in links if target not in places]
    if not left:
        yield places
        return
    target = max(left, key=lambda i: sum(link.other in places for link in links[i]))
    reached = [link for link in links[target] if link.other in places]
    for place in _places_for(reached, places, len(places)):
        yield from _grown(links, {**places, target: place})


def _places_for(reached: list[_Link], places: Places, count: int) -> list[Point]:
    """Where a target can lie by the readings that reach it, the better fitting first."""
    if len(reached) < 2:
        # Nothing tells the direction: any will do, as long as they differ.
        link = reached[0] if reached else _Link(next(iter(places)), 200.0)
        x, y = places[link.other]
        return [(x + link.apart * cos(_TURN * count), y + link.apart * sin(_TURN * count))]
    one, other = max(
        combinations(reached, 2), key=lambda two: distance(*(places[link.other] for link in two))
    )
    both = _crossings(places[one.other], one.apart, places[other.other], other.apart)
    return sorted(both, key=lambda place: _off(place, reached, places))


def _off(place: Point, reached: list[_Link], places: Places) -> float:
    return sum(abs(distance(place, places[link.other]) - link.apart) for link in reached)


def _crossings(a: Point, ra: float, b: Point, rb: float) -> list[Point]:
    """Where two circles cross, or for circles that do not, the point nearest to both."""
    d = max(distance(a, b), 1e-9)
    ux, uy = (b[0] - a[0]) / d, (b[1] - a[1]) / d
    along = (d * d + ra * ra - rb * rb) / (2.0 * d)
    across = max(ra * ra - along * along, 0.0) ** 0.5
    x, y = a[0] + along * ux, a[1] + along * uy
    return [(x - across * uy, y + across * ux), (x + across * uy, y - across * ux)]
