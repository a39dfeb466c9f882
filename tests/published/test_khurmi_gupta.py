"""A5: Khurmi and Gupta, Theory of Machines: a crossed belt on 450 and 200 mm, 1.95 m apart.

Status: inputs seen, answers from memory. Printed: 4.975 m (four digits, so 1 mm) and an angle of
contact of 199.2° on each pulley (so 0.05°).
"""

from __future__ import annotations

from math import degrees

import pytest

from beltpath.solve.path import Disc, ring


def test_crossed_belt() -> None:
    laid = ring([Disc("large", (0.0, 0.0), 225.0, 1), Disc("small", (1950.0, 0.0), 100.0, -1)])
    assert laid.length == pytest.approx(4975.0, abs=1.0)
    assert [degrees(c.wrap) for c in laid.contacts] == pytest.approx([199.2, 199.2], abs=0.05)
    # Crossed, the two wraps cancel: such a belt does not turn once.
    assert laid.turning == pytest.approx(0.0, abs=1e-12)
