"""The places of the tensioner at which routes for the belt are searched."""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

from beltpath.geometry import Point, distance
from beltpath.layout.layout import Layout
from beltpath.layout.records import Tensioner
from beltpath.solve.path import BeltPath
from beltpath.solve.tensioner import Travel

#: The travel is tried at places at most this far apart (mm of the pulley's centre) ...
STEP = 3.0
#: ... but in no fewer and no more steps than these.
FEWEST_STEPS, MOST_STEPS = 4, 24

#: Positions nearer than this (deg or mm) are one place.
ONE_PLACE = 1e-6

#: Where a tensioner's pulley is does not depend on the belt, and no belt is laid yet.
_NO_PATH = BeltPath(
    contacts=(), spans=(), sides=(), loop=1, length=0.0, turning=0.0, b_e=0.0, inferred=()
)


class TensionerPlace(NamedTuple):
    """Where the tensioner's pulley may stand: its position and its centre, mm.

    `within` tells whether the position lies between the stops; a measured one may not.
    """

    position: float
    centre: Point
    within: bool


def places_of(layout: Layout) -> tuple[TensionerPlace, ...]:
    """Where the tensioner is tried, free end first; one nominal place without a tensioner.

    Where it was measured, both stops, both ends and the middle of the window, and even steps of
    at most `STEP` between the stops. A route that is open only between two neighbouring places
    is not found.
    """
    t = layout.tensioner
    if t is None:
        return (TensionerPlace(0.0, layout.crank.at, True),)
    travel, low, high = travel_of(layout, t), *sorted((t.free, t.load))
    steps = _steps(travel)
    positions: list[float] = []
    for position in (
        travel.measured_position(),
        *(() if t.window is None else (*t.window, sum(t.window) / 2.0)),
        *(t.free + (t.load - t.free) * i / steps for i in range(steps + 1)),
    ):
        if all(abs(position - other) > ONE_PLACE for other in positions):
            positions.append(position)
    return tuple(
        TensionerPlace(
            position, travel.centre(position), low - ONE_PLACE <= position <= high + ONE_PLACE
        )
        for position in sorted(positions, reverse=t.free > t.load)
    )


def travel_of(layout: Layout, tensioner: Tensioner) -> Travel:
    """The tensioner's travel, for questions of where its pulley is: no belt is laid yet."""
    return Travel(tensioner, _NO_PATH, layout.pulleys[tensioner.pulley].at)


def _steps(travel: Travel) -> int:
    t = travel.tensioner
    middle = (t.free + t.load) / 2.0
    around = [travel.centre(position) for position in (t.free, middle, t.load)]
    swept = distance(around[0], around[1]) + distance(around[1], around[2])
    return min(max(ceil(swept / STEP), FEWEST_STEPS), MOST_STEPS)
