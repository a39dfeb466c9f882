"""find_routes(layout) -> Search: every way the belt can go, the likeliest first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from beltpath.errors import PathError, UsageError
from beltpath.layout import Layout
from beltpath.layout_problems import nearest
from beltpath.routes.candidate import Candidate, Trial, study_way
from beltpath.routes.ranking import Judge
from beltpath.routes.reasons import reasons
from beltpath.routing import MOST_WORK, Way, find_ways, may_take

#: So many of the most promising ways are studied; the others are listed with their lengths only.
MOST_STUDIED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What a search for routes found: `candidates` studied and ranked, the likeliest first.

    `others` are the ways not studied: less promising, or out of reach for the belt in hand.
    `complete` is False when the search stopped at its limit; `work` counts its steps.
    `unreachable` names the pulleys that no span of belt can lead to and away from again.
    """

    layout: Layout
    candidates: tuple[Candidate, ...]
    others: tuple[Way, ...]
    complete: bool
    work: int
    unreachable: tuple[str, ...]

    @property
    def found(self) -> int:
        """How many ways were found."""
        return len(self.candidates) + len(self.others)

    @property
    def summary(self) -> str:
        """How the search ended, in a sentence or two."""
        if not self.complete:
            return (
                f"The search stopped after {self.work} steps with {self.found} ways found; there "
                f"may be more. Say `side` for smooth pulleys, or leave pulleys out, to narrow it."
            )
        if self.unreachable:
            titles = ", ".join(self.layout.pulleys[name].title for name in self.unreachable)
            return (
                f"No belt can go round all of these pulleys: no clear span leads to and from "
                f"{titles}. Check its place, size, face and side, or call it optional."
            )
        if not self.found:
            return (
                "No belt can go round all of these pulleys without crossing itself or a rim. Check "
                "places, faces and sides, or say which pulleys are optional."
            )
        return "1 way found." if self.found == 1 else f"{self.found} ways found."


def find_routes(
    layout: Layout,
    optional: Iterable[str] = (),
    *,
    most_work: int = MOST_WORK,
    most_studied: int = MOST_STUDIED,
) -> Search:
    """Every way the belt can go round the layout's pulleys, the likeliest first.

    The pulleys are those of the layout's route; all of them when it has none. Each of `optional`
    may be left out (and then stands in the way), or taken in if the route leaves it out. The search
    stops after `most_work` steps. Of the ways that the belt in hand may fit (of all, when it fits
    none or no belt is known) the `most_studied` likeliest are studied with every check.

    Raises UsageError for an optional pulley that cannot be one, or too many pulleys to search.
    """
    optional = tuple(dict.fromkeys(optional))
    _demand_optional(layout, optional)
    pulleys = [name for name in layout.route or layout.pulleys if name not in optional]
    asked, judge = (*pulleys, *optional), Judge(layout)
    ways = find_ways(layout, pulleys, optional=optional, most_work=most_work)
    likely, hopeless = _sorted(layout, judge, ways.found, asked)
    trials, others = _studied(layout, likely, asked, most_studied)
    trials.sort(key=judge.merits)
    return Search(
        layout=layout,
        candidates=tuple(
            Candidate(**trial._asdict(), reasons=reasons(layout, judge, trial, trials[0]))
            for trial in trials
        ),
        others=(*others, *hopeless),
        complete=ways.complete,
        work=ways.work,
        unreachable=ways.unreachable,
    )


def _sorted(
    layout: Layout, judge: Judge, ways: Sequence[Way], asked: Sequence[str]
) -> tuple[list[Way], list[Way]]:
    """The ways that the belt in hand may fit, by promise; the others, by what they miss it by.

    When it fits none, all are taken by what they miss it by.
    """
    near: list[Way] = []
    far: list[Way] = []
    for way in ways:
        (near if may_take(layout, way) else far).append(way)
    far.sort(key=lambda way: _miss(way, layout.belt.length or 0.0))
    if not near:
        return far, []
    return sorted(near, key=lambda way: judge.promise(way, asked)), far


def _miss(way: Way, length: float) -> float:
    lengths = [opening.length for opening in way.openings]
    return max(min(lengths) - length, length - max(lengths), 0.0)


def _studied(
    layout: Layout, ways: Sequence[Way], asked: Sequence[str], most: int
) -> tuple[list[Trial], list[Way]]:
    """Study the first ways, so many; the others, and those that cannot be solved, are left."""
    trials: list[Trial] = []
    others: list[Way] = []
    for way in ways:
        trial = _tried(layout, way, asked) if len(trials) < most else None
        if trial is None:
            others.append(way)
        else:
            trials.append(trial)
    return trials, others


def _tried(layout: Layout, way: Way, asked: Sequence[str]) -> Trial | None:
    try:
        return study_way(layout, way, asked)
    except PathError:
        return None


def _demand_optional(layout: Layout, optional: Iterable[str]) -> None:
    for name in optional:
        pulley = layout.pulleys.get(name)
        if pulley is None:
            raise UsageError(
                f'"{name}" is not a pulley of this layout{nearest(name, layout.pulleys)}'
            )
        if pulley.role == "crank":
            raise UsageError(f'"{name}" is the crank, which drives the belt: it cannot be optional')
        if layout.tensioner is not None and name == layout.tensioner.pulley:
            raise UsageError(
                f'"{name}" carries the tensioner: it cannot be optional; to do without, take '
                f"[tensioner] out of the layout"
            )
