"""The command `card`: draws the routing cards of layouts."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import Annotated

import typer

from beltpath.cli.check import judged_files, problems_of, status_of
from beltpath.cli.options import (
    Files,
    Force,
    Landscape,
    Paper,
    Proof,
    With,
    Without,
    card_options,
    saved,
)
from beltpath.cli.terminal import UNABLE, Reply
from beltpath.errors import UsageError
from beltpath.layout.characters import inert


def card(
    files: Files,
    out: Annotated[
        str,
        typer.Option("--out", "-o", metavar="CARD", help="The card to write: .svg, .pdf or .png."),
    ],
    paper: Paper = "a5",
    landscape: Landscape = False,
    view: Annotated[
        str,
        typer.Option(
            metavar="VIEW",
            help="front; mirrored (from behind); turned:DEGREES (counterclockwise); or "
            "mirrored,turned:DEGREES.",
        ),
    ] = "front",
    true_scale: Annotated[
        bool, typer.Option("--true-scale", help="Add sheets that are drawn at 1:1.")
    ] = False,
    steps: Annotated[bool, typer.Option("--steps", help="Add a small picture for each step.")] = (
        False
    ),
    hub_loads: Annotated[
        bool, typer.Option("--hub-loads", help="Add a page of hub loads, where forces are known.")
    ] = False,
    code: Annotated[bool, typer.Option("--code", help="Add the layout as a QR code.")] = False,
    proof: Proof = False,
    force: Force = False,
    changed: With = None,
    without: Without = None,
) -> Reply:
    """Draw routing cards.

    Several layouts go behind one another. One unusable file stops them all.
    """
    from beltpath.cards import card as drawn

    mirrored, turned = parse_view(view)
    options = card_options(
        paper,
        proof,
        landscape=landscape,
        mirrored=mirrored,
        turned=turned,
        true_scale=true_scale,
        steps=steps,
        code=code,
        loads=hub_loads,
    )
    judged = judged_files(files, changed, without)
    if problems := problems_of(judged):
        return Reply(problems=(*problems, f"{out}: is not written"), status=UNABLE)
    made = drawn([one.study for one in judged if one.study], options)
    lines = saved(made, Path(out), force=force)
    lines += [
        f"{inert(one.file)}: fail; its card says NOT VERIFIED"
        f"{' and has no pictures of the steps' if steps else ''}, see beltpath check"
        for one in judged
        if one.outcome == "fail"
    ]
    return Reply(text="".join(f"{line}\n" for line in lines), status=status_of(judged))


def parse_view(text: str) -> tuple[bool, float]:
    """Whether a view is mirrored, and by how many degrees counterclockwise it is turned."""
    mirrored, turned = False, 0.0
    for part in text.split(","):
        word, colon, angle = part.strip().partition(":")
        if word == "mirrored" and not colon:
            mirrored = True
        elif word == "turned" and (degrees := _degrees(angle)) is not None:
            turned = degrees
        elif part.strip() != "front":
            raise UsageError(
                f'no view is called "{text}"; choose front, mirrored, turned:DEGREES (-360 to '
                f"360) or mirrored,turned:DEGREES"
            )
    return mirrored, turned


def _degrees(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if isfinite(value) and abs(value) <= 360.0 else None
