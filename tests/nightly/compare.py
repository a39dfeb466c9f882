"""What beltpath says of a drive against what the solver says."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees
from typing import NamedTuple

import beltpath
from beltpath.solve.path import trace
from beltpath.solve.tensioner import Stand
from tests.nightly.drives import Drive, drive
from tests.nightly.solver import moved, position_for, rate, solved

#: How far the two may be apart. Lengths, wraps and positions are roots of the same accuracy; a rate
#: is a difference quotient here, good to about 1e-9 of a length over its step.
BOUNDS = {
    "length": 1e-8,
    "wrap": 1e-8,
    "position": 1e-7,
    "rate": 1e-6,
    "tension": 1e-5,
}
UNITS = {
    "length": "mm",
    "wrap": "deg",
    "position": "deg or mm",
    "rate": "of the rate",
    "tension": "of the tension",
}


class Difference(NamedTuple):
    """One quantity of one drive, and how far the two answers are apart."""

    seed: int
    what: str
    apart: float

    @property
    def sound(self) -> bool:
        """Whether they agree; a NaN does not."""
        return self.apart <= BOUNDS[self.what]


def differences(seed: int) -> Iterator[Difference]:
    """Every quantity of the drive of that number."""
    made = drive(seed)
    layout = beltpath.parse(made.text)
    stand = beltpath.study(layout).stand
    if stand is None or stand.tension is None or stand.reached != "reached":
        raise AssertionError(f"drive {seed}: its tensioner is not solved")
    # As measured, for with the belt in hand every path has that belt's length.
    yield Difference(seed, "length", abs(trace(layout).length - solved(made.wheels).length))
    for what, apart in _apart(made, stand):
        yield Difference(seed, what, apart)


def _apart(made: Drive, stand: Stand) -> Iterator[tuple[str, float]]:
    wheels = moved(made.wheels, made.mover, made.stands)
    belt = solved(wheels)
    slope = rate(made.wheels, made.mover, made.stands)
    again = position_for(made.wheels, made.mover, belt.length)
    for contact in stand.path.contacts:
        yield "wrap", abs(degrees(contact.wrap) - belt.wraps[contact.pulley])
    yield "position", max(abs(stand.position - made.stands), abs(again - made.stands))
    yield "rate", abs(stand.rate / slope - 1.0)
    yield "tension", abs((stand.tension or 0.0) * abs(slope) / made.effort - 1.0)
