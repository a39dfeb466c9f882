"""B1: a V-belt's tensions and power.

Source: worked problem 510468 on sarthaks.com (seen): groove 30°, lap 140°, friction 0.15, tight
side 2500 N, belt 2 m/s. Printed: ratio 4.11, slack side 607.85 N, 3784 W. The exact values are
4.121, 606.6 N and 3787 W. The print's slack side is not 2500 N over its rounded ratio (608.27 N):
it comes out to the last digit with the lap rounded to 2.44 rad. That rounding is 0.14 % of the
lap, so 0.2 % of the ratio; 0.5 % leaves room for it and for the print's own last digits.
"""

from __future__ import annotations

from math import radians

import pytest

from beltpath.solve.statics import capstan_ratio, slip_reserve, wedge_factor

FRICTION, LAP, GROOVE = 0.15, radians(140.0), 30.0
TIGHT, SPEED = 2500.0, 2.0


def test_the_printed_values_within_their_rounding() -> None:
    ratio = capstan_ratio(FRICTION, LAP, GROOVE)
    slack = TIGHT / ratio
    assert ratio == pytest.approx(4.11, rel=0.005)
    assert slack == pytest.approx(607.85, rel=0.005)
    assert (TIGHT - slack) * SPEED == pytest.approx(3784.0, rel=0.005)


def test_the_print_comes_of_a_lap_rounded_to_two_decimals() -> None:
    """140° is 2.4435 rad; with 2.44 the printed values come out in all their digits."""
    ratio = capstan_ratio(FRICTION, 2.44, GROOVE)
    assert round(ratio, 2) == 4.11
    assert TIGHT / ratio == pytest.approx(607.85, abs=0.005)
    assert (TIGHT - TIGHT / ratio) * SPEED == pytest.approx(3784.0, abs=0.5)
    # Not so with the printed ratio itself.
    assert pytest.approx(608.27, abs=0.005) == TIGHT / 4.11


def test_the_exact_values() -> None:
    """Worked out independently, to the four digits that checks.md gives."""
    ratio = capstan_ratio(FRICTION, LAP, GROOVE)
    assert ratio == pytest.approx(4.121, abs=0.0005)
    assert TIGHT / ratio == pytest.approx(606.6, abs=0.05)
    assert (TIGHT - TIGHT / ratio) * SPEED == pytest.approx(3787.0, abs=0.5)


def test_at_that_ratio_the_belt_is_on_the_point_of_slipping() -> None:
    effective = FRICTION * wedge_factor(GROOVE)
    slack = TIGHT / capstan_ratio(FRICTION, LAP, GROOVE)
    assert slip_reserve(effective, LAP, TIGHT, slack) == pytest.approx(1.0, rel=1e-12)
