"""The command `measure`: from tape or photograph to a layout with its uncertainty.

Exit status 0: solved, and nothing is doubtful; 1: solved, but a reading does not fit the others
(it is named; where it could be left out, the layout is written all the same); 2: the call or the
file is unusable, or too little was measured, and nothing is written.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from beltpath.cli.options import STDIN, Force, Json, Paper, Proof, card_options, saved, told
from beltpath.cli.terminal import DONE, FAULTY, Reply, fold_width, json_text
from beltpath.errors import UsageError
from beltpath.files.writing import vacant, write_whole
from beltpath.layout.characters import inert

if TYPE_CHECKING:
    from beltpath.cards import Card, Options
    from beltpath.survey import Measurement


def measure(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A file of tape readings or clicked rims.")
    ],
    out: Annotated[
        str | None,
        typer.Option("--out", "-o", metavar="LAYOUT", help="The layout file to write."),
    ] = None,
    picture: Annotated[
        str | None,
        typer.Option(
            "--picture", metavar="SHEET", help="Draw what was measured: .svg, .pdf or .png."
        ),
    ] = None,
    paper: Paper = "a4",
    proof: Proof = False,
    as_json: Json = False,
    force: Force = False,
) -> Reply:
    """Find where the pulleys stand.

    From tape readings or points clicked on a photograph: a layout with its uncertainty.
    """
    from beltpath.files.reading import name_of, read_text
    from beltpath.output.measure_text import measure_report
    from beltpath.survey import measurement_answer, parse, solve

    options = card_options(paper, proof)
    _refuse_targets(file, out, picture, force=force)
    measurement = told(file, lambda: solve(parse(read_text(file), name=name_of(file))))
    text = told(file, measurement.layout_text) if measurement.usable else ""
    notes: list[str] = []
    problems: tuple[str, ...] = ()
    # The sheet goes first: it refuses what it cannot draw before it writes anything.
    if picture is not None:
        path = Path(picture)
        notes = saved(sheet(measurement, text, path.stem, options), path, force=force)
    if out is not None and text:
        write_whole(Path(out), text.encode(), force=force)
        after = "check" if measurement.survey.layout.route else "routes"
        doing = "prove it" if after == "check" else "find how the belt goes"
        notes.append(f"{inert(out)} is written. Now {doing}: beltpath {after} {inert(out)}")
    elif out is not None:
        why = "what does not fit could not be left out; measure again what is doubtful"
        problems = (f"{inert(out)}: is not written, for {why}",)
    if as_json:
        answer = json_text(measurement_answer(measurement))
    else:
        answer = measure_report(measurement, notes=notes, width=fold_width())
    return Reply(text=answer, problems=problems, status=FAULTY if measurement.suspects else DONE)


def sheet(measurement: Measurement, text: str, name: str, options: Options) -> Card:
    """The sheet of a measurement; it carries the layout found, if there is one, under `name`."""
    from beltpath.cards.survey_sheet import survey_card
    from beltpath.layout.layout import without_text
    from beltpath.layout.reader import parse

    known = measurement.survey.layout
    layout = parse(text, name=name) if text else without_text(known, name=name)
    return survey_card(measurement, options, layout)


def _refuse_targets(file: str, out: str | None, picture: str | None, *, force: bool) -> None:
    """Refuse what cannot be written, or would destroy the readings, before anything is done."""
    if out is None:
        return
    target = Path(out)
    if out == STDIN:
        raise UsageError("-: the layout goes into a file; name it")
    vacant(target, force=force)
    if file != STDIN and target.resolve() == Path(file).resolve():
        raise UsageError(f"{out}: holds the readings; write the layout to a file of its own")
    if picture is not None and target.resolve() == Path(picture).resolve():
        raise UsageError(f"{out}: is named for the layout and for the picture; name two files")
    if not target.absolute().parent.is_dir():
        raise UsageError(f"{out}: cannot be written: there is no folder {target.parent}")
