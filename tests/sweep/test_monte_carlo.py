"""Laws of Monte Carlo: it finds the sigma that propagation by the gradient predicts."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given

from beltpath import parse, read
from beltpath.errors import PathError, UsageError
from beltpath.layout.layout import Layout, stand_in
from beltpath.solve.monte_carlo import MOST_ROWS, MonteCarlo, monte_carlo
from beltpath.solve.path import trace
from beltpath.solve.uncertainty import length_uncertainty
from tests.bench.eight import eight
from tests.drives import drive, grooved, smooth
from tests.strategies import Made, drives, law, layout_of

LAYOUTS = sorted((Path(__file__).parents[2] / "layouts").glob("*.toml"))
DEMOS = [layout for layout in map(read, LAYOUTS) if layout.route]
#: The standard deviation of a sigma from so many rows is 0.35 % of it.
ROWS = 40_000


DOUBLE_SIDED = drive(
    {
        "crank": grooved(0, 0, 120, "crank"),
        "right": grooved(300, 0, 80),
        "top": grooved(150, 320, 90, "alternator"),
        "inside": {
            "at": [40, 150],
            "outside": 70,
            "face": "grooved",
            "role": "fan",
            "side": "back",
        },
    },
    belt={"double_sided": True},
    ribs=6,
    crank_turns="counterclockwise",
    title="A double-sided belt",
)

#: An idler that hardly bends the belt.
BARELY_TOUCHED = drive(
    {
        "crank": grooved(0, 0, 100, "crank"),
        "fan": grooved(400, 0, 100, "fan"),
        "idler": smooth(200, 81.5, 60),
    },
    accuracy=0.5,
    crank_turns="counterclockwise",
    title="An idler that hardly bends the belt",
)


def two(other: str = "fan") -> Layout:
    pulleys = {
        "crank": grooved(0, 0, 100, "crank"),
        "fan": grooved(400, 0, 100, "fan", accuracy=2.0),
        "drum": {"at": [0, 400], "around": 300, "face": "smooth", "side": "ribs", "role": "blower"},
    }
    return parse(drive(pulleys, route=["crank", other], accuracy=0.5, title="Two pulleys"))


def drawn(layout: Layout, rows: int = ROWS, seed: int = 0) -> MonteCarlo:
    return monte_carlo(layout, trace(layout), rows, seed=seed)


class TestAgreesWithPropagation:
    """JCGM 100:2008 and JCGM 101:2008 give the same sigma, within 5 %, where the drive is smooth.

    The demo layouts with a route are read from their folder, so that a new one is tested too.
    """

    def test_there_are_demos(self) -> None:
        assert len(DEMOS) > 10

    @pytest.mark.parametrize("layout", DEMOS, ids=lambda layout: str(layout.name))
    def test_demo(self, layout: Layout) -> None:
        self.holds(layout)

    @pytest.mark.parametrize(
        "layout", [eight(), two(), two("drum"), parse(DOUBLE_SIDED)], ids=lambda it: it.title
    )
    def test_drive(self, layout: Layout) -> None:
        assert trace(layout).proper
        self.holds(layout)

    @law
    @given(drives())
    def test_any_sound_drive(self, made: Made) -> None:
        """With centres so well known that no row misses a bend that is hardly pressed in."""
        layout = replace(layout_of(made.data), accuracy=0.2)
        path = trace(layout)
        found = monte_carlo(layout, path, 10_000)
        assert found.sigma == pytest.approx(length_uncertainty(layout, path).sigma, rel=0.05)

    @staticmethod
    def holds(layout: Layout) -> None:
        path = trace(layout)
        propagated = length_uncertainty(layout, path).sigma
        found = monte_carlo(layout, path, ROWS)
        assert found.lost == 0.0
        assert found.sigma == pytest.approx(propagated, rel=0.05)
        # The mean is off by the curvature and by chance (sigma/200); 5 % of sigma holds both.
        assert found.mean == pytest.approx(path.length, abs=0.05 * found.sigma)


class TestSpread:
    """Mean, sigma and percentiles of a drive that is nearly linear in all it is drawn from."""

    def test_two_equal_pulleys_by_hand(self) -> None:
        """L = 2·C + π·(r1 + r2): sigma² = 4·2² + π²·2·(0.25/2)², diameters by drawing."""
        found = drawn(two())
        sigma = sqrt(4.0 * 2.0**2 + np.pi**2 * 2.0 * 0.125**2)
        assert found.sigma == pytest.approx(sigma, rel=0.015)
        assert found.low == pytest.approx(found.mean - 1.96 * sigma, abs=0.04 * sigma)
        assert found.high == pytest.approx(found.mean + 1.96 * sigma, abs=0.04 * sigma)
        assert found.rows == ROWS

    def test_thickness_counts_where_the_smooth_face_is(self) -> None:
        """On the drum the ribs run at R + (h − t): sigma(t) = 0.35 mm adds to half a turn of it."""
        quiet = replace(two("drum"), accuracy=1e-6)
        path = trace(quiet)
        tape, drawing = 1.0 / np.pi / 2.0, 0.25 / 2.0
        wraps = [contact.wrap for contact in path.contacts]
        sigma = sqrt((wraps[0] * drawing) ** 2 + wraps[1] ** 2 * (tape**2 + 0.35**2))
        assert drawn(quiet).sigma == pytest.approx(sigma, rel=0.015)


class TestSeed:
    """The same seed draws the same rows, another one others; every row is drawn afresh."""

    def test_same_seed(self) -> None:
        assert drawn(two(), 20_000, seed=3) == drawn(two(), 20_000, seed=3)

    def test_other_seed(self) -> None:
        assert drawn(two(), 200, seed=3).mean != drawn(two(), 200, seed=4).mean

    def test_rows_beyond_the_first_chunk_are_new(self) -> None:
        """More rows narrow the error of the mean, which copies of the first rows would not."""
        one, many = drawn(two(), 16_384), drawn(two(), 32_768)
        assert abs(many.mean - one.mean) > 1e-4
        assert abs(many.sigma - one.sigma) > 1e-4


class TestLostRows:
    """Rows in which no belt can be laid are counted and left out."""

    def test_some_lost(self) -> None:
        """Pulleys nearly one in the other: about half the rows have no tangent."""
        layout = two()
        near = replace(layout.pulleys["fan"], at=(30.3, 0.0), accuracy=1.0)
        small = replace(near, measured=near.measured._replace(value=40.0))
        tight = replace(layout, pulleys={**layout.pulleys, "fan": small})
        found = drawn(tight, 4_000)
        assert 0.2 < found.lost < 0.6
        assert found.low > 0.0

    def test_missed_pulleys_are_lost_too(self) -> None:
        """An idler that the belt barely touches: a row that misses it counts no length.

        It would count a whole turn round the idler, 200 mm of belt that is not there.
        """
        found = drawn(parse(BARELY_TOUCHED), 4_000)
        assert 0.1 < found.lost < 0.5
        assert found.sigma < 3.0

    def test_a_path_that_is_not_proper_is_kept_as_it_is(self) -> None:
        layout = replace(two(), crank_turns="clockwise", route=("crank", "fan"))
        backwards = replace(eight(), crank_turns="counterclockwise")
        assert not trace(backwards).proper
        assert drawn(backwards, 500).lost == 0.0
        assert drawn(layout, 500).lost == 0.0

    def test_all_lost(self) -> None:
        eight_pulleys = eight()
        crank = replace(eight_pulleys.crank, accuracy=1e6)
        pulleys = {**eight_pulleys.pulleys, crank.name: crank}
        layout = stand_in(eight_pulleys, accuracy=1e6, pulleys=pulleys)
        with pytest.raises(PathError, match="2 of 2 rows"):
            monte_carlo(layout, trace(eight()), 2)

    @pytest.mark.parametrize("rows", [-1, 0, 1, MOST_ROWS + 1])
    def test_unusable_number_of_rows(self, rows: int) -> None:
        with pytest.raises(UsageError, match="2 to 10000000 rows"):
            drawn(two(), rows)
