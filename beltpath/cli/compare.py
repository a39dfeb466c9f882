"""The command `compare`: two layouts side by side, or one and its changed self."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from beltpath.cli.options import (
    Force,
    Json,
    Landscape,
    Paper,
    Proof,
    With,
    Without,
    card_options,
    load,
    once,
    saved,
    told,
)
from beltpath.cli.terminal import DONE, FAULTY, Reply, fold_width, json_text
from beltpath.errors import UsageError
from beltpath.layout.characters import inert

if TYPE_CHECKING:
    from beltpath.studies import Study


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
    paper: Paper = "a4",
    landscape: Landscape = False,
    proof: Proof = False,
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
    once(before, after)
    if after is None:
        studies = _supposed(before, changed, without)
    else:
        studies = (_studied(before), _studied(after, changed, without))
    comparison = comparing(*studies)
    notes = []
    if out is not None:
        from beltpath.cards.comparison import comparison_card

        options = card_options(paper, proof, landscape=landscape)
        notes = saved(comparison_card(comparison, options), Path(out), force=force)
    if as_json:
        text = json_text(comparison_answer(comparison))
    else:
        text = comparison_report(comparison, width=fold_width())
        text += "".join(f"\n{line}\n" for line in notes)
    return Reply(text=text, status=FAULTY if comparison.verdict.after == "fail" else DONE)


def _studied(file: str, changed: With = None, without: Without = None) -> Study:
    from beltpath.studies import study

    return told(file, lambda: study(load(file, changed, without)))


def _supposed(file: str, changed: With, without: Without) -> tuple[Study, Study]:
    """A drive, and the same changed as nobody has built it. Standard input is read once."""
    from beltpath.files.reading import name_of, read_text
    from beltpath.layout.reader import parse
    from beltpath.layout.what_if import Changes
    from beltpath.layout.what_if import changed as make_changes
    from beltpath.library import study_of

    text, name = told(file, lambda: read_text(file)), name_of(file)
    changes = Changes(values=tuple(changed or ()), without=tuple(without or ()))
    before = told(file, lambda: study_of(parse(text, name=name), built=False))
    after = told(file, lambda: study_of(make_changes(text, changes, name=name), built=False))
    return before, after
