"""The observation equations: what every reading should be, given the unknowns.

The unknowns are, in this order: the centres (less what the datum fixes: the crank at the origin and
the level line), the radii of the rims that readings touch, and the parameters of the photograph's
projection. Every residual is divided by its sigma, so that the sum of squares is a chi-square.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, radians, sin
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from beltpath.survey.survey import RIM_SIGN, Photo, Survey, Target
from beltpath.survey.views import Array, Camera, Homography, Projection

Indices = NDArray[np.intp]
Kind = Literal["tape", "radius", "click", "focal"]

#: Diagonal of a 35 mm film frame, 36 × 24 mm, to which equivalent focal lengths refer.
FILM_DIAGONAL = hypot(36.0, 24.0)
#: Expected focal length when the file gives none: a telephone's main lens (common practice).
USUAL_FOCAL = 26.0
#: 1 sigma of the log of the focal length: as given (makers round it), and as only expected.
FOCAL_SIGMA, USUAL_FOCAL_SIGMA = 0.05, 0.5
#: The least distance between two centres that gives a direction, mm.
_NEAREST = 1e-9
#: Steps of the central differences: mm, and relative for the parameters of a projection.
_STEP, _VIEW_STEP = 1e-4, 1e-6


class Row(NamedTuple):
    """The reading of an equation: `number` counts tapes, targets, or a rim's clicks."""

    kind: Kind
    number: int
    target: str


class Unknowns(NamedTuple):
    """The unknowns apart: centres (targets × 2), radii (targets), parameters of the projection."""

    centres: Array
    radii: Array
    view: Array


