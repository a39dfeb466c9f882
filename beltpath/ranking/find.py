"""find_routes(layout) -> Search: every route that the belt can take, the likeliest first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from beltpath.errors import PathError, UsageError
from beltpath.layout.layout import Layout
from beltpath.layout.sentences import nearest
from beltpath.ranking.rank import Judge, RankedRoute, StudiedRoute, study_route
from beltpath.ranking.reasons import reasons
from beltpath.routing.search import MOST_WORK, FoundRoute, search_routes
from beltpath.routing.solve import may_take
from beltpath.words import counted

#: So many of the most promising routes are studied; the others are listed with their lengths only.
MOST_STUDIED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What a search for routes found: `ranked` are studied, the likeliest first.

    `others` are not studied: less promising, or out of reach for the belt in hand. `complete` is
    False when the search stopped at its limit; `work` counts its steps.
    `unreachable` names the pulleys that no span of belt can lead to and away from again.
    """

    layout: Layout
    ranked: tuple[RankedRoute, ...]
    others: tuple[FoundRoute, ...]
    complete: bool
    work: int
    unreachable: tuple[str, ...]

    def __repr__(self) -> str:
        """One line: what it is of, and how it ended."""
        return f"<Search {self.layout.title!r}: {self.summary}>"

    @property
    def found(self) -> int:
        """How many routes were found."""
        return len(self.ranked) + len(self.others)

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
        return f"{counted(self.found, 'way')} found."


def find_routes(
    layout: Layout,
    optional: Iterable[str] = (),
    *,
    most_work: int = MOST_WORK,
    most_studied: int = MOST_STUDIED,
) -> Search:
    """Find every route round the layout's pulleys, the likeliest first.

    The pulleys are those of the layout's route; all of them when it has none. Each of `optional`
    may be left out (and then stands in the way), or taken in if the route leaves it out. The search
    stops after `most_work` steps. Of the routes that the belt in hand may fit (of all, when it
    fits none or no belt is known) the `most_studied` likeliest are studied with every check.

    Raises UsageError for an optional pulley that cannot be one, or too many pulleys to search.
    """
    optional = tuple(dict.fromkeys(optional))
    _demand_optional(layout, optional)
    pulleys = [name for name in layout.route or layout.pulleys if name not in optional]
    asked, judge = (*pulleys, *optional), Judge(layout)
    result = search_routes(layout, pulleys, optional=optional, most_work=most_work)
    likely, hopeless = _sorted(layout, judge, result.found, asked)
    routes, others = _studied(layout, likely, asked, most_studied)
    routes.sort(key=judge.merits)
    return Search(
        layout=layout,
        ranked=tuple(_ranked(one, reasons(layout, judge, one, routes[0])) for one in routes),
        others=(*others, *hopeless),
        complete=result.complete,
        work=result.work,
        unreachable=result.unreachable,
    )


def _sorted(
    layout: Layout, judge: Judge, routes: Sequence[FoundRoute], asked: Sequence[str]
) -> tuple[list[FoundRoute], list[FoundRoute]]:
    """The routes that the belt in hand may fit, by promise; the others, by what they miss it by.

    When it fits none, all are taken by what they miss it by.
    """
    near: list[FoundRoute] = []
    far: list[FoundRoute] = []
    for found in routes:
        (near if may_take(layout, found) else far).append(found)
    far.sort(key=lambda found: found.misses(layout.belt.length or 0.0))
    if not near:
        return far, []
    return sorted(near, key=lambda found: judge.promise(found, asked)), far


def _studied(
    layout: Layout, routes: Sequence[FoundRoute], asked: Sequence[str], most: int
) -> tuple[list[StudiedRoute], list[FoundRoute]]:
    """Study the first `most` routes; the others, and those that cannot be solved, are left."""
    done: list[StudiedRoute] = []
    others: list[FoundRoute] = []
    for found in routes:
        if len(done) < most:
            try:
                done.append(study_route(layout, found, asked))
                continue
            except PathError:
                pass
        others.append(found)
    return done, others


def _ranked(one: StudiedRoute, reasons: tuple[str, ...]) -> RankedRoute:
    return RankedRoute(
        found=one.found, study=one.study, fit=one.fit, left_out=one.left_out, reasons=reasons
    )


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
