"""A loop round inside-only circles is the convex hull of the discs, by shapely."""

from __future__ import annotations

from math import cos, pi

import shapely
from hypothesis import given

from beltpath.solve.path import Disc, ring
from tests.strategies import hulls, law

QUARTER = 256


class TestHull:
    """The length is that of the hull's boundary.

    shapely's discs are polygons inscribed with 4·QUARTER corners, so that their support function
    falls short by at most r(1 − cos x), x = π/(4·QUARTER); by Cauchy's formula the hull's
    boundary falls short by at most 2π times that, and is never longer.
    """

    @law
    @given(hulls())
    def test_length(self, made: list[Disc]) -> None:
        hull = shapely.unary_union(
            [shapely.Point(d.centre).buffer(d.radius, quad_segs=QUARTER) for d in made]
        ).convex_hull
        largest = max(d.radius for d in made)
        short = ring(made).length - hull.length
        allowed = 2.0 * pi * largest * (1.0 - cos(pi / (4 * QUARTER)))
        assert -1e-9 <= short <= allowed + 1e-9
        assert allowed < 2e-3

    @law
    @given(hulls())
    def test_wraps_are_less_than_a_turn_and_sum_to_one(self, made: list[Disc]) -> None:
        laid = ring(made)
        assert all(0.0 < c.wrap < 2 * pi for c in laid.contacts)
        assert abs(sum(c.wrap for c in laid.contacts) - 2 * pi) < 1e-9
