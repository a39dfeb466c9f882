"""B2: capstan ratios of a flat belt and a V-belt.

Source: Shigley, Mechanical Engineering Design, examples on flat belts and V-belts (from memory,
page not seen): friction 0.8 over 3.0165 rad gives 11.17; effective friction 0.5123 over 3.057 rad
gives 4.788. Tolerance 0.1 %: the book prints four digits.
"""

from __future__ import annotations

import pytest

from beltpath.solve.statics import capstan_ratio


@pytest.mark.parametrize(
    ("friction", "wrap", "printed"), [(0.8, 3.0165, 11.17), (0.5123, 3.057, 4.788)]
)
def test_ratio(friction: float, wrap: float, printed: float) -> None:
    assert capstan_ratio(friction, wrap) == pytest.approx(printed, rel=0.001)
