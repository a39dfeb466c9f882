"""The exact gradient of the length against finite differences."""

from __future__ import annotations

from dataclasses import replace
from math import pi, remainder

import pytest
from hypothesis import given

from beltpath.solve.path import BeltPath, Disc, ring, trace
from beltpath.solve.uncertainty import thickness_slope
from tests.strategies import Made, discs, drives, law, layout_of

#: Central differences of this step (mm) on curves of radius over 10 mm err by less than 1e-6.
STEP = 1e-3
CLOSE = 2e-5


def _slope(made: list[Disc], i: int, x: float, y: float, r: float) -> float:
    wraps = [c.wrap for c in ring(made).contacts]

    def length(by: float) -> float:
        d = made[i]
        there = d._replace(
            centre=(d.centre[0] + by * x, d.centre[1] + by * y), radius=d.radius + by * r
        )
        laid = ring([*made[:i], there, *made[i + 1 :]])
        # A circle that is just touched may come out as a whole turn: follow one branch.
        arcs = (
            c.radius * (wrap + remainder(c.wrap - wrap, 2.0 * pi))
            for c, wrap in zip(laid.contacts, wraps, strict=True)
        )
        return sum(s.length for s in laid.spans) + sum(arcs)

    return (length(STEP) - length(-STEP)) / (2.0 * STEP)


class TestGradient:
    """∂L/∂c = u_in − u_out and ∂L/∂r = wrap, for any loop, sound or not."""

    @law
    @given(discs())
    def test_radius(self, made: list[Disc]) -> None:
        for i, contact in enumerate(ring(made).contacts):
            assert _slope(made, i, 0.0, 0.0, 1.0) == pytest.approx(contact.wrap, abs=CLOSE)

    @law
    @given(discs())
    def test_centre(self, made: list[Disc]) -> None:
        laid = ring(made)
        path = BeltPath(
            contacts=laid.contacts,
            spans=laid.spans,
            sides=(),
            loop=1,
            length=laid.length,
            turning=laid.turning,
            b_e=0.0,
            inferred=(),
        )
        for i in range(len(made)):
            gx, gy = path.centre_gradient(i)
            assert _slope(made, i, 1.0, 0.0, 0.0) == pytest.approx(gx, abs=CLOSE)
            assert _slope(made, i, 0.0, 1.0, 0.0) == pytest.approx(gy, abs=CLOSE)

    @law
    @given(drives())
    def test_thickness(self, made: Made) -> None:
        layout = layout_of(made.data)
        path = trace(layout)

        def length(by: float) -> float:
            return trace(
                replace(layout, belt=replace(layout.belt, back=layout.belt.back + by))
            ).length

        found = (length(STEP) - length(-STEP)) / (2.0 * STEP)
        assert thickness_slope(layout, path) == pytest.approx(found, abs=CLOSE)

    @law
    @given(drives(double_sided=True))
    def test_thickness_of_a_double_sided_belt(self, made: Made) -> None:
        layout = layout_of(made.data)
        path = trace(layout)

        def length(by: float) -> float:
            return trace(
                replace(layout, belt=replace(layout.belt, back=layout.belt.back + by))
            ).length

        found = (length(STEP) - length(-STEP)) / (2.0 * STEP)
        assert thickness_slope(layout, path) == pytest.approx(found, abs=CLOSE)
