"""The tensioner's pulley on its way: where a belt can be laid, and where its length turns.

Only the two spans at that pulley move with it. So every place at which a belt can no longer be
laid is a crossing of the way, an arc or a line, with a circle or a line, in closed form; but for
the wrap on the moving pulley itself, which is followed within bounds of its slope.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import acos, atan2, cos, degrees, hypot, inf, radians, sin, sqrt

from beltpath.geometry import Point, Tangent, distance, rotated, tangent, turn
from beltpath.layout.records import written_near
from beltpath.solve.path import MISSED_WRAP, BeltPath, Contact

#: Lengths nearer than this (mm) are one: extrema that differ by less are not told apart.
SAME_LENGTH = 1e-6
#: Gaps and parts of the travel shorter than this (deg or mm) are not looked for.
SAME_POSITION = 1e-6
#: A function that nowhere differs from its limit would be looked at for ever.
MOST_LOOKS = 1000
#: Below this rate (mm per deg or per mm) the tensioner stands on centre: rates have no sign.
ON_CENTRE = 1e-6

Range = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The way of a pulley's centre: an arc about `pivot`, or a line `along` a direction (deg).

    Positions are degrees on an arc, mm from `at` on a line.
    """

    at: Point
    pivot: Point | None
    along: float

    def centre(self, position: float) -> Point:
        """Where the pulley's centre is at a position."""
        if self.pivot is None:
            ux, uy = self.velocity(position)
            return (self.at[0] + position * ux, self.at[1] + position * uy)
        angle, arm = radians(position), distance(self.pivot, self.at)
        return (self.pivot[0] + arm * cos(angle), self.pivot[1] + arm * sin(angle))

    def velocity(self, position: float) -> Point:
        """How the centre moves for a unit of position: mm per degree, or mm per mm."""
        if self.pivot is None:
            along = radians(self.along)
            return (cos(along), sin(along))
        angle, step = radians(position), radians(distance(self.pivot, self.at))
        return (-step * sin(angle), step * cos(angle))

    @property
    def speed(self) -> float:
        """Length of the velocity: mm for a unit of position."""
        return 1.0 if self.pivot is None else radians(distance(self.pivot, self.at))

    @property
    def bend(self) -> float:
        """Length of the acceleration: mm for the square of a unit of position."""
        return 0.0 if self.pivot is None else radians(self.speed)

    def near(self, position: float, low: float, high: float) -> float:
        """The same place as it is written between two others: an angle by whole turns."""
        return position if self.pivot is None else written_near(position, low, high)

    def at_distance(self, point: Point, radius: float) -> tuple[float, ...]:
        """The positions at which the centre is so far from a point."""
        if self.pivot is None:
            ux, uy = self.velocity(0.0)
            gx, gy = self.at[0] - point[0], self.at[1] - point[1]
            half = ux * gx + uy * gy
            left = half * half - (gx * gx + gy * gy - radius * radius)
            return () if left < 0.0 else (-half - sqrt(left), -half + sqrt(left))
        gx, gy = self.pivot[0] - point[0], self.pivot[1] - point[1]
        arm = distance(self.pivot, self.at)
        return _angles(2.0 * arm * gx, 2.0 * arm * gy, radius**2 - arm**2 - gx * gx - gy * gy)

    def on_line(self, point: Point, direction: Point, left: float) -> tuple[float, ...]:
        """The positions at which the centre is so far to the left of a directed line."""
        nx, ny = -direction[1], direction[0]
        start = self.at if self.pivot is None else self.pivot
        rest = left - nx * (start[0] - point[0]) - ny * (start[1] - point[1])
        if self.pivot is None:
            ux, uy = self.velocity(0.0)
            across = nx * ux + ny * uy
            return () if across == 0.0 else (rest / across,)
        arm = distance(self.pivot, self.at)
        return _angles(arm * nx, arm * ny, rest)

    def nearest(self, point: Point, low: float, high: float) -> float:
        """How near the centre comes to a point between two positions, mm."""
        ends = [distance(self.centre(end), point) for end in (low, high)]
        if self.pivot is None:
            ux, uy = self.velocity(0.0)
            foot = ux * (point[0] - self.at[0]) + uy * (point[1] - self.at[1])
        else:
            foot = degrees(atan2(point[1] - self.pivot[1], point[0] - self.pivot[0]))
            foot = self.near(foot, low, high)
        inside = [distance(self.centre(foot), point)] if low < foot < high else []
        return min(ends + inside)


