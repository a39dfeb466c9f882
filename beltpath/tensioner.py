"""Where the tensioner stands: position <-> belt length.

Positions are degrees for an arm or swing, mm for a slide. The position that a belt gives is one
equation in one unknown, L(position) = length, monotonic until over-centre (dL/dposition = 0).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, pi, radians, sin
from typing import Literal

from beltpath.errors import PathError
from beltpath.geometry import Point, distance
from beltpath.layout import Layout, Sense, Spring, Tensioner, sense_of
from beltpath.path import BeltPath

Reached = Literal["measured", "reached", "too short", "too long"]

#: Newton stops when the length is met to this (mm); far below anything that can be measured.
CLOSE_ENOUGH = 1e-9
MOST_STEPS = 100
#: The travel is searched for an over-centre point at this many steps.
TRAVEL_STEPS = 48
#: Below this rate (mm per deg or per mm) the tensioner stands on centre.
ON_CENTRE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Where the tensioner stands and what its travel gives.

    Lengths are effective belt lengths in mm: `at_free` and `at_load` at the two ends of the usable
    travel, `rate` dL/dposition (mm per deg or per mm) where it stands. `reached` tells how the
    position was found: measured in the layout, reached by the given belt, or the end nearest to
    a belt that is too short or too long. `usable` is the part of the travel, free end first, in
    which the belt can be laid at all. `over_centre` is the position there at which dL/dposition
    changes sign, `at_over_centre` the length there; None if it does not. `tension` is the static
    belt tension in N, None without a spring, on centre, or where the belt cannot be reached.
    `release` is the way the lever must go to slacken: a sense, or for a slide a direction (deg).
    """

    tensioner: Tensioner
    position: float
    at: Point
    path: BeltPath
    reached: Reached
    usable: tuple[float, float]
    rate: float
    at_free: float
    at_load: float
    over_centre: float | None
    at_over_centre: float | None
    release: Sense | float
    tension: float | None

    @property
    def shortest(self) -> float:
        """Shortest belt that the travel can take, mm."""
        return min(self._turns())

    @property
    def longest(self) -> float:
        """Longest belt that the travel can keep taut, mm."""
        return max(self._turns())

    def _turns(self) -> tuple[float, ...]:
        """Lengths where the path can be longest or shortest: at the ends, and over centre."""
        ends = (self.at_free, self.at_load)
        return ends if self.at_over_centre is None else (*ends, self.at_over_centre)

    @property
    def travel_used(self) -> float:
        """How far from the free stop (0) to the load stop (1) it stands."""
        t = self.tensioner
        return (self.position - t.free) / (t.load - t.free)

    @property
    def take_up(self) -> float:
        """Effective length that it can still take up from here to its free stop, mm."""
        return self.at_free - self.path.length


@dataclass(frozen=True, slots=True)
class Travel:
    """A tensioner on its path: every question about positions is asked here."""

    tensioner: Tensioner
    path: BeltPath
    measured_at: Point

    def centre(self, position: float) -> Point:
        """Where the pulley's centre is at a position."""
        t, at = self.tensioner, self.measured_at
        if t.pivot is not None:
            angle, arm = radians(position), distance(t.pivot, at)
            return (t.pivot[0] + arm * cos(angle), t.pivot[1] + arm * sin(angle))
        along = radians(t.along or 0.0)
        return (at[0] + position * cos(along), at[1] + position * sin(along))

    def velocity(self, position: float) -> Point:
        """How the centre moves for a unit of position: mm per degree, or mm per mm."""
        t = self.tensioner
        if t.pivot is not None:
            angle, step = radians(position), radians(distance(t.pivot, self.measured_at))
            return (-step * sin(angle), step * cos(angle))
        along = radians(t.along or 0.0)
        return (cos(along), sin(along))

    def measured_position(self) -> float:
        """The position at which the layout's centre lies, written through near the travel."""
        t = self.tensioner
        if t.pivot is None:
            return 0.0
        at = self.measured_at
        angle = degrees(atan2(at[1] - t.pivot[1], at[0] - t.pivot[0]))
        middle = (t.free + t.load) / 2.0
        return angle + 360.0 * round((middle - angle) / 360.0)

    def path_at(self, position: float) -> BeltPath:
        """The belt's path with the tensioner at a position; PathError when there is none."""
        try:
            return self.path.moved(self.tensioner.pulley, self.centre(position))
        except PathError as error:
            where = f"{position:.4g}{'' if self.tensioner.pivot is None else '°'}"
            raise PathError(f"with the tensioner at {where}: {error}") from error

    def laid(self, position: float) -> BeltPath | None:
        """The path at a position, None where the belt cannot be laid or would miss a pulley."""
        try:
            path = self.path_at(position)
        except PathError:
            return None
        return path if path.proper or not self.path.proper else None

    def rate(self, path: BeltPath, position: float) -> float:
        """dL/dposition from the exact gradient ∂L/∂c = u_in − u_out."""
        gx, gy = path.centre_gradient(path.index(self.tensioner.pulley))
        vx, vy = self.velocity(position)
        return gx * vx + gy * vy

    def usable(self) -> tuple[float, float]:
        """The part of the travel round the measured position in which the belt can be laid.

        Free end first. Where the belt can be laid nowhere in the travel, only the measured position
        is left, which then lies outside it.
        """
        t = self.tensioner
        stops = [t.free + (t.load - t.free) * i / TRAVEL_STEPS for i in range(TRAVEL_STEPS + 1)]
        good = [i for i, position in enumerate(stops) if self.laid(position) is not None]
        measured = self.measured_position()
        if not good:
            return measured, measured
        first = last = min(good, key=lambda i: abs(stops[i] - measured))
        while first - 1 in good:
            first -= 1
        while last + 1 in good:
            last += 1
        free_end = t.free if first == 0 else self._edge(stops[first], stops[first - 1])
        load_end = t.load if last == TRAVEL_STEPS else self._edge(stops[last], stops[last + 1])
        return free_end, load_end

    def position_for(self, length: float, usable: tuple[float, float]) -> float | None:
        """The position at which the path is `length` long; None when the travel does not hold it.

        Newton on the exact derivative, kept inside a bracket that starts as the usable travel.
        """
        low, high = usable
        low_side = self.path_at(low).length - length
        high_side = self.path_at(high).length - length
        if low_side * high_side > 0.0:
            return None
        position = low + (high - low) * low_side / ((low_side - high_side) or 1.0)
        path, steps = self.path_at(position), 0
        while abs(off := path.length - length) >= CLOSE_ENOUGH and steps < MOST_STEPS:
            if (off > 0.0) == (low_side > 0.0):
                low = position
            else:
                high = position
            rate = self.rate(path, position)
            position = position - off / rate if rate else low
            if not min(low, high) < position < max(low, high):
                position = (low + high) / 2.0
            path, steps = self.path_at(position), steps + 1
        return position

    def over_centre(self, usable: tuple[float, float]) -> float | None:
        """Where in the usable travel dL/dposition changes sign, by bisection; None if nowhere.

        Rates below `ON_CENTRE` have no sign: where the pulley just leaves the belt they are noise.
        """
        start, end = usable
        steps = [start + (end - start) * i / TRAVEL_STEPS for i in range(TRAVEL_STEPS + 1)]
        signs = [_sign(self.rate_here(position)) for position in steps]
        first = next(filter(None, signs), 0)
        for (before, here), sign in zip(pairwise(steps), signs[1:], strict=True):
            if sign == -first != 0:
                return _bisect(before, here, lambda p: self.rate_here(p) * first > 0.0)
        return None

    def rate_here(self, position: float) -> float:
        """dL/dposition at a position."""
        return self.rate(self.path_at(position), position)

    def _edge(self, good: float, bad: float) -> float:
        """The last position from `good` towards `bad` at which the belt can be laid."""
        return _bisect(good, bad, lambda p: self.laid(p) is not None)


