"""A tolerance and a ± are risk, never room: enlarging one never makes an answer better."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from beltpath import checks
from beltpath.checks.findings import verdict
from beltpath.errors import PathError
from beltpath.layout.layout import Layout
from beltpath.sizing.catalogue import Offer
from beltpath.sizing.fit import ANSWERS, judge, wanted
from beltpath.solve.drive import solve
from beltpath.solve.tensioner import Travel
from tests.checks.drives import PAIR, SPRUNG
from tests.forces.scenes import WASHER
from tests.sizing.drives import AUGER, FIXED_PAIR, FOGGER, ORCHARD, layout
from tests.strategies import Made, drives, law, layout_of, tensioned

SCENES = {
    "tensioner": PAIR,
    "orchard": ORCHARD,
    "sprung": SPRUNG,
    "fixed": FIXED_PAIR,
    "auger": AUGER,
    "stretch-fit": FOGGER,
    "washer": WASHER,
    "washer, loaded": WASHER.replace("torque_nm = 6", "torque_nm = 30"),
}
VERDICTS = ("pass", "caution", "fail")
WIDTHS = st.floats(0.0, 40.0)
#: How far from the path a belt is, as a part of it: near it, and where stretch-fit belts are.
OFF = st.floats(-0.05, 0.03)


def with_(found: Layout, length: float, tolerance: float, accuracy: float) -> Layout:
    """The layout with that belt in hand, every centre known to `accuracy` (1 sigma, mm)."""
    belt = replace(found.belt, length=length, tolerance=tolerance, tolerance_assumed=False)
    pulleys = {k: replace(p, accuracy=None) for k, p in found.pulleys.items()}
    return replace(found, belt=belt, pulleys=pulleys, accuracy=accuracy)


def nominal(found: Layout) -> float:
    """The path's length as measured, mm."""
    return solve(replace(found, belt=replace(found.belt, length=None))).path.length


def answer(found: Layout, length: float) -> int:
    """How bad the answer of `size` is about that length: 0 fits."""
    belt = found.belt
    offer = Offer("x", belt.section.name, belt.ribs, length, belt.tolerance)
    return ANSWERS.index(judge(wanted(found), offer).answer)


def checked(found: Layout) -> int:
    """How bad the verdict of the checks is: 0 pass.

    Look-alikes are another question, and slow. Agreement asks whether two measurements contradict
    each other: the less they are sure, the less they can.
    """
    return VERDICTS.index(verdict(checks.run(solve(found), without=("look-alike", "agreement"))))


def no_better(
    found: Layout, off: float, widths: tuple[float, ...], sigmas: tuple[float, ...]
) -> None:
    """Neither `size` nor `check` says better of the wider tolerance and the worse measurement."""
    try:
        length = nominal(found) * (1.0 + off)
        closer = with_(found, length, min(widths), min(sigmas))
        looser = with_(found, length, max(widths), max(sigmas))
        assert answer(looser, length) >= answer(closer, length)
        assert checked(looser) >= checked(closer)
    except PathError:
        assume(False)


class TestRiskIsNeverRoom:
    """Enlarging the belt's tolerance or the ± of the places improves no answer and no verdict."""

    @pytest.mark.parametrize("scene", SCENES)
    @law
    @given(off=OFF, widths=st.tuples(WIDTHS, WIDTHS), sigmas=st.tuples(WIDTHS, WIDTHS))
    def test_of_the_scenes(
        self, scene: str, off: float, widths: tuple[float, ...], sigmas: tuple[float, ...]
    ) -> None:
        no_better(layout(SCENES[scene]), off, widths, sigmas)

    @law
    @given(made=tensioned(), off=OFF, widths=st.tuples(WIDTHS, WIDTHS))
    def test_of_any_sprung_drive(self, made: Made, off: float, widths: tuple[float, ...]) -> None:
        no_better(layout_of(made.data), off, widths, (1.0, 3.0))

    @law
    @given(made=drives(), elastic=st.booleans(), off=OFF, widths=st.tuples(WIDTHS, WIDTHS))
    def test_of_any_drive_on_fixed_centres(
        self, made: Made, elastic: bool, off: float, widths: tuple[float, ...]
    ) -> None:
        data: dict[str, Any] = {**made.data, "belt": {**made.data["belt"], "elastic": elastic}}
        assume(not (elastic and data["belt"]["double_sided"]))
        no_better(layout_of(data), off, widths, (1.0, 3.0))


class TestBeyondAStop:
    """A place beyond a stop is at least a caution, and no ± makes the finding better."""

    @law
    @given(
        made=tensioned(),
        past=st.floats(0.001, 30.0),
        by_load=st.booleans(),
        sigmas=st.tuples(WIDTHS, WIDTHS),
        off=OFF | st.none(),
    )
    def test_of_any_tensioner(
        self,
        made: Made,
        past: float,
        by_load: bool,
        sigmas: tuple[float, ...],
        off: float | None,
    ) -> None:
        found = beyond(layout_of(made.data), past, by_load)
        try:
            length = None if off is None else nominal(found) * (1.0 + off)
            levels = [told_of_stops(found, length, sigma) for sigma in (min(sigmas), max(sigmas))]
        except PathError:
            assume(False)
        assert min(levels) >= 1
        assert levels[1] >= levels[0]


def beyond(found: Layout, past: float, by_load: bool) -> Layout:
    """The layout with its stops moved, so that it was measured so far past one of them."""
    t = found.tensioner
    assert t is not None
    travel = Travel(t, solve(found).as_measured, found.pulleys[t.pulley].at)
    at, long = travel.measured_position(), t.load - t.free
    away = past if long > 0.0 else -past
    stops = (at - away - long, at - away) if by_load else (at + away, at + away + long)
    moved = replace(t, free=stops[0], load=stops[1], window=None, spring=None)
    return replace(found, tensioner=moved)


def told_of_stops(found: Layout, length: float | None, sigma: float) -> int:
    """How bad the findings are: 0 nothing, 1 a caution, 2 a fault."""
    belt = replace(found.belt, length=length, tolerance=None)
    pulleys = {k: replace(p, accuracy=None) for k, p in found.pulleys.items()}
    drive = solve(replace(found, belt=belt, pulleys=pulleys, accuracy=sigma))
    told = checks.run(drive, without=("look-alike", "agreement"))
    return VERDICTS.index(verdict(f for f in told if f.check in _OF_THE_PLACE))


#: `travel` tells of one that stands beyond a stop; without the belt closing, its fault does.
_OF_THE_PLACE = ("stops", "travel", "missed", "crossing", "length", "over-centre")


class TestOnFixedCentres:
    """Nothing takes up a tolerance there, so that no ordinary belt passes or fits."""

    @law
    @given(made=drives(), off=st.floats(-0.01, 0.01), tolerance=WIDTHS)
    def test_no_ordinary_belt_is_sure_to_fit(
        self, made: Made, off: float, tolerance: float
    ) -> None:
        found = layout_of(made.data)
        length = nominal(found) * (1.0 + off)
        given_ = with_(found, length, tolerance, found.accuracy)
        assert answer(given_, length) == (1 if abs(off) < 0.002 else 2)
        assert checked(given_) >= 1
