"""The formulas of `solve.statics`, from first principles. B1 to B4 are in tests/published."""

from __future__ import annotations

from math import exp, inf, pi

import pytest

from beltpath.solve.statics import (
    belt_speed,
    capstan_ratio,
    hub_load,
    slack_side_needed,
    slip_reserve,
    wedge_factor,
)


def test_a_flat_face_makes_no_wedge() -> None:
    assert wedge_factor(180.0) == pytest.approx(1.0)
    assert capstan_ratio(0.3, pi) == pytest.approx(exp(0.3 * pi))


def test_the_wedge_factor_of_a_40_degree_groove() -> None:
    """checks.md: 1/sin 20° = 2.924, printed to four digits."""
    assert wedge_factor(40.0) == pytest.approx(2.924, abs=0.0005)


@pytest.mark.parametrize("ratio", [exp(0.5 * pi), exp(-0.5 * pi)])
def test_reserve_is_one_on_the_point_of_slipping_whichever_side_is_tight(ratio: float) -> None:
    assert slip_reserve(0.5, pi, 200.0, 200.0 * ratio) == pytest.approx(1.0)


def test_reserve_tells_how_much_friction_may_fall_short() -> None:
    """exp(μ·wrap/2) needs half the friction: a reserve of 2."""
    assert slip_reserve(0.5, pi, 200.0, 200.0 * exp(0.25 * pi)) == pytest.approx(2.0)


def test_nothing_to_grip_is_an_infinite_reserve() -> None:
    assert slip_reserve(0.3, 1.0, 250.0, 250.0) == inf


@pytest.mark.parametrize(("entering", "leaving"), [(0.0, 10.0), (10.0, 0.0), (-5.0, -5.0)])
def test_beside_a_slack_span_there_is_no_reserve(entering: float, leaving: float) -> None:
    assert slip_reserve(0.5, 3.0, entering, leaving) == 0.0


@pytest.mark.parametrize("pull", [180.0, -180.0])
def test_the_slack_side_that_gives_a_reserve_gives_that_reserve(pull: float) -> None:
    slack = slack_side_needed(0.5, 2.5, pull, 1.3)
    assert slip_reserve(0.5, 2.5, slack, slack + 180.0) == pytest.approx(1.3)


def test_without_wrap_no_tension_is_enough() -> None:
    assert slack_side_needed(0.5, 0.0, 10.0, 1.3) == inf


def test_half_a_turn_pulls_the_hub_with_both_spans() -> None:
    """In upwards, out downwards: the pulley is pulled down by their sum."""
    assert hub_load(300.0, 200.0, (0.0, 1.0), (0.0, -1.0)) == (0.0, -500.0)


def test_a_belt_that_goes_straight_on_loads_the_hub_by_the_pull_only() -> None:
    assert hub_load(300.0, 200.0, (1.0, 0.0), (1.0, 0.0)) == (-100.0, 0.0)


def test_belt_speed() -> None:
    """60 rpm is one turn a second: 2π·0.1 m."""
    assert belt_speed(100.0, 60.0) == pytest.approx(0.2 * pi)