def stand(layout: Layout, path: BeltPath) -> Stand | None:
    """Where the tensioner of the layout stands: at the given belt's position, or as measured.

    None without a tensioner. A belt that the travel cannot reach stands at the nearer end; where no
    belt can be laid in the travel at all, the drive stays as it was measured.
    """
    t = layout.tensioner
    if t is None:
        return None
    travel = Travel(t, path, layout.pulleys[t.pulley].at)
    usable = travel.usable()
    position, reached = _where(travel, layout.belt.length, usable)
    here = travel.path_at(position)
    rate = travel.rate(here, position)
    at_free, at_load = (travel.path_at(end).length for end in usable)
    centre = travel.over_centre(usable)
    fall = (at_free - at_load) * (t.load - t.free)
    return Stand(
        tensioner=t,
        position=position,
        at=travel.centre(position),
        path=here,
        reached=reached,
        rate=rate,
        usable=usable,
        at_free=at_free,
        at_load=at_load,
        over_centre=centre,
        at_over_centre=None if centre is None else travel.path_at(centre).length,
        release=_release(t, rate, fall),
        tension=_tension(t, reached, position, rate),
    )


def laid_nowhere(stand: Stand) -> bool:
    """Whether no belt can be laid between the stops, though one can where it was measured."""
    return stand.usable[0] == stand.usable[1]


def _tension(t: Tensioner, reached: Reached, position: float, rate: float) -> float | None:
    """None too where the belt in hand cannot be: no tension is told of what does not exist."""
    if t.spring is None or reached in ("too short", "too long"):
        return None
    return static_tension(t, t.spring, position, rate)


def static_tension(t: Tensioner, spring: Spring, position: float, rate: float) -> float | None:
    """Belt tension in N that the spring sets: T = M/|dL/dθ| for an arm, F/|dL/ds| for a slide.

    M in N·m gives newtons through dL/dθ in m per radian; virtual work, M·dθ = T·dL. None on
    centre, where any tension balances the spring; 0 where the spring is spent.
    """
    if abs(rate) < ON_CENTRE:
        return None
    effort = max(0.0, spring.effort + spring.rate * (position - spring.at))
    if t.kind == "slide":
        return effort / abs(rate)
    return effort * 1000.0 * (pi / 180.0) / abs(rate)


def _where(
    travel: Travel, length: float | None, usable: tuple[float, float]
) -> tuple[float, Reached]:
    if length is None or usable[0] == usable[1]:
        return travel.measured_position(), "measured"
    position = travel.position_for(length, usable)
    if position is not None:
        return position, "reached"
    at_ends = [travel.path_at(end).length for end in usable]
    nearer = usable[abs(at_ends[0] - length) > abs(at_ends[1] - length)]
    return nearer, "too short" if length < min(at_ends) else "too long"


def _bisect(inside: float, outside: float, holds: Callable[[float], bool]) -> float:
    """The last position from `inside` towards `outside` at which something still holds."""
    for _ in range(40):
        middle = (inside + outside) / 2.0
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside


def _sign(rate: float) -> int:
    return 0 if abs(rate) < ON_CENTRE else 1 if rate > 0.0 else -1


def _release(t: Tensioner, rate: float, fall: float) -> Sense | float:
    """The way that shortens the path: by the rate here, or by the travel's fall on centre."""
    rising = (rate if _sign(rate) else -fall) > 0.0
    if t.along is not None:
        return (t.along + 180.0) % 360.0 if rising else t.along % 360.0
    return sense_of(-1 if rising else 1)
