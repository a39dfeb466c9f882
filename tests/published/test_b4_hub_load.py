"""B4: the hub load of a pulley wrapped by 90° between equal tensions is √2·T (statics, exact).

Tolerance 1e-12 relative: rounding only.
"""

from __future__ import annotations

from math import atan2, degrees, hypot, sqrt

import pytest

from beltpath.solve.statics import hub_load
from tests.drives import drive, grooved
from tests.forces.scenes import forces_of

SQUARE = drive(
    {
        "crank": grooved(0, 0, 100, "crank"),
        "b": grooved(0, 400, 100, "other"),
        "c": grooved(400, 400, 100, "other"),
        "d": grooved(400, 0, 100, "other"),
    },
    ribs=None,
    running={"crank_rpm": [1000], "tension": 350, "mass_per_rib": 1e-6},
)


def test_the_formula() -> None:
    x, y = hub_load(350.0, 350.0, (0.0, 1.0), (1.0, 0.0))
    assert hypot(x, y) == pytest.approx(sqrt(2.0) * 350.0, rel=1e-12)
    assert degrees(atan2(y, x)) == pytest.approx(-45.0)


def test_four_pulleys_on_a_square() -> None:
    """The belt's mass is as small as a layout may say: m·v² is 3e-5 N, hence 1e-6 here."""
    (at,) = forces_of(SQUARE).low
    towards_the_middle = [45.0, 315.0, 225.0, 135.0]
    for contact, direction in zip(at.contacts, towards_the_middle, strict=True):
        assert contact.hub_load == pytest.approx(sqrt(2.0) * 350.0, rel=1e-6)
        assert contact.hub_direction == pytest.approx(direction, abs=1e-9)
