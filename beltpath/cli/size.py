"""The command `size`: which belt fits.

Exit status 0: some belt can be fitted (or none was named); 1: none can, or the layout has a fault;
2: the call, the layout, a designation or the catalogue is unusable, rows of it included, in which
case the rest is answered all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from beltpath.cli.options import Json, With, Without, called, load, once, told
from beltpath.cli.terminal import DONE, FAULTY, UNABLE, Reply, fold_width, json_text
from beltpath.errors import UsageError
from beltpath.layout.characters import inert

if TYPE_CHECKING:
    from beltpath.output.size_answer import Sized
    from beltpath.sizing.catalogue import Catalogue, Offer


def size(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A layout file, or a card that carries one.")
    ],
    designations: Annotated[
        list[str] | None,
        typer.Argument(metavar="[DESIGNATION]...", help="Belts to judge: 6PK1795, 540J6 ..."),
    ] = None,
    catalogue: Annotated[
        str | None, typer.Option(metavar="CSV", help="A catalogue of belts to choose from.")
    ] = None,
    as_json: Json = False,
    monte_carlo: Annotated[
        int | None,
        typer.Option(metavar="N", help="Check the length's uncertainty by drawing N drives."),
    ] = None,
    changed: With = None,
    without: Without = None,
) -> Reply:
    """Tell which belt fits.

    The length needed with its uncertainty, the range to buy from, and every belt judged.
    """
    from beltpath.library import read_catalogue
    from beltpath.library import size as sizing
    from beltpath.output.size_answer import size_answer
    from beltpath.output.size_text import size_report

    once(file, catalogue)
    layout = told(file, lambda: load(file, changed, without))
    offers, problems = _named(designations or ())
    if problems:
        return Reply(problems=problems, status=UNABLE)
    stock = None if catalogue is None else read_catalogue(catalogue)
    sized = told(file, lambda: sizing(layout, offers, catalogue=stock, monte_carlo=monte_carlo))
    unread = () if stock is None else _problems(inert(called(catalogue or "")), stock)
    text = json_text(size_answer(sized)) if as_json else size_report(sized, width=fold_width())
    return Reply(text=text, problems=unread, status=_status(sized, unread))


def _named(designations: Sequence[str]) -> tuple[list[Offer], tuple[str, ...]]:
    """The belts named in the call, and every one that cannot be read."""
    from beltpath.library import offer

    offers: list[Offer] = []
    problems: list[str] = []
    for text in designations:
        try:
            offers.append(offer(text))
        except UsageError as error:
            problems.append(inert(str(error)))
    return offers, tuple(problems)


def _problems(name: str, stock: Catalogue) -> tuple[str, ...]:
    """The rows of a catalogue that cannot be used."""
    lines = [f"{name}: {problem}" for problem in stock.problems]
    more = stock.skipped - len(lines)
    if more > 0:
        lines.append(f"{name}: {more} more rows cannot be used")
    if lines:
        lines.append(f"{name}: {len(stock.offers)} rows are used, the others are skipped")
    return tuple(map(inert, lines))


def _status(sized: Sized, unread: Sequence[str]) -> int:
    if unread:
        return UNABLE
    none = sized.best is None and (sized.shelf is not None or bool(sized.named))
    return FAULTY if none or sized.faults else DONE
