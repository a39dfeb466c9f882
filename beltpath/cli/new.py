"""The command `new`: a commented starter layout, a sound, invented drive to change."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from beltpath.cli.options import STDIN
from beltpath.cli.terminal import Reply
from beltpath.data.tables import read_data
from beltpath.files.writing import vacant, write_whole
from beltpath.layout.characters import inert
from beltpath.layout.keys import Units

_OTHERWISE = "choose another name"


def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The layout file to write.")],
    units: Annotated[Units, typer.Option(help="The unit of its lengths.")] = "mm",
) -> Reply:
    """Write a commented starter layout.

    Never over a file that exists; - shows it instead.
    """
    text = starter(units)
    if file == STDIN:
        return Reply(text=text)
    target = vacant(Path(file), force=False, otherwise=_OTHERWISE)
    write_whole(target, text.encode(), otherwise=_OTHERWISE)
    name = inert(file)
    told = f"{name} is written. Change its numbers to yours, then: beltpath check"
    return Reply(text=f"{told} {shlex.quote(name)}\n")


def starter(units: Units = "mm") -> str:
    """The text of a starter layout whose lengths are in `units`."""
    return read_data(f"starter-{units}.toml")
