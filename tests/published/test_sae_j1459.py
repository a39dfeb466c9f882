"""SAE J1459-2022 (summary, seen): PK pulley grooves, over-balls diameter and groove tips.

From pitch 3.56 and ball 2.50 the sharp flank apex stands −0.028 (40° groove) and +0.261 (37°) from
the over-balls diameter. The figures have three decimals, so 0.001 is asked. Groove-tip diameter is
over balls less 1.875, over balls is effective plus 0.990.
"""

from __future__ import annotations

from math import radians, sin, tan

import pytest

from beltpath.data.sections import section
from beltpath.layout.records import Measured, Pulley, effective_diameter, outside_diameter

PITCH, BALL = 3.56, 2.50


@pytest.mark.parametrize(("groove", "printed"), [(40.0, -0.028), (37.0, 0.261)])
def test_flank_apex_less_over_balls(groove: float, printed: float) -> None:
    pk = section("PK")
    assert (pk.number("pitch"), pk.number("ball")) == (PITCH, BALL)
    half = radians(groove / 2)
    apex_above_root = PITCH / 2 / tan(half)
    ball_centre_above_root = BALL / 2 / sin(half)
    over_balls_above_root = ball_centre_above_root + BALL / 2
    assert 2 * (apex_above_root - over_balls_above_root) == pytest.approx(printed, abs=1e-3)


def test_groove_tip_is_over_balls_less_1_875() -> None:
    pk = section("PK")
    over_balls = _pulley("over_balls", 57.0)
    assert effective_diameter(over_balls, pk) == pytest.approx(57.0 - 0.990, abs=1e-12)
    assert outside_diameter(over_balls, pk) == pytest.approx(57.0 - 1.875, abs=1e-12)


def test_effective_from_outside_is_plus_0_885() -> None:
    assert effective_diameter(_pulley("outside", 100.0), section("PK")) == pytest.approx(
        100.885, abs=1e-12
    )


def _pulley(how: str, value: float) -> Pulley:
    measured = Measured("over_balls" if how == "over_balls" else "outside", value)
    return Pulley(name="p", at=(0.0, 0.0), measured=measured, face="grooved", role="pump")
