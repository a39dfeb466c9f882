"""The command `size`: reads layout and catalogue, judges, answers.

Exit status 0: some belt can be fitted (or none was named); 1: none can, or the layout has a fault;
2: the call, the layout, a designation or the catalogue is unusable, rows of it included, in which
case the rest is answered all the same.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from beltpath.cli.options import told
from beltpath.cli.terminal import Reply, fold_width
from beltpath.data.designation import read_designation
from beltpath.errors import UsageError
from beltpath.files.reading import read, read_catalogue_text
from beltpath.layout.characters import inert
from beltpath.layout.layout import Layout
from beltpath.output.size_answer import Sized, size_answer
from beltpath.output.size_text import size_report
from beltpath.sizing.catalogue import Catalogue, Offer, parse
from beltpath.sizing.fit import Judged, Shelf, Wanted, judge, ranked, sort_out, wanted

if TYPE_CHECKING:
    from beltpath.solve.monte_carlo import MonteCarlo

_STDIN = "-"


def size(
    file: str,
    designations: Sequence[str],
    *,
    catalogue: str | None = None,
    as_json: bool = False,
    monte_carlo: int | None = None,
    read: Callable[[str], Layout] = read,
) -> Reply:
    """Carry out ``size`` and return what it has to say; `read` gives the layout of a file."""
    if file == _STDIN == catalogue:
        raise UsageError("- is named twice, but standard input can be read once only")
    layout = told(file, lambda: read(file))
    offers, problems = _named(designations)
    if problems:
        return Reply(problems=problems, status=2)
    shelved = None if catalogue is None else _catalogue(catalogue)
    sized = told(file, lambda: _sized(layout, offers, shelved, monte_carlo))
    unread = () if shelved is None else _problems(_called(catalogue or ""), shelved)
    if as_json:
        text = json.dumps(size_answer(sized), indent=2, allow_nan=False) + "\n"
    else:
        text = size_report(sized, width=fold_width())
    return Reply(text=text, problems=unread, status=_status(sized, unread))


def _named(designations: Sequence[str]) -> tuple[list[Offer], tuple[str, ...]]:
    """The belts named in the call, and every one that cannot be read."""
    offers: list[Offer] = []
    problems: list[str] = []
    for text in designations:
        try:
            offers.append(Offer(" ".join(text.split()), *read_designation(text)))
        except UsageError as error:
            problems.append(inert(str(error)))
    return offers, tuple(problems)


def _catalogue(path: str) -> Catalogue:
    text = read_catalogue_text(path)
    try:
        return parse(text)
    except UsageError as error:
        raise UsageError(f"{_called(path)}: {error}") from error


def _sized(
    layout: Layout, offers: Sequence[Offer], shelved: Catalogue | None, rows: int | None
) -> Sized:
    need = wanted(layout)
    shelf = None if shelved is None else sort_out(need, shelved.offers)
    return Sized(
        need=need,
        named=ranked(need, (judge(need, offer) for offer in offers)),
        stocked=_stocked(need, shelf),
        shelf=shelf,
        faults=[f for f in need.study.findings if f.level == "fault"],
        sampled=None if rows is None else _monte_carlo(need, rows),
    )


def _stocked(need: Wanted, shelf: Shelf | None) -> list[Judged]:
    """The belts of a catalogue that may fit; where there are none, the nearest ones."""
    if shelf is None:
        return []
    return ranked(need, (judge(need, offer) for offer in shelf.survivors or shelf.nearest))


def _monte_carlo(need: Wanted, rows: int) -> MonteCarlo:
    """The spread of the length by drawing; numpy is loaded here only."""
    try:
        module = import_module("beltpath.solve.monte_carlo")
    except ImportError as error:
        raise UsageError("--monte-carlo is not part of this version of beltpath") from error
    drawn: MonteCarlo = module.monte_carlo(need.layout, need.study.path, rows)
    return drawn


def _problems(name: str, shelved: Catalogue) -> tuple[str, ...]:
    told = [f"{name}: {problem}" for problem in shelved.problems]
    more = shelved.skipped - len(told)
    if more > 0:
        told.append(f"{name}: {more} more rows cannot be used")
    if told:
        told.append(f"{name}: {len(shelved.offers)} rows are used, the others are skipped")
    return tuple(inert(line) for line in told)


def _status(sized: Sized, problems: Sequence[str]) -> int:
    if problems:
        return 2
    none = sized.best is None and (sized.shelf is not None or bool(sized.named))
    return 1 if none or sized.faults else 0


def _called(path: str) -> str:
    return "standard input" if path == _STDIN else inert(path)
