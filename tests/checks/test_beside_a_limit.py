"""A value is printed so that it reads on its own side of the limit that stands beside it."""

from __future__ import annotations

import re
from math import degrees, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.words import above, below
from tests.checks.drives import FIXED, SPRUNG, drive_of, findings_of
from tests.forces.scenes import CIDER_MILL

NUMBERS = st.floats(-1e4, 1e4)
CRANK = 'face = "grooved", role = "crank"'


class TestRounding:
    """What is below reads below, what is above reads above, and neither is off by over a step."""

    @given(NUMBERS, NUMBERS, st.integers(0, 3))
    def test_below_and_above(self, one: float, other: float, decimals: int) -> None:
        low, high = sorted((one, other))
        step = 10.0**-decimals
        if high - low > 1e-6:
            assert below(low, high, decimals) < high
            assert above(high, low, decimals) > low
            assert abs(below(low, high, decimals) - low) <= 1.001 * step
            assert abs(above(high, low, decimals) - high) <= 1.001 * step

    @pytest.mark.parametrize(
        ("value", "limit", "decimals", "reads"),
        [(149.7, 150.0, 0, 149.0), (49.97, 50.0, 1, 49.9), (1.2999, 1.3, 2, 1.29), (3, 5, 1, 3.0)],
    )
    def test_just_below(self, value: float, limit: float, decimals: int, reads: float) -> None:
        assert below(value, limit, decimals) == reads
        assert above(-value, -limit, decimals) == -reads


def told(text: str, check: str, *changes: tuple[str, str]) -> str:
    (message,) = [f.message for f in findings_of(text, *changes) if f.check == check]
    return message


def test_a_wrap_just_too_small() -> None:
    wrap = degrees(drive_of(SPRUNG).path.contacts[0].wrap)
    just = f"{wrap + 0.01:.4f}"
    message = told(SPRUNG, "wrap", (CRANK, f"{CRANK}, min_wrap = {just}"))
    reads = re.search(r"by (\d+)° only; ([\d.]+)° is wanted", message)
    assert reads is not None
    assert float(reads[1]) < wrap < float(reads[2])


def test_nobody_is_told_to_move_the_pulleys_of_a_made_machine() -> None:
    message = told(SPRUNG, "wrap", (CRANK, f"{CRANK}, min_wrap = 300"))
    assert "Measure its place and its neighbours' again" in message
    assert "on a drive of your own design, move a neighbouring pulley" in message


def test_a_pulley_just_too_small() -> None:
    message = told(FIXED, "diameter", ("diameter = 100, face", "diameter = 89.98, face"))
    assert "backwards over 89.9 mm; guidance is 90 mm" in message


def test_rims_that_just_overlap() -> None:
    """Rims of 150 and 120 mm, their centres 135 mm apart less a hair."""
    overlap = [
        f.message
        for f in findings_of(
            FIXED,
            ("diameter = 150", "diameter = 150, rim = 301.34"),
            ("diameter = 120", "diameter = 120, rim = 300"),
        )
        if f.check == "overlap" and "fan" in f.pulleys
    ]
    assert overlap and all("overlap by 0.1 mm" in message for message in overlap)


def test_a_belt_a_hair_too_short() -> None:
    drive = drive_of(SPRUNG)
    assert drive.stand is not None
    just = f"length = {drive.stand.shortest - 0.003:.4f}"
    message = told(SPRUNG, "length", ("length = 1880", just))
    assert "is 0.1 mm too short" in message


def test_speeds_just_above_their_limits() -> None:
    message = told(CIDER_MILL, "speed", ("max_rpm = 18000", "max_rpm = 14437.4"))
    turns = re.search(r"turns at (\d+) rpm .* limit is ([\d.]+)\. Keep .* below (\d+)", message)
    assert turns is not None
    assert float(turns[1]) > float(turns[2])
    assert float(turns[3]) < 6000.0
    limit = 50.0 / (2.0 * pi * 77.0 / 1000.0) * 60.0
    message = told(CIDER_MILL, "speed", ("6000]", f"{limit + 0.2:.2f}]"))
    assert "runs at 50.1 m/s" in message
