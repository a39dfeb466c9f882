"""What came out of a survey: centres with their uncertainty, and what is doubtful about them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from beltpath.errors import UsageError
from beltpath.geometry import Point
from beltpath.measure.layout_text import layout_text
from beltpath.measure.survey import Over, Survey
from beltpath.measure.suspects import Suspect
from beltpath.measure.views import Array
from beltpath.measure.weakness import NextReading


@dataclass(frozen=True, slots=True, kw_only=True)
class Centre:
    """Where a target was found, mm, the crank's centre being the origin.

    `sigma` is 1 sigma of each coordinate, taken over both: the root of half the sum of their
    variances. `sigma_x` and `sigma_y` are those of its coordinates, `correlation` between them.
    """

    name: str
    at: Point
    sigma: float
    sigma_x: float
    sigma_y: float
    correlation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeResidual:
    """A tape reading beside what the solution gives for it, mm; `tests` is in sigmas."""

    start: str
    end: str
    over: Over
    measured: float
    computed: float
    tests: float
    kept: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RimResidual:
    """A clicked rim: how far each point misses it (pixels, outside positive), and its size, mm.

    `front` are the points in the front plane, mm; `kept` tells which of them were used.
    """

    pulley: str
    misses: tuple[float, ...]
    kept: tuple[bool, ...]
    front: tuple[Point, ...]
    diameter: float
    stated: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurement:
    """A solved survey. Lengths in mm.

    `covariance` is that of all centre coordinates in the order of `centres`. `rms_mm` is that of
    the kept tape residuals, `rms_px` that of the kept points; None where there are none.
    `image_to_front` maps pixels to mm in the front plane (at depth 0), None without a photograph.
    `depth_effect` tells for each rim how far any centre would move if it stood 10 mm nearer.
    """

    survey: Survey
    centres: Mapping[str, Centre]
    covariance: Array
    tapes: tuple[TapeResidual, ...]
    rims: tuple[RimResidual, ...]
    rms_mm: float | None
    rms_px: float | None
    suspects: tuple[Suspect, ...]
    cautions: tuple[str, ...]
    next_reading: NextReading | None
    image_to_front: Array | None
    depth_effect: Mapping[str, float]

    @property
    def usable(self) -> bool:
        """Whether the centres can be used: what does not fit, if anything, was left out."""
        return all(suspect.located for suspect in self.suspects)

    def layout_text(self) -> str:
        """The layout's text, in the survey's units, with `at` and `accuracy` of every pulley.

        Raises UsageError when something does not fit that could not be left out, and LayoutError
        in the rare case that the places found make no layout.
        """
        if not self.usable:
            reasons = "; ".join(s.message for s in self.suspects if not s.located)
            raise UsageError(f"no layout can be written from these measurements: {reasons}")
        remarks = [f"Left out: {suspect.message}" for suspect in self.suspects]
        remarks += [f"Note: {caution}" for caution in self.cautions]
        remarks += [
            f"Point {name}: [{c.at[0]:.1f}, {c.at[1]:.1f}] mm, ± {c.sigma:.1f} mm, which the "
            f"belt's ± does not count"
            for name, c in self.centres.items()
            if name not in self.survey.layout.pulleys
        ]
        return layout_text(
            self.survey, {n: (c.at, c.sigma) for n, c in self.centres.items()}, remarks
        )
