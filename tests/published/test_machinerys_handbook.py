"""A8: Machinery's Handbook, belt round three pulleys of radius 1, 2, 4 (centres 10, 6, 8 apart).

Status: the print is from memory; the exact values were computed by an independent script. The
book's 38.5436 comes from a series formula, so it is only asked for 0.05 %; the exact length
38.56198 and the wraps are asked for their last digit.
"""

from __future__ import annotations

from math import degrees, sqrt

import pytest

from beltpath.solve.path import Disc, Ring, ring

PRINTED = 38.5436
EXACT = 38.56198
EXACT_WRAPS = [91.131, 134.392, 134.478]


def _laid() -> Ring:
    c12, c13, c23 = 10.0, 6.0, 8.0
    x = (c12**2 + c13**2 - c23**2) / (2 * c12)
    centres = [(0.0, 0.0), (c12, 0.0), (x, sqrt(c13**2 - x**2))]
    radii = [1.0, 2.0, 4.0]
    return ring([Disc(str(i), centres[i], radii[i], 1) for i in range(3)])


def test_agrees_with_the_series_formula_of_the_book() -> None:
    assert _laid().length == pytest.approx(PRINTED, rel=5e-4)


def test_agrees_with_the_exact_value() -> None:
    laid = _laid()
    assert laid.length == pytest.approx(EXACT, abs=5e-6)
    assert [degrees(c.wrap) for c in laid.contacts] == pytest.approx(EXACT_WRAPS, abs=5e-4)
