"""How sure the computed length is, by Monte Carlo on the vectorised solver.

JCGM 101:2008 (GUM Supplement 1): every measured quantity is drawn from a normal distribution with
the standard uncertainty that `uncertainty` gives it, the belt is laid in every row, and the spread
of the lengths is read off. It checks the propagation by gradient, and sees what that cannot see:
curvature, and rows in which no belt can be laid.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from beltpath.errors import PathError, UsageError
from beltpath.layout.layout import Layout
from beltpath.layout.records import line_radius
from beltpath.solve.many import Array, columns, rings
from beltpath.solve.path import BeltPath
from beltpath.solve.uncertainty import centre_sigma, diameter_sigma

#: More rows than this say nothing new and fill the memory.
MOST_ROWS = 10_000_000
#: Rows drawn at a time. Part of what a seed means: another number here draws other rows.
_DRAWN_AT_ONCE = 16_384


@dataclass(frozen=True, slots=True, kw_only=True)
class MonteCarlo:
    """The spread of a computed effective length, mm, over `rows` drawn layouts.

    `mean` and `sigma` (1 standard deviation) and `low` and `high` (the 2.5 and 97.5 percentiles)
    are of the rows that were laid; `lost` is the share 0..1 of rows in which no belt could be laid
    or it would have missed a pulley.
    """

    rows: int
    mean: float
    sigma: float
    low: float
    high: float
    lost: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Spread:
    """The nominal drive and the sigmas of what is drawn: columns, one number a contact, in mm.

    `by_back` is how the radius of the belt's line follows t: +1, 0 or −1.
    """

    x: Array
    y: Array
    radius: Array
    sign: Array
    centre: Array
    diameter: Array
    back: float
    by_back: Array


def monte_carlo(layout: Layout, path: BeltPath, rows: int, seed: int = 0) -> MonteCarlo:
    """The spread of the path's length when centres, diameters and the belt's t are as measured.

    The same `seed` draws the same rows. Raises UsageError for a number of rows outside
    2..MOST_ROWS, PathError when fewer than two of the rows could be laid.
    """
    if not 2 <= rows <= MOST_ROWS:
        raise UsageError(f"Monte Carlo takes 2 to {MOST_ROWS} rows, not {rows}")
    spread, random = _spread(layout, path), np.random.default_rng(seed)
    drawn = [
        _lengths(spread, path, random, min(_DRAWN_AT_ONCE, rows - start))
        for start in range(0, rows, _DRAWN_AT_ONCE)
    ]
    lengths = np.concatenate(drawn)
    if len(lengths) < 2:
        raise PathError(
            f"no belt could be laid in {rows - len(lengths)} of {rows} rows drawn within the "
            f"uncertainty of the measurements; measure the centres more closely"
        )
    low, high = np.percentile(lengths, (2.5, 97.5))
    return MonteCarlo(
        rows=rows,
        mean=float(lengths.mean()),
        sigma=float(lengths.std(ddof=1)),
        low=float(low),
        high=float(high),
        lost=(rows - len(lengths)) / rows,
    )


def _spread(layout: Layout, path: BeltPath) -> _Spread:
    names = [contact.pulley for contact in path.contacts]
    pulleys = [layout.pulleys[name] for name in names]
    thicker = replace(layout.belt, back=layout.belt.back + 1.0)
    x, y, radius, sign = columns(path.discs)
    return _Spread(
        x=x,
        y=y,
        radius=radius,
        sign=sign,
        centre=_column([centre_sigma(layout, name) for name in names]),
        diameter=_column([diameter_sigma(pulley.measured) for pulley in pulleys]),
        back=layout.belt.section.back_sigma,
        by_back=_column(
            [
                line_radius(pulley, side, thicker) - line_radius(pulley, side, layout.belt)
                for pulley, side in zip(pulleys, path.sides, strict=True)
            ]
        ),
    )


def _column(numbers: list[float]) -> Array:
    return np.array(numbers).reshape(-1, 1)


def _lengths(spread: _Spread, path: BeltPath, random: np.random.Generator, rows: int) -> Array:
    """The lengths of freshly drawn rows, those left out in which the path could not be laid."""
    dx, dy, wider = random.standard_normal((3, len(spread.x), rows))
    radius = (
        spread.radius
        + spread.diameter / 2.0 * wider
        + spread.by_back * (spread.back * random.standard_normal(rows))
    )
    x, y = spread.x + spread.centre * dx, spread.y + spread.centre * dy
    laid = rings(x, y, radius, spread.sign)
    return laid.lengths[laid.as_path(path)]
