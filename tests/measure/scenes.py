"""An invented drive of seven pulleys, measured by simulation: tape readings and photographs.

Nothing here was measured on an engine. Noise is drawn as stated: `tape_sigma` in mm, `click_sigma`
in pixels in x and in y, diameters by the guide values of the package's own table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from beltpath.geometry import Point

#: name: (centre, size as it is written, its value, radius of the rim's outer edge, 1 sigma of the
#: size as written, face, role). Rim radii: PK groove tips lie 0.885 mm inside the effective
#: diameter (SAE J1459 summary), over balls 0.990 mm outside.
SEVEN: Mapping[str, tuple[Point, str, float, float, float, str, str]] = {
    "crank": ((0.0, 0.0), "outside", 164.0, 82.0, 0.3, "grooved", "crank"),
    "pump": ((-205.0, 120.0), "outside", 139.0, 69.5, 0.3, "grooved", "water-pump"),
    "steering": ((-235.0, 300.0), "outside", 128.0, 64.0, 0.3, "grooved", "steering-pump"),
    "idler": ((-70.0, 190.0), "diameter", 76.0, 38.0, 0.25, "smooth", "idler"),
    "alternator": ((165.0, 310.0), "outside", 58.0, 29.0, 0.3, "grooved", "alternator"),
    "compressor": ((215.0, 90.0), "outside", 116.0, 58.0, 0.3, "grooved", "compressor"),
    "tensioner": ((85.0, 165.0), "diameter", 70.0, 35.0, 0.25, "smooth", "tensioner"),
}
ROUTE = ("crank", "pump", "steering", "idler", "alternator", "tensioner", "compressor")
LEVEL = ("crank", "alternator")
SIZE = (4000, 3000)


@dataclass(frozen=True)
class Camera:
    """A pinhole camera: tilt about the x axis, then the y axis, then in its own plane; degrees.

    `focal` is in pixels, `distance` in mm from the point that it looks at.
    """

    pitch: float = 0.0
    yaw: float = 0.0
    roll: float = 0.0
    focal: float = 3000.0
    distance: float = 700.0
    aim: Point = (-10.0, 150.0)

    def pixels(self, points: np.ndarray, depth: float = 0.0) -> np.ndarray:
        """Where points of the front plane (or a plane nearer by `depth`) appear, y down."""
        turn = _turn(2, self.roll) @ _turn(0, self.pitch) @ _turn(1, self.yaw)
        arm = np.column_stack([points - self.aim, np.full(len(points), depth)])
        seen = arm @ turn.T + (0.0, 0.0, -self.distance)
        flat = seen[:, :2] / -seen[:, 2:] * self.focal
        return np.column_stack([SIZE[0] / 2.0 + flat[:, 0], SIZE[1] / 2.0 - flat[:, 1]])


def tilted(draw: np.random.Generator, most: float = 25.0) -> Camera:
    """A camera tilted by up to `most` degrees in any direction."""
    tilt, way = draw.uniform(0.0, most), draw.uniform(0.0, 2.0 * math.pi)
    return Camera(
        pitch=tilt * math.cos(way),
        yaw=tilt * math.sin(way),
        roll=draw.uniform(-5.0, 5.0),
        focal=draw.uniform(2800.0, 3400.0),
        distance=draw.uniform(750.0, 950.0),
    )


def _turn(axis: int, degrees: float) -> np.ndarray:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = np.eye(3)
    one, other = [i for i in range(3) if i != axis]
    turned[one, one] = turned[other, other] = cos
    turned[one, other], turned[other, one] = -sin, sin
    return turned


def rim(name: str, clicks: int, phase: float = 0.0) -> np.ndarray:
    """Points evenly round a pulley's true rim."""
    centre, _, _, radius, *_ = SEVEN[name]
    angles = phase + np.arange(clicks) * 2.0 * math.pi / clicks
    return np.column_stack(
        [centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)]
    )
