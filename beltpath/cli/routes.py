"""The command `routes`: every way that the belt can go, ranked; written or drawn on request.

Exit status 0: a way without a fault was found that the belt fits, or, without a known belt, any
way without a fault; 1: none; 2: the call or the layout is unusable.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from beltpath.cards import Card, Options
from beltpath.cards.found_routes import ways_card
from beltpath.cli.options import saved, told
from beltpath.cli.terminal import Reply
from beltpath.errors import PathError, UsageError
from beltpath.files.reading import read
from beltpath.files.writing import vacant, write_whole
from beltpath.layout.characters import inert
from beltpath.layout.keys import Side
from beltpath.layout.layout import Layout
from beltpath.ranking.answer import routes_answer, write_route
from beltpath.ranking.find import Search, find_routes
from beltpath.ranking.rank import RankedRoute

#: So many ways are drawn on a card, and so many of those not studied are told.
MOST_DRAWN, MOST_LISTED = 4, 12


def routes(
    file: str,
    *,
    optional: Sequence[str] = (),
    pick: int = 1,
    write: str | None = None,
    card: str | None = None,
    options: Options,
    as_json: bool = False,
    force: bool = False,
) -> Reply:
    """Carry out ``routes`` and return what it has to say."""
    if write is None and pick != 1:
        raise UsageError("--pick says which way --write writes; name a file with --write too")
    if write is not None and card is not None and Path(write).resolve() == Path(card).resolve():
        raise UsageError(f"{write}: is named for the layout and for the card; name two files")
    search = _searched(file, told(file, lambda: read(file)), optional)
    chosen = _picked(search, pick, needed=write is not None)
    target = None if write is None else vacant(Path(write), force=force)
    # The card goes first: it refuses what it cannot draw before it writes, and so nothing is
    # written at all when one of the two is refused.
    notes = [] if card is None else _draw(search, Path(card), options, force)
    if target is not None and chosen is not None:
        write_whole(target, write_route(search.layout.text, chosen).encode(), force=force)
        notes.insert(0, f"{target} is written")
    if as_json:
        text = json.dumps(routes_answer(search), indent=2, allow_nan=False) + "\n"
    else:
        only = None if write is None else pick
        text = "".join(f"{inert(line)}\n" for line in (*_words(search, only), *notes))
    return Reply(text=text, status=0 if any(map(_good, search.ranked)) else 1)


def _searched(file: str, layout: Layout, optional: Sequence[str]) -> Search:
    try:
        return find_routes(layout, optional=optional)
    except (PathError, UsageError) as error:
        raise UsageError(f"{file}: {error}") from error


def _good(route: RankedRoute) -> bool:
    return route.verdict != "fail" and route.fit.fits is not False


def _picked(search: Search, pick: int, *, needed: bool) -> RankedRoute | None:
    if 1 <= pick <= len(search.ranked):
        return search.ranked[pick - 1]
    if needed:
        raise UsageError(f"there is no way {pick} to write; {len(search.ranked)} ways are studied")
    return None


def _draw(search: Search, target: Path, options: Options, force: bool) -> list[str]:
    if not search.ranked:
        return [f"{target} is not written, for there is no way to draw"]
    return saved(ways_of(search, options), target, force=force)


def ways_of(search: Search, options: Options) -> Card:
    """The card of the best ways found. There must be one."""
    return ways_card(search.ranked[:MOST_DRAWN], options, summary=search.summary)


def _words(search: Search, only: int | None) -> Iterator[str]:
    """The answer in words; of one way alone, where that one is asked for."""
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
        "The maker's service information comes first."
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
