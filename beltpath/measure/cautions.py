"""What nothing contradicts and yet may be wrong: what a survey cannot show, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, degrees, hypot, radians

import numpy as np

from beltpath.measure.adjustment import Adjusted
from beltpath.measure.blunders import Blind, Screened, blind_spots, look_alikes
from beltpath.measure.equations import Equations, camera
from beltpath.measure.flips import tells_its_mirror
from beltpath.measure.suspects import MOST_SCATTER, in_words, listed, scattered
from beltpath.measure.views import Array, Projective

#: From this factor on a wider scatter than stated is worth a sentence.
WORTH_SAYING = 1.5
#: A slip that would not show is named when it could move a centre by this much, mm.
BLIND_MOVES = 8.0
#: A slip larger than this (mm) is told as one of any size.
LARGEST_SLIP = 200.0
#: The depth for which its effect is told, mm.
SAMPLE_DEPTH = 10.0
#: How far inside their rims all points may lie unnoticed, mm (guide value, from memory: a chamfer),
#: and the move of a centre by it that is told, mm.
EDGE, EDGE_MOVES = 0.5, 1.0
#: The arm is told of when it would stand this far outside its stops, degrees.
PAST_STOP = 5.0
#: A slant is told when it makes more than this many sigmas of the tape's reading.
SLANT_SHOWS = 0.5


def cautions(screened: Screened) -> Iterator[str]:
    """What the user should know although nothing contradicts it."""
    adjusted = screened.adjusted
    for kind, factor in screened.scatter.items():
        if WORTH_SAYING < factor < MOST_SCATTER:
            yield scattered(screened, kind) + "; the ± was widened to match"
    blind = sorted(blind_spots(adjusted, BLIND_MOVES), key=lambda one: -one.moves)
    if blind:
        yield _blind(adjusted.equations, blind)
    for one, other in look_alikes(adjusted):
        names = f"{_name(adjusted.equations, one)} and {_name(adjusted.equations, other)}"
        yield (
            f"the rims of {names} are so alike in size that mixed-up names would not show; see "
            f"that each is clicked under its own name"
        )
    yield from _mirror(adjusted)
    yield from _unchecked_places(adjusted)
    yield from _edges(adjusted)
    yield from _depths(adjusted)
    yield from _slanted(adjusted)
    yield from _fixed_pivot(adjusted)
    yield from _arm(adjusted)


def depth_effect(adjusted: Adjusted) -> dict[str, float]:
    """How far any centre would move for a front 10 mm nearer to the camera than was allowed for.

    Told by the name of the rim that stands nearer; mm. Needs the picture's size, and takes the lens
    to be as expected when its focal length is not given. Empty when the size is not known.
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
        effect[_name(equations, target)] = float(np.linalg.norm(moved, axis=1).max())
    return effect


def _blind(equations: Equations, blind: list[Blind]) -> str:
    worst = blind[0]
    row = equations.rows[worst.row]
    what = in_words(equations, row)
    # A radius carries the sigma of half a diameter.
    unit = float(equations.sigmas[worst.row]) * (2.0 if row.kind == "radius" else 1.0)
    if worst.slip * unit > LARGEST_SLIP:
        said = f"nothing checks {what}: a slip in it would not show"
    else:
        said = (
            f"a slip of {worst.slip * unit:.0f} mm in {what} would hardly show, and would move "
            f"{_name(equations, worst.target)} by {worst.moves:.0f} mm"
        )
    rest = len(blind) - 1
    are = "1 more reading is" if rest == 1 else f"{rest} more readings are"
    more = f" ({are} checked as little)" if rest else ""
    return f"{said}{more}; take it twice, or measure across it"


def _mirror(adjusted: Adjusted) -> Iterator[str]:
    """A mirrored picture, or y counted upwards, gives a sound drive the wrong way round."""
    equations = adjusted.equations
    if len(equations.clicked) and not tells_its_mirror(adjusted):
        level = equations.survey.level
        yield (
            f"nothing tells that this is not the mirror image, from a mirrored picture or points "
            f"that count y upwards: give [level] above = a pulley that lies above the line from "
            f"{level.start} to {level.end}, and it is checked"
        )


def _unchecked_places(adjusted: Adjusted) -> Iterator[str]:
    """A round thing of the right size in the wrong place fits a photograph as well."""
    equations = adjusted.equations
    taped = equations.ends[adjusted.keep[: len(equations.ends)]].ravel().tolist()
    alone = [t for t in np.unique(equations.clicked).tolist() if t not in taped]
    if alone:
        yield (
            f"nothing but its own points tells where the rim of "
            f"{listed([_name(equations, t) for t in alone])} is: compare the picture of the rims "
            f"with the engine, or check with the tape"
        )


def _edges(adjusted: Adjusted) -> Iterator[str]:
    """An error common to all rims is one of scale, which a photograph takes from the rims."""
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
            f"say, would not show, and would move {_name(equations, farthest)} by "
            f"{moved[farthest]:.1f} mm: tape readings right across the drive hold against it"
        )


def _moved_by(adjusted: Adjusted, change: Array) -> Array:
    """How the centres move when every click misses its rim by so many pixels more; mm."""
    equations = adjusted.equations
    rows = equations.of_kind("click")
    gain = adjusted.covariance @ adjusted.jacobian[adjusted.keep & rows].T
    step = gain @ (change / equations.sigmas[rows])[adjusted.keep[rows]]
    moved: Array = (equations.basis @ step[: equations.basis.shape[1]]).reshape(-1, 2)
    return moved


def _slanted(adjusted: Adjusted) -> Iterator[str]:
    """A tape between fronts of different depth is taken as held square to the shafts."""
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
    """Numbers for the pivot hang on the turn that `[level]` gives to everything else."""
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
    """Where the tensioner's arm would stand, if that is outside its own stops."""
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
    if not isinstance(equations.view, Projective):
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


def _name(equations: Equations, target: int) -> str:
    return equations.targets[target].name
