"""The command `routes`: every way that the belt can go, ranked; written or drawn on request.

Exit status 0: a way without a fault was found that the belt fits, or, without a known belt, any
way without a fault; 1: none; 2: the call or the layout is unusable.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from beltpath.cards import Card, Options
from beltpath.cards.ways import ways_card
from beltpath.cli.options import saved, told
from beltpath.cli.terminal import Reply
from beltpath.errors import PathError, UsageError
from beltpath.files.reading import read
from beltpath.files.writing import vacant, write_whole
from beltpath.layout.characters import inert
from beltpath.layout.layout import Layout
from beltpath.output.routes_answer import routes_answer, write_route
from beltpath.output.routes_text import routes_report
from beltpath.ranking.find import Search, find_routes
from beltpath.ranking.rank import RankedRoute

#: So many ways are drawn on a card.
MOST_DRAWN = 4


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
        text = "".join(f"{inert(line)}\n" for line in (*routes_report(search, only), *notes))
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
