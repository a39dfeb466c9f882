"""A6: a Math Forum problem of 1996: a crossed belt on pulleys of 18 and 12, centres 30 apart.

Status: inputs seen, answer computed: the crossing tangent makes 30° with the line of centres, so
each wrap is 240° and the length is 20π + 30√3 exactly.
"""

from __future__ import annotations

from math import pi, sqrt

import pytest

from beltpath.solve.path import Disc, ring


def test_crossed_belt() -> None:
    laid = ring([Disc("large", (0.0, 0.0), 9.0, 1), Disc("small", (30.0, 0.0), 6.0, -1)])
    assert laid.length == pytest.approx(20 * pi + 30 * sqrt(3), rel=1e-12)
    assert laid.length == pytest.approx(114.793, abs=1e-3)
    assert [c.wrap for c in laid.contacts] == pytest.approx([4 * pi / 3, 4 * pi / 3], rel=1e-12)
