"""Parts of the solution that a whole survey seldom reaches, each by itself."""

from __future__ import annotations

import numpy as np
import pytest

from beltpath.survey import parse
from beltpath.survey.doubts import in_words
from beltpath.survey.equations import Unknowns, equations
from beltpath.survey.outliers import screen
from beltpath.survey.start import _Ellipse, first_guesses, mapped, robust_solution, upright
from beltpath.survey.views import Array, Camera, Projection
from tests.measure import scenes
from tests.measure.scenes import LEVEL, SEVEN, clicked, head, photo, tapes

ABOVE = LEVEL + ', above = "pump"'


def test_a_net_upside_down_is_turned() -> None:
    system = equations(parse(head(level=ABOVE) + tapes()))
    p = robust_solution(system, first_guesses(system))
    u = system.unpack(p)
    backwards = system.pack(Unknowns(-u.centres, u.radii, u.view))
    assert upright(system, backwards) == pytest.approx(p, abs=1e-6)
    assert upright(system, p) is p


def test_sound_readings_come_back() -> None:
    """From a poor beginning nearly all readings are set aside at first; none stays so."""
    draw = np.random.default_rng(2)
    system = equations(parse(head(draw, level=ABOVE) + tapes(draw)))
    p = robust_solution(system, first_guesses(system))
    screened = screen(system, p + 12.0 * np.sin(np.arange(len(p))))
    assert not screened.outliers
    assert screened.adjusted.p == pytest.approx(p, abs=2.0)


def test_a_survey_without_a_photograph_has_no_parameters() -> None:
    assert (Projection().size, Projection().priors) == (0, ())
    assert Projection().maps(np.empty(0)).tolist() == [np.eye(3).tolist()]
    assert Projection().numbers_of(np.eye(3)).shape == (0,)


def test_rows_in_words() -> None:
    system = equations(parse(head() + photo(clicked(None, scenes.Camera())) + tapes()))
    said = [in_words(system, row) for row in system.rows]
    assert said[0] == "crank to pump centre to centre"
    assert said[len(scenes.PAIRS)] == "the diameter of crank"
    assert said[-1] == "point 8 of tensioner"


class TestCamera:
    """The numbers of a camera and its map of the front plane are two ways to tell the same."""

    view = Camera((0.0, 10.0), 1.2, 0.05)

    @pytest.mark.parametrize("sign", [1.0, -1.0])
    @pytest.mark.parametrize("turn", [(0.1, -0.3, 0.05), (0.0, 0.0, 3.1), (0.0, 0.0, 0.0)])
    def test_there_and_back(self, sign: float, turn: tuple[float, float, float]) -> None:
        numbers = np.array([np.log(1.2), *turn, 20.0, -30.0, np.log(800.0)])
        again = self.view.numbers_of(sign * self.view.front(numbers))
        assert again == pytest.approx(numbers, abs=1e-9)

    def test_nearer_planes_look_larger(self) -> None:
        numbers = np.array([np.log(1.2), 0.0, 0.0, 0.0, 0.0, 0.0, np.log(800.0)])
        flat, near = self.view.maps(numbers)
        point = np.array([[0.1, 0.2, 1.0]])
        assert mapped(near, point)[0, :2] == pytest.approx(
            mapped(flat, point)[0, :2] * (800.0 - 10.0) / 800.0
        )


class TestEllipses:
    def homogeneous(self, x: Array, y: Array) -> Array:
        return np.column_stack([x, y, np.ones(len(x))])

    def test_exact(self) -> None:
        t = np.arange(6.0)
        found = _Ellipse(self.homogeneous(3.0 + 2.0 * np.cos(t), 1.0 + np.sin(t)))
        assert found.middle == pytest.approx([3.0, 1.0])
        assert found.matrix == pytest.approx(np.diag([4.0, 1.0]))
        assert found.area == pytest.approx(2.0)

    def test_points_that_make_a_hyperbola_get_a_circle(self) -> None:
        x = np.array([0.5, 1.0, 2.0, 3.0, 5.0, 8.0])
        found = _Ellipse(self.homogeneous(x, 1.0 / x))
        assert found.matrix[0, 0] == pytest.approx(found.matrix[1, 1])
        assert found.matrix[0, 1] == 0.0

    def test_few_points_get_a_circle(self) -> None:
        t = np.array([0.1, 2.0, 4.0])
        found = _Ellipse(self.homogeneous(2.0 * np.cos(t), 2.0 * np.sin(t)))
        assert found.middle == pytest.approx([0.0, 0.0], abs=1e-12)
        assert found.area == pytest.approx(4.0)


def test_scene_is_what_it_says() -> None:
    """The truths of the scene agree with the sizes as the layout's reader takes them."""
    survey = parse(head() + tapes())
    for name, truth in SEVEN.items():
        assert survey.targets[name].radius == pytest.approx(truth.radius)
        assert survey.targets[name].radius_sigma == pytest.approx(truth.sigma / 2.0)
