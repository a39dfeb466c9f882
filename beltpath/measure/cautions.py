"""What nothing contradicts and yet may be wrong: what a survey cannot show, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

import numpy as np

from beltpath.measure.adjustment import Adjusted
from beltpath.measure.blunders import Blind, Screened, blind_spots, look_alikes
from beltpath.measure.equations import Equations, camera
from beltpath.measure.flips import tells_its_mirror
from beltpath.measure.suspects import MOST_SCATTER, in_words, listed, scattered
from beltpath.measure.views import Projective

#: From this factor on a wider scatter than stated is worth a sentence.
WORTH_SAYING = 1.5
#: A slip that would not show is named when it could move a centre by this much, mm.
BLIND_MOVES = 8.0
#: The depth for which its effect is told, mm.
SAMPLE_DEPTH = 10.0


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
    yield from _depths(adjusted)


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
    rows = equations.of_kind("click")
    kept = adjusted.keep[rows]
    gain = adjusted.covariance @ adjusted.jacobian[adjusted.keep & rows].T
    effect = {}
    for target in np.unique(equations.clicked).tolist():
        nearer = depths + SAMPLE_DEPTH * (np.arange(len(depths)) == target)
        change = equations.misses(seen, flat) - equations.misses(
            seen, camera(equations.survey, tuple(nearer))
        )
        step = gain @ (change / equations.sigmas[rows])[kept]
        moved = (equations.basis @ step[: equations.basis.shape[1]]).reshape(-1, 2)
        effect[_name(equations, target)] = float(np.linalg.norm(moved, axis=1).max())
    return effect


def _blind(equations: Equations, blind: list[Blind]) -> str:
    worst = blind[0]
    row = equations.rows[worst.row]
    what = in_words(equations, row)
    # A radius carries the sigma of half a diameter.
    unit = float(equations.sigmas[worst.row]) * (2.0 if row.kind == "radius" else 1.0)
    if worst.slip == inf:
        said = f"nothing checks {what}: a slip in it would not show"
    else:
        said = (
            f"a slip of {worst.slip * unit:.0f} mm in {what} would hardly show, and would move "
            f"{_name(equations, worst.target)} by {worst.moves:.0f} mm"
        )
    rest = len(blind) - 1
    more = f" ({rest} more readings are checked as little)" if rest else ""
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


def _depths(adjusted: Adjusted) -> Iterator[str]:
    equations = adjusted.equations
    if not len(equations.clicked) or not isinstance(equations.view, Projective):
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
