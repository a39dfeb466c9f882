"""A real drive with a back bend: Beikmann, Perkins and Ulsoy, Free vibration of serpentine belt
drive systems, Journal of Vibration and Acoustics 118 (1996).

Status: from memory, page not seen. Radii are belt-line radii in metres. The spans are printed to
0.1 mm and must come out to that. The two angles between arm and span are printed to 0.01°, but the
coordinates that give the arm's direction are printed to 0.1 mm on an arm of 97 mm, which is 0.03°
of rounding: 0.05° is asked.
"""

from __future__ import annotations

from math import atan2, degrees, pi

import pytest

from beltpath.layout.records import Tensioner
from beltpath.solve.many import sweep
from beltpath.solve.path import BeltPath, Disc, Ring, ring
from beltpath.solve.tensioner import Travel

PIVOT = (0.2508, 0.0635)
TENSIONER = (0.3477, 0.05715)
PRINTED_SPANS_M = [0.1548, 0.3449, 0.5518]
PRINTED_ANGLES_DEG = [135.79, 178.74]


DISCS = [
    Disc("crank", (0.5525, 0.0556), 0.0889, 1),
    Disc("tensioner", TENSIONER, 0.0452, -1),
    Disc("driven", (0.0, 0.0), 0.02697, 1),
]


def _laid() -> Ring:
    return ring(DISCS)


def test_spans() -> None:
    assert [s.length for s in _laid().spans] == pytest.approx(PRINTED_SPANS_M, abs=5e-5)


def test_angles_between_arm_and_spans() -> None:
    arm = degrees(atan2(TENSIONER[1] - PIVOT[1], TENSIONER[0] - PIVOT[0]))
    into, out = _laid().spans[:2]
    found = [
        arm - degrees(atan2(into.direction[1], into.direction[0])),
        degrees(atan2(out.direction[1], out.direction[0])) - arm,
    ]
    # The paper measures both from the arm; which way round does not change the angle.
    unsigned = [min(angle % 360.0, -angle % 360.0) for angle in found]
    assert unsigned == pytest.approx(PRINTED_ANGLES_DEG, abs=0.05)


def test_back_bend_takes_away_from_the_turning() -> None:
    laid = _laid()
    crank, tensioner, driven = (c.wrap for c in laid.contacts)
    assert crank + driven - tensioner == pytest.approx(2 * pi, rel=1e-12)
    assert laid.turning == pytest.approx(2 * pi, rel=1e-12)


def test_the_arm_over_ten_degrees_either_way() -> None:
    """L and dL/dθ: the vectorised solver, the scalar one and central differences agree."""
    laid = _laid()
    path = BeltPath(
        contacts=laid.contacts,
        spans=laid.spans,
        sides=("ribs", "back", "ribs"),
        loop=1,
        length=laid.length,
        turning=laid.turning,
        b_e=0.0,
        inferred=(),
    )
    arm = Tensioner(pulley="tensioner", kind="arm", pivot=PIVOT, free=-20.0, load=20.0)
    travel = Travel(arm, path, TENSIONER)
    here = travel.measured_position()
    positions = [here - 10.0, here, here + 10.0]
    swept = sweep(travel, positions)
    assert swept.ok.all()
    scalar = [travel.path_at(position).length for position in positions]
    assert swept.lengths == pytest.approx(scalar, rel=1e-9)
    step = 1e-4
    differences = [
        (travel.path_at(p + step).length - travel.path_at(p - step).length) / (2 * step)
        for p in positions
    ]
    assert [travel.rate_here(p) for p in positions] == pytest.approx(differences, rel=1e-6)
    assert swept.rates == pytest.approx(differences, rel=1e-6)
