"""Drives to lay: any discs at all, and proper drives with back bends, either way round."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from hypothesis import strategies as st

from beltpath.geometry import rotated
from beltpath.path import Disc, trace
from beltpath.sweep import Array
from tests.bench.eight import eight

Drive = tuple[Disc, ...]

_AT = st.one_of(st.integers(-300, 300).map(float), st.floats(-300.0, 300.0))
_RADIUS = st.one_of(st.integers(5, 120).map(float), st.floats(5.0, 120.0))


@st.composite
def any_drives(draw: st.DrawFn) -> list[Drive]:
    """A few drives of as many pulleys each, proper or not, with and without tangents."""
    pulleys = draw(st.integers(1, 9))
    disc = st.builds(_disc, st.tuples(_AT, _AT), _RADIUS, st.sampled_from((1, -1)))
    drive = st.tuples(*[disc] * pulleys)
    return draw(st.lists(drive, min_size=1, max_size=3))


@st.composite
def proper_drives(draw: st.DrawFn) -> list[Drive]:
    """Eight pulleys with three back bends, every pulley moved a little, turned and mirrored."""
    shift = st.floats(-2.0, 2.0)
    angle = radians(draw(st.floats(0.0, 360.0)))
    turned = cos(angle), sin(angle)
    mirror = draw(st.sampled_from((1, -1)))
    rows = draw(st.integers(1, 2))
    return [
        tuple(
            _disc(
                rotated(
                    (mirror * (disc.centre[0] + draw(shift)), disc.centre[1] + draw(shift)),
                    *turned,
                ),
                disc.radius + draw(shift),
                mirror * disc.sign,
            )
            for disc in trace(eight()).discs
        )
        for _ in range(rows)
    ]


def arrays(drives: list[Drive]) -> tuple[Array, Array, Array, Array]:
    """The drives as pulley-major x, y, radius and sign."""
    table = np.array([[(*d.centre, d.radius, d.sign) for d in drive] for drive in drives])
    x, y, radius, sign = table.transpose(2, 1, 0)
    return x, y, radius, sign


def loop_of(drive: Drive) -> int:
    """The sense of the loop: that of its first pulley, the crank."""
    return drive[0].sign


def _disc(centre: tuple[float, float], radius: float, sign: int) -> Disc:
    return Disc("pulley", centre, radius, sign)
