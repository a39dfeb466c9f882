"""Doubts about a survey, in sentences that say what to do.

*Suspects* contradict the other readings. *Doubts* are contradicted by nothing: they name the errors
that this survey cannot show.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from math import atan2, degrees, hypot, radians, sqrt

import numpy as np
from scipy.stats import chi2

from beltpath.survey.adjust import Adjusted
from beltpath.survey.answer import Suspect, SuspectKind
from beltpath.survey.equations import Equations, Kind, Row, camera
from beltpath.survey.mirrors import tells_its_mirror
from beltpath.survey.outliers import (
    FALSE_ALARM,
    BlindSpot,
    Outlier,
    Screened,
    blind_spots,
    similar_rims,
)
from beltpath.survey.views import Array, Homography
from beltpath.words import listed

#: With more than this share of the tape readings (and more than one) as outliers none is trusted.
MOST_TAPES_OUT = 0.1
#: With more than this share of a rim's clicks as outliers the rim itself is in doubt.
MOST_CLICKS_OFF = 0.34
#: A scatter this many times larger than stated makes the readings unusable.
MOST_SCATTER = 5.0
#: Two sizes are the same when they agree within this many sigmas, plus mm.
SAME_SIZE_SIGMAS, SAME_SIZE = 4.0, 0.5
#: A scatter larger than stated by this factor is reported.
WORTH_SAYING = 1.5
#: A reading error that would not show is reported from this move of a centre on, mm.
BLIND_MOVES = 8.0
#: An error larger than this (mm) is reported as one of any size.
LARGEST_SLIP = 200.0
#: The depth for which its effect is reported, mm.
SAMPLE_DEPTH = 10.0
#: How far inside their rims all points may lie unnoticed, mm (guide value, from memory: a chamfer),
#: and the least move of a centre by it that is reported, mm.
EDGE, EDGE_MOVES = 0.5, 1.0
#: An arm this far outside its stops is reported, degrees.
PAST_STOP = 5.0
#: A slant is reported when it adds more than this many sigmas to the reading.
SLANT_SHOWS = 0.5


def suspects(screened: Screened) -> Iterator[Suspect]:
    """Every outlier, and readings that disagree as a whole."""
    equations = screened.adjusted.equations
    tapes = [one for one in screened.outliers if equations.rows[one.row].kind == "tape"]
    too_many = len(tapes) > max(1.0, MOST_TAPES_OUT * len(equations.survey.tapes))
    on_rims: dict[str, list[Outlier]] = defaultdict(list)
    for one in screened.outliers:
        if one in tapes:
            yield _tape(screened.adjusted, one, (*one.rivals, *screened.others), too_many)
        else:
            on_rims[equations.rows[one.row].target].append(one)
    names = tuple(_swapped(screened.adjusted, on_rims))
    if names:
        yield _names(names)
    for name, outliers in on_rims.items():
        if name not in names:
            yield _rim(screened.adjusted, name, outliers)
    yield from _scatters(screened)


def _measured_size(adjusted: Adjusted, name: str) -> tuple[float, float]:
    """The adjusted diameter of a rim and its sigma, mm."""
    equations = adjusted.equations
    target = equations.index(name)
    place = equations.basis.shape[1] + equations.rims.tolist().index(target)
    radius = float(equations.unpack(adjusted.p).radii[target])
    return 2.0 * radius, 2.0 * sqrt(float(adjusted.covariance[place, place]))


def _tape(adjusted: Adjusted, outlier: Outlier, rivals: tuple[int, ...], too_many: bool) -> Suspect:
    equations = adjusted.equations
    tape = equations.survey.tapes[equations.rows[outlier.row].number]
    says = float(equations.tapes(equations.unpack(adjusted.p))[outlier.row])
    slopes = adjusted.jacobian[outlier.row] * equations.sigmas[outlier.row]
    sure = 1.96 * sqrt(float(slopes @ adjusted.covariance @ slopes))
    if rivals:
        others = _listed([in_words(equations, equations.rows[i]) for i in dict.fromkeys(rivals)])
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
        message=f"{tape.in_words}: {tape.distance:.1f} mm {told}",
        located=not rivals and not too_many,
    )


def _swapped(adjusted: Adjusted, on_rims: Mapping[str, list[Outlier]]) -> Iterator[str]:
    """Rims whose adjusted sizes fit each other's stated sizes and not their own."""
    equations = adjusted.equations
    wrong = [
        name
        for name, outliers in on_rims.items()
        if any(equations.rows[one.row].kind == "radius" for one in outliers)
    ]
    seems: dict[str, str] = {}
    for name in wrong:
        size, sigma = _measured_size(adjusted, name)
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
            f"the rims clicked as {_listed(list(names), 'and')} have each other's sizes: their "
            f"names seem to be mixed up; put each list of points under the right name"
        ),
    )


