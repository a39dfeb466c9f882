"""Any discs at all, for the vectorised solver: with and without tangents, proper or not."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from hypothesis import strategies as st

from beltpath.solve.many import Array
from beltpath.solve.path import Disc

Drive = Sequence[Disc]

_AT = st.one_of(st.integers(-300, 300).map(float), st.floats(-300.0, 300.0))
_RADIUS = st.one_of(st.integers(5, 120).map(float), st.floats(5.0, 120.0))


@st.composite
def any_drives(draw: st.DrawFn) -> list[Drive]:
    """One to three drives of as many pulleys each."""
    pulleys = draw(st.integers(1, 9))
    disc = st.builds(
        Disc, st.just("pulley"), st.tuples(_AT, _AT), _RADIUS, st.sampled_from((1, -1))
    )
    drive = st.tuples(*[disc] * pulleys)
    return draw(st.lists(drive, min_size=1, max_size=3))


def arrays(drives: Sequence[Drive]) -> tuple[Array, Array, Array, Array]:
    """The drives as pulley-major x, y, radius and sign."""
    table = np.array([[(*d.centre, d.radius, d.sign) for d in drive] for drive in drives])
    x, y, radius, sign = table.transpose(2, 1, 0)
    return x, y, radius, sign
