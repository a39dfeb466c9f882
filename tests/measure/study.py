"""How near measured centres and belt lengths come, and whether their ± holds, by simulation.

    python -m tests.measure.study [draws]

Each draw is a new survey of the same invented drive: new noise on every reading and on every
diameter, a new camera. Lengths are judged against the true belt line, whose thickness is drawn too,
since the layout's own ± allows for it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np

from beltpath.errors import LayoutError
from beltpath.layout import reader as layout_file
from beltpath.solve.path import Disc, ring, trace
from beltpath.solve.uncertainty import length_uncertainty
from beltpath.survey import Measurement, parse, solve
from tests.measure import scenes
from tests.measure.scenes import ROUTE, SEVEN, Point, clicked, head, photo, tapes, tilted

#: PK guide values of the package's data: effective line to back, its sigma, and groove tips.
BACK, BACK_SIGMA, TIPS = 2.2, 0.35, -0.885

Make = Callable[[np.random.Generator], str]


@dataclass(frozen=True, kw_only=True)
class Figures:
    """What came out of many draws. Lengths in mm, coverage in parts of 1.

    `centre_rms` is over all pulleys but the crank, of the distance from the truth. `place_*` is the
    error of the belt's length that comes from the places alone (true sizes, true belt); `length_*`
    that of the written layout, its measured sizes and the section's belt thickness included.
    Coverage counts 95 % intervals that hold the truth: of coordinates by their own sigmas, of
    coordinates by the one sigma that a layout gets, and of the whole length by the layout's ±.
    """

    draws: int
    usable: int
    centre_rms: float
    place_rms: float
    place_95: float
    place_bias: float
    length_rms: float
    covered_xy: float
    covered_one: float
    covered_length: float

    def __str__(self) -> str:
        return (
            f"{self.usable} of {self.draws} usable\n"
            f"  centres {self.centre_rms:.2f} mm rms\n"
            f"  length from places {self.place_rms:.2f} mm rms, 95 % within {self.place_95:.2f}, "
            f"bias {self.place_bias:+.2f}; whole {self.length_rms:.2f} mm rms\n"
            f"  intervals hold {100 * self.covered_xy:.1f} % (own sigmas), "
            f"{100 * self.covered_one:.1f} % (layout's one sigma), "
            f"{100 * self.covered_length:.1f} % (whole length)"
        )


def photo_survey(draw: np.random.Generator, clicks: int = 12) -> str:
    """A photograph: 2 px clicks, tilted by up to 25°."""
    return head(draw, top=route()) + photo(clicked(draw, tilted(draw), clicks=clicks))


def photo_survey_8(draw: np.random.Generator) -> str:
    """The same with eight points a rim."""
    return photo_survey(draw, clicks=8)


def tape_survey(draw: np.random.Generator) -> str:
    """Seventeen readings, 1 mm."""
    return head(draw, top=route(), level=ABOVE) + tapes(draw)


def both_survey(draw: np.random.Generator) -> str:
    """The photograph with six readings from the crank."""
    return photo_survey_8(draw) + tapes(draw, pairs=scenes.PAIRS[:6])


def depth_survey(draw: np.random.Generator) -> str:
    """Fronts up to 30 mm nearer or farther, each depth told to 1 mm; twelve points a rim."""
    depths = {name: float(draw.uniform(-30.0, 30.0)) for name in SEVEN if name != "crank"}
    keys = {name: f", depth = {draw.normal(depth, 1.0):.0f}" for name, depth in depths.items()}
    points = clicked(draw, tilted(draw), clicks=12, depths=depths)
    return head(draw, top=route(), keys=keys) + photo(points)


ABOVE = scenes.LEVEL + ', above = "pump"'


def route() -> str:
    """The route as a line of the file."""
    return f"route = {list(ROUTE)}".replace("'", '"')


def study(make: Make, draws: int, seed: int = 0) -> Figures:
    """Draw surveys and compare what comes out with the truth."""
    off: list[float] = []
    own: list[float] = []
    one: list[float] = []
    lengths: list[tuple[float, float, float]] = []
    for number in range(draws):
        draw = np.random.default_rng((seed, number))
        try:
            measurement = solve(parse(make(draw)))
        except LayoutError:
            continue
        if not measurement.usable:
            continue
        for name, centre in measurement.centres.items():
            if name == "crank":
                continue
            error = np.subtract(centre.at, SEVEN[name].at)
            off.append(float(error @ error))
            for value, sigma in zip(error, (centre.sigma_xy[0], centre.sigma_xy[1]), strict=True):
                own.append(abs(value) / sigma)
                one.append(abs(value) / centre.sigma)
        lengths.append(_lengths(measurement, draw.normal(BACK, BACK_SIGMA)))
    place, whole, sure = np.array(lengths).T
    return Figures(
        draws=draws,
        usable=len(lengths),
        centre_rms=sqrt(float(np.mean(off))),
        place_rms=sqrt(float(np.mean(place**2))),
        place_95=float(np.quantile(np.abs(place), 0.95)),
        place_bias=float(place.mean()),
        length_rms=sqrt(float(np.mean(whole**2))),
        covered_xy=float(np.mean(np.array(own) < 1.96)),
        covered_one=float(np.mean(np.array(one) < 1.96)),
        covered_length=float(np.mean(np.abs(whole) < sure)),
    )


def true_length(back: float, places: Mapping[str, Point]) -> float:
    """The effective length of a belt with that back on the true pulleys at given places, mm."""
    return ring(
        [
            Disc(name, places[name], t.radius - TIPS / 2.0, -1)
            if t.face == "grooved"
            else Disc(name, places[name], t.radius + back, 1)
            for name, t in ((name, SEVEN[name]) for name in ROUTE)
        ]
    ).length


def _lengths(measurement: Measurement, back: float) -> tuple[float, float, float]:
    """Errors of the belt's length: from the places alone, and of the whole layout with its ±."""
    truth = true_length(back, {name: t.at for name, t in SEVEN.items()})
    placed = true_length(back, {name: c.at for name, c in measurement.centres.items()})
    layout = layout_file.parse(measurement.layout_text())
    path = trace(layout)
    return placed - truth, path.length - truth, length_uncertainty(layout, path).expanded


def main(count: int) -> None:
    """Print the figures of every study."""
    for make in (photo_survey, photo_survey_8, tape_survey, both_survey, depth_survey):
        print(f"{make.__name__}: {study(make, count)}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
