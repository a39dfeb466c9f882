"""An invented drive of seven pulleys, measured by simulation: tape readings and photographs.

Nothing here was measured on an engine. Noise is drawn as stated: tape sigma in mm, click sigma in
pixels in x and in y, diameters by the guide values of the package's own table.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Point = tuple[float, float]


class Truth(NamedTuple):
    """A pulley as it is. `size` is what a person would measure as `how`, `radius` its rim's.

    The rim of a grooved pulley lies at its groove tips, so `outside` is twice the rim's radius; a
    smooth pulley's rim is its running face.
    """

    at: Point
    how: str
    size: float
    radius: float
    sigma: float
    face: str
    role: str


SEVEN: Mapping[str, Truth] = {
    "crank": Truth((0.0, 0.0), "outside", 164.0, 82.0, 0.3, "grooved", "crank"),
    "pump": Truth((-205.0, 120.0), "outside", 139.0, 69.5, 0.3, "grooved", "water-pump"),
    "steering": Truth((-235.0, 300.0), "outside", 128.0, 64.0, 0.3, "grooved", "steering-pump"),
    "idler": Truth((-70.0, 190.0), "diameter", 76.0, 38.0, 0.25, "smooth", "idler"),
    "alternator": Truth((165.0, 310.0), "outside", 58.0, 29.0, 0.3, "grooved", "alternator"),
    "compressor": Truth((215.0, 90.0), "outside", 116.0, 58.0, 0.3, "grooved", "compressor"),
    "tensioner": Truth((85.0, 165.0), "diameter", 70.0, 35.0, 0.25, "smooth", "tensioner"),
}
ROUTE = ("crank", "pump", "steering", "idler", "alternator", "tensioner", "compressor")
#: The direction from crank to alternator, degrees.
ANGLE = math.degrees(math.atan2(310.0, 165.0))
LEVEL = f'from = "crank", to = "alternator", angle = {ANGLE!r}'
SIZE = (4000, 3000)

Pair = tuple[str, str]
#: Seventeen distances that a tape could reach.
PAIRS: tuple[Pair, ...] = (
    ("crank", "pump"),
    ("crank", "steering"),
    ("crank", "idler"),
    ("crank", "alternator"),
    ("crank", "compressor"),
    ("crank", "tensioner"),
    ("pump", "steering"),
    ("pump", "idler"),
    ("pump", "compressor"),
    ("steering", "idler"),
    ("steering", "alternator"),
    ("idler", "alternator"),
    ("idler", "tensioner"),
    ("idler", "compressor"),
    ("alternator", "compressor"),
    ("alternator", "tensioner"),
    ("compressor", "tensioner"),
)


class Quiet:
    """Stands in for a random generator where no noise is wanted."""

    def normal(self, loc: float, scale: float) -> float:
        """The mean."""
        return loc


QUIET = Quiet()
Draw = np.random.Generator | Quiet


@dataclass(frozen=True)
class Camera:
    """A pinhole camera: tilt about the x axis, then the y axis, then in its own plane; degrees.

    `focal` is in pixels, `distance` in mm from the point of the front plane that it looks at.
    """

    pitch: float = 0.0
    yaw: float = 0.0
    roll: float = 0.0
    focal: float = 3000.0
    distance: float = 700.0
    aim: Point = (-10.0, 150.0)

    def pixels(self, points: Array, depth: float = 0.0) -> Array:
        """Where points of the front plane (or of one nearer by `depth`) appear, y down."""
        turn = _turn(2, self.roll) @ _turn(0, self.pitch) @ _turn(1, self.yaw)
        arm = np.column_stack([points - self.aim, np.full(len(points), depth)])
        seen = arm @ turn.T + (0.0, 0.0, -self.distance)
        flat = seen[:, :2] / -seen[:, 2:] * self.focal
        return np.column_stack([SIZE[0] / 2.0 + flat[:, 0], SIZE[1] / 2.0 - flat[:, 1]])


def tilted(draw: np.random.Generator, most: float = 25.0) -> Camera:
    """A camera tilted by up to `most` degrees in any direction, near enough to fill the picture."""
    tilt, way = draw.uniform(0.0, most), draw.uniform(0.0, 2.0 * math.pi)
    return Camera(
        pitch=tilt * math.cos(way),
        yaw=tilt * math.sin(way),
        roll=draw.uniform(-5.0, 5.0),
        focal=draw.uniform(2800.0, 3200.0),
        distance=draw.uniform(580.0, 720.0),
    )


def rim(truth: Truth, clicks: int, phase: float = 0.0) -> Array:
    """Points evenly round a pulley's true rim."""
    angles = phase + np.arange(clicks) * 2.0 * math.pi / clicks
    return np.array(truth.at) + truth.radius * np.column_stack([np.cos(angles), np.sin(angles)])


