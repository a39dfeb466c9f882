"""Laws that every survey obeys, by hypothesis, and slopes against finite differences."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from beltpath.survey import Measurement, parse, solve
from beltpath.survey.adjust import adjust
from beltpath.survey.equations import equations
from beltpath.survey.start import first_guesses, robust_solution
from tests.measure.scenes import (
    ANGLE,
    LEVEL,
    PAIRS,
    SEVEN,
    Camera,
    Truth,
    clicked,
    head,
    photo,
    tapes,
)

ABOVE = LEVEL + ', above = "pump"'
NAMES = tuple(SEVEN)


def surveyed(seed: int) -> str:
    """Both kinds of readings, with noise."""
    draw = np.random.default_rng(seed)
    over = {pair: ("centres", "outside", "gap")[i % 3] for i, pair in enumerate(PAIRS)}
    points = clicked(draw, Camera(pitch=8.0, yaw=-12.0))
    return head(draw, level=ABOVE) + tapes(draw, over=over) + photo(points)


def same(one: Measurement, other: Measurement) -> None:
    for name, centre in one.centres.items():
        assert other.centres[name].at == pytest.approx(centre.at, abs=1e-3)
        assert other.centres[name].sigma == pytest.approx(centre.sigma, rel=1e-3, abs=1e-6)


class TestExactReadings:
    """Exact tape readings of any well-spread drive give its places back."""

    @settings(max_examples=5)
    @given(st.lists(st.floats(-20.0, 20.0), min_size=12, max_size=12))
    def test_places_come_back(self, moves: list[float]) -> None:
        moved: dict[str, Truth] = dict(SEVEN)
        for i, name in enumerate(NAMES[1:]):
            x, y = SEVEN[name].at
            moved[name] = SEVEN[name]._replace(at=(x + moves[2 * i], y + moves[2 * i + 1]))
        x, y = moved["alternator"].at
        level = ABOVE.replace(repr(ANGLE), repr(math.degrees(math.atan2(y, x))))
        pairs = [(one, other) for i, one in enumerate(NAMES) for other in NAMES[i + 1 :]]
        found = solve(
            parse(head(level=level, truths=moved) + tapes(pairs=pairs, truths=moved, sigma=0.0))
        )
        for name, centre in found.centres.items():
            assert centre.at == pytest.approx(moved[name].at, abs=1e-4)


class TestOrderAndUnits:
    """The order of pulleys and readings, and the unit, change nothing."""

    def test_order(self) -> None:
        text = surveyed(1)
        start, _, rest = text.partition("[[tape]]")
        lines = start.splitlines()
        at = lines.index("[pulleys]")
        turned = "\n".join([*lines[: at + 1], *reversed(lines[at + 1 :])]) + "\n"
        readings, _, picture = rest.partition("[photo]")
        entries = readings.split("[[tape]]")
        again = turned + "[[tape]]" + "\n[[tape]]".join(reversed(entries)) + "\n[photo]" + picture
        same(solve(parse(text)), solve(parse(again)))

    def test_units(self) -> None:
        draw = np.random.default_rng(2)
        text = head(draw, level=ABOVE) + tapes(draw)
        inches = text.replace(
            'title = "', 'units = "in"\naccuracy = 0.03937007874015748\ntitle = "'
        )
        for key in ("outside", "diameter", "distance"):
            parts = inches.split(f"{key} = ")
            for i, part in enumerate(parts[1:], start=1):
                number = part.split(",")[0].split("\n")[0]
                parts[i] = part.replace(number, repr(float(number) / 25.4), 1)
            inches = f"{key} = ".join(parts)
        one, other = solve(parse(text)), solve(parse(inches))
        same(one, other)
        assert other.layout_text().count('units = "in"') == 1


class TestTurning:
    """Another angle of the level line turns every place and leaves the sigmas' size."""

    @settings(max_examples=3)
    @given(st.floats(-60.0, 60.0))
    def test_turned(self, turn: float) -> None:
        text = surveyed(3).replace('above = "pump"\n', "")
        one = solve(parse(text))
        other = solve(parse(text.replace(repr(ANGLE), repr(ANGLE + turn))))
        cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        for name, centre in one.centres.items():
            x, y = centre.at
            expected = (cos * x - sin * y, sin * x + cos * y)
            assert other.centres[name].at == pytest.approx(expected, abs=1e-3)
            assert other.centres[name].sigma == pytest.approx(centre.sigma, rel=1e-3, abs=1e-6)


class TestSlopes:
    """The slopes that least squares and covariance rest on agree with finite differences."""

    @pytest.mark.parametrize("depth", ["", ", depth = 9.0"])
    def test_jacobian(self, depth: str) -> None:
        text = surveyed(4).replace('role = "idler"', 'role = "idler"' + depth)
        system = equations(parse(text))
        p = robust_solution(system, first_guesses(system))
        step = 1e-5 * np.maximum(np.abs(p), 1e-2)
        for i in range(len(p)):
            ahead, behind = p.copy(), p.copy()
            ahead[i] += step[i]
            behind[i] -= step[i]
            slope = (system.residuals(ahead) - system.residuals(behind)) / (2.0 * step[i])
            found = system.jacobian(p)[:, i]
            assert found == pytest.approx(slope, abs=1e-5 * max(1.0, float(np.abs(slope).max())))


class TestRedundancy:
    """The parts of all readings that are checked sum to readings less unknowns."""

    def test_sum(self) -> None:
        system = equations(parse(surveyed(5)))
        p = robust_solution(system, first_guesses(system))
        adjusted = adjust(system, p, np.ones(len(system.rows), dtype=bool))
        assert adjusted.redundancy.sum() == pytest.approx(len(system.rows) - system.size, abs=1e-3)
        assert adjusted.chi_square < 2.0 * (len(system.rows) - system.size)
