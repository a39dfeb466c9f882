"""Views and frames: from the front (mm, y up) to the paper (mm, y down), turned or mirrored."""

from __future__ import annotations

from math import cos, hypot, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.cards import Options
from beltpath.cards.paper import paper
from beltpath.cards.view import Frame, View
from beltpath.geometry import Point
from beltpath.layout.keys import Sense
from tests.card.scenes import VIEWS, plain, said
from tests.strategies import law

POINTS = st.tuples(st.floats(-500.0, 500.0), st.floats(-500.0, 500.0))
ANGLES = st.floats(-360.0, 360.0)


class TestPoints:
    @pytest.mark.parametrize(
        ("view", "seen"),
        [
            (View(), (10.0, 3.0)),
            (View(mirrored=True), (-10.0, 3.0)),
            (View(turned=90.0), (-3.0, 10.0)),
            (View(turned=-90.0), (3.0, -10.0)),
            (View(turned=180.0), (-10.0, -3.0)),
            # Mirrored first, then turned.
            (View(mirrored=True, turned=90.0), (-3.0, -10.0)),
        ],
    )
    def test_a_point_as_seen(self, view: View, seen: Point) -> None:
        assert view.point((10.0, 3.0)) == pytest.approx(seen)

    def test_paper_has_y_down(self) -> None:
        frame = Frame(view=View(), scale=0.5, origin=(70.0, 100.0))
        assert frame.point((0.0, 0.0)) == (70.0, 100.0)
        assert frame.point((20.0, 40.0)) == (80.0, 80.0)
        assert frame.direction(90.0) == pytest.approx((0.0, -1.0))

    @law
    @given(POINTS, POINTS, ANGLES, st.booleans(), st.floats(0.05, 1.0))
    def test_distances_keep_their_scale(
        self, a: Point, b: Point, turned: float, mirrored: bool, scale: float
    ) -> None:
        frame = Frame(view=View(mirrored=mirrored, turned=turned), scale=scale, origin=(3.0, 4.0))
        (x, y), (u, v) = frame.point(a), frame.point(b)
        assert hypot(x - u, y - v) == pytest.approx(
            scale * hypot(a[0] - b[0], a[1] - b[1]), abs=1e-6
        )

    @law
    @given(ANGLES, ANGLES, st.booleans())
    def test_directions_are_those_of_points(
        self, degrees: float, turned: float, mirrored: bool
    ) -> None:
        frame = Frame(view=View(mirrored=mirrored, turned=turned), scale=1.0, origin=(0.0, 0.0))
        there = frame.point((cos(radians(degrees)), sin(radians(degrees))))
        assert frame.direction(degrees) == pytest.approx(there, abs=1e-12)


class TestSenses:
    """A mirror turns every sense round; turning the picture turns none."""

    @pytest.mark.parametrize("turned", [0.0, 37.0, 90.0, 180.0])
    @pytest.mark.parametrize("sense", ["clockwise", "counterclockwise"])
    def test_from_the_front(self, sense: Sense, turned: float) -> None:
        view = View(turned=turned)
        assert view.sense(sense) == sense
        assert view.sign(sense) == (1 if sense == "counterclockwise" else -1)
        assert view.handed == 1

    def test_mirrored(self) -> None:
        view = View(mirrored=True, turned=37.0)
        assert view.sense("clockwise") == "counterclockwise"
        assert view.sense("counterclockwise") == "clockwise"
        assert view.sign("clockwise") == 1
        assert view.sign("counterclockwise") == -1
        assert view.handed == -1

    @law
    @given(POINTS, POINTS, POINTS, ANGLES, st.booleans())
    def test_triangles_keep_their_sense_unless_mirrored(
        self, a: Point, b: Point, c: Point, turned: float, mirrored: bool
    ) -> None:
        view = View(mirrored=mirrored, turned=turned)
        assert area(*map(view.point, (a, b, c))) == pytest.approx(
            view.handed * area(a, b, c), rel=1e-9, abs=1e-6
        )


def area(a: Point, b: Point, c: Point) -> float:
    """Twice the signed area of a triangle."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


BEHIND = "Seen from behind, looking forward (mirror image)"


class TestWords:
    @pytest.mark.parametrize(
        ("view", "words"),
        [
            (View(), "Seen from the front, facing the pulleys"),
            (View(turned=360.0), "Seen from the front, facing the pulleys"),
            (View(mirrored=True), BEHIND),
            (
                View(turned=90.0),
                "Seen from the front, facing the pulleys; picture turned 90° counterclockwise",
            ),
            (
                View(turned=-12.5),
                "Seen from the front, facing the pulleys; picture turned 347.5° counterclockwise",
            ),
            (View(mirrored=True, turned=37.0), f"{BEHIND}; picture turned 37° counterclockwise"),
        ],
    )
    def test_the_view_is_named(self, view: View, words: str) -> None:
        assert view.words == words

    def test_the_card_says_them(self) -> None:
        for name in VIEWS:
            card = plain("cider-mill", view=name)
            assert card.pages[0].diagram is not None
            assert card.pages[0].diagram.frame.view.words in said(card.pages[0])


def test_options_give_view_and_sheet() -> None:
    options = Options(paper="letter", landscape=True, mirrored=True, turned=37.0)
    assert options.view == View(mirrored=True, turned=37.0)
    assert options.sheet == paper("letter", landscape=True)
    assert Options().sheet == paper("a5")
