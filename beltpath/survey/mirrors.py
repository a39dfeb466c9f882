"""Mirror solutions: other positions of the centres that the same readings allow.

Distances cannot tell a target from its mirror image across the line through the positions it was
measured from. Mirror images of single targets, of parts and of the whole are tried in turn, each
followed to its own least squares solution. Those that fit nearly as well are rivals. Relations in
the file ("the pump lies above the crank") choose between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import cos, radians

import numpy as np

from beltpath.layout.toml import dotted
from beltpath.survey.adjust import Adjusted, fit
from beltpath.survey.start import in_datum, upright
from beltpath.survey.survey import Survey
from beltpath.survey.views import Array

#: A mirror solution is a rival unless its chi-square is worse by more than this (1 in 10 000).
CLEARLY_WORSE = 15.0
#: Solutions that differ by less than this (mm) are the same.
SAME = 0.5
#: A mirror line passes within this distance (mm) of all centres that the target was taped from.
NEARLY_ON = 60.0
#: The number of solutions whose mirror images are searched.
MOST_SEARCHED = 12


def choose(adjusted: Adjusted, guesses: Sequence[Array]) -> tuple[Adjusted, list[Adjusted]]:
    """The solution that keeps most relations in the file, and the rivals that keep as many.

    Other solutions of the kept readings are searched from the mirror images and from `guesses`.
    """
    found = [adjusted]
    _add(found, _followed(adjusted, guesses))
    searched: set[int] = set()
    while len(searched) < min(MOST_SEARCHED, len(found)):
        here = min(set(range(len(found))) - searched, key=lambda i: _rank(found[i]))
        searched.add(here)
        _add(found, _followed(adjusted, mirror_starts(found[here])))
        if not broken(found[here]):
            break
    best = min(found, key=_rank)
    most = len(broken(best))
    return best, [one for one in found if one is not best and len(broken(one)) <= most]


def _rank(one: Adjusted) -> tuple[int, float]:
    return len(broken(one)), one.chi_square


def _add(found: list[Adjusted], more: Iterator[Adjusted]) -> None:
    for one in more:
        if all(moved(one.centres, other.centres) for other in found):
            found.append(one)


def are_mirrored(here: Adjusted, there: Adjusted) -> bool:
    """Whether the two solutions are mirror images of each other as a whole."""
    return not moved(_mirrored(here.centres, *here.level_ends), there.centres)


def moved(here: Array, there: Array) -> tuple[int, ...]:
    """Targets whose centre lies elsewhere in the other solution, the farthest first."""
    apart = np.linalg.norm(here - there, axis=1)
    return tuple(int(i) for i in np.argsort(-apart, kind="stable") if apart[i] > SAME)


def broken(adjusted: Adjusted) -> tuple[str, ...]:
    """Key paths of the relations in the file that a solution breaks."""
    return _broken(adjusted.equations.survey, adjusted.centres)


def tells_its_mirror(adjusted: Adjusted) -> bool:
    """Whether any relation in the file rules out the mirror image."""
    mirrored = _mirrored(adjusted.centres, *adjusted.level_ends)
    return bool(_broken(adjusted.equations.survey, mirrored))


def _broken(survey: Survey, centres: Array) -> tuple[str, ...]:
    at = {name: (float(x), float(y)) for name, (x, y) in zip(survey.targets, centres, strict=True)}
    paths = [
        dotted((survey.table_of(placing.name), placing.name, placing.relation))
        for placing in survey.placings
        if not placing.holds(at[placing.name], at[placing.other])
    ]
    level = survey.level
    if level.above is not None:
        (x, y), (u, v), (s, t) = at[level.start], at[level.end], at[level.above]
        left = (u - x) * (t - y) - (v - y) * (s - x)
        if left * cos(radians(level.angle)) <= 0.0:
            paths.append("level.above")
    return tuple(paths)


def _followed(adjusted: Adjusted, starts: Iterable[Array]) -> Iterator[Adjusted]:
    """The solutions reached from starts that fit the kept readings nearly as well."""
    for start in starts:
        reached = fit(adjusted.equations, start, keep=adjusted.keep)
        end = replace(adjusted, p=upright(adjusted.equations, reached))
        if end.chi_square < adjusted.chi_square + CLEARLY_WORSE:
            yield end


def mirror_starts(adjusted: Adjusted) -> Iterator[Array]:
    """Initial guesses: a solution with a part mirrored across a line through two centres."""
    equations = adjusted.equations
    u = equations.unpack(adjusted.p)
    for part, (one, other) in _hinges(adjusted):
        centres = u.centres.copy()
        centres[list(part)] = _mirrored(centres[list(part)], one, other)
        yield equations.pack(
            in_datum(equations, u._replace(centres=centres), equations.view.front(u.view))
        )


def _hinges(adjusted: Adjusted) -> Iterator[tuple[tuple[int, ...], tuple[Array, Array]]]:
    """Targets to mirror together, each set with two points of its mirror line."""
    equations = adjusted.equations
    centres = adjusted.centres
    links = _links(adjusted)
    held = set(equations.clicked.tolist())
    if not held:
        yield tuple(range(len(centres))), adjusted.level_ends
    for target in set(range(len(centres))) - held:
        partners = sorted(links[target])
        for one, other in combinations(partners, 2):
            line = (centres[one], centres[other])
            across = _mirrored(centres[partners], *line) - centres[partners]
            if np.linalg.norm(across, axis=1).max() < 2.0 * NEARLY_ON:
                yield (target,), line
    for one, other in combinations(range(len(centres)), 2):
        parts = _parts(links, {one, other})
        for part in parts:
            if len(part) > 1 and len(parts) > 1 and not part & held:
                yield tuple(sorted(part)), (centres[one], centres[other])


def _links(adjusted: Adjusted) -> dict[int, set[int]]:
    """The targets that readings join; a photograph joins all that it shows."""
    equations = adjusted.equations
    links: dict[int, set[int]] = {i: set() for i in range(len(equations.targets))}
    tapes = equations.ends[adjusted.keep[: len(equations.ends)]].tolist()
    clicked = sorted(set(equations.clicked.tolist()))
    for one, other in [*tapes, *combinations(clicked, 2)]:
        links[one].add(other)
        links[other].add(one)
    return links


def _parts(links: dict[int, set[int]], without: set[int]) -> list[set[int]]:
    """The parts into which the network falls without some targets."""
    left = set(links) - without
    parts: list[set[int]] = []
    while left:
        part, edge = set(), {left.pop()}
        while edge:
            part |= edge
            edge = {near for i in edge for near in links[i]} - without - part
        left -= part
        parts.append(part)
    return parts


def _mirrored(points: Array, one: Array, other: Array) -> Array:
    """Points across the line through two others."""
    along = (other - one) / max(float(np.linalg.norm(other - one)), 1e-9)
    arms = points - one
    return one + 2.0 * np.outer(arms @ along, along) - arms
