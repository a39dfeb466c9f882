"""What several commands share: options, reading with changes, writing a card."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from beltpath.errors import ExportError, LayoutError, PathError, UsageError
from beltpath.files.reading import read
from beltpath.layout.characters import inert
from beltpath.layout.layout import Layout

if TYPE_CHECKING:
    from beltpath.cards import Card
    from beltpath.cards.paper import PaperName

STDIN = "-"
T = TypeVar("T")

Json = Annotated[bool, typer.Option("--json", help="Answer in JSON, for other programs.")]
Force = Annotated[bool, typer.Option("--force", help="Write over files that exist.")]
With = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        metavar="PULLEY.KEY=VALUE",
        help="What if: change a value, e.g. crank.diameter=140 or belt.length=1790. May be "
        "repeated. In the file's units; the file itself stays as it is.",
    ),
]
Without = Annotated[
    list[str] | None,
    typer.Option(
        "--without", metavar="PULLEY", help="What if: leave a pulley out. May be repeated."
    ),
]


def load(file: str, changed: With = None, without: Without = None) -> Layout:
    """Read a layout with the changes of ``--with`` and ``--without`` made to it.

    Raises as `files.read` does; a mistake in a change is told at that option.
    """
    if not changed and not without:
        return read(file)
    # Loads an editor of TOML, which a plain read does without.
    from beltpath.files.reading import read_changed
    from beltpath.layout.what_if import Changes

    return read_changed(file, Changes(values=tuple(changed or ()), without=tuple(without or ())))


def told(file: str, act: Callable[[], T]) -> T:
    """Do something with a file; what goes wrong is told with its name, a sentence each.

    Raises UsageError.
    """
    name = "standard input" if file == STDIN else file
    try:
        return act()
    except LayoutError as error:
        raise UsageError("\n".join(inert(f"{name}: {p}") for p in error.problems)) from error
    except PathError as error:
        raise UsageError(inert(f"{name}: {error}")) from error


def parse_paper(text: str) -> PaperName:
    """The paper of that name, whatever its case."""
    from beltpath.cards.paper import PAPER_NAMES

    for name in PAPER_NAMES:
        if name == text.lower():
            return name
    raise UsageError(f'no paper is called "{text}"; choose one of {", ".join(PAPER_NAMES)}')


def saved(drawn: Card, path: Path, *, force: bool) -> list[str]:
    """Write the card and tell what was written, a line a file.

    Where cairo is missing, the SVG is written beside it, and an ExportError says so.
    """
    try:
        return _told_of(drawn.save(path, force=force))
    except ExportError as error:
        sentence = f"{path}: {error}"
        try:
            instead = drawn.save(path.with_suffix(".svg"), force=force)
        except UsageError as other:
            raise ExportError(f"{sentence}\n{other}") from error
        raise ExportError("\n".join([sentence, *_told_of(instead, " instead")])) from error


def _told_of(written: Sequence[Path], how: str = "") -> list[str]:
    """The files written, and the pages of an earlier card that stand behind them."""
    from beltpath.cards.document import left_over

    lines = [f"{path} is written{how}" for path in written]
    lines += [
        f"{path} is no page of this card but stands there from an earlier one; look, and delete it"
        for path in left_over(written)
    ]
    return [inert(line) for line in lines]
