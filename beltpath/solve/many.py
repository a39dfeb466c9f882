"""Many drives at once: the arithmetic of `path.ring` on numpy arrays, for Monte Carlo and sweeps.

Arrays are pulley-major, pulleys × rows: a row is one drive, and `x[i]` holds one coordinate of the
i-th contact of every drive. Blocks of rows small enough for the processor's cache are worked
through one after the other, in buffers that are used again.

The turn at a contact, from unit direction u to v, is taken from a quarter of the angle: with
e = v − u, tan((π − turn)/4) = (u × e)/(|e| + |e|²/2), which lies between −1 and 1 and keeps its
digits at turns near 0, half and a whole turn alike. That arctan is a quotient of polynomials:
numpy's own was measured to be no faster than the C library's where there is no AVX-512.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi, radians

import numpy as np
from numpy.typing import ArrayLike, NDArray

from beltpath.geometry import NO_TURN, TAU
from beltpath.solve.path import MISSED_WRAP, BeltPath, Disc
from beltpath.solve.tensioner import CLOSE_ENOUGH, MOST_STEPS, Travel

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

#: Numbers in one buffer of a block. Measured: below 20 000 the calls cost more than the arithmetic
#: saves, above 100 000 the buffers leave the cache.
BLOCK = 40_000
_BUFFERS = 8

#: 4·arctan(z) = z·top(z²)/bottom(z²) for −1 ≤ z ≤ 1, right to 2e-14 of its value. Highest power
#: first; the leading 1 of the bottom is left out. Computed: the quotient that meets arctan at the
#: eleven Chebyshev points of 0 ≤ z² ≤ 1, found in 60 digits.
_TOP = (
    0.45238802584741212,
    38.276490659567791,
    457.49330316811993,
    1755.1637427400578,
    2585.421409164515,
    1275.2968332780169,
)
_BOTTOM = (
    29.158208925525704,
    218.0278858951285,
    625.90279021643701,
    752.63008839613914,
    318.82420831951031,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rings:
    """Closed belts, one a row: `lengths` (mm) and `turning` (rad) by row, `ok` where one was laid.

    `wraps[i]` (rad) is the wrap on contact i and `spans[i]` (mm) the run that leaves it, by row.
    A row in which two neighbours have no tangent, or whose numbers are not finite, is NaN.
    """

    lengths: Array
    turning: Array
    wraps: Array
    spans: Array
    ok: Mask

    def proper(self, loop: int) -> Mask:
        """The rows that turn once in the sense `loop` (+1 or −1) and really touch every pulley."""
        once: Mask = np.abs(self.turning - loop * TAU) < 1e-6
        touching: Mask = self.wraps.max(axis=0) <= MISSED_WRAP
        return once & touching

    def as_path(self, path: BeltPath) -> Mask:
        """The rows that can be laid as `path` is: properly, unless that path itself is not."""
        return self.ok if not path.proper else self.ok & self.proper(path.loop)

    def part(self, rows: slice) -> Rings:
        """Some of the rows, as views."""
        return Rings(
            lengths=self.lengths[rows],
            turning=self.turning[rows],
            wraps=self.wraps[:, rows],
            spans=self.spans[:, rows],
            ok=self.ok[rows],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sweep:
    """One drive with its tensioner at many positions: `lengths` in mm, `rates` dL/dposition.

    `ok` where the belt can be laid and misses no pulley; elsewhere the numbers are NaN. Positions
    are degrees for an arm or swing, mm for a slide.
    """

    positions: Array
    lengths: Array
    rates: Array
    ok: Mask


def rings(x: ArrayLike, y: ArrayLike, radius: ArrayLike, sign: ArrayLike) -> Rings:
    """Lay a closed belt round the discs of every row, in the order of the pulleys.

    `x`, `y` are centres, `radius` and `sign` (+1 counterclockwise, −1 clockwise) as in `path.Disc`,
    pulleys × rows each, or anything that broadcasts to that. Agrees with `path.ring`, which raises
    where a row is NaN.
    """
    given = np.broadcast_arrays(*(np.asarray(a, np.float64) for a in (x, y, radius, sign)))
    shape = given[0].shape
    if len(shape) != 2 or shape[0] == 0:
        raise ValueError(f"rings needs arrays of pulleys × rows, not of shape {shape}")
    pulleys, rows = shape
    laid = Rings(
        lengths=np.empty(rows),
        turning=np.empty(rows),
        wraps=np.empty(shape),
        spans=np.empty(shape),
        ok=np.empty(rows, np.bool_),
    )
    step = max(1, BLOCK // pulleys)
    buffers = np.empty((_BUFFERS, pulleys * min(step, rows)))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for start in range(0, rows, step):
            part = slice(start, start + step)
            block = laid.part(part)
            work = buffers[:, : block.spans.size].reshape(_BUFFERS, *block.spans.shape)
            _lay([array[:, part] for array in given], block, work)
    return laid


def columns(discs: Sequence[Disc]) -> tuple[Array, Array, Array, Array]:
    """What `rings` takes, for one drive: x, y, radius and sign, a column (pulleys × 1) each."""
    table = np.array([(*disc.centre, disc.radius, disc.sign) for disc in discs])
    return table[:, :1], table[:, 1:2], table[:, 2:3], table[:, 3:]


def sweep(travel: Travel, positions: ArrayLike) -> Sweep:
    """The drive's length and dL/dposition with its tensioner at each of `positions`."""
    at = np.atleast_1d(np.asarray(positions, np.float64))
    laid, rates = _swept(travel, at)
    ok = laid.as_path(travel.path)
    return Sweep(
        positions=at,
        lengths=np.where(ok, laid.lengths, np.nan),
        rates=np.where(ok, rates, np.nan),
        ok=ok,
    )


