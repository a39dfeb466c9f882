"""How near places and belt lengths come, and whether their ± holds: a short run of the study.

The whole study, 200 draws, is `python -m tests.measure.study`; its figures stand in the docs. The
bounds are those that the measurement was built for: centres within 1.5 mm rms, belt length within
3 mm rms, 95 % intervals that hold the truth 90 to 99 times in a hundred. So few draws as here leave
the rms of lengths uncertain by a quarter (one over the root of twice the draws), which the bounds
on lengths allow for once.
"""

from __future__ import annotations

import pytest

from beltpath.layout import reader as layout_file
from beltpath.solve.path import trace
from beltpath.survey import parse, solve
from tests.measure.scenes import SEVEN, head, tapes
from tests.measure.study import (
    ABOVE,
    BACK,
    Make,
    both_survey,
    photo_survey,
    route,
    study,
    tape_survey,
    true_length,
)


@pytest.mark.parametrize("make", [photo_survey, tape_survey, both_survey])
def test_within_bounds(make: Make) -> None:
    figures = study(make, 10)
    assert figures.usable >= 9
    assert figures.centre_rms < 1.5
    assert figures.place_rms < 3.0 * 1.25
    assert 0.90 <= figures.covered_xy <= 0.99
    assert 0.90 <= figures.covered_one <= 0.99
    assert figures.covered_length >= 0.8
    assert f"centres {figures.centre_rms:.2f} mm rms" in str(figures)


def test_truth_of_the_study() -> None:
    """The length that the study takes for true is that of the exact layout."""
    exact = solve(parse(head(level=ABOVE, top=route()) + tapes()))
    length = trace(layout_file.parse(exact.layout_text())).length
    places = {name: truth.at for name, truth in SEVEN.items()}
    assert length == pytest.approx(true_length(BACK, places), abs=0.02)
