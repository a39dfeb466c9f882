"""A belt solved in another way, in complex numbers: shares no line and no formula with beltpath.

A tangent is the root of one equation in its direction, found by bracketing (Brent); the tensioner's
position the root of another; its rate a difference quotient. Nothing is in closed form here.
"""

from __future__ import annotations

import cmath
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import pi

from scipy.optimize import brentq

#: Roots are found to this part of their bracket.
ROOT = 4e-15


@dataclass(frozen=True)
class Wheel:
    """A pulley by its line: centre, radius in mm, and whether the belt runs anticlockwise on it."""

    name: str
    centre: complex
    radius: float
    anticlockwise: bool

    def point(self, heading: float) -> complex:
        """Where a belt of that heading (rad) touches it."""
        right = cmath.rect(self.radius, heading - pi / 2.0)
        return self.centre + (right if self.anticlockwise else -right)


@dataclass(frozen=True)
class Solved:
    """A belt: its length in mm, the wraps in degrees by name."""

    length: float
    wraps: dict[str, float]


@dataclass(frozen=True)
class Mover:
    """How the tensioner's pulley moves: where it is at a position, and from where to where."""

    name: str
    place: Callable[[float], complex]
    free: float
    load: float


def heading(one: Wheel, other: Wheel) -> float:
    """The heading of the belt that leaves `one` for `other`, rad."""
    straight = cmath.phase(other.centre - one.centre)

    def sideways(turned: float) -> float:
        """How far beside `other` a belt of that heading ends that leaves `one` rightly."""
        way = straight + turned
        off = other.point(way) - one.point(way)
        return (off * cmath.rect(1.0, -way)).imag

    return straight + float(brentq(sideways, -pi / 2.0, pi / 2.0, xtol=ROOT, rtol=ROOT))


def solved(wheels: list[Wheel]) -> Solved:
    """The belt round the wheels in this order."""
    ways = [heading(w, wheels[(i + 1) % len(wheels)]) for i, w in enumerate(wheels)]
    length, wraps = 0.0, {}
    for i, wheel in enumerate(wheels):
        after = wheels[(i + 1) % len(wheels)]
        length += abs(after.point(ways[i]) - wheel.point(ways[i]))
        turned = ways[i] - ways[i - 1]
        wrap = (turned if wheel.anticlockwise else -turned) % (2.0 * pi)
        length += wheel.radius * wrap
        wraps[wheel.name] = wrap * 180.0 / pi
    return Solved(length, wraps)


def moved(wheels: list[Wheel], mover: Mover, position: float) -> list[Wheel]:
    """The wheels with the tensioner's at that position."""
    place = mover.place(position)
    return [replace(w, centre=place) if w.name == mover.name else w for w in wheels]


def position_for(wheels: list[Wheel], mover: Mover, length: float) -> float:
    """The position at which the belt is that long."""

    def off(position: float) -> float:
        return solved(moved(wheels, mover, position)).length - length

    return float(brentq(off, mover.free, mover.load, xtol=1e-13, rtol=ROOT))


def rate(wheels: list[Wheel], mover: Mover, position: float) -> float:
    """Change of length per unit of position: central differences, extrapolated (Richardson)."""

    def slope(step: float) -> float:
        ahead, behind = (solved(moved(wheels, mover, position + by)).length for by in (step, -step))
        return (ahead - behind) / (2.0 * step)

    return (4.0 * slope(0.005) - slope(0.01)) / 3.0