def positions_for(travel: Travel, lengths: ArrayLike, usable: tuple[float, float]) -> Array:
    """The position at which the belt is as long as each of `lengths` (mm).

    NaN where the usable travel does not hold it; a length within `CLOSE_ENOUGH` of an end's is held
    there. The safeguarded Newton of `Travel.position_for`, all lengths at once.
    """
    wanted = np.atleast_1d(np.asarray(lengths, np.float64))
    wanted = np.where(np.isfinite(wanted), wanted, np.nan)
    found = np.full(wanted.shape, np.nan)
    for stretch in travel.stretches(usable):
        found = np.where(np.isnan(found), _in_stretch(travel, wanted, stretch), found)
    return found


def _in_stretch(travel: Travel, wanted: Array, usable: tuple[float, float]) -> Array:
    """`Travel.position_for` in a stretch that holds each length once."""
    first, last = (_off(travel.path_at(end).length, wanted) for end in usable)
    low, high = (np.full(wanted.shape, end) for end in usable)
    gap = first - last
    position: Array = low + (high - low) * first / np.where(gap == 0.0, 1.0, gap)
    position[~(first * last <= 0.0)] = np.nan
    for _ in range(MOST_STEPS):
        laid, rates = _swept(travel, position)
        off = laid.lengths - wanted
        apart = np.abs(off) >= CLOSE_ENOUGH
        if not apart.any():
            break
        before = (off > 0.0) == (first > 0.0)
        low, high = np.where(before, position, low), np.where(before, high, position)
        position = np.where(apart, _newton(position, off, rates, low, high), position)
    # A bracket that closes on a jump of the length holds no position; the ends are exact.
    met = (np.abs(off) < CLOSE_ENOUGH) | np.isin(position, usable)
    return np.where(met, position, np.nan)


def _off(length: float, wanted: Array) -> Array:
    """How far a length is from those wanted, 0 where it is close enough."""
    off = length - wanted
    return np.where(np.abs(off) < CLOSE_ENOUGH, 0.0, off)


def _newton(position: Array, off: Array, rate: Array, low: Array, high: Array) -> Array:
    """The next positions: Newton's, or the bracket's middle where that leaves the bracket."""
    with np.errstate(divide="ignore", invalid="ignore"):
        step = position - off / rate
    inside = (np.minimum(low, high) < step) & (step < np.maximum(low, high))
    return np.where(inside, step, (low + high) / 2.0)


def _swept(travel: Travel, positions: Array) -> tuple[Rings, Array]:
    """The rings and dL/dposition, from ∂L/∂c = u_in − u_out at the tensioner's pulley."""
    x, y, radius, sign = columns(travel.path.discs)
    at = travel.path.index(travel.tensioner.pulley)
    x, y = (np.repeat(column, len(positions), axis=1) for column in (x, y))
    x[at], y[at], *velocity = _motion(travel, positions)
    discs = list(zip(x, y, sign * radius, strict=True))
    into = _direction(discs[at - 1], discs[at])
    out = _direction(discs[at], discs[(at + 1) % len(discs)])
    rates = sum((u - v) * speed for u, v, speed in zip(into, out, velocity, strict=True))
    return rings(x, y, radius, sign), np.asarray(rates)