def _rim(adjusted: Adjusted, name: str, outliers: list[Outlier]) -> Suspect:
    equations = adjusted.equations
    rows = [equations.rows[one.row] for one in outliers]
    kind: SuspectKind = "rim"
    clicks = [row for row in rows if row.kind == "click"]
    count = len(equations.survey.rims.get(name, ()))
    if len(clicks) < len(rows):
        message = _wrong_size(adjusted, name)
    elif len(clicks) > max(1.0, MOST_CLICKS_OFF * count):
        message = f"{len(clicks)} of its {count} points do not lie on one circle of its size"
    elif any(one.rivals for one in outliers):
        message = "a point is off, and it cannot be told which"
    else:
        kind, message = "click", _off(adjusted, outliers)
    located = kind == "click"
    again = "click its outer edge again, with more points" if count else "measure it again"
    return Suspect(
        kind=kind,
        pulleys=(name,),
        message=f"the rim of {name}: {message}" + ("; left out" if located else f"; {again}"),
        located=located,
    )


def _wrong_size(adjusted: Adjusted, name: str) -> str:
    size, sigma = _measured_size(adjusted, name)
    target = adjusted.equations.targets[adjusted.equations.index(name)]
    return (
        f"what was measured on it gives {size:.1f} ± {1.96 * sigma:.1f} mm across, not "
        f"{2.0 * (target.radius or 0.0):.1f}: another edge was taken, its size in the file is "
        f"wrong, or it stands nearer or farther than the others"
    )


def _off(adjusted: Adjusted, outliers: list[Outlier]) -> str:
    equations = adjusted.equations
    misses = np.abs(adjusted.residuals * equations.sigmas)
    points = [
        f"point {equations.rows[o.row].number + 1} lies {misses[o.row]:.0f} px off"
        for o in outliers
    ]
    return _listed(points, "and")


def _scatters(screened: Screened) -> Iterator[Suspect]:
    adjusted = screened.adjusted
    for kind, factor in screened.scatter.items():
        if factor >= MOST_SCATTER:
            yield Suspect(kind="scatter", message=_scattered(screened, kind))
    checks = float(adjusted.redundancy[adjusted.keep].sum())
    if checks > 0.5 and chi2.sf(adjusted.chi_square, checks) < FALSE_ALARM:
        yield Suspect(
            kind="scatter",
            message="the readings disagree with each other by more than their accuracy allows, and "
            "no single one stands out; measure again, or give the accuracy that they really have",
        )


def _scattered(screened: Screened, kind: Kind) -> str:
    """By how much readings of a kind scatter more than stated."""
    photo, factor = screened.adjusted.equations.survey.photo, screened.scatter[kind]
    if kind == "tape" or photo is None:
        return f"the tape readings scatter {factor:.1f} times more than their accuracy says"
    return (
        f"the points scatter by {factor * photo.sigma:.1f} px about their rims, not by "
        f"{photo.sigma:.1f}"
    )


def in_words(equations: Equations, row: Row) -> str:
    """A row in words."""
    if row.kind == "tape":
        return equations.survey.tapes[row.number].in_words
    if row.kind == "radius":
        return f"the diameter of {row.target}"
    return f"point {row.number + 1} of {row.target}"


def _listed(things: list[str], last: str = "or") -> str:
    """Things in a row, at most four of them."""
    if len(things) > 4:
        things = [*things[:3], f"{len(things) - 3} more"]
    return listed(things, last)


