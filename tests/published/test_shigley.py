"""A3, A4: Shigley, Mechanical Engineering Design: the flat-belt example 17-1 and a V-belt example.

Status: from memory, pages not seen. A3: open belt on 6 and 18 in, 8 ft apart, wrap of the small
pulley printed 3.0165 rad (five digits, so 1e-4). A4: pitch diameters 7.4 and 11 in and a pitch
length of 113.8 in; printed centre distance 42.4 in (three digits, so 0.05) and wrap 3.057 rad
(four digits, so 1e-3).
"""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from beltpath.solve.path import Disc, Ring, ring


def _open(small: float, large: float, apart: float) -> Ring:
    return ring(
        [Disc("small", (0.0, 0.0), small / 2, 1), Disc("large", (apart, 0.0), large / 2, 1)]
    )


def test_flat_belt_wrap_of_the_small_pulley() -> None:
    assert _open(6.0, 18.0, 96.0).contacts[0].wrap == pytest.approx(3.0165, abs=1e-4)


def test_v_belt_centre_distance_and_wrap() -> None:
    apart = float(brentq(lambda c: _open(7.4, 11.0, c).length - 113.8, 20.0, 60.0))
    assert apart == pytest.approx(42.4, abs=0.05)
    assert _open(7.4, 11.0, apart).contacts[0].wrap == pytest.approx(3.057, abs=1e-3)
