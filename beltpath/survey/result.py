"""solve(survey) -> Measurement: from readings to centres, or to the readings still needed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import sqrt

import numpy as np

from beltpath.errors import LayoutError, Problem
from beltpath.layout.toml import dotted
from beltpath.survey.adjust import LOOSE, MOST_NAMED, Adjusted, next_readings, weak_targets
from beltpath.survey.answer import Centre, Measurement, RimResidual, TapeResidual
from beltpath.survey.doubts import depth_effect, doubts, suspects
from beltpath.survey.equations import equations
from beltpath.survey.mirrors import are_mirrored, broken, choose, moved
from beltpath.survey.outliers import Screened, best_hypothesis, screen
from beltpath.survey.start import first_guesses, robust_solution
from beltpath.survey.survey import Survey
from beltpath.survey.views import Array


def solve(survey: Survey) -> Measurement:
    """Find the centres by least squares adjustment.

    Raises LayoutError when the readings do not determine them: a centre is too uncertain, has a
    mirror solution, or contradicts a relation in the file. Each problem says what to do.
    """
    system = equations(survey)
    guesses = first_guesses(system)
    start = robust_solution(system, guesses)
    everything = np.ones(len(system.rows), dtype=bool)
    _refuse(survey, _weak(Adjusted(equations=system, p=start, keep=everything)))
    screened = best_hypothesis(system, screen(system, start), guesses)
    _refuse(survey, _weak(screened.adjusted), screened)
    best, rivals = choose(screened.adjusted, guesses)
    if best is not screened.adjusted:
        screened = replace(screen(system, best.p), others=screened.others)
    _refuse(survey, _unsettled(best, rivals), screened)
    return _measurement(screened)


def _refuse(survey: Survey, problems: Iterator[Problem], screened: Screened | None = None) -> None:
    """Raise the problems, if any, after the suspects that may have caused them."""
    found = list(problems)
    if not found:
        return
    if screened is not None:
        found = [Problem("", suspect.message) for suspect in suspects(screened)] + found
    raise LayoutError([survey.lines.placed(problem) for problem in found])


def _weak(adjusted: Adjusted) -> Iterator[Problem]:
    """Targets whose position is too uncertain, and the readings to take next."""
    weak = weak_targets(adjusted)
    if not weak:
        return
    system = adjusted.equations
    more = [f"{one.start} to {one.end}" for one in next_readings(adjusted, MOST_NAMED)]
    points = " or click more points round the rims" if len(system.clicked) else ""
    for target in weak[:MOST_NAMED]:
        name, sigma = system.targets[target].name, float(adjusted.sigmas[target, 0])
        held = (
            "no reading holds its place" if sigma > LOOSE else f"is held only to ± {sigma:.0f} mm"
        )
        yield Problem(
            dotted((system.survey.table_of(name), name)),
            f"{held}; measure it from more places{points}",
        )
    if len(weak) > MOST_NAMED:
        yield Problem("", f"{len(weak) - MOST_NAMED} more places are held too weakly")
    if more:
        yield Problem("", f"measure next, centre to centre: {', then '.join(more)}")
    else:
        yield Problem(
            "",
            "no further reading between these centres helps; measure from a point off their line "
            "(give it in [points]), or take a photograph",
        )


def _unsettled(best: Adjusted, rivals: list[Adjusted]) -> Iterator[Problem]:
    """Relations in the file that no solution keeps, or the rival solutions left."""
    survey, relations = best.equations.survey, broken(best)
    told = "is not so in any arrangement that fits what was measured; check both"
    if survey.rims:
        told += ", and that the picture is not mirrored and its y counted downwards"
    yield from (Problem(path, told) for path in relations)
    if relations:
        return
    named: list[set[int]] = []
    for rival in sorted(rivals, key=lambda one: len(moved(best.centres, one.centres))):
        elsewhere = moved(best.centres, rival.centres)
        if are_mirrored(best, rival):
            yield _mirrored(survey)
        elif not any(set(elsewhere) >= one for one in named):
            named.append(set(elsewhere))
            yield _rival(best, rival, elsewhere)


def _rival(best: Adjusted, other: Adjusted, elsewhere: tuple[int, ...]) -> Problem:
    survey, first = best.equations.survey, elsewhere[0]
    names = [best.equations.targets[i].name for i in elsewhere]
    here, there = best.centres, other.centres
    (x, y), (u, v) = here[first], there[first]
    together = f", and {', '.join(names[1:])} with it," if names[1:] else ""
    return Problem(
        dotted((survey.table_of(names[0]), names[0])),
        f"at ({x:.0f}, {y:.0f}){together} could as well lie at ({u:.0f}, {v:.0f}): "
        f"{_telling(survey, first, here, there)}",
    )


def _mirrored(survey: Survey) -> Problem:
    level = survey.level
    return Problem(
        "level",
        f"tape readings fit the mirror image as well; give it above = a pulley that lies above the "
        f"line from {level.start} to {level.end}, or tell in a pulley's table which pulley it is "
        f"above, below, left_of or right_of",
    )


def _telling(survey: Survey, target: int, here: Array, there: Array) -> str:
    """The relation to another target, or the reading, that tells two solutions apart."""
    names = list(survey.targets)
    others = [i for i in range(len(names)) if i != target]
    best, clearest = "", 0.0
    for other in others:
        for axis, words in ((1, ("above", "below")), (0, ("right_of", "left_of"))):
            one, two = here[target] - here[other], there[target] - there[other]
            clear = min(abs(one[axis]), abs(two[axis])) if one[axis] * two[axis] < 0.0 else 0.0
            if clear > clearest:
                say = " or ".join(f'{word} = "{names[other]}"' for word in words)
                best, clearest = f"say {say} in its table, or ", clear
    reach = max(
        others,
        key=lambda i: abs(
            np.linalg.norm(here[target] - here[i]) - np.linalg.norm(there[target] - there[i])
        ),
    )
    return f"{best}measure {names[target]} to {names[reach]}"


def _measurement(screened: Screened) -> Measurement:
    adjusted = screened.adjusted
    system = adjusted.equations
    tapes, rims = tuple(_tapes(adjusted)), tuple(_rims(adjusted))
    return Measurement(
        survey=system.survey,
        centres={target.name: _centre(adjusted, i) for i, target in enumerate(system.targets)},
        covariance=adjusted.centre_covariance,
        tapes=tapes,
        rims=rims,
        rms_mm=_rms([tape.residual for tape in tapes if tape.kept]),
        rms_px=_rms([m for rim in rims for m, k in zip(rim.misses, rim.kept, strict=True) if k]),
        suspects=tuple(suspects(screened)),
        doubts=tuple(doubts(screened)),
        next_reading=next(next_readings(adjusted), None),
        image_to_front=_map(adjusted),
        depth_effect=depth_effect(adjusted),
    )


def _centre(adjusted: Adjusted, target: int) -> Centre:
    (x, y), start = adjusted.centres[target].tolist(), 2 * target
    block = adjusted.centre_covariance[start : start + 2, start : start + 2]
    xx, yy, xy = max(float(block[0, 0]), 0.0), max(float(block[1, 1]), 0.0), float(block[0, 1])
    return Centre(
        name=adjusted.equations.targets[target].name,
        at=(x, y),
        sigma=sqrt((xx + yy) / 2.0),
        sigma_xy=(sqrt(xx), sqrt(yy)),
        correlation=xy / sqrt(xx * yy) if xx * yy > 0.0 else 0.0,
    )


def _tapes(adjusted: Adjusted) -> Iterator[TapeResidual]:
    system = adjusted.equations
    computed = system.tapes(system.unpack(adjusted.p)).tolist()
    for i, (tape, value) in enumerate(zip(system.survey.tapes, computed, strict=True)):
        yield TapeResidual(
            start=tape.start,
            end=tape.end,
            over=tape.over,
            measured=tape.distance,
            computed=value,
            residual=value - tape.distance,
            in_sigmas=float(adjusted.normalized[i]),
            kept=bool(adjusted.keep[i]),
        )


def _rims(adjusted: Adjusted) -> Iterator[RimResidual]:
    system = adjusted.equations
    u = system.unpack(adjusted.p)
    rows = np.flatnonzero(system.of_kind("click"))
    misses, front = system.misses(u), system.front(u)
    for name in system.survey.rims:
        target = system.index(name)
        own = system.clicked == target
        yield RimResidual(
            pulley=name,
            misses=tuple(misses[own].tolist()),
            kept=tuple(adjusted.keep[rows[own]].tolist()),
            front=tuple((x, y) for x, y in front[own].tolist()),
            diameter=2.0 * float(u.radii[target]),
            stated=2.0 * float(system.nominal[target]),
        )


def _map(adjusted: Adjusted) -> Array | None:
    """The 3 × 3 map from pixels to mm, scaled so that its last number is 1."""
    system = adjusted.equations
    if not len(system.clicked):
        return None
    whole = system.view.front(system.unpack(adjusted.p).view) @ system.pixels.matrix()
    scaled: Array = whole / whole[2, 2]
    return scaled


def _rms(values: list[float]) -> float | None:
    return sqrt(sum(v * v for v in values) / len(values)) if values else None
