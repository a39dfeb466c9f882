"""Projections: maps from the photograph to the plane of the rims' front faces.

Picture points are scaled: origin in the picture's middle, y up, values near 1. Coordinates in the
front plane are mm.

`Homography` is any projective map, the same for every rim. It holds for any camera as long as the
front faces lie in one plane. `Camera` allows for faces at different depths: a pinhole camera with
square pixels that looks through the middle of the picture.
See R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, chapters 2 and 6 (from
memory), for both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

Array = NDArray[np.float64]

#: The logs of focal length and distance are clipped to this, so that no step overflows.
_FAR = 20.0


class Projection:
    """A map from the picture to the front plane, set by a few parameters.

    This base has none: it stands for a survey without a photograph.
    """

    #: How many parameters it has.
    size: ClassVar[int] = 0

    @property
    def priors(self) -> tuple[tuple[int, float, float], ...]:
        """Parameters known beforehand: index, value and 1 sigma of each."""
        return ()

    def maps(self, numbers: Array) -> Array:
        """The 3 × 3 maps from picture to front plane: one for each target, or one for all."""
        return self.front(numbers)[None]

    def front(self, numbers: Array) -> Array:
        """The 3 × 3 map from picture to the front plane at depth 0."""
        del numbers
        return np.eye(3)

    def numbers_of(self, image_to_front: Array) -> Array:
        """The parameters that come nearest to a map of the plane at depth 0."""
        del image_to_front
        return np.empty(0)


class Homography(Projection):
    """Any projective map: [[a, b, c], [d, e, f], [g, h, 1]]."""

    size = 8

    def front(self, numbers: Array) -> Array:
        """The same map for every rim."""
        return np.append(numbers, 1.0).reshape(3, 3)

    def numbers_of(self, image_to_front: Array) -> Array:
        """The map's own numbers, scaled so that the last is 1."""
        flat: Array = (image_to_front / image_to_front[2, 2]).ravel()[:8]
        return flat


@dataclass(frozen=True)
class Camera(Projection):
    """A pinhole camera: log of the focal length, rotation vector, origin x and y, log of distance.

    Camera axes: x right, y up, z towards the viewer, so that a scene has negative z. `depths` are
    those of the targets' fronts in mm; `focal` is the expected focal length in scaled picture
    units, `focal_sigma` 1 sigma of its log.
    """

    depths: tuple[float, ...]
    focal: float
    focal_sigma: float
    size = 7

    @property
    def priors(self) -> tuple[tuple[int, float, float], ...]:
        """The focal length."""
        return ((0, float(np.log(self.focal)), self.focal_sigma),)

    def maps(self, numbers: Array) -> Array:
        """A map for each target, of the plane at its depth."""
        return self._maps(numbers, np.array(self.depths))

    def front(self, numbers: Array) -> Array:
        """The map of the plane at depth 0."""
        front: Array = self._maps(numbers, np.zeros(1))[0]
        return front

    def _maps(self, numbers: Array, depths: Array) -> Array:
        turn = Rotation.from_rotvec(numbers[1:4]).as_matrix()
        lens, distance = np.exp(np.clip(numbers[[0, 6]], -_FAR, _FAR))
        away = np.array([numbers[4], numbers[5], -distance])
        axes = np.empty((len(depths), 3, 3))
        axes[:, :, :2] = turn[:, :2]
        axes[:, :, 2] = away + np.outer(depths, turn[:, 2])
        maps = np.linalg.inv(np.diag([lens, lens, -1.0]) @ axes)
        return maps.astype(np.float64)

    def other_poses(self, numbers: Array) -> Iterator[Array]:
        """Head on, and tilted the other way: a distant plane looks alike both ways."""
        turn = Rotation.from_rotvec(numbers[1:4])
        x, y, z = turn.as_matrix()[:, 2]
        tilt = _tilt(x, y, z)
        for other in (_tilt(0.0, 0.0, 1.0), _tilt(-x, -y, z)):
            posed = numbers.copy()
            posed[1:4] = (other * tilt.inv() * turn).as_rotvec()
            yield posed

    def numbers_of(self, image_to_front: Array) -> Array:
        """The pose from the map of the plane at depth 0, at the expected focal length.

        The columns of K⁻¹H are two axes of the plane and the origin, up to one factor. The nearest
        rotation follows from the singular value decomposition.
        """
        axes = np.diag([1.0 / self.focal, 1.0 / self.focal, -1.0]) @ np.linalg.inv(image_to_front)
        axes /= np.sqrt(np.linalg.norm(axes[:, 0]) * np.linalg.norm(axes[:, 1]))
        if axes[2, 2] > 0.0:
            axes = -axes
        u, _, vt = np.linalg.svd(np.column_stack([axes[:, :2], np.cross(axes[:, 0], axes[:, 1])]))
        turn = Rotation.from_matrix(u @ vt).as_rotvec()
        away = axes[:, 2]
        return np.array([np.log(self.focal), *turn, away[0], away[1], np.log(-away[2])])


def _tilt(x: float, y: float, z: float) -> Rotation:
    """The shortest rotation that takes the z axis to a direction (x, y, z) of length 1."""
    slope = float(np.hypot(x, y))
    if slope < 1e-12:
        return Rotation.identity()
    return Rotation.from_rotvec(np.array([-y, x, 0.0]) / slope * float(np.arctan2(slope, z)))
