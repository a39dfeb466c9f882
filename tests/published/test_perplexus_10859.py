"""A7: perplexus.info, problem 10859: a band round three coins of diameter 2, 6, 9 and 13 apart.

Status: seen. The answer is exact, 28 + 2π: the triangle's sides and one whole turn. The page asks
for four decimals.
"""

from __future__ import annotations

from math import pi, sqrt

import pytest

from beltpath.solve.path import Disc, ring


def test_equal_circles_give_the_triangle_and_one_turn() -> None:
    ab, bc, ca = 6.0, 9.0, 13.0
    x = (ab**2 + ca**2 - bc**2) / (2 * ab)
    centres = [(0.0, 0.0), (ab, 0.0), (x, sqrt(ca**2 - x**2))]
    laid = ring([Disc(name, at, 1.0, 1) for name, at in zip("abc", centres, strict=True)])
    assert laid.length == pytest.approx(28 + 2 * pi, abs=1e-4)
    assert sorted(s.length for s in laid.spans) == pytest.approx([ab, bc, ca], abs=1e-12)
