"""Initial guesses of the unknowns, and the robust solution that the adjustment starts from.

**From the tape.** A target that two readings reach from known positions lies on one side or the
other of the line between them. The order of building and the side are drawn at random, with a fixed
seed. Among many guesses some are then built without the wrong readings.

**From the photograph.** Each rim appears as an ellipse. Its area over the rim's true area gives the
local scale. The cube root of that ratio follows the denominator of the projective map, which is
linear in the picture. Planes through three rims at a time are tried; the one with the least median
residual wins, so that wrong rims cannot spoil it. Without perspective all ellipses share one shape,
which gives the affine part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from math import atan2, comb, cos, log1p, pi, radians, sin
from typing import NamedTuple

import numpy as np

from beltpath.geometry import Point, distance
from beltpath.survey.adjust import fit, robust_cost
from beltpath.survey.equations import Equations, Unknowns
from beltpath.survey.views import Array, Camera

#: The number of initial guesses kept, and of those followed to their robust solution.
MOST_GUESSES, MOST_FOLLOWED = 32, 8
#: The robust fit of a camera is repeated at most so often, and ends when a repetition leaves more
#: than this share of the cost.
MOST_ROUNDS, ENOUGH = 5, 0.99
#: Two guesses are the same when no unknown differs by more than this, mm.
ALIKE = 15.0
#: Guesses built from the tape alone, and for targets to be added to a photograph.
GUESSES, GUESSES_ON_PHOTO = 200, 40
#: How often the position that fits best is taken, and not the next best.
BEST_TAKEN = 0.6
#: The positions tried for a target are the crossings of so many of the readings that reach it.
MOST_CROSSED = 4
#: A reading that is off by more than this (mm) hardly counts in a guess.
FAR_OFF = 5.0
#: Positions nearer to each other than this (mm) are the same.
SAME_PLACE = 10.0
#: A target that no reading reaches is put this far (mm) from another.
SOMEWHERE = 200.0
#: Points needed for an ellipse; with fewer a circle is fitted.
ELLIPSE_POINTS = 5
#: A rim whose guessed radius is off by more than this share keeps it as a start.
SIZE_MATCHES = 0.05
#: The largest ratio of projective denominators over the picture.
MOST_PERSPECTIVE = 4.0
#: The number of triples of points tried on a rim.
MOST_TRIPLES = 80

Positions = dict[int, Point]


class PhotoGuess(NamedTuple):
    """A guess from the photograph: map from picture to front plane, rims' centres and radii, mm."""

    image_to_front: Array
    centres: Mapping[int, Array]
    radii: Mapping[int, float]


_NO_PHOTO = PhotoGuess(np.eye(3), {}, {})


def first_guesses(equations: Equations) -> list[Array]:
    """Initial guesses that differ from each other, those that fit most readings first."""
    kept: list[Array] = []
    for p in sorted(_starts(equations), key=lambda p: robust_cost(equations.residuals(p))):
        if all(np.abs(p - other).max() > ALIKE for other in kept):
            kept.append(p)
        if len(kept) == MOST_GUESSES:
            break
    return kept


def robust_solution(equations: Equations, guesses: Sequence[Array]) -> Array:
    """The robust solution of least cost reached from the initial guesses."""
    return min(
        (
            robust_fit(equations, p)
            for guess in guesses[:MOST_FOLLOWED]
            for p in _posed(equations, guess)
        ),
        key=lambda p: robust_cost(equations.residuals(p)),
    )


def _posed(equations: Equations, p: Array) -> Iterator[Array]:
    """A guess, and the same with other poses of the camera."""
    yield p
    if isinstance(equations.view, Camera):
        u = equations.unpack(p)
        for view in equations.view.other_poses(u.view):
            yield equations.pack(u._replace(view=view))


def robust_fit(equations: Equations, start: Array) -> Array:
    """The robust solution next to a start.

    The parameters of a camera are strongly correlated, so that the fit converges slowly. It is
    repeated while the cost still falls.
    """
    p = fit(equations, start, loss="cauchy")
    if isinstance(equations.view, Camera):
        cost = robust_cost(equations.residuals(p))
        for _ in range(MOST_ROUNDS):
            further = fit(equations, p, loss="cauchy")
            before, cost = cost, robust_cost(equations.residuals(further))
            p = further
            if cost > ENOUGH * before:
                break
    return upright(equations, p)


