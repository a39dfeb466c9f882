"""The uncertainty budget on a drive whose numbers can be worked out by hand."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from beltpath.layout.reader import parse
from beltpath.layout.records import Measured
from beltpath.solve.path import trace
from beltpath.solve.uncertainty import (
    COVERAGE,
    centre_sigma,
    diameter_sigma,
    length_uncertainty,
    thickness_slope,
)

TWO = """title = "Two"
accuracy = 0.8
route = ["crank", "fan"]
[belt]
section = "PK"
[pulleys]
crank = { at = [0, 0], diameter = 100, face = "grooved", role = "crank", accuracy = 0 }
fan = { at = [300, 0], around = 314, face = "smooth", role = "fan", side = "ribs" }
"""


def test_two_pulleys() -> None:
    layout = parse(TWO.replace("around = 314", "diameter = 95.2"))
    path = trace(layout)
    # 95.2/2 + 2.4 = 50: an open belt on equal pulleys, half a turn on each.
    assert path.length == pytest.approx(600 + 100 * pi)
    found = length_uncertainty(layout, path)
    shares = {(s.pulley, s.quantity): s for s in found.budget}
    assert shares["crank", "centre"].adds == 0.0
    # Both runs lengthen by what the centres part.
    assert shares["fan", "centre"].adds == pytest.approx(2 * 0.8)
    assert shares["fan", "diameter"].adds == pytest.approx(0.25 * pi / 2)
    assert shares[None, "back"].adds == pytest.approx(pi * 0.35)
    assert found.sigma == pytest.approx(sqrt(1.6**2 + 2 * (0.25 * pi / 2) ** 2 + (pi * 0.35) ** 2))
    assert found.expanded == pytest.approx(1.96 * found.sigma)
    assert COVERAGE == 1.96
    assert [s.quantity for s in found.budget][:2] == ["centre", "back"]


def test_sigma_of_a_centre_is_its_own_or_the_layouts() -> None:
    layout = parse(TWO)
    assert centre_sigma(layout, "crank") == 0.0
    assert centre_sigma(layout, "fan") == 0.8


def test_the_crank_is_the_origin() -> None:
    """Its own place is exact, unless the file gives it an accuracy of its own."""
    layout = parse(TWO.replace(", accuracy = 0 }", " }"))
    assert centre_sigma(layout, "crank") == 0.0
    assert (
        length_uncertainty(layout, trace(layout)).sigma
        == length_uncertainty(parse(TWO), trace(parse(TWO))).sigma
    )
    assert centre_sigma(parse(TWO.replace("accuracy = 0 }", "accuracy = 0.3 }")), "crank") == 0.3


def test_a_tape_round_the_rim_divides_its_error_by_pi() -> None:
    assert diameter_sigma(Measured("around", 314.0)) == pytest.approx(1.0 / pi)
    assert diameter_sigma(Measured("outside", 100.0)) == pytest.approx(0.45)


class TestThickness:
    """Only where the belt's thickness decides the radius does it touch the length."""

    def test_ribs_on_smooth_take_it_off(self) -> None:
        layout = parse(TWO)
        path = trace(layout)
        assert thickness_slope(layout, path) == pytest.approx(-path.contacts[1].wrap)

    def test_grooves_do_not_know_it(self) -> None:
        layout = parse(TWO.replace('"smooth"', '"grooved"').replace(', side = "ribs"', ""))
        assert thickness_slope(layout, trace(layout)) == 0.0

    def test_back_on_smooth_adds_it(self) -> None:
        text = TWO.replace('"fan"]', '"fan", "idler"]')
        idler = '{ at = [150, -80], diameter = 60, face = "smooth", role = "idler" }'
        layout = parse(f"{text}idler = {idler}\n")
        path = trace(layout)
        assert path.sides == ("ribs", "ribs", "back")
        assert thickness_slope(layout, path) == pytest.approx(
            path.contacts[2].wrap - path.contacts[1].wrap
        )