def _motion(travel: Travel, positions: Array) -> tuple[Array, Array, Array, Array]:
    """`Travel.centre` and `Travel.velocity` at many positions: x, y, dx and dy by position."""
    (ax, ay), pivot = travel.measured_at, travel.tensioner.pivot
    if pivot is None:
        ux, uy = (np.full(len(positions), u) for u in travel.velocity(0.0))
        return ax + positions * ux, ay + positions * uy, ux, uy
    arm, angle = hypot(ax - pivot[0], ay - pivot[1]), np.radians(positions)
    cos, sin, step = arm * np.cos(angle), arm * np.sin(angle), radians(1.0)
    return pivot[0] + cos, pivot[1] + sin, -step * sin, step * cos


def _direction(
    one: tuple[Array, Array, Array], other: tuple[Array, Array, Array]
) -> tuple[Array, Array]:
    """The unit direction of the tangent from disc to disc, as in `geometry.tangent`."""
    dx, dy, rise = (b - a for a, b in zip(one, other, strict=True))
    square = dx * dx + dy * dy
    with np.errstate(invalid="ignore", divide="ignore"):
        span = np.sqrt(square - rise * rise)
        return (span * dx + rise * dy) / square, (span * dy - rise * dx) / square


def _lay(given: Sequence[Array], out: Rings, work: Array) -> None:
    """Lay one block of rows, x, y, radius and sign, into `out`; `work` is overwritten."""
    x, y, radius, sign = given
    q, *buffers = work
    np.multiply(sign, radius, out=q)
    ux, uy, *spare = _directions(x, y, q, out, buffers)
    wraps = _turns(ux, uy, sign, spare)
    np.absolute(wraps, out=out.wraps)
    np.sum(wraps, axis=0, out=out.turning)
    wraps *= q
    wraps += out.spans
    np.sum(wraps, axis=0, out=out.lengths)
    np.logical_and(out.ok, np.isfinite(out.lengths), out=out.ok)
    if not out.ok.all():
        for array in (out.lengths, out.turning, out.wraps, out.spans):
            array[..., ~out.ok] = np.nan


def _directions(
    x: Array, y: Array, q: Array, out: Rings, work: Sequence[Array]
) -> tuple[Array, ...]:
    """The unit directions of all spans, then the buffers that are free again.

    Fills `out.spans` and `out.ok`. The formulas are those of `geometry.tangent`.
    """
    dx, dy, rise, square, span, ux, spare = work
    _to_next(x, dx)
    _to_next(y, dy)
    _to_next(q, rise)
    np.multiply(dx, dx, out=square)
    square += np.multiply(dy, dy, out=spare)
    np.subtract(square, np.multiply(rise, rise, out=spare), out=span)
    np.greater(span.min(axis=0), 0.0, out=out.ok)
    np.sqrt(span, out=span)
    out.spans[...] = span
    np.multiply(span, dx, out=ux)
    ux += np.multiply(rise, dy, out=spare)
    ux /= square
    uy = np.multiply(span, dy, out=span)
    uy -= np.multiply(rise, dx, out=spare)
    uy /= square
    return ux, uy, dx, dy, rise, square


def _turns(ux: Array, uy: Array, sign: Array, work: Sequence[Array]) -> Array:
    """The signed wraps on all contacts, s·π − 4·arctan((u × e)/(|e| + |e|²/2))."""
    ex, ey, *spare = work
    _from_last(ux, ex)
    _from_last(uy, ey)
    ux *= ey
    uy *= ex
    cross = np.subtract(ux, uy, out=ux)
    ex *= ex
    ey *= ey
    square = np.add(ex, ey, out=ex)
    below = np.sqrt(square, out=ey)
    square *= 0.5
    below += square
    cross /= below
    turns = _four_arctan(cross, uy, *spare)
    np.subtract(np.multiply(sign, pi, out=ey), turns, out=turns)
    turns[square < NO_TURN * NO_TURN / 2.0] = 0.0
    return turns


def _four_arctan(z: Array, square: Array, top: Array, bottom: Array) -> Array:
    """4·arctan(z) for −1 ≤ z ≤ 1 in `top`; all four are overwritten."""
    np.multiply(z, z, out=square)
    np.multiply(square, _TOP[0], out=top)
    for coefficient in _TOP[1:-1]:
        top += coefficient
        top *= square
    top += _TOP[-1]
    top *= z
    np.add(square, _BOTTOM[0], out=bottom)
    for coefficient in _BOTTOM[1:]:
        bottom *= square
        bottom += coefficient
    top /= bottom
    return top


def _to_next(a: Array, out: Array) -> None:
    """The differences a[i + 1] − a[i], round the loop."""
    np.subtract(a[1:], a[:-1], out=out[:-1])
    np.subtract(a[0], a[-1], out=out[-1])


def _from_last(a: Array, out: Array) -> None:
    """The differences a[i] − a[i − 1], round the loop."""
    np.subtract(a[1:], a[:-1], out=out[1:])
    np.subtract(a[0], a[-1], out=out[0])