def head(
    draw: Draw = QUIET,
    *,
    names: Iterable[str] = SEVEN,
    level: str = LEVEL,
    keys: Mapping[str, str] = {},
    top: str = "",
    truths: Mapping[str, Truth] = SEVEN,
) -> str:
    """The file down to its pulleys, their sizes with noise; `keys` are added to a pulley's own."""
    lines = ['title = "Seven, simulated"', top, "[belt]", 'section = "PK"', "ribs = 6"]
    lines += [f"[level]\n{level.replace(', ', chr(10))}" if level else "", "[pulleys]"]
    for name in names:
        t = truths[name]
        size = draw.normal(t.size, t.sigma)
        lines.append(
            f'{name} = {{ {t.how} = {size!r}, face = "{t.face}", role = "{t.role}"'
            f"{keys.get(name, '')} }}"
        )
    return "\n".join(lines) + "\n"


def tapes(
    draw: Draw = QUIET,
    *,
    pairs: Iterable[Pair] = PAIRS,
    sigma: float = 1.0,
    slips: Mapping[Pair, float] = {},
    over: Mapping[Pair, str] = {},
    truths: Mapping[str, Truth] = SEVEN,
) -> str:
    """The tape readings with noise, and with `slips` added."""
    text = ""
    for pair in pairs:
        one, other = (truths[name] for name in pair)
        how = over.get(pair, "centres")
        rims = {"centres": 0.0, "outside": 1.0, "gap": -1.0}[how] * (one.radius + other.radius)
        read = draw.normal(math.dist(one.at, other.at) + rims, sigma) + slips.get(pair, 0.0)
        text += f'[[tape]]\nfrom = "{pair[0]}"\nto = "{pair[1]}"\ndistance = {read!r}\n'
        text += f'over = "{how}"\n'
    return text


def clicked(
    draw: np.random.Generator | None,
    camera: Camera,
    *,
    names: Iterable[str] = SEVEN,
    clicks: int = 8,
    sigma: float = 2.0,
    depths: Mapping[str, float] = {},
    truths: Mapping[str, Truth] = SEVEN,
) -> dict[str, list[list[float]]]:
    """Points clicked on rims: with noise in x and in y, begun anywhere; exact without `draw`."""
    points = {}
    for name in names:
        phase = 0.3 if draw is None else draw.uniform(0.0, 1.0)
        seen = camera.pixels(rim(truths[name], clicks, phase), depths.get(name, 0.0))
        if draw is not None:
            seen = seen + draw.normal(0.0, sigma, seen.shape)
        points[name] = [[float(x), float(y)] for x, y in seen]
    return points


def photo(points: Mapping[str, Sequence[Sequence[float]]], keys: str = "") -> str:
    """The photograph's tables; `keys` are added to the first."""
    lines = ["[photo]", f"size = [{SIZE[0]}, {SIZE[1]}]", keys, "[photo.rims]"]
    return (
        "\n".join([*lines, *(f"{name} = {list(map(list, p))}" for name, p in points.items())])
        + "\n"
    )


def miss(name: str, at: Point, truths: Mapping[str, Truth] = SEVEN) -> float:
    """How far a centre lies from the truth, mm."""
    return math.dist(at, truths[name].at)


def _turn(axis: int, degrees: float) -> Array:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = np.eye(3)
    one, other = [i for i in range(3) if i != axis]
    turned[one, one] = turned[other, other] = cos
    turned[one, other], turned[other, one] = -sin, sin
    return turned
