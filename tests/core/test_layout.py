"""Diameters by each way of measuring, and where the belt's effective line runs on a pulley."""

from __future__ import annotations

from math import pi

import pytest

from beltpath.data.sections import section
from beltpath.layout.keys import Face, HowMeasured
from beltpath.layout.reader import parse
from beltpath.layout.records import (
    Belt,
    Measured,
    Pulley,
    effective_diameter,
    line_radius,
    outside_diameter,
    rim_diameter,
    sense_of,
)
from tests.core.test_problems import BASE

PK = section("PK")
SINGLE = Belt(section=PK, ribs=6, back=2.2, height=4.6)
DOUBLE = Belt(section=PK, ribs=6, back=6.4, height=8.8, double_sided=True)


def _pulley(how: HowMeasured, value: float, face: Face, rim: float | None = None) -> Pulley:
    return Pulley(
        name="p", at=(0, 0), measured=Measured(how, value), face=face, role="pump", rim=rim
    )


class TestGrooved:
    """PK: over balls is d_e + 0.990, the groove tips stand 0.885 inside d_e."""

    @pytest.mark.parametrize(
        ("how", "value"),
        [
            ("diameter", 100.0),
            ("over_balls", 100.99),
            ("outside", 99.115),
            ("around", 99.115 * pi),
        ],
    )
    def test_each_way_tells_of_the_same_pulley(self, how: HowMeasured, value: float) -> None:
        pulley = _pulley(how, value, "grooved")
        assert effective_diameter(pulley, PK) == pytest.approx(100.0)
        assert outside_diameter(pulley, PK) == pytest.approx(99.115)
        assert rim_diameter(pulley, PK) == pytest.approx(99.115)
        assert line_radius(pulley, "ribs", SINGLE) == pytest.approx(50.0)

    def test_back_of_a_single_sided_belt_runs_on_the_tips(self) -> None:
        pulley = _pulley("diameter", 100.0, "grooved")
        assert line_radius(pulley, "back", SINGLE) == pytest.approx(99.115 / 2 + 2.2)

    def test_back_of_a_double_sided_belt_runs_in_the_grooves(self) -> None:
        pulley = _pulley("diameter", 100.0, "grooved")
        assert line_radius(pulley, "ribs", DOUBLE) == pytest.approx(50.0)
        # The cord lies at 50 + 2, the effective line of the far ribs another 2 beyond.
        assert line_radius(pulley, "back", DOUBLE) == pytest.approx(54.0)


class TestSmooth:
    """A smooth pulley is measured over its running face; the belt's thickness comes on top."""

    @pytest.mark.parametrize(
        ("how", "value"), [("diameter", 80.0), ("outside", 80.0), ("around", 80.0 * pi)]
    )
    def test_each_way_tells_of_the_same_pulley(self, how: HowMeasured, value: float) -> None:
        pulley = _pulley(how, value, "smooth")
        assert outside_diameter(pulley, PK) == pytest.approx(80.0)
        assert line_radius(pulley, "back", SINGLE) == pytest.approx(42.2)
        assert line_radius(pulley, "ribs", SINGLE) == pytest.approx(42.4)
        assert line_radius(pulley, "back", DOUBLE) == pytest.approx(46.4)
        assert line_radius(pulley, "ribs", DOUBLE) == pytest.approx(42.4)

    def test_rim(self) -> None:
        assert rim_diameter(_pulley("diameter", 80.0, "smooth", rim=86.0), PK) == 86.0


def test_v_belt_pulleys_are_measured_at_their_edge() -> None:
    pulley = _pulley("outside", 70.0, "grooved")
    assert effective_diameter(pulley, section("AV10")) == 70.0


def test_senses() -> None:
    assert (sense_of(1), sense_of(-1)) == ("counterclockwise", "clockwise")


def test_who_is_who() -> None:
    layout = parse(BASE.replace('"pump", "idler"]', '"pump"]').replace("side", 'label="L", side'))
    assert layout.crank.name == "crank"
    assert layout.pulleys.keys() - {*(layout.route or ())} == {"idler"}
    assert (layout.pulleys["idler"].title, layout.pulleys["pump"].title) == ("L", "pump")
