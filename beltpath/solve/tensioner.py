"""Where the tensioner stands: position <-> belt length.

Positions are degrees for an arm or swing, mm for a slide. The position that a belt gives is one
equation in one unknown, L(position) = length, monotonic between over-centre points, at which
dL/dposition = 0. `motion` finds these, and the parts of the travel in which a belt can be laid.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, pi
from typing import Literal

from beltpath.errors import PathError
from beltpath.geometry import Point, distance
from beltpath.layout.keys import Sense
from beltpath.layout.layout import Layout
from beltpath.layout.records import Spring, Tensioner, sense_of
from beltpath.solve.motion import ON_CENTRE, Between, Motion, Range, between
from beltpath.solve.path import BeltPath

Reached = Literal["measured", "reached", "too short", "too long"]

#: A position this near to a stop or to an end of the window (deg or mm) is at it.
AT_STOP = 1e-6
#: How far (mm) pulley and pivot, or pulley and stops, are apart wrongly in ordinary measuring: each
#: is known to 1 mm (1 sigma), at 95 %. A coarser `accuracy` is no more room: it is risk.
ORDINARY = 1.96 * 2.0**0.5

#: Newton stops when the length is met to this (mm); far below anything that can be measured.
CLOSE_ENOUGH = 1e-9
MOST_STEPS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Where the tensioner stands and what its travel gives.

    Lengths are effective belt lengths in mm: `at_free` and `at_load` at the two ends of the usable
    travel, `rate` dL/dposition (mm per deg or per mm) where it stands. `reached` tells how the
    position was found: measured in the layout, reached by the given belt, or the end nearest to
    a belt that is too short or too long. Where the measured place lies beyond a stop by more than
    ordinary measuring explains, the stops are in doubt: it stands as measured, whatever the belt,
    and its angle is told within half a turn of 0. `usable` is the part of the travel, free end
    first, in which the belt can be laid at all. `turns` are the positions there at which
    dL/dposition changes sign, each with the length there, from the free end on. `tension` is the
    static belt tension in N, None without a spring, on centre, or where the belt cannot be reached.
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
    turns: tuple[tuple[float, float], ...]
    release: Sense | float
    tension: float | None

    @property
    def shortest(self) -> float:
        """Shortest belt that the travel can take, mm."""
        return min(self._extremes())

    @property
    def longest(self) -> float:
        """Longest belt that the travel can keep taut, mm."""
        return max(self._extremes())

    def _extremes(self) -> tuple[float, ...]:
        """Lengths where the path can be longest or shortest: at the ends, and over centre."""
        return (self.at_free, self.at_load, *(length for _, length in self.turns))

    @property
    def over_centre(self) -> float | None:
        """The over-centre point nearest to the free end; None where there is none."""
        return self.turns[0][0] if self.turns else None

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

    @property
    def motion(self) -> Motion:
        """The way of the pulley's centre."""
        t = self.tensioner
        return Motion(at=self.measured_at, pivot=t.pivot, along=t.along or 0.0)

    def centre(self, position: float) -> Point:
        """Where the pulley's centre is at a position."""
        return self.motion.centre(position)

    def velocity(self, position: float) -> Point:
        """How the centre moves for a unit of position: mm per degree, or mm per mm."""
        return self.motion.velocity(position)

    def measured_position(self) -> float:
        """The position at which the layout's centre lies, written through near the travel."""
        t = self.tensioner
        if t.pivot is None:
            return 0.0
        at = self.measured_at
        return t.written(degrees(atan2(at[1] - t.pivot[1], at[0] - t.pivot[0])))

    def beyond(self) -> float:
        """How far the measured place lies beyond a stop (deg or mm); 0 between them."""
        t = self.tensioner
        return _away(self.measured_position(), (t.free, t.load))

    def stops_doubtful(self) -> bool:
        """Whether it lies beyond a stop by more than ordinary measuring explains."""
        pivot = self.tensioner.pivot
        room = ORDINARY if pivot is None else degrees(ORDINARY / distance(pivot, self.measured_at))
        return self.beyond() > max(AT_STOP, room)

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

    def parts(self) -> tuple[Range, ...]:
        """Every part of the travel in which the belt can be laid, free end first in each."""
        t = self.tensioner
        low, high = sorted((t.free, t.load))
        found = self._between().parts(low, high, lambda p: self.laid(p) is not None)
        return tuple((b, a) if t.free > t.load else (a, b) for a, b in found)

    def usable(self) -> Range:
        """The part of the travel that holds the measured position, or comes nearest to it.

        Free end first. Where the belt can be laid nowhere in the travel, only the measured position
        is left, which then lies outside it.
        """
        measured = self.measured_position()
        return min(self.parts(), key=lambda p: _away(measured, p), default=(measured, measured))

    def turns(self, usable: Range) -> tuple[float, ...]:
        """Where in a part of the travel dL/dposition changes sign, in the order of its ends."""
        found = self._between().turns(*sorted(usable))
        return tuple(found if usable[0] <= usable[1] else found[::-1])

    def over_centre(self, usable: Range) -> float | None:
        """The first of `turns`; None where there is none."""
        return next(iter(self.turns(usable)), None)

    def stretches(self, usable: Range, turns: tuple[float, ...] | None = None) -> list[Range]:
        """A part of the travel from turn to turn, so that each stretch holds a length once.

        The one that holds the measured position is first, then what is nearer to it.
        """
        inner = self.turns(usable) if turns is None else turns
        measured = self.measured_position()
        found = list(pairwise((usable[0], *inner, usable[1])))
        return sorted(found, key=lambda stretch: _away(measured, stretch))

    def position_for(
        self, length: float, usable: Range, turns: tuple[float, ...] | None = None
    ) -> float | None:
        """The position at which the path is `length` long; None when the travel does not hold it.

        Of several, the one on the measured position's own side of an over-centre point, or else
        nearest to that. `turns` are those of the usable travel, where they are known.
        """
        found = (self._in_stretch(length, s) for s in self.stretches(usable, turns))
        return next((position for position in found if position is not None), None)

    def _in_stretch(self, length: float, stretch: Range) -> float | None:
        """Newton on the exact derivative, kept inside a bracket that starts as the stretch.

        A length within `CLOSE_ENOUGH` of an end's is held there.
        """
        low, high = stretch
        low_side = self.path_at(low).length - length
        high_side = self.path_at(high).length - length
        for end, side in ((low, low_side), (high, high_side)):
            if abs(side) < CLOSE_ENOUGH:
                return end
        if low_side * high_side > 0.0:
            return None
        position = low + (high - low) * low_side / (low_side - high_side)
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
        # A bracket that closes on a jump of the length holds no position.
        return position if abs(off) < CLOSE_ENOUGH else None

    def rate_here(self, position: float) -> float:
        """dL/dposition at a position."""
        return self.rate(self.path_at(position), position)

    def _between(self) -> Between:
        return between(self.path, self.tensioner.pulley, self.motion)


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
    turns = tuple((at, travel.path_at(at).length) for at in travel.turns(usable))
    position, reached = _where(travel, layout.belt.length, usable, turns)
    here = travel.path_at(position)
    rate = travel.rate(here, position)
    at_free, at_load = (travel.path_at(end).length for end in usable)
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
        turns=turns,
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
    travel: Travel, length: float | None, usable: Range, turns: tuple[tuple[float, float], ...]
) -> tuple[float, Reached]:
    if travel.stops_doubtful():
        at = travel.measured_position()
        whole_turns = 0.0 if travel.tensioner.pivot is None else 360.0 * round(at / 360.0)
        return at - whole_turns, "measured"
    if length is None or usable[0] == usable[1]:
        return travel.measured_position(), "measured"
    position = travel.position_for(length, usable, tuple(at for at, _ in turns))
    if position is not None:
        return position, "reached"
    known = [*turns, *((end, travel.path_at(end).length) for end in usable)]
    nearer, its_length = min(known, key=lambda one: abs(one[1] - length))
    return nearer, "too short" if length < its_length else "too long"


def _away(position: float, part: Range) -> float:
    """How far a position is from a part of the travel; 0 inside it."""
    return max(min(part) - position, position - max(part), 0.0)


def _sign(rate: float) -> int:
    return 0 if abs(rate) < ON_CENTRE else 1 if rate > 0.0 else -1


def _release(t: Tensioner, rate: float, fall: float) -> Sense | float:
    """The way that shortens the path: by the rate here, or by the travel's fall on centre."""
    rising = (rate if _sign(rate) else -fall) > 0.0
    if t.along is not None:
        return (t.along + 180.0) % 360.0 if rising else t.along % 360.0
    return sense_of(-1 if rising else 1)
