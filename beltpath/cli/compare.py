"""The command ``compare``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from beltpath.cli.options import STDIN, Force, Json, With, Without, load, parse_paper, saved, told
from beltpath.cli.terminal import Reply, fold_width
from beltpath.errors import UsageError
from beltpath.files.reading import name_of, read_text
from beltpath.layout.characters import inert
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.solve.drive import solve
from beltpath.studies import Study, studied, study

if TYPE_CHECKING:
    from beltpath.comparison import Comparison

T = TypeVar("T")


def compare(
    before: Annotated[
        str, typer.Argument(metavar="BEFORE", help="A layout file, or a card that carries one.")
    ],
    after: Annotated[
        str | None,
        typer.Argument(
            metavar="[AFTER]",
            help="The layout after. Without it, BEFORE is compared with its changed self.",
        ),
    ] = None,
    changed: With = None,
    without: Without = None,
    as_json: Json = False,
    out: Annotated[
        str | None,
        typer.Option(
            "--card", metavar="CARD", help="Write a card of two drawings: .svg, .pdf or .png."
        ),
    ] = None,
    paper: Annotated[
        str, typer.Option(metavar="NAME", help="The card's: a4, a5, a6, letter or half-letter.")
    ] = "a4",
    landscape: Annotated[
        bool, typer.Option("--landscape", help="Hold the card wider than high.")
    ] = False,
    proof: Annotated[
        bool, typer.Option("--proof", help="The card in black and white, no colour at all.")
    ] = False,
    force: Force = False,
) -> Reply:
    """Compare two layouts: what changed, and what it does to belt, tensioner and speeds.

    With --with and --without: the changes are made to AFTER, or to BEFORE where that is alone.
    The exit status is that of the layout after.
    """
    from beltpath.comparison import compare as comparing
    from beltpath.output.compare_answer import comparison_answer
    from beltpath.output.compare_text import comparison_report

    if after is None and not changed and not without:
        raise UsageError(
            f"{inert(before)}: name a second layout to compare it with, or a change (--with, "
            f"--without)"
        )
    comparison = comparing(*_both(before, after, changed, without))
    notes = [] if out is None else _carded(comparison, Path(out), paper, landscape, proof, force)
    if as_json:
        text = json.dumps(comparison_answer(comparison), indent=2, allow_nan=False) + "\n"
    else:
        text = comparison_report(comparison, width=fold_width())
        text += "".join(f"\n{line}\n" for line in notes)
    return Reply(text=text, status=int(comparison.verdict.after == "fail"))


def _both(before: str, after: str | None, changed: With, without: Without) -> tuple[Study, Study]:
    """The two studies. Standard input is read once."""
    if before == after == STDIN:
        raise UsageError("- is named twice, but standard input can be read once only")
    if after is not None:
        return _studied(before), _studied(after, changed, without)
    from beltpath.layout.what_if import Changes
    from beltpath.layout.what_if import changed as make_changes

    text, name = told(before, lambda: read_text(before)), name_of(before)
    changes = Changes(values=tuple(changed or ()), without=tuple(without or ()))
    one = told(before, lambda: _supposed(parse(text, name=name)))
    return one, told(before, lambda: _supposed(make_changes(text, changes, name=name)))


def _supposed(layout: Layout) -> Study:
    """A drive to compare with one that nobody has built: no tensioner of that was measured."""
    return studied(solve(layout), without=("agreement",))


def _studied(file: str, changed: With = None, without: Without = None) -> Study:
    return told(file, lambda: study(load(file, changed, without)))


def _carded(
    comparison: Comparison, path: Path, paper: str, landscape: bool, proof: bool, force: bool
) -> list[str]:
    """Write the card, and say so."""
    from beltpath.cards import Options
    from beltpath.cards.comparison import comparison_card

    options = Options(
        paper=parse_paper(paper), landscape=landscape, ink="black" if proof else "colour"
    )
    return saved(comparison_card(comparison, options), path, force=force)