def _angles(a: float, b: float, c: float) -> tuple[float, ...]:
    """The angles in degrees at which a·cos + b·sin = c."""
    most = hypot(a, b)
    if abs(c) > most or most == 0.0:
        return ()
    middle, half = degrees(atan2(b, a)), degrees(acos(c / most))
    return (middle - half, middle + half)


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """The moving pulley between the two that its spans come from and go to.

    `into` is the direction in which the belt comes to `before`, `out` that in which it leaves
    `after`; None where these are the moving pulley's own spans, in a drive of two.
    """

    motion: Motion
    before: Contact
    moving: Contact
    after: Contact
    into: Point | None
    out: Point | None

    def spans(self, position: float) -> tuple[Tangent, Tangent] | None:
        """The spans to and from the moving pulley; None where there is none."""
        centre, q = self.motion.centre(position), _q(self.moving)
        into = tangent(self.before.centre, _q(self.before), centre, q)
        out = tangent(centre, q, self.after.centre, _q(self.after))
        return None if into is None or out is None else (into, out)

    def rate(self, position: float) -> float:
        """dL/dposition = (u_in − u_out)·v; 0 where there is no belt."""
        laid = self.spans(position)
        if laid is None:
            return 0.0
        (ux, uy), (wx, wy) = laid[0].direction, laid[1].direction
        vx, vy = self.motion.velocity(position)
        return (ux - wx) * vx + (uy - wy) * vy

    def parts(self, low: float, high: float, laid: Callable[[float], bool]) -> list[Range]:
        """The parts of a stretch of the way in which a belt can be laid, each to its very ends.

        `laid` is asked once in the middle of every stretch between two places where that can
        change, and at the ends.
        """
        found: list[Range] = []
        for start, end in pairwise(self._cuts(low, high)):
            if not laid((start + end) / 2.0):
                continue
            if found and found[-1][1] == start and laid(start):
                found[-1] = (found[-1][0], end)
            else:
                found.append((start, end))
        return [(_inside(a, b, laid), _inside(b, a, laid)) for a, b in found]

    def turns(self, low: float, high: float) -> list[float]:
        """Where dL/dposition changes its sign, from `low` to `high`: every extremum of L.

        L'' = (n·v)²/ℓ_in + (n·v)²/ℓ_out + (u_in − u_out)·a is nowhere below −2·|a|, so a rate keeps
        its sign for some way: a stretch is halved until that settles it. Extrema that differ by
        less than `SAME_LENGTH` are not told apart.
        """
        fall = 2.0 * self.motion.bend
        least = sqrt(SAME_LENGTH / fall) if fall else high - low

        def settled(start: float, first: float, end: float, last: float) -> bool:
            room = fall * (end - start)
            return first > room or -last > room

        looks = _looked(self.rate, low, high, settled, least)
        signed = [(at, rate) for at, rate in looks if abs(rate) >= ON_CENTRE]
        return _crossed(self.rate, signed)

    def _cuts(self, low: float, high: float) -> list[float]:
        """Both ends and, in order, all places between where it may change that a belt is laid."""
        crossings = [self.motion.near(at, low, high) for at in self._crossings()]
        cuts = sorted({low, high, *(at for at in crossings if low < at < high)})
        return sorted({*cuts, *(at for ends in pairwise(cuts) for at in self._missed(*ends))})

    def _crossings(self) -> Iterator[float]:
        """Where a span shrinks to nothing, or a wrap passes none or `MISSED_WRAP`."""
        before, moving, after, motion = self.before, self.moving, self.after, self.motion
        for other in (before, after):
            yield from motion.at_distance(other.centre, abs(_q(other) - _q(moving)))
        for wrap in (0.0, MISSED_WRAP):
            if self.into is not None:
                way = _turned(self.into, before.sign * wrap)
                yield from motion.on_line(before.centre, way, _q(moving) - _q(before))
            if self.out is not None:
                way = _turned(self.out, -after.sign * wrap)
                yield from motion.on_line(after.centre, way, _q(moving) - _q(after))
        past = tangent(before.centre, _q(before), after.centre, _q(after))
        if past is not None:
            yield from motion.on_line(before.centre, past.direction, _q(moving) - _q(before))

    def _missed(self, low: float, high: float) -> list[float]:
        """Where between two cuts a wrap that follows both spans passes `MISSED_WRAP`."""
        if self.spans((low + high) / 2.0) is None:
            return []
        start, end = (_inside(*way, self._open) for way in ((low, high), (high, low)))
        found = self._passed(partial(self._over, own=True), start, end)
        if self.into is None:
            found += self._passed(partial(self._over, own=False), start, end)
        return found

    def _passed(self, wrap: Callable[[float], float], low: float, high: float) -> list[float]:
        def settled(start: float, first: float, end: float, last: float) -> bool:
            if first * last < 0.0:
                return False
            return abs(first) + abs(last) > self._steepest(start, end) * (end - start)

        looks = _looked(wrap, low, high, settled, SAME_POSITION)
        return _crossed(wrap, looks)

    def _open(self, position: float) -> bool:
        return self.spans(position) is not None

    def _over(self, position: float, *, own: bool) -> float:
        """Wrap less `MISSED_WRAP` on the moving pulley, or in a drive of two on the other one."""
        laid = self.spans(position)
        if laid is None:
            return -MISSED_WRAP
        into, out = (span.direction for span in laid)
        wrap = turn(into, out, self.moving.sign) if own else turn(out, into, self.before.sign)
        return wrap - MISSED_WRAP

    def _steepest(self, low: float, high: float) -> float:
        """Bound on how fast a wrap changes (rad a unit): |v|·(1/ℓ_in + 1/ℓ_out)."""
        bound = 0.0
        for other in (self.before, self.after):
            rise = _q(other) - _q(self.moving)
            square = self.motion.nearest(other.centre, low, high) ** 2 - rise * rise
            bound += self.motion.speed / sqrt(square) if square > 0.0 else inf
        return bound


