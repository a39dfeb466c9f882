"""The uncertainty of the length, against other ways to propagate it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from hypothesis import given

from beltpath.data.tables import read_table
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.layout.records import Measured
from beltpath.solve.path import trace
from beltpath.solve.uncertainty import COVERAGE, length_uncertainty
from tests.strategies import Made, drives, law, layout_of

STEP = 1e-3

Nudge = Callable[[Layout, float], Layout]


def _nudges(layout: Layout) -> Iterator[tuple[Nudge, float]]:
    """Every measurement that the path rests on: how to change it, and its sigma as taken."""
    sigmas = {row["how"]: float(row["sigma"]) for row in read_table("measuring.csv")}
    for name in layout.route or ():
        pulley = layout.pulleys[name]
        default = 0.0 if pulley.role == "crank" else layout.accuracy
        accuracy = default if pulley.accuracy is None else pulley.accuracy
        yield _centre(name, 1.0, 0.0), accuracy
        yield _centre(name, 0.0, 1.0), accuracy
        yield _size(name), sigmas[pulley.measured.how]
    yield (
        lambda lay, by: replace(lay, belt=replace(lay.belt, back=lay.belt.back + by)),
        layout.belt.section.back_sigma,
    )


def _centre(name: str, x: float, y: float) -> Nudge:
    def nudge(layout: Layout, by: float) -> Layout:
        pulley = layout.pulleys[name]
        there = replace(pulley, at=(pulley.at[0] + by * x, pulley.at[1] + by * y))
        return replace(layout, pulleys={**layout.pulleys, name: there})

    return nudge


def _size(name: str) -> Nudge:
    def nudge(layout: Layout, by: float) -> Layout:
        pulley = layout.pulleys[name]
        how, value = pulley.measured
        there = replace(pulley, measured=Measured(how, value + by))
        return replace(layout, pulleys={**layout.pulleys, name: there})

    return nudge


def _by_differences(layout: Layout) -> float:
    square = 0.0
    for nudge, sigma in _nudges(layout):
        ahead, behind = trace(nudge(layout, STEP)).length, trace(nudge(layout, -STEP)).length
        square += ((ahead - behind) / (2 * STEP) * sigma) ** 2
    return sqrt(square)


class TestPropagation:
    """The exact gradient gives what propagation by finite differences gives (GUM, 5.1.3)."""

    @law
    @given(drives())
    def test_single_sided(self, made: Made) -> None:
        layout = layout_of(made.data)
        found = length_uncertainty(layout, trace(layout))
        assert found.sigma == pytest.approx(_by_differences(layout), rel=1e-4)

    @law
    @given(drives(double_sided=True))
    def test_double_sided(self, made: Made) -> None:
        layout = layout_of(made.data)
        found = length_uncertainty(layout, trace(layout))
        assert found.sigma == pytest.approx(_by_differences(layout), rel=1e-4)

    @law
    @given(drives())
    def test_budget_adds_up_and_is_in_order(self, made: Made) -> None:
        layout = layout_of(made.data)
        found = length_uncertainty(layout, trace(layout))
        adds = [share.adds for share in found.budget]
        assert adds == sorted(adds, reverse=True)
        assert found.sigma == pytest.approx(sqrt(sum(a * a for a in adds)), rel=1e-12)
        assert found.expanded == pytest.approx(COVERAGE * found.sigma)
        assert len(adds) == 2 * len(layout.route or ()) + 1


SHED_FAN = """
title = "Shed fan"
accuracy = 1.2
route = ["crank", "idler", "fan", "pump"]
[belt]
section = "PK"
[pulleys]
crank = { at = [0, 0], diameter = 150, face = "grooved", role = "crank" }
idler = { at = [-40, 150], around = 240, face = "smooth", role = "idler", accuracy = 2 }
fan   = { at = [20, 320], outside = 120, face = "grooved", role = "fan" }
pump  = { at = [220, 140], over_balls = 110, face = "grooved", role = "pump" }
"""


class TestMonteCarlo:
    """Drawing every measurement at random (JCGM 101:2008) gives the same sigma.

    2000 draws leave 1.6 % of sampling error on sigma; 5 % is three times that.
    """

    def test_shed_fan(self) -> None:
        layout = parse(SHED_FAN)
        nudges = list(_nudges(layout))
        rng = np.random.default_rng(20240611)
        lengths = []
        for _ in range(2000):
            drawn = layout
            for (nudge, sigma), z in zip(nudges, rng.standard_normal(len(nudges)), strict=True):
                drawn = nudge(drawn, sigma * float(z))
            lengths.append(trace(drawn).length)
        path = trace(layout)
        found = length_uncertainty(layout, path)
        assert float(np.std(lengths)) == pytest.approx(found.sigma, rel=0.05)
        assert float(np.mean(lengths)) == pytest.approx(path.length, abs=0.2)
        inside = np.abs(np.array(lengths) - path.length) < found.expanded
        assert 0.93 < float(np.mean(inside)) < 0.97