def doubts(screened: Screened) -> Iterator[str]:
    """Errors that this survey cannot show, although nothing contradicts it."""
    adjusted = screened.adjusted
    for kind, factor in screened.scatter.items():
        if WORTH_SAYING < factor < MOST_SCATTER:
            yield _scattered(screened, kind) + "; the ± was widened to match"
    blind = sorted(blind_spots(adjusted, BLIND_MOVES), key=lambda one: -one.moves)
    if blind:
        yield _blind(adjusted.equations, blind)
    for one, other in similar_rims(adjusted):
        names = [adjusted.equations.targets[i].name for i in (one, other)]
        yield (
            f"the rims of {' and '.join(names)} are so alike in size that mixed-up names would "
            f"not show; see that each is clicked under its own name"
        )
    yield from _mirror(adjusted)
    yield from _unchecked_places(adjusted)
    yield from _edges(adjusted)
    yield from _depths(adjusted)
    yield from _slanted(adjusted)
    yield from _fixed_pivot(adjusted)
    yield from _arm(adjusted)


def depth_effect(adjusted: Adjusted) -> dict[str, float]:
    """For each rim: how far any centre moves, mm, if the rim stands 10 mm nearer to the camera.

    The picture's size must be known, else nothing is given. Without a stated focal length the
    usual one is taken.
    """
    equations = adjusted.equations
    photo = equations.survey.photo
    if photo is None or photo.size is None:
        return {}
    u = equations.unpack(adjusted.p)
    depths = np.array([target.depth for target in equations.targets])
    flat = camera(equations.survey, tuple(depths))
    seen = u._replace(view=flat.numbers_of(equations.view.front(u.view)))
    effect = {}
    for target in np.unique(equations.clicked).tolist():
        nearer = depths + SAMPLE_DEPTH * (np.arange(len(depths)) == target)
        change = equations.misses(seen, flat) - equations.misses(
            seen, camera(equations.survey, tuple(nearer))
        )
        moved = _moved_by(adjusted, change)
        effect[equations.targets[target].name] = float(np.linalg.norm(moved, axis=1).max())
    return effect


def _blind(equations: Equations, blind: list[BlindSpot]) -> str:
    worst = blind[0]
    row = equations.rows[worst.row]
    what = in_words(equations, row)
    # A radius carries the sigma of half a diameter.
    unit = float(equations.sigmas[worst.row]) * (2.0 if row.kind == "radius" else 1.0)
    if worst.error * unit > LARGEST_SLIP:
        said = f"nothing checks {what}: a slip in it would not show"
    else:
        said = (
            f"a slip of {worst.error * unit:.0f} mm in {what} would hardly show, and would move "
            f"{equations.targets[worst.target].name} by {worst.moves:.0f} mm"
        )
    rest = len(blind) - 1
    are = "1 more reading is" if rest == 1 else f"{rest} more readings are"
    more = f" ({are} checked as little)" if rest else ""
    return f"{said}{more}; take it twice, or measure across it"


def _mirror(adjusted: Adjusted) -> Iterator[str]:
    """A mirrored picture, or y counted upwards, gives a plausible drive the wrong way round."""
    equations = adjusted.equations
    if len(equations.clicked) and not tells_its_mirror(adjusted):
        level = equations.survey.level
        yield (
            f"nothing tells that this is not the mirror image, from a mirrored picture or points "
            f"that count y upwards: give [level] above = a pulley that lies above the line from "
            f"{level.start} to {level.end}, and it is checked"
        )


def _unchecked_places(adjusted: Adjusted) -> Iterator[str]:
    """A photograph alone cannot show that a rim was clicked on the wrong round part."""
    equations = adjusted.equations
    taped = equations.ends[adjusted.keep[: len(equations.ends)]].ravel().tolist()
    alone = [t for t in np.unique(equations.clicked).tolist() if t not in taped]
    if alone:
        names = _listed([equations.targets[t].name for t in alone])
        yield (
            f"nothing but its own points tells where the rim of {names} is: compare the picture of "
            f"the rims with the engine, or check with the tape"
        )


