"""What Python code calls beside `read`, `study` and `card`: the same work as the commands do.

Every call refuses what it cannot use with a UsageError that says what it expects. What only one of
them needs is loaded when it is called.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from functools import cache
from numbers import Integral, Real
from typing import TYPE_CHECKING, Any

from beltpath.errors import BeltpathError, LayoutError, UsageError
from beltpath.files.reading import name_of, read_catalogue_text, read_text
from beltpath.files.writing import named
from beltpath.layout.layout import Layout
from beltpath.output.rows import Rows, rows_of, rows_under, tables
from beltpath.solve.drive import solve
from beltpath.studies import Study, studied, study

if TYPE_CHECKING:
    from beltpath.comparison import Comparison
    from beltpath.output.size_answer import Sized
    from beltpath.ranking.find import Search
    from beltpath.sizing.catalogue import Catalogue, Offer
    from beltpath.solve.monte_carlo import MonteCarlo
    from beltpath.survey import Measurement

    Result = Study | Sized | Search | Comparison | Measurement

__all__ = [
    "Rows",
    "Study",
    "answer",
    "compare",
    "measure",
    "offer",
    "read_catalogue",
    "routes",
    "rows",
    "size",
    "study",
    "study_of",
    "what_if",
]


def size(
    layout: Layout,
    designations: str | Offer | Iterable[str | Offer] = (),
    *,
    catalogue: str | os.PathLike[str] | Catalogue | None = None,
    monte_carlo: int | None = None,
) -> Sized:
    """Which lengths a drive takes, and which of these belts fit it.

    - `layout`: the drive. The length of its own belt plays no part.
    - `designations`: belts as they are called, for instance "6PK1795", or offers.
    - `catalogue`: the name of a CSV file of belts, or one that was read. Rows that cannot be used
      are skipped; `catalogue.problems` of the answer tells them.
    - `monte_carlo`: how many drives to draw as a check of the length's uncertainty; None: none.

    Returns the lengths wanted and every belt judged, the best first. Lengths in mm.
    Raises UsageError for what is no layout, designation or catalogue; PathError where no length can
    be told.
    Source: docs/theory.md and docs/sources.md; a belt is judged by the limits of docs/checks.md.
    """
    from beltpath.output.size_answer import Sized
    from beltpath.sizing.catalogue import Catalogue, Offer
    from beltpath.sizing.fit import judge, ranked, sort_out, wanted

    _require(layout, Layout, "size", "a Layout")
    given = [designations] if isinstance(designations, str | Offer) else designations
    _require(given, Iterable, "size", "designations, for instance 6PK1795")
    offers = [one if isinstance(one, Offer) else offer(one) for one in given]
    stock = catalogue
    if stock is not None and not isinstance(stock, Catalogue):
        stock = read_catalogue(stock)
    need = wanted(layout)
    shelf = None if stock is None else sort_out(need, stock.offers)
    stocked = () if shelf is None else shelf.survivors or shelf.nearest
    return Sized(
        need=need,
        named=ranked(need, (judge(need, one) for one in offers)),
        stocked=ranked(need, (judge(need, one) for one in stocked)),
        shelf=shelf,
        faults=[finding for finding in need.study.findings if finding.level == "fault"],
        sampled=None if monte_carlo is None else _sampled(need.layout, need.study, monte_carlo),
        catalogue=stock,
    )


def offer(designation: str) -> Offer:
    """The belt that a designation names.

    - `designation`: for instance "6PK1795" or "540J6".

    Returns an offer, its length in mm.
    Raises UsageError for what is no designation.
    Source: ISO 9981 for designations, see docs/sources.md.
    """
    from beltpath.layout.designation import read_designation
    from beltpath.sizing.catalogue import Offer

    _require(designation, str, "an offer", "a designation, for instance 6PK1795")
    return Offer(" ".join(designation.split()), *read_designation(designation))


def read_catalogue(path: str | os.PathLike[str]) -> Catalogue:
    """Read a catalogue of belts.

    - `path`: a CSV file in UTF-8; ``-`` is standard input.

    Returns its offers, lengths in mm, and what is wrong with the rows that had to be skipped.
    Raises UsageError when the file cannot be read or is no catalogue.
    Source: docs/parts-person.md describes the columns.
    """
    from beltpath.sizing.catalogue import parse

    _require(path, (str, os.PathLike), "a catalogue", "the name of a CSV file")
    text = read_catalogue_text(path)
    try:
        return parse(text)
    except UsageError as error:
        raise UsageError(f"{named(path)}: {error}") from error


def routes(layout: Layout, *, optional: Collection[str] = ()) -> Search:
    """Every way that the belt can go, the likeliest first.

    - `layout`: the drive. Where it has a route, the pulleys of that are gone round.
    - `optional`: names of pulleys that may be left out.

    Returns the ways; the likeliest are studied. Lengths in mm.
    Raises UsageError for what is no layout, for a pulley that cannot be optional, and for more
    pulleys than can be searched.
    Source: docs/theory.md.
    """
    from beltpath.ranking.find import find_routes

    _require(layout, Layout, "a search for routes", "a Layout")
    return find_routes(layout, optional=_names(optional, "optional"))


def measure(path_or_text: str | os.PathLike[str]) -> Measurement:
    """Where the pulleys stand, from tape readings or points clicked on a photograph.

    - `path_or_text`: the name of a file of measurements (``-`` is standard input), or its text: a
      string of more than one line.

    Returns the centres with their uncertainty, in mm; its `layout_text()` is a layout to `parse`.
    Raises LayoutError for mistakes in the file and for readings that do not determine the centres,
    UsageError when there is no such file.
    Source: docs/theory.md.
    """
    from beltpath.survey import parse, solve

    _require(path_or_text, (str, os.PathLike), "measure", "the name or the text of a file")
    if isinstance(path_or_text, str) and "\n" in path_or_text:
        return solve(parse(path_or_text))
    return solve(parse(read_text(path_or_text), name=name_of(path_or_text)))


def compare(before: Layout | Study, after: Layout | Study, *, built: bool = True) -> Comparison:
    """Two drives side by side: what differs, and what it does to belt, tensioner and speeds.

    - `before`, `after`: layouts or studies; pulleys are matched by name.
    - `built`: False where one of them is a what-if. Nothing was measured on such a drive, so the
      check `agreement` is left out of layouts.

    Returns the comparison: mm, degrees, rpm and N.
    Raises UsageError for what is neither a layout nor a study, PathError where no belt can be laid.
    Source: docs/theory.md.
    """
    from beltpath.comparison import compare as compared

    for given in (before, after):
        _require(given, (Layout, Study), "a comparison", "two layouts or studies")
    return compared(
        *(
            given if isinstance(given, Study) else study_of(given, built=built)
            for given in (before, after)
        )
    )


def study_of(layout: Layout, *, built: bool) -> Study:
    """A study of a drive, or of one that nobody has built: no tensioner of that was measured.

    - `layout`: the drive.
    - `built`: whether it exists; the check `agreement` is left out where it does not.

    Returns the study. Raises PathError where no belt can be laid. Source: as for `study`.
    """
    return study(layout) if built else studied(solve(layout), without=("agreement",))


def what_if(
    layout: Layout,
    changes: Mapping[str, object] | None = None,
    *,
    without: Collection[str] = (),
) -> Layout:
    """The layout with values changed and pulleys left out; the layout given stays as it is.

    - `layout`: the drive to start from.
    - `changes`: new values by ``PULLEY.KEY`` or ``TABLE.KEY``, for instance
      ``{"crank.diameter": 150}``; lengths in the units of the layout (mm or in), angles in degrees.
    - `without`: names of pulleys to leave out.

    Returns a new layout; its title tells what was changed, its text is that of the changed file.
    Raises LayoutError with every mistake, each at the change that brought it; UsageError for values
    that no layout file can hold.
    Source: none; nothing is computed.
    """
    from beltpath.layout.what_if import Changes, changed

    _require(layout, Layout, "a what-if", "a Layout")
    _require(changes or {}, Mapping, "a what-if", 'values by their keys: {"crank.diameter": 150}')
    values = tuple(f"{key}={_toml(key, value)}" for key, value in (changes or {}).items())
    left_out = Changes(values=values, without=_names(without, "without"))
    try:
        return changed(layout.text, left_out, name=layout.name)
    except LayoutError as error:
        # The option of the command is no place in a call from Python.
        problems = [replace(p, place=p.place.partition(" ")[2]) for p in error.problems]
        raise LayoutError(problems) from error


def answer(result: Result) -> dict[str, Any]:
    """Everything that the command's ``--json`` says.

    - `result`: what `study`, `size`, `routes`, `compare` or `measure` returned.

    Returns plain values, ready for JSON: lengths in mm, angles in degrees, speeds in rpm, forces in
    N. The schemas in docs/ tell every key.
    Raises UsageError for anything else.
    Source: none; nothing is computed.
    """
    return dict(_told(result)[0](result))


def rows(results: Result | Iterable[Result], of: str | None = None) -> Rows:
    """Flat rows of an answer, which a data frame takes as they are.

    - `results`: what `study`, `size`, `routes`, `compare` or `measure` returned: rows of its table.
      Or several of these: a row for each, without its tables.
    - `of`: which table of the answer, for instance "contacts", "spans" or "findings" of a study;
      None: contacts, candidates, or pulleys that were measured.

    Returns a list of dictionaries of plain values, all with the same keys; units as in `answer`.
    Raises UsageError for anything else, and for a table that the answer has not.
    Source: none; nothing is computed.
    """
    if isinstance(results, Iterable):
        if of is not None:
            raise UsageError("of several results there is a row each; `of` is for one result")
        return rows_of(answer(one) for one in results)
    told = answer(results)
    chosen = of if of is not None else _told(results)[1]
    if chosen not in tables(told):
        raise UsageError(
            f'the answer has no table "{chosen}"; choose one of {", ".join(tables(told))}'
        )
    return rows_under(told, chosen)


def _told(result: object) -> tuple[Callable[[Any], Mapping[str, Any]], str]:
    """What makes the answer of a result, and the table that its rows are of."""
    for kind, told in _answers().items():
        if isinstance(result, kind):
            return told
    raise UsageError(
        f"an answer is of what study, size, routes, compare or measure returned; found "
        f"{type(result).__name__}"
    )


@cache
def _answers() -> Mapping[type, tuple[Callable[[Any], Mapping[str, Any]], str]]:
    from beltpath.comparison import Comparison
    from beltpath.output.check_answer import answer
    from beltpath.output.compare_answer import comparison_answer
    from beltpath.output.routes_answer import routes_answer
    from beltpath.output.size_answer import Sized, size_answer
    from beltpath.ranking.find import Search
    from beltpath.survey import Measurement, measurement_answer

    return {
        Study: (answer, "contacts"),
        Sized: (size_answer, "candidates"),
        Search: (routes_answer, "candidates"),
        Comparison: (comparison_answer, "contacts"),
        Measurement: (measurement_answer, "pulleys"),
    }


def _sampled(layout: Layout, found: Study, rows: int) -> MonteCarlo:
    """The spread of the length by drawing; numpy's generators are loaded here only."""
    from beltpath.solve.monte_carlo import monte_carlo

    return monte_carlo(layout, found.path, rows)


