"""What does not fit, in sentences that say what to do."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Literal

import numpy as np
from scipy.stats import chi2

from beltpath.measure.adjustment import Adjusted
from beltpath.measure.blunders import FALSE_ALARM, Doubt, Screened
from beltpath.measure.equations import Equations, Kind, Row
from beltpath.measure.survey import Over, Tape

SuspectKind = Literal["tape", "click", "rim", "names", "scatter"]

#: What a tape ran over, as said in sentences.
OVER: Mapping[Over, str] = {
    "centres": "centre to centre",
    "outside": "over the far rims",
    "gap": "rim to rim",
}
#: When more than this part of the tape readings (and more than one) do not fit, none is trusted.
MOST_TAPES_OUT = 0.1
#: When more than this part of a rim's clicks do not fit, the rim itself is in doubt.
MOST_CLICKS_OFF = 0.34
#: Readings that scatter this many times more than stated are not what they are said to be.
MOST_SCATTER = 5.0
#: A size found on a rim is another rim's size when they agree within this many sigmas, plus mm.
SAME_SIZE_SIGMAS, SAME_SIZE = 4.0, 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """Readings that do not fit the others.

    `located` tells that they alone can be to blame and that what is left does without them; the
    centres can then be used. Otherwise no layout should be written from this survey.
    """

    kind: SuspectKind
    pulleys: tuple[str, ...]
    message: str
    located: bool


def suspects(screened: Screened) -> Iterator[Suspect]:
    """Everything that does not fit."""
    equations = screened.adjusted.equations
    tapes = [doubt for doubt in screened.doubts if equations.rows[doubt.row].kind == "tape"]
    too_many = len(tapes) > max(1.0, MOST_TAPES_OUT * len(equations.survey.tapes))
    on_rims: dict[str, list[Doubt]] = defaultdict(list)
    for doubt in screened.doubts:
        if doubt in tapes:
            yield _tape(screened.adjusted, doubt, (*doubt.rivals, *screened.others), too_many)
        else:
            on_rims[equations.rows[doubt.row].target].append(doubt)
    names = tuple(_swapped(screened.adjusted, on_rims))
    if names:
        yield _names(names)
    for name, doubts in on_rims.items():
        if name not in names:
            yield _rim(screened.adjusted, name, doubts)
    yield from _scatters(screened)


def measured_size(adjusted: Adjusted, name: str) -> tuple[float, float]:
    """The diameter that the readings give a rim, and its sigma, mm."""
    equations = adjusted.equations
    target = equations.index(name)
    place = equations.basis.shape[1] + equations.rims.tolist().index(target)
    radius = float(equations.unpack(adjusted.p).radii[target])
    return 2.0 * radius, 2.0 * sqrt(float(adjusted.covariance[place, place]))


def _tape(adjusted: Adjusted, doubt: Doubt, rivals: tuple[int, ...], too_many: bool) -> Suspect:
    equations = adjusted.equations
    tape = equations.survey.tapes[equations.rows[doubt.row].number]
    says = float(equations.tapes(equations.unpack(adjusted.p))[doubt.row])
    sure = 1.96 * tape_sigma(adjusted, doubt.row)
    if rivals:
        others = listed([in_words(equations, equations.rows[i]) for i in dict.fromkeys(rivals)])
        told = (
            f"and the others disagree by {abs(tape.distance - says):.1f} mm, and it cannot be told "
            f"whether it or {others} is wrong; measure these again"
        )
    else:
        told = f"does not fit the others, which say {says:.1f} ± {sure:.1f} mm; "
        told += (
            "with so many that do not fit none can be trusted, measure again"
            if too_many
            else "it was left out, measure it again"
        )
    return Suspect(
        kind="tape",
        pulleys=(tape.start, tape.end),
        message=f"{describe(tape)}: {tape.distance:.1f} mm {told}",
        located=not rivals and not too_many,
    )


def tape_sigma(adjusted: Adjusted, row: int) -> float:
    """1 sigma (mm) of what the kept readings say a tape should read."""
    slopes = adjusted.jacobian[row]
    return sqrt(float(slopes @ adjusted.covariance @ slopes)) * float(
        adjusted.equations.sigmas[row]
    )


def describe(tape: Tape) -> str:
    """A tape reading in words."""
    return f"{tape.start} to {tape.end} {OVER[tape.over]}"


def _swapped(adjusted: Adjusted, on_rims: Mapping[str, list[Doubt]]) -> Iterator[str]:
    """Rims whose sizes are wrong for their own names but right for each other's."""
    equations = adjusted.equations
    wrong = [
        name
        for name, doubts in on_rims.items()
        if any(equations.rows[doubt.row].kind == "radius" for doubt in doubts)
    ]
    seems: dict[str, str] = {}
    for name in wrong:
        size, sigma = measured_size(adjusted, name)
        off = {
            other: abs(size - 2.0 * float(equations.nominal[equations.index(other)]))
            for other in wrong
        }
        nearest = min(wrong, key=lambda other: off[other])
        spread = hypot(sigma, 2.0 * equations.targets[equations.index(nearest)].radius_sigma)
        if off[nearest] < SAME_SIZE_SIGMAS * spread + SAME_SIZE:
            seems[name] = nearest
    if sorted(seems) == sorted(seems.values()):
        yield from (name for name, other in seems.items() if name != other)