class PixelFrame(NamedTuple):
    """From pixels to scaled picture points: less `middle`, y turned up, by `scale` pixels."""

    middle: tuple[float, float]
    scale: float

    def scaled(self, pixels: Array) -> Array:
        """Scaled points, homogeneous, from pixels (n × 2)."""
        points = (pixels - self.middle) / self.scale * (1.0, -1.0)
        return np.column_stack([points, np.ones(len(points))])

    def matrix(self) -> Array:
        """The 3 × 3 map from pixels to scaled picture points."""
        x, y = self.middle
        return np.array([[1.0, 0.0, -x], [0.0, -1.0, y], [0.0, 0.0, self.scale]]) / self.scale


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Equations:
    """The observation equations of a survey, built by `equations`.

    `sigmas` are those of the rows, in row order. `basis` spans the directions of the centres that
    the datum leaves free. `rims` are the targets whose radius is an unknown.
    """

    survey: Survey
    targets: tuple[Target, ...]
    rows: tuple[Row, ...]
    sigmas: Array
    basis: Array
    ends: Indices
    rim_signs: Array
    distances: Array
    rims: Indices
    nominal: Array
    points: Array
    clicked: Indices
    pixels: PixelFrame
    view: Projection

    @property
    def size(self) -> int:
        """The number of unknowns."""
        return int(self.basis.shape[1]) + len(self.rims) + self.view.size

    def with_sigmas(self, sigmas: Array) -> Equations:
        """The same equations with other sigmas."""
        return replace(self, sigmas=sigmas)

    def index(self, name: str) -> int:
        """The index of a target."""
        return [target.name for target in self.targets].index(name)

    def of_kind(self, kind: Kind) -> NDArray[np.bool_]:
        """Which rows are of a kind."""
        return np.array([row.kind == kind for row in self.rows], dtype=bool)

    def unpack(self, p: Array) -> Unknowns:
        """The vector of unknowns taken apart."""
        free = self.basis.shape[1]
        radii = self.nominal.copy()
        radii[self.rims] = p[free : free + len(self.rims)]
        return Unknowns(self.centres(p), radii, p[free + len(self.rims) :])

    def centres(self, p: Array) -> Array:
        """The centres (targets × 2) of a vector of unknowns, or the moves of a step in it, mm."""
        return (self.basis @ p[: self.basis.shape[1]]).reshape(-1, 2)

    def level_ends(self, centres: Array) -> tuple[Array, Array]:
        """The two ends of the level line."""
        level = self.survey.level
        return centres[self.index(level.start)], centres[self.index(level.end)]

    def pack(self, unknowns: Unknowns) -> Array:
        """The vector of unknowns whose centres are in the datum."""
        free = self.basis.T @ unknowns.centres.ravel()
        return np.concatenate([free, unknowns.radii[self.rims], unknowns.view])

    def residuals(self, p: Array) -> Array:
        """Computed less measured of every row, in sigmas."""
        u = self.unpack(p)
        priors = [u.view[number] - value for number, value, _ in self.view.priors]
        rims = u.radii[self.rims] - self.nominal[self.rims]
        found = np.concatenate([self.tapes(u) - self.distances, rims, self.misses(u), priors])
        return found / self.sigmas

    def jacobian(self, p: Array) -> Array:
        """Derivatives of the residuals: rows × unknowns."""
        u = self.unpack(p)
        count, tapes, rims = len(self.targets), len(self.distances), len(self.rims)
        wide = np.zeros((len(self.rows), 3 * count + self.view.size))
        self._tape_slopes(u, wide[:tapes])
        wide[tapes + np.arange(rims), 2 * count + self.rims] = 1.0
        self._click_slopes(u, wide[tapes + rims : tapes + rims + len(self.clicked)])
        for row, (number, _, _) in enumerate(self.view.priors, start=len(self.rows) - 1):
            wide[row, 3 * count + number] = 1.0
        slopes = np.hstack(
            [
                wide[:, : 2 * count] @ self.basis,
                wide[:, 2 * count + self.rims],
                wide[:, 3 * count :],
            ]
        )
        return slopes / self.sigmas[:, None]

    def tapes(self, u: Unknowns) -> Array:
        """The computed tape readings, mm."""
        apart = np.linalg.norm(u.centres[self.ends[:, 1]] - u.centres[self.ends[:, 0]], axis=1)
        read: Array = apart + self.rim_signs * u.radii[self.ends].sum(axis=1)
        return read

    def misses(self, u: Unknowns, view: Projection | None = None) -> Array:
        """The reprojection residual of each clicked point, pixels; outside its rim is positive.

        To first order: the distance in the front plane over its gradient in the picture. `view`
        replaces the survey's own projection.
        """
        if not len(self.clicked):
            return np.empty(0)
        maps = self._maps((view or self.view).maps(u.view))
        return self._misses(maps, u.centres[self.clicked], u.radii[self.clicked])

    def _misses(self, maps: Array, centres: Array, radii: Array) -> Array:
        """The residuals for any number of variations at once: leading axes of the arguments.

        With X, Y the front point and w its denominator, the gradient of X in the picture is
        (map[0] − X·map[2])/w, that of Y alike. The normal of the rim is applied to both.
        """
        m = np.moveaxis(maps, (-2, -1), (0, 1))
        px, py = self.points[:, 0], self.points[:, 1]
        w = m[2, 0] * px + m[2, 1] * py + m[2, 2]
        x = (m[0, 0] * px + m[0, 1] * py + m[0, 2]) / w
        y = (m[1, 0] * px + m[1, 1] * py + m[1, 2]) / w
        ax, ay = x - centres[..., 0], y - centres[..., 1]
        length = np.maximum(np.hypot(ax, ay), _NEAREST)
        nx, ny = ax / length, ay / length
        down = nx * x + ny * y
        steep = np.hypot(
            nx * m[0, 0] + ny * m[1, 0] - down * m[2, 0],
            nx * m[0, 1] + ny * m[1, 1] - down * m[2, 1],
        )
        scale = self.pixels.scale * np.abs(w)
        missed: Array = (length - radii) * scale / np.maximum(steep, _NEAREST)
        return missed

    def front(self, u: Unknowns) -> Array:
        """The clicked points in the front plane (or that of their own rim), mm."""
        if not len(self.clicked):
            return np.empty((0, 2))
        seen = np.einsum("nij,nj->ni", self._maps(self.view.maps(u.view)), self.points)
        front: Array = seen[:, :2] / seen[:, 2:]
        return front

    def _maps(self, maps: Array) -> Array:
        """The map of each click, from one for each target; one for all remains one."""
        return maps[..., self.clicked, :, :] if maps.shape[-3] > 1 else maps

    def _tape_slopes(self, u: Unknowns, wide: Array) -> None:
        rows = np.arange(len(self.distances))
        start, end = self.ends.T
        apart = u.centres[end] - u.centres[start]
        unit = apart / np.maximum(np.linalg.norm(apart, axis=1), _NEAREST)[:, None]
        for axis in (0, 1):
            wide[rows, 2 * start + axis] = -unit[:, axis]
            wide[rows, 2 * end + axis] = unit[:, axis]
        for ends in (start, end):
            wide[rows, 2 * len(self.targets) + ends] = self.rim_signs

    def _click_slopes(self, u: Unknowns, wide: Array) -> None:
        """Central differences, all at once: by centre and radius, and by the parameters."""
        if not len(self.clicked):
            return
        rows, count = np.arange(len(self.clicked)), len(self.targets)
        maps = self._maps(self.view.maps(u.view))
        step = _STEP * np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
        both = np.concatenate([step, -step])[:, None, :]
        missed = self._misses(
            maps, u.centres[self.clicked] + both[..., :2], u.radii[self.clicked] + both[..., 2]
        )
        x, y, radius = (missed[:3] - missed[3:]) / (2.0 * _STEP)
        wide[rows, 2 * self.clicked] = x
        wide[rows, 2 * self.clicked + 1] = y
        wide[rows, 2 * count + self.clicked] = radius
        steps = np.diag(_VIEW_STEP * np.maximum(1.0, np.abs(u.view)))
        views = np.concatenate([u.view + steps, u.view - steps])
        maps = self._maps(np.array([self.view.maps(numbers) for numbers in views]))
        missed = self._misses(maps, u.centres[self.clicked], u.radii[self.clicked])
        ahead, behind = np.split(missed, 2)
        wide[:, 3 * count :] = ((ahead - behind) / (2.0 * np.diag(steps)[:, None])).T


