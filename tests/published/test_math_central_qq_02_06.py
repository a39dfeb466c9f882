"""A9: Math Central, question QQ.02.06: a belt round pulleys of radius 10, 20, 3.

Status: inputs seen (AB 75, BC 100, AC 50), answer computed by an independent script: 300.4993.
The test works it out once more from the open-belt formula, pair by pair.
"""

from __future__ import annotations

from math import pi, sqrt

import pytest

from beltpath.solve.path import Disc, ring

RADII = [10.0, 20.0, 3.0]
AB, BC, AC = 75.0, 100.0, 50.0


def test_three_pulleys() -> None:
    x = (AB**2 + AC**2 - BC**2) / (2 * AB)
    centres = [(0.0, 0.0), (AB, 0.0), (x, sqrt(AC**2 - x**2))]
    laid = ring([Disc(str(i), centres[i], RADII[i], 1) for i in range(3)])
    assert laid.length == pytest.approx(300.4993, abs=1e-4)
    straight = (
        sqrt(AB**2 - (RADII[0] - RADII[1]) ** 2)
        + sqrt(BC**2 - (RADII[1] - RADII[2]) ** 2)
        + sqrt(AC**2 - (RADII[2] - RADII[0]) ** 2)
    )
    assert sum(s.length for s in laid.spans) == pytest.approx(straight, rel=1e-12)
    assert laid.turning == pytest.approx(2 * pi, rel=1e-12)
