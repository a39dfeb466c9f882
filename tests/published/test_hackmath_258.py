"""A2: hackmath.net, problem 258: an open belt on pulleys of 105 and 393 mm, centres 697 mm apart.

Status: seen. The page prints 2.2 m, so the print holds to 10 mm only (less than half of its last
digit); the exact value 2206.114 mm was computed from the inputs by an independent script.
"""

from __future__ import annotations

import pytest

from beltpath.solve.path import Disc, ring

PRINTED_MM = 2200.0
EXACT_MM = 2206.114


def _length() -> float:
    return ring(
        [Disc("small", (0.0, 0.0), 105.0 / 2, 1), Disc("large", (697.0, 0.0), 393.0 / 2, 1)]
    ).length


def test_agrees_with_the_print() -> None:
    assert _length() == pytest.approx(PRINTED_MM, abs=10.0)


def test_agrees_with_the_exact_value() -> None:
    assert _length() == pytest.approx(EXACT_MM, abs=5e-4)