def _toml(key: object, value: object) -> str:
    """A value as a layout file has it."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    _require(key, str, "a change", "a key, for instance crank.diameter")
    if isinstance(value, Integral) and not isinstance(value, bool):
        value = int(value)
    elif isinstance(value, Real) and not isinstance(value, int):
        value = float(value)
    try:
        if isinstance(value, Mapping):
            table = tomlkit.inline_table()
            table.update(value)
            return table.as_string()
        return tomlkit.item(value).as_string()
    except (TOMLKitError, ValueError) as error:
        kind = type(value).__name__
        raise UsageError(f"{key}: no layout file can hold a value of type {kind}") from error


def _names(given: Collection[str], what: str) -> tuple[str, ...]:
    """Names of pulleys. A text alone would be taken for a list of its letters."""
    listed = isinstance(given, Collection) and not isinstance(given, str)
    if not listed or not all(isinstance(name, str) for name in given):
        raise UsageError(f"`{what}` is a list of names of pulleys; found {given!r}")
    return tuple(given)


def _require(given: object, kind: Any, what: str, wanted: str) -> None:
    if not isinstance(given, kind):
        raise UsageError(f"{what} takes {wanted}; found {type(given).__name__}")


def _first_page(found: Study) -> str | None:
    """A study as a notebook shows it; None where no card can be drawn of it."""
    from beltpath.cards import card

    try:
        return card(found).svg_pages[0]
    except BeltpathError:
        return None


# The drawing stands below the studies, so it is handed up to them here.
Study.picture = _first_page
