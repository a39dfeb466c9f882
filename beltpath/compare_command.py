"""The options of a what-if, for every command that reads layouts, and the command ``compare``."""

from __future__ import annotations

from typing import Annotated

import typer

from beltpath.files import read
from beltpath.layout import Layout

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
    from beltpath.whatif import Changes, read_changed

    return read_changed(file, Changes(values=tuple(changed or ()), without=tuple(without or ())))