def upright(equations: Equations, p: Array) -> Array:
    """The same solution, turned by half a turn if its level line points backwards."""
    u = equations.unpack(p)
    start, end = equations.level_ends(u.centres)
    angle = radians(equations.survey.level.angle)
    if (end - start) @ (cos(angle), sin(angle)) >= 0.0:
        return p
    return equations.pack(in_datum(equations, u, equations.view.front(u.view)))


def in_datum(equations: Equations, u: Unknowns, image_to_front: Array) -> Unknowns:
    """The same centres moved and turned into the datum: crank and level line."""
    survey = equations.survey
    crank = u.centres[equations.index(survey.layout.crank.name)]
    start, end = equations.level_ends(u.centres)
    angle = radians(survey.level.angle) - atan2(end[1] - start[1], end[0] - start[0])
    turn = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    move = np.eye(3)
    move[:2, :2] = turn
    move[:2, 2] = -turn @ crank
    centres = (u.centres - crank) @ turn.T
    return Unknowns(centres, u.radii, equations.view.numbers_of(move @ image_to_front))


def _starts(equations: Equations) -> Iterator[Array]:
    for guess in _photo_guesses(equations) if len(equations.clicked) else [_NO_PHOTO]:
        radii = equations.nominal.copy()
        for target, radius in guess.radii.items():
            radii[target] = radius
        placed = {target: (float(x), float(y)) for target, (x, y) in guess.centres.items()}
        for centres in _tape_guesses(equations, placed):
            u = Unknowns(centres, radii, np.empty(0))
            yield equations.pack(in_datum(equations, u, guess.image_to_front))


class _Link(NamedTuple):
    """A reading from one of its ends: the other end, and the centre distance, mm."""

    other: int
    apart: float


def _tape_guesses(equations: Equations, placed: Mapping[int, Point]) -> Iterator[Array]:
    """Guesses of all centres (targets × 2), with those `placed` by a photograph kept."""
    links = _links(equations)
    draw = np.random.default_rng(0)
    for _ in range(GUESSES_ON_PHOTO if placed else GUESSES):
        placing = dict(placed) or _beginning(equations, draw)
        while left := [target for target in links if target not in placing]:
            _place_one(left, links, placing, draw)
        yield np.array([placing[target] for target in links])
        if len(placed) == len(links):
            return


def _links(equations: Equations) -> dict[int, list[_Link]]:
    links: dict[int, list[_Link]] = {i: [] for i in range(len(equations.targets))}
    for (start, end), apart in zip(equations.ends.tolist(), _apart(equations), strict=True):
        links[start].append(_Link(end, apart))
        links[end].append(_Link(start, apart))
    return links


def _apart(equations: Equations) -> list[float]:
    """The centre distance that follows from each reading."""
    rims = equations.nominal[equations.ends].sum(axis=1)
    apart: list[float] = np.maximum(equations.distances - equations.rim_signs * rims, 1.0).tolist()
    return apart


def _beginning(equations: Equations, draw: np.random.Generator) -> Positions:
    """The two ends of a random reading."""
    row = int(draw.integers(len(equations.ends)))
    start, end = equations.ends[row].tolist()
    return {start: (0.0, 0.0), end: (_apart(equations)[row], 0.0)}


def _place_one(
    left: list[int],
    links: Mapping[int, list[_Link]],
    places: Positions,
    draw: np.random.Generator,
) -> None:
    """Place one more target, if possible one that two readings reach."""
    reached = {target: [link for link in links[target] if link.other in places] for target in left}
    ready = (
        [target for target in left if len(reached[target]) > 1]
        or [target for target in left if reached[target]]
        or left
    )
    target = ready[int(draw.integers(len(ready)))]
    if len(reached[target]) > 1:
        best = _places_for(reached[target], places, draw)
        places[target] = best[0 if draw.random() < BEST_TAKEN else -1]
        return
    # No reading determines the direction: it is drawn at random.
    link = reached[target][0] if reached[target] else _Link(next(iter(places)), SOMEWHERE)
    (x, y), angle = places[link.other], draw.uniform(0.0, 2.0 * pi)
    places[target] = (x + link.apart * cos(angle), y + link.apart * sin(angle))


def _places_for(reached: list[_Link], places: Positions, draw: np.random.Generator) -> list[Point]:
    """The two positions that fit most of the readings to a target, the better first."""
    few = [reached[i] for i in draw.permutation(len(reached))[:MOST_CROSSED].tolist()]
    crossings = sorted(
        (
            place
            for one, other in combinations(few, 2)
            for place in _crossings(places[one.other], one.apart, places[other.other], other.apart)
        ),
        key=lambda place: _off(place, reached, places),
    )
    second = (place for place in crossings if distance(place, crossings[0]) > SAME_PLACE)
    return [crossings[0], *list(second)[:1]]


