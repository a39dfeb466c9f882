"""A10: ICPC Japan, Kanazawa preliminary, problem E: a taut loop round six circles.

Status: length seen (153.16052, five decimals, so 1e-5); that the large circle is touched twice was
computed. (10, 20, 10) lies inside (10, 20, 20), so the loop does not meet it.
"""

from __future__ import annotations

from math import pi

import pytest

from beltpath.solve.path import Disc, ring

PRINTED = 153.16052


def _disc(x: float, y: float, radius: float) -> Disc:
    return Disc(f"{x:g} {y:g} {radius:g}", (x, y), radius, 1)


def test_taut_loop_touches_the_large_circle_twice() -> None:
    large = _disc(10.0, 20.0, 20.0)
    others = [_disc(1.0, 2.0, 3.0), _disc(30.0, 40.0, 2.0), _disc(20.0, 50.0, 5.0)]
    laid = ring([others[0], large, others[1], others[2], large])
    assert laid.length == pytest.approx(PRINTED, abs=1e-5)
    assert laid.turning == pytest.approx(2 * pi, rel=1e-12)
    assert all(0.1 < c.wrap < pi for c in laid.contacts)


def test_the_sixth_circle_stays_inside_the_loop() -> None:
    large = _disc(10.0, 20.0, 20.0)
    left = _disc(20.0, 40.0, 1.5)
    others = [_disc(1.0, 2.0, 3.0), _disc(30.0, 40.0, 2.0), _disc(20.0, 50.0, 5.0)]
    laid = ring([others[0], large, others[1], others[2], large])
    for span in laid.spans:
        # Left of every directed span by more than its radius: inside an anticlockwise loop.
        away = span.direction[0] * (left.centre[1] - span.leave[1]) - span.direction[1] * (
            left.centre[0] - span.leave[0]
        )
        assert away > left.radius
