"""B3: the tension of a belt from the note that a plucked span sounds.

Source: belt note on korins.com (seen): 0.11 kg/m, span 0.17 m, 220 Hz; printed 610 N. The exact
value of 4·m·L²·f² is 615.5 N. No rounding of that gives 610 (to two digits it is 620); where the
difference of 0.9 % comes from is not known. The tolerance of 1 % spans it, and no more.
"""

from __future__ import annotations

import pytest

from beltpath.solve.statics import span_frequency, span_tension

MASS, LENGTH = 0.11, 170.0


def test_tension_from_frequency() -> None:
    tension = span_tension(220.0, MASS, LENGTH)
    assert tension == pytest.approx(610.0, rel=0.01)
    assert tension == pytest.approx(4.0 * 0.11 * 0.17**2 * 220.0**2, rel=1e-12)
    assert tension == pytest.approx(615.5, abs=0.05)
    assert float(f"{tension:.2g}") == 620.0, "so the print is no rounding of the exact value"


def test_frequency_from_tension() -> None:
    """0.5 % on the frequency, since it goes with the root of a tension that is good to 1 %."""
    assert span_frequency(610.0, MASS, LENGTH) == pytest.approx(220.0, rel=0.005)
    assert span_frequency(615.5, MASS, LENGTH) == pytest.approx(220.0, abs=0.02)


def test_there_and_back() -> None:
    assert span_tension(span_frequency(433.0, MASS, LENGTH), MASS, LENGTH) == pytest.approx(433.0)
