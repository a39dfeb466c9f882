"""A first guess of how the camera stood, from the rims alone, that wrong rims cannot spoil.

Each rim gives an ellipse. Its area over the rim's true area is the scale there, and the cube root
of that ratio follows the projective denominator, which is linear in the picture; planes through
three rims at a time are tried and the one is taken that suits most rims (least median). With the
perspective out, all ellipses share one shape, the affine part.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np

from beltpath.measure.equations import Equations
from beltpath.measure.views import Array

#: Points needed for an ellipse; with fewer a circle is fitted.
ELLIPSE_POINTS = 5
#: A rim whose size in the guess is off by more than this part keeps its seen size as a start.
SIZE_MATCHES = 0.05
#: The projective denominator may change by this factor over the picture, not more.
MOST_PERSPECTIVE = 4.0
#: No more than this many triples of points are tried on a rim.
MOST_TRIPLES = 80


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Guess:
    """A first guess: picture to front plane, and each clicked rim's centre and radius, mm."""

    image_to_front: Array
    centres: dict[int, Array]
    radii: dict[int, float]


class _Ellipse:
    """The middle of a rim in the picture, and the matrix E of (x − m)ᵀE⁻¹(x − m) = 1."""

    def __init__(self, points: Array) -> None:
        self.middle, self.matrix = _ellipse(points) or _circle(points)

    @property
    def area(self) -> float:
        """Area over π."""
        return float(np.sqrt(np.linalg.det(self.matrix)))


def guesses(equations: Equations) -> Iterator[Guess]:
    """First guesses, the most likely first: with perspective as found, then without."""
    rims = {
        int(target): equations.points[equations.clicked == target]
        for target in np.unique(equations.clicked)
    }
    radii = {target: float(equations.nominal[target]) for target in rims}
    for perspective in (_perspective(rims, radii), np.zeros(2)):
        yield _guess(rims, radii, perspective)


def _guess(rims: dict[int, Array], radii: dict[int, float], perspective: Array) -> Guess:
    flatten = np.eye(3)
    flatten[2, :2] = perspective
    flat = {target: mapped(flatten, points) for target, points in rims.items()}
    affine = np.eye(3)
    affine[:2, :2] = _affine([_Ellipse(flat[t]) for t in rims], [radii[t] for t in rims])
    to_front = affine @ flatten
    seen = {target: _rim(mapped(to_front, points)) for target, points in rims.items()}
    return Guess(
        image_to_front=to_front,
        centres={target: centre for target, (centre, _) in seen.items()},
        radii={
            t: radii[t] if abs(size - radii[t]) < SIZE_MATCHES * radii[t] else size
            for t, (_, size) in seen.items()
        },
    )


def mapped(matrix: Array, points: Array) -> Array:
    """Homogeneous points (n × 3) through a 3 × 3 map, as homogeneous points ending in 1."""
    image = points @ matrix.T
    scaled: Array = image / image[:, 2:]
    return scaled


def _perspective(rims: dict[int, Array], radii: dict[int, float]) -> Array:
    """The two numbers g, h of the denominator 1 + g·x + h·y that suit most rims."""
    ellipses = {target: _Ellipse(points) for target, points in rims.items()}
    middles = np.array([[*e.middle, 1.0] for e in ellipses.values()])
    scales = np.cbrt([e.area / radii[target] ** 2 for target, e in ellipses.items()])
    everywhere = np.vstack(list(rims.values()))
    best, least = np.zeros(2), float(np.median(np.abs(scales / np.median(scales) - 1.0)))
    for triple in combinations(range(len(middles)), 3):
        chosen = list(triple)
        if abs(np.linalg.det(middles[chosen])) < 1e-3:
            continue
        plane = np.linalg.solve(middles[chosen], scales[chosen])
        denominators = everywhere @ plane
        if not 0.0 < denominators.max() < MOST_PERSPECTIVE * denominators.min():
            continue
        off = float(np.median(np.abs(middles @ plane / scales - 1.0)))
        if off < least:
            best, least = plane[:2] / plane[2], off
    return best


def _affine(ellipses: Sequence[_Ellipse], radii: Sequence[float]) -> Array:
    """The map that turns ellipses of one shape into circles: E^(−1/2) of the usual E of a mm."""
    shapes = np.array([e.matrix / e.area for e in ellipses])
    # The one that is nearest to all others: a wrong rim does not draw it, and it is an ellipse.
    apart = np.linalg.norm(shapes[:, None] - shapes[None, :], axis=(2, 3))
    shape = shapes[int(np.argmin(apart.sum(axis=0)))]
    size = float(np.median([e.area / r**2 for e, r in zip(ellipses, radii, strict=True)]))
    values, vectors = np.linalg.eigh(shape * size)
    root: Array = vectors @ np.diag(values**-0.5) @ vectors.T
    return root


def _ellipse(points: Array) -> tuple[Array, Array] | None:
    """The conic through the points (least squares), if it is an ellipse and there are enough."""
    if len(points) < ELLIPSE_POINTS:
        return None
    centre = points[:, :2].mean(axis=0)
    spread = float(np.abs(points[:, :2] - centre).max())
    x, y = ((points[:, :2] - centre) / spread).T
    _, _, vt = np.linalg.svd(np.column_stack([x * x, x * y, y * y, x, y, np.ones(len(x))]))
    a, b, c, d, e, f = vt[-1]
    quadratic = np.array([[a, b / 2.0], [b / 2.0, c]])
    middle = -np.linalg.lstsq(quadratic, np.array([d, e]) / 2.0, rcond=None)[0]
    level = middle @ quadratic @ middle - f
    # A hyperbola or parabola has a determinant of 0 or less, an ellipse without points a level
    # of the wrong sign.
    if np.linalg.det(quadratic) <= 1e-9 or level * np.trace(quadratic) <= 0.0:
        return None
    return centre + spread * middle, np.linalg.inv(quadratic) * level * spread**2


def _circle(points: Array) -> tuple[Array, Array]:
    """The circle through the points (least squares), as an ellipse."""
    x, y, _ = points.T
    (a, b, c), *_ = np.linalg.lstsq(points * (2.0, 2.0, 1.0), x * x + y * y, rcond=None)
    return np.array([a, b]), np.eye(2) * max(float(c + a * a + b * b), 1e-12)


def _rim(points: Array) -> tuple[Array, float]:
    """Centre and radius of the circle that suits most points, of those through three of them."""
    threes = points[_triples(len(points))]
    flat = np.abs(np.linalg.det(threes)) < 1e-9
    threes[flat] += np.eye(3)
    squares = (threes[:, :, :2] ** 2).sum(axis=2)
    a, b, c = np.linalg.solve(threes * (2.0, 2.0, 1.0), squares[:, :, None])[:, :, 0].T
    sizes = np.sqrt(np.maximum(c + a * a + b * b, 0.0))
    apart = np.hypot(points[:, 0] - a[:, None], points[:, 1] - b[:, None])
    off = np.median(np.abs(apart - sizes[:, None]), axis=1)
    best = int(np.argmin(np.where(flat, np.inf, off)))
    return np.array([a[best], b[best]]), float(sizes[best])


def _triples(count: int) -> list[list[int]]:
    """Triples out of `count` things: all, or a fixed sample of them when there are many."""
    if comb(count, 3) <= MOST_TRIPLES:
        return [list(triple) for triple in combinations(range(count), 3)]
    draw = np.random.default_rng(0)
    return [draw.choice(count, 3, replace=False).tolist() for _ in range(MOST_TRIPLES)]