def _edges(adjusted: Adjusted) -> Iterator[str]:
    """An error common to all rims changes the scale, which a photograph takes from the rims."""
    equations = adjusted.equations
    if not len(equations.clicked):
        return
    u = equations.unpack(adjusted.p)
    change = equations.misses(u._replace(radii=u.radii + EDGE)) - equations.misses(u)
    moved = np.linalg.norm(_moved_by(adjusted, change), axis=1)
    farthest = int(np.argmax(moved))
    if moved[farthest] >= EDGE_MOVES:
        yield (
            f"points that all lie {EDGE:.1f} mm inside the rims that were measured, on a chamfer, "
            f"say, would not show, and would move {equations.targets[farthest].name} by "
            f"{moved[farthest]:.1f} mm: tape readings right across the drive hold against it"
        )


def _moved_by(adjusted: Adjusted, change: Array) -> Array:
    """How the centres move (mm) when the clicks' residuals grow by so many pixels."""
    equations = adjusted.equations
    rows = equations.of_kind("click")
    gain = adjusted.covariance @ adjusted.jacobian[adjusted.keep & rows].T
    return equations.centres(gain @ (change / equations.sigmas[rows])[adjusted.keep[rows]])


def _slanted(adjusted: Adjusted) -> Iterator[str]:
    """A tape held slanted between fronts of different depth reads too much."""
    equations = adjusted.equations
    for (one, other), tape in zip(equations.ends.tolist(), equations.survey.tapes, strict=True):
        deep = equations.targets[one].depth - equations.targets[other].depth
        more = hypot(tape.distance, deep) - tape.distance
        if more > SLANT_SHOWS * tape.sigma:
            yield (
                f"the tape from {tape.start} to {tape.end} is taken as held square to the shafts; "
                f"slanted, from front to front, it would read {more:.1f} mm more, for these "
                f"stand {abs(deep):.0f} mm apart in depth"
            )


def _fixed_pivot(adjusted: Adjusted) -> Iterator[str]:
    """A pivot given as numbers does not follow an error in the angle of `[level]`."""
    survey = adjusted.equations.survey
    t = survey.layout.tensioner
    if t is not None and t.pivot is not None and survey.pivot is None:
        away = hypot(*t.pivot) * radians(1.0)
        yield (
            f"tensioner.pivot is given as numbers and not measured with the rest: with the level's "
            f"angle off by 1 degree it would stand {away:.1f} mm wrong among the pulleys; measure "
            f"it as one of the [points]"
        )


def _arm(adjusted: Adjusted) -> Iterator[str]:
    """The arm's angle, if it lies outside its own stops."""
    equations = adjusted.equations
    survey, t = equations.survey, equations.survey.layout.tensioner
    if t is None or t.pivot is None:
        return
    x, y = adjusted.centres[equations.index(t.pulley)]
    u, v = t.pivot if survey.pivot is None else adjusted.centres[equations.index(survey.pivot)]
    low, high = sorted((t.free, t.load))
    stands = degrees(atan2(y - v, x - u))
    stands += 360.0 * round(((low + high) / 2.0 - stands) / 360.0)
    if not low - PAST_STOP <= stands <= high + PAST_STOP:
        yield (
            f"the tensioner's arm would stand at {stands:.0f}°, outside its stops ({t.free:g} to "
            f"{t.load:g}°): check the level's angle and the stops, and whether names are exchanged"
        )


def _depths(adjusted: Adjusted) -> Iterator[str]:
    equations = adjusted.equations
    if not len(equations.clicked):
        return
    if not isinstance(equations.view, Homography):
        yield (
            "with depths the camera is taken to look through the middle of the picture: of a "
            "picture that was cut, centres would come out wrong without a sign of it"
        )
        return
    effect = depth_effect(adjusted)
    if not effect:
        yield (
            "the rims' front edges are taken to lie in one plane; where one stands nearer or "
            "farther, give its depth, and photo.size"
        )
        return
    name = max(effect, key=lambda one: effect[one])
    yield (
        f"the rims' front edges are taken to lie in one plane; one that stands {SAMPLE_DEPTH:.0f} "
        f"mm nearer or farther than the others would move centres by up to {effect[name]:.1f} mm "
        f"({name}); give its depth where that is so"
    )
