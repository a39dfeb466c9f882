"""The command `routes`: every way that the belt can go, ranked; written or drawn on request.

Exit status 0: a way without a fault was found that the belt fits, or, without a known belt, any
way without a fault; 1: none; 2: the call or the layout is unusable.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from beltpath.cli.options import Force, Json, Paper, Proof, card_options, load, saved, told
from beltpath.cli.terminal import DONE, FAULTY, Reply, json_text
from beltpath.errors import PathError, UsageError
from beltpath.layout.characters import inert

if TYPE_CHECKING:
    from beltpath.cards import Card, Options
    from beltpath.ranking.find import Search
    from beltpath.ranking.rank import RankedRoute

#: So many ways are drawn on a card.
MOST_DRAWN = 4


def routes(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A layout file; its route may be left out.")
    ],
    optional: Annotated[
        list[str] | None,
        typer.Option("--optional", metavar="PULLEY", help="A pulley that may be left out."),
    ] = None,
    pick: Annotated[int, typer.Option(metavar="N", help="Which of the ways --write writes.")] = 1,
    write: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write a copy of the layout with the way in it."),
    ] = None,
    card: Annotated[
        str | None,
        typer.Option("--card", metavar="CARD", help="Draw the best ways side by side."),
    ] = None,
    paper: Paper = "a4",
    proof: Proof = False,
    as_json: Json = False,
    force: Force = False,
) -> Reply:
    """Find every way that the belt can go.

    For a belt without a diagram: the ways ranked, with what tells them apart.
    """
    from beltpath.files.writing import vacant, write_whole
    from beltpath.output.routes_answer import routes_answer, write_route
    from beltpath.output.routes_text import routes_report

    options = card_options(paper, proof)
    if write is None and pick != 1:
        raise UsageError("--pick says which way --write writes; name a file with --write too")
    if write is not None and card is not None and Path(write).resolve() == Path(card).resolve():
        raise UsageError(f"{write}: is named for the layout and for the card; name two files")
    search = _searched(file, optional or ())
    chosen = _picked(search, pick, needed=write is not None)
    target = None if write is None else vacant(Path(write), force=force)
    # The card goes first: it refuses what it cannot draw before it writes, and so nothing is
    # written at all when one of the two is refused.
    notes = [] if card is None else _draw(search, Path(card), options, force)
    if target is not None and chosen is not None:
        write_whole(target, write_route(search.layout.text, chosen).encode(), force=force)
        notes.insert(0, f"{target} is written")
    if as_json:
        text = json_text(routes_answer(search))
    else:
        only = None if write is None else pick
        text = "".join(f"{inert(line)}\n" for line in (*routes_report(search, only), *notes))
    return Reply(text=text, status=DONE if any(map(_good, search.ranked)) else FAULTY)


def ways_of(search: Search, options: Options) -> Card:
    """The card of the best ways found. There must be one."""
    from beltpath.cards.found_routes import ways_card

    return ways_card(search.ranked[:MOST_DRAWN], options, summary=search.summary)


def _searched(file: str, optional: Sequence[str]) -> Search:
    from beltpath.ranking.find import find_routes

    layout = told(file, lambda: load(file))
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
