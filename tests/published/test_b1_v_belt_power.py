"""B1: a V-belt's tensions and power.

Source: worked problem 510468 on sarthaks.com (seen): groove 30°, lap 140°, friction 0.15, tight
side 2500 N, belt 2 m/s. Printed: ratio 4.11, slack side 607.85 N, 3784 W. The print goes on with a
ratio rounded to two decimals; the exact values are 4.121, 606.6 N and 3787 W. Tolerance to the
print: 0.5 %, which is the rounding of its ratio (0.26 %) with room for the further steps.
"""

from __future__ import annotations

from math import radians

import pytest

from beltpath.statics import capstan_ratio, slip_reserve, wedge_factor

FRICTION, LAP, GROOVE = 0.15, radians(140.0), 30.0
TIGHT, SPEED = 2500.0, 2.0


def test_the_printed_values_within_their_rounding() -> None:
    ratio = capstan_ratio(FRICTION, LAP, GROOVE)
    slack = TIGHT / ratio
    assert ratio == pytest.approx(4.11, rel=0.005)
    assert slack == pytest.approx(607.85, rel=0.005)
    assert (TIGHT - slack) * SPEED == pytest.approx(3784.0, rel=0.005)


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