def between(path: BeltPath, pulley: str, motion: Motion) -> Between:
    """The pulley of a path that moves, between its neighbours."""
    i, count = path.index(pulley), len(path.contacts)
    return Between(
        motion=motion,
        before=path.contacts[i - 1],
        moving=path.contacts[i],
        after=path.contacts[(i + 1) % count],
        into=None if count == 2 else path.spans[i - 2].direction,
        out=None if count == 2 else path.spans[(i + 1) % count].direction,
    )


def _crossed(look: Callable[[float], float], looks: list[tuple[float, float]]) -> list[float]:
    """Where a function changes its sign between two looks that differ in it, by bisection."""
    return [
        _bisected(look, one, other, here)
        for (one, here), (other, there) in pairwise(looks)
        if here * there < 0.0
    ]


def _bisected(look: Callable[[float], float], one: float, other: float, here: float) -> float:
    """The last position from `one` towards `other` at which a function has the sign of `here`."""
    for _ in range(60):
        middle = (one + other) / 2.0
        if look(middle) * here > 0.0:
            one = middle
        else:
            other = middle
    return one


def _q(contact: Contact) -> float:
    """Signed radius."""
    return contact.sign * contact.radius


def _turned(direction: Point, angle: float) -> Point:
    return rotated(direction, cos(angle), sin(angle))


def _inside(end: float, other: float, laid: Callable[[float], bool]) -> float:
    """The place nearest to `end`, towards `other`, at which a belt is laid in spite of rounding."""
    if laid(end):
        return end
    step, way = 1e-13 * max(1.0, abs(end)), 1.0 if other > end else -1.0
    while step < abs(other - end) / 2.0:
        if laid(end + way * step):
            return end + way * step
        step *= 2.0
    return (end + other) / 2.0


def _looked(
    look: Callable[[float], float],
    low: float,
    high: float,
    settled: Callable[[float, float, float, float], bool],
    least: float,
) -> list[tuple[float, float]]:
    """A function at so many places that every stretch between two is settled or `least` long.

    Coarse stretches first; no more than about `MOST_LOOKS`.
    """
    seen = {low: look(low), high: look(high)}
    open_ = [(low, high)]
    while open_ and open_[0][1] - open_[0][0] > least and len(seen) < MOST_LOOKS:
        halves: list[Range] = []
        for start, end in open_:
            if not settled(start, seen[start], end, seen[end]):
                middle = (start + end) / 2.0
                seen[middle] = look(middle)
                halves += [(start, middle), (middle, end)]
        open_ = halves
    return sorted(seen.items())
