"""Mirror solutions: other positions of the centres that the same readings allow.

Distances cannot tell a target from its mirror image across the line through the positions it was
measured from. Mirror images of single targets, of parts and of the whole are tried in turn, each
followed to its own least squares solution. Those that fit nearly as well are rivals. Relations in
the file ("the pump lies above the crank") choose between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import cos, radians

import numpy as np

from beltpath.measure.adjust import Adjusted, fit
from beltpath.measure.start import in_datum, upright
from beltpath.measure.survey import Survey
from beltpath.measure.views import Array
from beltpath.toml_lines import dotted

#: An image is a rival unless its chi-square is worse by more than this (1 in 10 000 by chance).
CLEARLY_WORSE = 15.0
#: Arrangements that differ by less than this (mm) are the same.
SAME = 0.5
#: A target can only flip across a line that passes all places it was measured from this near (mm).
NEARLY_ON = 60.0
#: So many arrangements are searched for images of their own.
MOST_SEARCHED = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """One arrangement that fits the readings, and what the file says of places that it breaks."""

    adjusted: Adjusted
    broken: tuple[str, ...]

    def moved(self, other: Solution) -> tuple[int, ...]:
        """Targets that lie elsewhere in the other arrangement, the farthest first."""
        return _moved(self.adjusted.centres, other.adjusted.centres)

    def mirrors(self, other: Solution) -> bool:
        """Whether the other arrangement is this one's mirror image as a whole."""
        centres = self.adjusted.centres
        image = _mirrored(centres, *_level(self.adjusted))
        return not _moved(image, other.adjusted.centres)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Choice:
    """The arrangement that breaks least of what the file says, and others that break no more."""

    best: Solution
    rivals: tuple[Solution, ...]


def choose(adjusted: Adjusted, guesses: Sequence[Array]) -> Choice:
    """The arrangement of the kept readings that suits what the file says of places.

    `guesses` are starts from which other arrangements may be reached, beside the images.
    """
    found = [_solution(adjusted)]
    _add(found, _followed(adjusted, guesses))
    searched: set[int] = set()
    while len(searched) < MOST_SEARCHED and len(searched) < len(found):
        here = min(set(range(len(found))) - searched, key=lambda i: _rank(found[i]))
        searched.add(here)
        _add(found, _followed(adjusted, mirror_starts(found[here].adjusted)))
        if not found[here].broken:
            break
    best = min(found, key=_rank)
    return Choice(
        best=best,
        rivals=tuple(
            one for one in found if one is not best and len(one.broken) <= len(best.broken)
        ),
    )


def _rank(one: Solution) -> tuple[int, float]:
    return len(one.broken), one.adjusted.chi_square


def _add(found: list[Solution], more: Iterator[Solution]) -> None:
    for one in more:
        if all(one.moved(other) for other in found):
            found.append(one)


def _moved(here: Array, there: Array) -> tuple[int, ...]:
    apart = np.linalg.norm(here - there, axis=1)
    return tuple(int(i) for i in np.argsort(-apart, kind="stable") if apart[i] > SAME)


def broken(survey: Survey, centres: Array) -> tuple[str, ...]:
    """Key paths of what the file says of places that these centres break."""
    at = {name: (float(x), float(y)) for name, (x, y) in zip(survey.targets, centres, strict=True)}
    paths = [
        dotted((table_of(survey, placing.name), placing.name, placing.relation))
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


def tells_its_mirror(adjusted: Adjusted) -> bool:
    """Whether the file says anything of places that the mirror image would break."""
    mirrored = _mirrored(adjusted.centres, *_level(adjusted))
    return bool(broken(adjusted.equations.survey, mirrored))


def table_of(survey: Survey, name: str) -> str:
    """The table of the file that a target stands in."""
    return "pulleys" if name in survey.layout.pulleys else "points"


def _solution(adjusted: Adjusted) -> Solution:
    survey = adjusted.equations.survey
    return Solution(adjusted=adjusted, broken=broken(survey, adjusted.centres))


def _followed(adjusted: Adjusted, starts: Iterable[Array]) -> Iterator[Solution]:
    """Where starts lead, if what is reached fits the kept readings nearly as well."""
    for start in starts:
        reached = fit(adjusted.equations, start, keep=adjusted.keep)
        end = replace(adjusted, p=upright(adjusted.equations, reached))
        if end.chi_square < adjusted.chi_square + CLEARLY_WORSE:
            yield _solution(end)


def mirror_starts(adjusted: Adjusted) -> Iterator[Array]:
    """Starts: one arrangement with parts of it mirrored across lines through places in it."""
    equations = adjusted.equations
    u = equations.unpack(adjusted.p)
    for part, (one, other) in _hinges(adjusted):
        centres = u.centres.copy()
        centres[list(part)] = _mirrored(centres[list(part)], one, other)
        yield equations.pack(
            in_datum(equations, u._replace(centres=centres), equations.view.front(u.view))
        )


def _level(adjusted: Adjusted) -> tuple[Array, Array]:
    """The two ends of the level line."""
    equations = adjusted.equations
    level = equations.survey.level
    start, end = (adjusted.centres[equations.index(name)] for name in (level.start, level.end))
    return start, end


def _hinges(adjusted: Adjusted) -> Iterator[tuple[tuple[int, ...], tuple[Array, Array]]]:
    """Sets of targets to be mirrored, each with two points of the line to mirror them across."""
    equations = adjusted.equations
    centres = adjusted.centres
    links = _links(adjusted)
    held = set(equations.clicked.tolist())
    if not held:
        yield tuple(range(len(centres))), _level(adjusted)
    for target in set(range(len(centres))) - held:
        partners = sorted(links[target])
        for one, other in combinations(partners, 2):
            line = (centres[one], centres[other])
            if _widest(centres[partners], *line) < NEARLY_ON:
                yield (target,), line
    for one, other in combinations(range(len(centres)), 2):
        parts = _parts(links, {one, other})
        for part in parts:
            if len(part) > 1 and len(parts) > 1 and not part & held:
                yield tuple(sorted(part)), (centres[one], centres[other])


def _links(adjusted: Adjusted) -> dict[int, set[int]]:
    """Which targets a reading joins; those on the photograph are all joined by it."""
    equations = adjusted.equations
    links: dict[int, set[int]] = {i: set() for i in range(len(equations.targets))}
    tapes = equations.ends[adjusted.keep[: len(equations.ends)]].tolist()
    clicked = sorted(set(equations.clicked.tolist()))
    for one, other in [*tapes, *combinations(clicked, 2)]:
        links[one].add(other)
        links[other].add(one)
    return links


def _parts(links: dict[int, set[int]], without: set[int]) -> list[set[int]]:
    """The parts into which the net falls when some targets are taken out."""
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


def _widest(points: Array, one: Array, other: Array) -> float:
    """How far the farthest of some points lies from the line through two."""
    return float(np.linalg.norm(_mirrored(points, one, other) - points, axis=1).max()) / 2.0


def _mirrored(points: Array, one: Array, other: Array) -> Array:
    """Points across the line through two others."""
    along = (other - one) / max(float(np.linalg.norm(other - one)), 1e-9)
    arms = points - one
    images: Array = one + 2.0 * np.outer(arms @ along, along) - arms
    return images
