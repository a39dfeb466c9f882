"""The command `routes`: every way that the belt can go, ranked; written or drawn on request.

Exit status 0: a way without a fault was found that the belt fits, or, without a known belt, any
way without a fault; 1: none; 2: the call or the layout is unusable.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from beltpath.card import Options
from beltpath.card.export import save
from beltpath.card.ways import Way, ways_card
from beltpath.errors import LayoutError, PathError, UsageError
from beltpath.files import read, write_whole
from beltpath.layout import Layout
from beltpath.routes import Candidate, Search, find_routes, routes_answer, write_route
from beltpath.terminal import Reply, inert

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
    layout = _layout(file)
    try:
        search = find_routes(layout, optional=optional)
    except (PathError, UsageError) as error:
        raise UsageError(f"{file}: {error}") from error
    chosen = _picked(search, pick, needed=write is not None)
    target = None if write is None else _free(Path(write), force)
    # The card goes first: it refuses what it cannot draw before it writes, and so nothing is
    # written at all when one of the two is refused.
    notes = [] if card is None else _draw(search, Path(card), options, force)
    if target is not None and chosen is not None:
        write_whole(target, write_route(layout.text, chosen).encode())
        notes.insert(0, f"{target} is written")
    if as_json:
        text = json.dumps(routes_answer(search), indent=2, allow_nan=False) + "\n"
    else:
        text = "".join(f"{inert(line)}\n" for line in (*_words(layout, search), *notes))
    return Reply(text=text, status=0 if any(map(_good, search.candidates)) else 1)


def _layout(file: str) -> Layout:
    try:
        return read(file)
    except LayoutError as error:
        told = (inert(f"{file}: {problem}") for problem in error.problems)
        raise UsageError("\n".join(told)) from error


def _good(candidate: Candidate) -> bool:
    return candidate.verdict != "fail" and candidate.fit.fits is not False


def _picked(search: Search, pick: int, *, needed: bool) -> Candidate | None:
    if 1 <= pick <= len(search.candidates):
        return search.candidates[pick - 1]
    if needed:
        raise UsageError(
            f"there is no way {pick} to write; {len(search.candidates)} ways are studied"
        )
    return None


def _free(target: Path, force: bool) -> Path:
    """The target, if it may be written to."""
    if target.exists() and not force:
        raise UsageError(f"{target}: exists already; say --force to write over it")
    return target


def _draw(search: Search, target: Path, options: Options, force: bool) -> list[str]:
    if not search.candidates:
        return [f"{target} is not written, for there is no way to draw"]
    ways = [Way(study=c.study, reasons=c.reasons) for c in search.candidates[:MOST_DRAWN]]
    written = save(ways_card(ways, options, summary=search.summary), target, force=force)
    return [f"{path} is written" for path in written]


def _words(layout: Layout, search: Search) -> Iterator[str]:
    yield layout.title
    yield search.summary
    for number, candidate in enumerate(search.candidates, start=1):
        yield ""
        titles = [layout.pulleys[name].title for name in candidate.route]
        yield f"{number}  {' > '.join(titles)}"
        on_back = [
            layout.pulleys[name].title
            for name, side in zip(candidate.route, candidate.sides, strict=True)
            if side == "back"
        ]
        yield f"   on the belt's back: {', '.join(on_back) or 'none'}"
        yield from (f"   {reason}" for reason in candidate.reasons)
    if search.others:
        yield ""
        yield f"{len(search.others)} more ways are possible and not studied:"
        for way in search.others[:12]:
            yield f"   {' > '.join(layout.pulleys[name].title for name in way.route)}"
    yield ""
    yield (
        "This is geometry only: it tells which ways are possible, not what the maker meant. "
        "The maker's service information comes first."
    )
