"""What `routes` says in words. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from beltpath.layout.keys import Side
from beltpath.layout.layout import Layout
from beltpath.ranking.find import Search
from beltpath.words import MAKER_FIRST

#: So many of the ways not studied are told.
MOST_LISTED = 12


def routes_report(search: Search, only: int | None) -> Iterator[str]:
    """What `routes` says, a line each; of one way alone, where that one is asked for."""
    layout = search.layout
    yield layout.title
    yield search.summary
    for number, route in enumerate(search.ranked, start=1):
        if only in (None, number):
            yield ""
            yield f"{number}  {_order(layout, route.route)}"
            yield f"   on the belt's back: {_on_back(layout, route.route, route.sides)}"
            yield from (f"   {reason}" for reason in route.reasons)
    if search.others and only is None:
        yield ""
        yield from _others(search)
    yield ""
    yield (
        "This is geometry only: it tells which ways are possible, not what the maker meant. "
        f"{MAKER_FIRST}"
    )


def _others(search: Search) -> Iterator[str]:
    """The ways that are not studied, each with the belts it takes."""
    many = f"{len(search.others)} more ways are" if len(search.others) > 1 else "1 more way is"
    yield f"{many} possible and not studied:"
    for found in search.others[:MOST_LISTED]:
        shortest, longest = found.span_of_lengths
        takes = f"{shortest:.0f} to {longest:.0f} mm"
        back = _on_back(search.layout, found.route, found.sides)
        yield f"   {_order(search.layout, found.route)}; on the back: {back}; takes {takes}"
    if len(search.others) > MOST_LISTED:
        yield f"   and {len(search.others) - MOST_LISTED} more; --json lists them all"


def _order(layout: Layout, route: Sequence[str]) -> str:
    return " > ".join(layout.pulleys[name].title for name in route)


def _on_back(layout: Layout, route: Sequence[str], sides: Sequence[Side]) -> str:
    both = zip(route, sides, strict=True)
    titles = [layout.pulleys[name].title for name, side in both if side == "back"]
    return ", ".join(titles) or "none"