def _off(place: Point, reached: list[_Link], places: Positions) -> float:
    """The robust cost of a position: a reading far off hardly counts."""
    return sum(
        log1p(((distance(place, places[link.other]) - link.apart) / FAR_OFF) ** 2)
        for link in reached
    )


def _crossings(a: Point, ra: float, b: Point, rb: float) -> list[Point]:
    """The crossings of two circles, or the point nearest to both if they do not cross."""
    d = max(distance(a, b), 1e-9)
    ux, uy = (b[0] - a[0]) / d, (b[1] - a[1]) / d
    along = (d * d + ra * ra - rb * rb) / (2.0 * d)
    across = max(ra * ra - along * along, 0.0) ** 0.5
    x, y = a[0] + along * ux, a[1] + along * uy
    return [(x - across * uy, y + across * ux), (x + across * uy, y - across * ux)]


class _Ellipse:
    """A rim in the picture: centre m and matrix E of (x − m)ᵀE⁻¹(x − m) = 1."""

    def __init__(self, points: Array) -> None:
        self.middle, self.matrix = _ellipse(points) or _circle(points)

    @property
    def area(self) -> float:
        """Area over π."""
        return float(np.sqrt(np.linalg.det(self.matrix)))


def _photo_guesses(equations: Equations) -> Iterator[PhotoGuess]:
    """Guesses from the photograph: with the perspective found, then without."""
    rims = {
        int(target): equations.points[equations.clicked == target]
        for target in np.unique(equations.clicked)
    }
    radii = {target: float(equations.nominal[target]) for target in rims}
    for perspective in (_perspective(rims, radii), np.zeros(2)):
        yield _photo_guess(rims, radii, perspective)


def _photo_guess(rims: dict[int, Array], radii: dict[int, float], perspective: Array) -> PhotoGuess:
    flatten = np.eye(3)
    flatten[2, :2] = perspective
    flat = {target: mapped(flatten, points) for target, points in rims.items()}
    affine = np.eye(3)
    affine[:2, :2] = _affine([_Ellipse(flat[t]) for t in rims], [radii[t] for t in rims])
    to_front = affine @ flatten
    seen = {target: _rim(mapped(to_front, points)) for target, points in rims.items()}
    return PhotoGuess(
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
    return image / image[:, 2:]


def _perspective(rims: dict[int, Array], radii: dict[int, float]) -> Array:
    """G and h of the denominator 1 + g·x + h·y, by the least median residual over the rims."""
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
    """The map that turns ellipses of one shape into circles: E^(−1/2), with E scaled to 1 mm."""
    shapes = np.array([e.matrix / e.area for e in ellipses])
    # The shape nearest to all others (a medoid): robust against a wrong rim, and an ellipse.
    apart = np.linalg.norm(shapes[:, None] - shapes[None, :], axis=(2, 3))
    shape = shapes[int(np.argmin(apart.sum(axis=0)))]
    size = float(np.median([e.area / r**2 for e, r in zip(ellipses, radii, strict=True)]))
    values, vectors = np.linalg.eigh(shape * size)
    root: Array = vectors @ np.diag(values**-0.5) @ vectors.T
    return root


def _ellipse(points: Array) -> tuple[Array, Array] | None:
    """The least squares conic through enough points, None if it is no ellipse."""
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
    # A hyperbola or parabola has a determinant of 0 or less; an imaginary ellipse has a level of
    # the wrong sign.
    if np.linalg.det(quadratic) <= 1e-9 or level * np.trace(quadratic) <= 0.0:
        return None
    return centre + spread * middle, np.linalg.inv(quadratic) * level * spread**2


def _circle(points: Array) -> tuple[Array, Array]:
    """The least squares circle through the points, as an ellipse."""
    x, y, _ = points.T
    (a, b, c), *_ = np.linalg.lstsq(points * (2.0, 2.0, 1.0), x * x + y * y, rcond=None)
    return np.array([a, b]), np.eye(2) * max(float(c + a * a + b * b), 1e-12)


def _rim(points: Array) -> tuple[Array, float]:
    """Centre and radius of the circle through three points with the least median residual."""
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
    """Triples out of `count` points: all, or a fixed random sample of them."""
    if comb(count, 3) <= MOST_TRIPLES:
        return [list(triple) for triple in combinations(range(count), 3)]
    draw = np.random.default_rng(0)
    return [draw.choice(count, 3, replace=False).tolist() for _ in range(MOST_TRIPLES)]
