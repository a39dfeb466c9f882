"""A1: a belt round two circles, a contest problem of solve.club: open, radii 1 and 6, 13 apart.

Status: seen. The page gives the answer to ten decimals; the inputs are whole numbers, so the
computed length must agree to the last printed digit.
"""

from __future__ import annotations

import pytest

from beltpath.solve.path import Disc, ring

PRINTED = 49.9390597721
LAST_DIGIT = 1e-9


def test_length_of_the_open_belt() -> None:
    laid = ring([Disc("small", (0.0, 0.0), 1.0, 1), Disc("large", (13.0, 0.0), 6.0, 1)])
    assert laid.length == pytest.approx(PRINTED, abs=LAST_DIGIT)
    assert [span.length for span in laid.spans] == pytest.approx([12.0, 12.0], abs=1e-12)
