"""Laws of the vectorised solver: it is `path.ring`, row by row."""

from __future__ import annotations

from math import atan, inf, nan, pi

import numpy as np
import pytest
from hypothesis import given

from beltpath.errors import PathError
from beltpath.solve import many as sweep
from beltpath.solve.many import Rings, rings
from beltpath.solve.path import Disc, Ring, is_proper, ring, trace
from tests.strategies import Made, drives, law, layout_of
from tests.sweep.drives import Drive, any_drives, arrays


def scalar(drive: Drive) -> Ring | None:
    try:
        return ring(drive)
    except PathError:
        return None


def assert_row_is(laid: Rings, row: int, expected: Ring) -> None:
    """Lengths to 1e-9 of their value; angles to 1e-9 rad. Spans by the same formula, so equal."""
    assert laid.lengths[row] == pytest.approx(expected.length, rel=1e-9, abs=0.0)
    assert laid.turning[row] == pytest.approx(expected.turning, abs=1e-9)
    assert laid.wraps[:, row] == pytest.approx([c.wrap for c in expected.contacts], abs=1e-9)
    assert laid.spans[:, row].tolist() == [span.length for span in expected.spans]


class TestAgreement:
    """Every row is what the scalar solver lays, and NaN where that finds no tangent."""

    @law
    @given(any_drives())
    def test_any_drive(self, made: list[Drive]) -> None:
        laid = rings(*arrays(made))
        for row, drive in enumerate(made):
            expected = scalar(drive)
            assert laid.ok[row] == (expected is not None)
            if expected is None:
                for array in (laid.lengths, laid.turning, laid.wraps, laid.spans):
                    assert np.isnan(array[..., row]).all()
                assert not laid.proper(1)[row]
                continue
            assert_row_is(laid, row, expected)
            for loop in (1, -1):
                proper = is_proper(expected.contacts, expected.turning, loop)
                assert laid.proper(loop)[row] == proper

    @law
    @given(drives())
    def test_sound_drives_stay_sound(self, made: Made) -> None:
        """Each beside its mirror image, which runs round the other way."""
        path = trace(layout_of(made.data))
        mirrored = [
            disc._replace(centre=(-disc.centre[0], disc.centre[1]), sign=-disc.sign)
            for disc in path.discs
        ]
        laid = rings(*arrays([path.discs, mirrored]))
        assert_row_is(laid, 0, ring(path.discs))
        assert_row_is(laid, 1, ring(mirrored))
        assert laid.proper(path.loop).tolist() == [True, False]
        assert laid.proper(-path.loop).tolist() == [False, True]


class TestTouching:
    """A pulley that the belt just touches has no wrap, and not a whole turn."""

    @pytest.mark.parametrize("off", [0.0, 1e-13, -1e-13, 1e-3, -1e-3])
    @pytest.mark.parametrize("sign", [1, -1])
    def test_pulley_on_a_straight_run(self, off: float, sign: int) -> None:
        edge = 40.0 - sign * 20.0
        drive = (
            Disc("left", (0.0, 0.0), 40.0, 1),
            Disc("right", (300.0, 0.0), 40.0, 1),
            Disc("touched", (150.0, edge + off), 20.0, sign),
        )
        laid = rings(*arrays([drive]))
        assert_row_is(laid, 0, ring(drive))
        if abs(off) < 1e-9:
            assert laid.wraps[2, 0] == pytest.approx(0.0, abs=1e-12)

    def test_half_a_turn(self) -> None:
        drive = (Disc("left", (0.0, 0.0), 50.0, 1), Disc("right", (400.0, 0.0), 50.0, 1))
        laid = rings(*arrays([drive]))
        assert laid.wraps[:, 0] == pytest.approx([pi, pi], abs=1e-14)
        assert laid.lengths[0] == pytest.approx(800.0 + 100.0 * pi, rel=1e-15)


