"""The pitch line runs parallel to the effective line, b_e outside it."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given

from beltpath.data.sections import Section, section
from beltpath.solve.path import BeltPath, Disc, ring, trace
from tests.strategies import Data, Made, drives, law, layout_of


def _effective(pulley: Data, sect: Section) -> float:
    """d_e of a grooved pulley, worked out from the file's own words."""
    if "diameter" in pulley:
        return float(pulley["diameter"])
    if "over_balls" in pulley:
        return float(pulley["over_balls"]) - (sect.over_balls_excess or 0.0)
    outside = pulley["around"] / pi if "around" in pulley else pulley["outside"]
    return float(outside) - sect.tip_excess


def _cord_radius(pulley: Data, sect: Section, *, on_ribs: bool, double_sided: bool) -> float:
    """Where the cord runs on a pulley, reckoned from the pulley and never from the effective line.

    In grooves, d_e/2 + b_e from whichever side; on a smooth face under the back, as far out as
    the cord lies under the back; under ribs, as high as the cord lies above the rib tips.
    """
    if pulley["face"] == "grooved":
        return _effective(pulley, sect) / 2.0 + sect.b_e
    outside = pulley["around"] / pi if "around" in pulley else pulley["diameter"]
    above_tips = sect.height - sect.back + sect.b_e
    under_back = above_tips if double_sided else sect.back - sect.b_e
    return float(outside) / 2.0 + (above_tips if on_ribs else under_back)


def _cord(made: Made, path: BeltPath) -> list[Disc]:
    belt = made.data["belt"]
    return [
        c_disc._replace(
            radius=_cord_radius(
                made.data["pulleys"][c_disc.name],
                section(belt["section"]),
                on_ribs=side == "ribs",
                double_sided=belt["double_sided"],
            )
        )
        for c_disc, side in zip(path.discs, path.sides, strict=True)
    ]


class TestPitchLine:
    """L_pitch − L_e = 2π·b_e, back bends included; speed ratios are those of the cord's radii."""

    @law
    @given(drives())
    def test_single_sided(self, made: Made) -> None:
        self._check(made)

    @law
    @given(drives(double_sided=True))
    def test_double_sided(self, made: Made) -> None:
        self._check(made)

    @law
    @given(drives(sections=("AV10", "AV13")))
    def test_v_belt_whose_pitch_line_lies_inside(self, made: Made) -> None:
        one: Data = {**made.data, "belt": {**made.data["belt"], "ribs": 1}}
        self._check(Made(one, made.bends))

    def _check(self, made: Made) -> None:
        path = trace(layout_of(made.data))
        b_e = section(made.data["belt"]["section"]).b_e
        cord = _cord(made, path)
        laid = ring(cord)
        assert laid.length - path.length == pytest.approx(2 * pi * b_e, abs=1e-7)
        assert path.pitch_length == pytest.approx(laid.length, abs=1e-7)
        assert [c.wrap for c in laid.contacts] == pytest.approx(
            [c.wrap for c in path.contacts], abs=1e-9
        )
        for i, disc in enumerate(cord):
            assert path.pitch_radius(i) == pytest.approx(disc.radius, abs=1e-9)
            assert path.speed_ratio(i) == pytest.approx(cord[0].radius / disc.radius, rel=1e-9)
