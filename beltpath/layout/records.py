"""The records that a layout is made of: belt, pulleys, tensioner, running. All in mm and degrees.

Front view, x to the right, y up; angles in degrees anticlockwise from +x. A layout's own text is
written in the order of the fields here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi
from typing import NamedTuple

from beltpath.data.sections import Section
from beltpath.geometry import Point
from beltpath.layout.keys import (
    Face,
    HowMeasured,
    Reach,
    Role,
    Sense,
    Side,
    TensionerKind,
    finite,
)

#: Degrees: an angle that is further round is a slip of the pen, and stays as it is.
MOST_TURNED = 20_000.0
SIGN: Mapping[Sense, int] = {"counterclockwise": 1, "clockwise": -1}


def sense_of(sign: float) -> Sense:
    """The word for a signed turn: positive is counterclockwise."""
    return "counterclockwise" if sign > 0 else "clockwise"


class Measured(NamedTuple):
    """A pulley's size as a person took it: over what, and the number in mm."""

    how: HowMeasured
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What an accessory takes: power in kW at any speed, or a constant torque in N·m."""

    power_kw: float | None = None
    torque_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulley:
    """One pulley: `at` its centre, `measured` its size, `offset` its plane in front of the crank's.

    `side`, `turns`, `grooves`, `rim`, `min_wrap`, `max_rpm`, `accuracy` and `label` are None where
    the file does not say.
    """

    name: str
    at: Point
    measured: Measured
    face: Face
    role: Role
    side: Side | None = None
    turns: Sense | None = None
    grooves: int | None = None
    min_wrap: float | None = None
    max_rpm: float | None = None
    reach: Reach | None = None
    rim: float | None = None
    accuracy: float | None = None
    offset: float = 0.0
    load: Load | None = None
    label: str | None = None

    @property
    def title(self) -> str:
        """What the pulley is called on paper: its label, or its name."""
        return self.label or self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Belt:
    """The belt. `back` (t) is effective line to belt back, `height` the belt's height, both in mm.

    `length` is the effective length of the belt in hand, None if unknown, with ± `tolerance`.
    `reckoned` tells that nobody measured a double-sided belt's height: it follows from symmetry.
    `tolerance_assumed` tells that nobody stated the tolerance: it is the table's, from memory.
    """

    section: Section
    ribs: int
    length: float | None = None
    tolerance: float | None = None
    double_sided: bool = False
    elastic: bool = False
    back: float
    height: float
    reckoned: bool = False
    tolerance_assumed: bool = False

    @property
    def width(self) -> float:
        """How wide it is, mm: its ribs side by side, or a V-belt's top."""
        of_one = self.section.number("pitch") or self.section.number("top_width") or 0.0
        return self.ribs * of_one


@dataclass(frozen=True, slots=True, kw_only=True)
class Spring:
    """A tensioner's spring: `effort` at position `at`, changing by `rate` for each unit of travel.

    Effort is a moment in N·m (arm; rate in N·m/deg) or a force in N (slide; rate in N/mm).
    """

    effort: float
    at: float
    rate: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tensioner:
    """The tensioner: which pulley it carries and how that pulley can move.

    For `arm` and `swing` positions are angles in degrees of the line pivot → pulley; for `slide`
    they are distances in mm from the pulley's `at` along the direction `along` (deg). An angle is
    the same after a whole turn: `window` and the spring's `at` are turned to lie by the stops.
    """

    pulley: str
    kind: TensionerKind
    pivot: Point | None = None
    along: float | None = None
    free: float
    load: float
    window: tuple[float, float] | None = None
    spring: Spring | None = None
    lever: str | None = None
    release: Sense | float | None = None

    def __post_init__(self) -> None:
        """Write every angle by the rule of `written`. What is no number is left to be refused."""
        window = self.window
        if isinstance(window, tuple | list) and [*map(finite, window)].count(None) == 0:
            object.__setattr__(self, "window", tuple(sorted(map(self.written, window))))
        if isinstance(self.spring, Spring):
            spring = replace(self.spring, at=self.written(self.spring.at))
            object.__setattr__(self, "spring", spring)

    def written(self, position: float) -> float:
        """A position as it is written for this travel: an angle by whole turns to its middle."""
        numbers = [finite(one) for one in (position, self.free, self.load)]
        if self.pivot is None or any(one is None or abs(one) > MOST_TURNED for one in numbers):
            return position
        return written_near(position, self.free, self.load)


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """How the drive runs: the crank speeds to check, and any guide value the file overrides.

    `tension` is the belt's tension in N as measured at rest, None where it was not.
    """

    crank_rpm: tuple[float, ...]
    tension: float | None = None
    friction_ribs: float | None = None
    friction_back: float | None = None
    mass_per_rib: float | None = None
    stiffness_per_rib: float | None = None


def written_near(angle: float, free: float, load: float) -> float:
    """An angle in degrees turned by whole turns until it lies nearest to the middle of a travel."""
    return angle + 360.0 * round(((free + load) / 2.0 - angle) / 360.0)


def outside_diameter(pulley: Pulley, section: Section) -> float:
    """Diameter over the groove tips (grooved) or of the running face (smooth), mm.

    Groove tips lie `tip_excess` beyond the effective diameter, see the section's data row.
    """
    how, value = pulley.measured
    if how == "around":
        return value / pi
    if how == "outside" or pulley.face == "smooth":
        return value
    return effective_diameter(pulley, section) + section.tip_excess


def effective_diameter(pulley: Pulley, section: Section) -> float:
    """Effective diameter d_e of a grooved pulley, mm, from the diameter as it was measured.

    Over two balls K = d_e + `over_balls_excess` (ISO 9981, ISO 9982); over the groove tips
    d_e + `tip_excess` (SAE J1459 for PK). The reader refuses ball diameters for other sections.
    """
    how, value = pulley.measured
    if how == "diameter":
        return value
    if how == "over_balls":
        return value - (section.over_balls_excess or 0.0)
    return outside_diameter(pulley, section) - section.tip_excess


def rim_diameter(pulley: Pulley, section: Section) -> float:
    """Outermost diameter, flanges included where the file tells of them, mm."""
    return pulley.rim if pulley.rim is not None else outside_diameter(pulley, section)


def line_radius(pulley: Pulley, side: Side, belt: Belt) -> float:
    """Radius in mm on which the belt's effective line runs round this pulley.

    ribs in grooves d_e/2; ribs on a smooth face R + (h − t); back on a smooth face, or on
    groove tips, R + t. The back of a double-sided belt in grooves puts its cord at d_e/2 + b_e, so
    that the effective line of the rib side lies at d_e/2 + 2·b_e (parallel curves).
    """
    section = belt.section
    if pulley.face == "grooved":
        if side == "ribs":
            return effective_diameter(pulley, section) / 2.0
        if belt.double_sided:
            return effective_diameter(pulley, section) / 2.0 + 2.0 * section.b_e
    radius = outside_diameter(pulley, section) / 2.0
    return radius + (belt.height - belt.back if side == "ribs" else belt.back)