def equations(survey: Survey) -> Equations:
    """Build the observation equations of a survey."""
    targets = tuple(survey.targets.values())
    place = {target.name: i for i, target in enumerate(targets)}
    taped = [name for t in survey.tapes if RIM_SIGN[t.over] for name in (t.start, t.end)]
    rims = np.array(sorted({place[name] for name in (*survey.rims, *taped)}), dtype=np.intp)
    clicks = [(name, i, at) for name, rim in survey.rims.items() for i, at in enumerate(rim)]
    pixels = _pixel_frame(survey.photo)
    view = _view(survey)
    rows = [
        *(Row("tape", i, "") for i in range(len(survey.tapes))),
        *(Row("radius", int(i), targets[i].name) for i in rims),
        *(Row("click", i, name) for name, i, _ in clicks),
        *(Row("focal", i, "") for i, _, _ in view.priors),
    ]
    click_sigma = 0.0 if survey.photo is None else survey.photo.sigma
    sigmas = [
        *(tape.sigma for tape in survey.tapes),
        *(targets[i].radius_sigma for i in rims),
        *(click_sigma for _ in clicks),
        *(sigma for _, _, sigma in view.priors),
    ]
    return Equations(
        survey=survey,
        targets=targets,
        rows=tuple(rows),
        sigmas=np.array(sigmas),
        basis=_basis(survey, place),
        ends=np.array(
            [[place[t.start], place[t.end]] for t in survey.tapes], dtype=np.intp
        ).reshape(-1, 2),
        rim_signs=np.array([RIM_SIGN[t.over] for t in survey.tapes], dtype=float),
        distances=np.array([t.distance for t in survey.tapes], dtype=float),
        rims=rims,
        nominal=np.array([target.radius or 0.0 for target in targets]),
        points=pixels.scaled(np.array([at for _, _, at in clicks]).reshape(-1, 2)),
        clicked=np.array([place[name] for name, _, _ in clicks], dtype=np.intp),
        pixels=pixels,
        view=view,
    )


def _basis(survey: Survey, place: dict[str, int]) -> Array:
    """Orthonormal directions in which the centres can move.

    The datum fixes both coordinates of the crank, and the two ends of the level line against each
    other across it.
    """
    fixed = np.zeros((3, 2 * len(place)))
    crank = 2 * place[survey.layout.crank.name]
    fixed[0, crank] = fixed[1, crank + 1] = 1.0
    angle = radians(survey.level.angle)
    across = (-sin(angle), cos(angle))
    for name, sign in ((survey.level.start, -1.0), (survey.level.end, 1.0)):
        fixed[2, 2 * place[name] : 2 * place[name] + 2] = sign * across[0], sign * across[1]
    _, _, vt = np.linalg.svd(fixed)
    return vt[3:].T


def _pixel_frame(photo: Photo | None) -> PixelFrame:
    if photo is None:
        return PixelFrame((0.0, 0.0), 1.0)
    if photo.size is not None:
        width, height = photo.size
        return PixelFrame((width / 2.0, height / 2.0), hypot(width, height) / 2.0)
    clicks = np.concatenate([np.array(rim) for rim in photo.rims.values()])
    low, high = clicks.min(axis=0), clicks.max(axis=0)
    middle = (low + high) / 2.0
    return PixelFrame((float(middle[0]), float(middle[1])), float(np.linalg.norm(high - low)) / 2.0)


def _view(survey: Survey) -> Projection:
    """A homography for fronts in one plane, a camera for fronts at different depths."""
    photo = survey.photo
    if photo is None:
        return Projection()
    if not any(survey.targets[name].depth for name in photo.rims):
        return Homography()
    return camera(survey, tuple(target.depth for target in survey.targets.values()))


def camera(survey: Survey, depths: tuple[float, ...]) -> Camera:
    """The camera, with the focal length that the file gives or a usual one."""
    given = None if survey.photo is None else survey.photo.focal
    return Camera(
        depths,
        # Half the picture's diagonal is the unit of scaled picture points.
        2.0 * (given or USUAL_FOCAL) / FILM_DIAGONAL,
        USUAL_FOCAL_SIGMA if given is None else FOCAL_SIGMA,
    )