class TestRowsWithoutTangent:
    """One bad row is NaN by itself; its neighbours are as if it were not there."""

    GOOD = (Disc("a", (0.0, 0.0), 50.0, 1), Disc("b", (200.0, 0.0), 20.0, 1))

    @pytest.mark.parametrize(
        "centre",
        [
            (0.0, 0.0),  # concentric
            (10.0, 5.0),  # one inside the other
            (30.0, 0.0),  # touching from inside: |q2 − q1| = |c2 − c1|
            (nan, 0.0),
            (0.0, inf),
            (1e200, 0.0),  # its square is no number any more
        ],
    )
    def test_neighbours_keep_their_numbers(self, centre: tuple[float, float]) -> None:
        bad = (self.GOOD[0], self.GOOD[1]._replace(centre=centre))
        laid = rings(*arrays([self.GOOD, bad, self.GOOD]))
        assert laid.ok.tolist() == [True, False, True]
        assert np.isnan(laid.lengths[1])
        assert np.isnan(laid.wraps[:, 1]).all()
        assert_row_is(laid, 0, ring(self.GOOD))
        assert_row_is(laid, 2, ring(self.GOOD))
        assert laid.proper(1).tolist() == [True, False, True]

    def test_one_pulley_alone_is_no_drive(self) -> None:
        assert not rings([[0.0]], [[0.0]], [[50.0]], 1).ok[0]


class TestBlocks:
    """How the rows are cut into blocks changes nothing but the order in which sums are rounded."""

    @pytest.mark.parametrize("block", [1, 3, 7, 21, 50])
    def test_block_size(self, block: int, monkeypatch: pytest.MonkeyPatch) -> None:
        random = np.random.default_rng(7)
        x, y, radius = random.uniform(0.0, 200.0, (3, 3, 11)) * [[[1.0]], [[1.0]], [[0.3]]]
        sign = np.array([[1.0], [1.0], [-1.0]])
        whole = rings(x, y, radius, sign)
        monkeypatch.setattr(sweep, "BLOCK", block)
        cut = rings(x, y, radius, sign)
        assert 0 < whole.ok.sum() < 11
        for name in ("wraps", "spans", "ok"):
            np.testing.assert_array_equal(getattr(cut, name), getattr(whole, name))
        np.testing.assert_allclose(cut.lengths, whole.lengths, rtol=1e-14)
        np.testing.assert_allclose(cut.turning, whole.turning, atol=1e-13)

    def test_more_rows_than_a_block(self) -> None:
        x, y, *rest = arrays([TestRowsWithoutTangent.GOOD])
        rows = sweep.BLOCK // 2 + 3
        moved = np.linspace(0.0, 100.0, rows)
        laid = rings(x + np.array([[0.0], [1.0]]) * moved, y, *rest)
        assert laid.ok.all()
        # The gradient of the length by the distance of two pulleys: twice the cosine of the slope.
        steps = np.diff(laid.lengths) / np.diff(moved)
        slope = 2.0 * np.sqrt(1.0 - (30.0 / (200.0 + moved)) ** 2)
        assert np.allclose(steps, (slope[1:] + slope[:-1]) / 2.0, atol=1e-6)

    def test_no_rows(self) -> None:
        laid = rings(np.empty((3, 0)), np.empty((3, 0)), np.empty((3, 0)), 1)
        assert laid.lengths.shape == (0,)
        assert laid.wraps.shape == (3, 0)


class TestShapes:
    """Columns stand for all rows; anything but pulleys × rows is refused."""

    def test_columns_broadcast(self) -> None:
        x, y, *rest = arrays([TestRowsWithoutTangent.GOOD])
        many = rings(np.repeat(x, 4, axis=1), y, *rest)
        assert (many.lengths == rings(x, y, *rest).lengths).all()

    @pytest.mark.parametrize("shape", [(3,), (0, 4), (2, 2, 2), ()])
    def test_other_shapes(self, shape: tuple[int, ...]) -> None:
        with pytest.raises(ValueError, match="pulleys × rows"):
            rings(np.zeros(shape), np.zeros(shape), np.zeros(shape), 1)


class TestFourArctan:
    """The quotient of polynomials is 4·arctan within 2e-14 of its value and a few roundings."""

    def test_everywhere(self) -> None:
        z = np.concatenate([np.linspace(-1.0, 1.0, 20001), np.logspace(-300.0, 0.0, 301)])
        expected = np.array([4.0 * atan(value) for value in z])
        found = sweep._four_arctan(z.copy(), *(np.empty_like(z) for _ in range(3)))
        np.testing.assert_allclose(found, expected, rtol=3e-14, atol=0.0)