def _names(names: tuple[str, ...]) -> Suspect:
    return Suspect(
        kind="names",
        pulleys=names,
        message=(
            f"the rims clicked as {listed(list(names), 'and')} have each other's sizes: their "
            f"names seem to be mixed up; put each list of points under the right name"
        ),
        located=False,
    )


def _rim(adjusted: Adjusted, name: str, doubts: list[Doubt]) -> Suspect:
    equations = adjusted.equations
    rows = [equations.rows[doubt.row] for doubt in doubts]
    kind: SuspectKind = "rim"
    clicks = [row for row in rows if row.kind == "click"]
    count = len(equations.survey.rims.get(name, ()))
    if len(clicks) < len(rows):
        message = _wrong_size(adjusted, name)
    elif len(clicks) > max(1.0, MOST_CLICKS_OFF * count):
        message = f"{len(clicks)} of its {count} points do not lie on one circle of its size"
    elif any(doubt.rivals for doubt in doubts):
        message = "a point is off, and it cannot be told which"
    else:
        kind, message = "click", _off(adjusted, doubts)
    located = kind == "click"
    again = "click its outer edge again, with more points" if count else "measure it again"
    return Suspect(
        kind=kind,
        pulleys=(name,),
        message=f"the rim of {name}: {message}" + ("; left out" if located else f"; {again}"),
        located=located,
    )


def _wrong_size(adjusted: Adjusted, name: str) -> str:
    size, sigma = measured_size(adjusted, name)
    target = adjusted.equations.targets[adjusted.equations.index(name)]
    return (
        f"what was measured on it gives {size:.1f} ± {1.96 * sigma:.1f} mm across, not "
        f"{2.0 * (target.radius or 0.0):.1f}: another edge was taken, its size in the file is "
        f"wrong, or it stands nearer or farther than the others"
    )


def _off(adjusted: Adjusted, doubts: list[Doubt]) -> str:
    equations = adjusted.equations
    misses = np.abs(adjusted.residuals * equations.sigmas)
    points = [
        f"point {equations.rows[d.row].number + 1} lies {misses[d.row]:.0f} px off" for d in doubts
    ]
    return listed(points, "and")


def _scatters(screened: Screened) -> Iterator[Suspect]:
    adjusted = screened.adjusted
    for kind, factor in screened.scatter.items():
        if factor >= MOST_SCATTER:
            yield Suspect(
                kind="scatter", pulleys=(), message=scattered(screened, kind), located=False
            )
    checks = float(adjusted.redundancy[adjusted.keep].sum())
    if checks > 0.5 and chi2.sf(adjusted.chi_square, checks) < FALSE_ALARM:
        yield Suspect(
            kind="scatter",
            pulleys=(),
            message=(
                "the readings disagree with each other by more than their accuracy allows, and no "
                "single one stands out; measure again, or give the accuracy that they really have"
            ),
            located=False,
        )


def scattered(screened: Screened, kind: Kind) -> str:
    """By how much readings of a kind scatter more than stated, in words."""
    survey = screened.adjusted.equations.survey
    factor = screened.scatter[kind]
    if kind == "tape" or survey.photo is None:
        return f"the tape readings scatter {factor:.1f} times more than their accuracy says"
    return (
        f"the points scatter by {factor * survey.photo.sigma:.1f} px about their rims, not by "
        f"{survey.photo.sigma:.1f}"
    )


def in_words(equations: Equations, row: Row) -> str:
    """A row in words."""
    if row.kind == "tape":
        return describe(equations.survey.tapes[row.number])
    if row.kind == "radius":
        return f"the diameter of {row.target}"
    return f"point {row.number + 1} of {row.target}"


def listed(things: list[str], last: str = "or") -> str:
    """Things in a row, at most four of them."""
    if len(things) > 4:
        things = [*things[:3], f"{len(things) - 3} more"]
    return f" {last} ".join(filter(None, [", ".join(things[:-1]), things[-1]]))
