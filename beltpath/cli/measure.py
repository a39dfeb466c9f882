"""The command `measure`: from tape or photograph to a layout with its uncertainty.

Exit status 0: solved, and nothing is doubtful; 1: solved, but a reading does not fit the others
(it is named; where it could be left out, the layout is written all the same); 2: the call or the
file is unusable, or too little was measured, and nothing is written.
"""

from __future__ import annotations

import json
from pathlib import Path

from beltpath.cards.document import Card, Options
from beltpath.cards.survey_sheet import survey_card
from beltpath.cli.options import STDIN, saved, told
from beltpath.cli.terminal import Reply, fold_width
from beltpath.errors import UsageError
from beltpath.files.reading import name_of, read_text
from beltpath.files.writing import vacant, write_whole
from beltpath.layout.characters import inert
from beltpath.layout.layout import without_text
from beltpath.layout.reader import parse as parse_layout
from beltpath.output.measure_text import measure_report
from beltpath.survey import Measurement, measurement_answer, parse, solve


def measure(
    file: str,
    *,
    out: str | None,
    picture: str | None,
    options: Options,
    as_json: bool,
    force: bool,
) -> Reply:
    """Carry out ``measure`` and return what it has to say."""
    _refuse_targets(file, out, picture, force=force)
    measurement = told(file, lambda: solve(parse(read_text(file), name=name_of(file))))
    text = told(file, measurement.layout_text) if measurement.usable else ""
    # The sheet goes first: it refuses what it cannot draw before it writes anything.
    notes = [] if picture is None else _pictured(measurement, text, picture, options, force=force)
    problems = []
    if out is not None and text:
        write_whole(Path(out), text.encode(), force=force)
        after = "check" if measurement.survey.layout.route else "routes"
        doing = "prove it" if after == "check" else "find how the belt goes"
        notes.append(f"{inert(out)} is written. Now {doing}: beltpath {after} {inert(out)}")
    elif out is not None:
        problems.append(
            f"{inert(out)}: is not written, for what does not fit could not be left out; measure "
            f"again what is doubtful"
        )
    answer = (
        _json(measurement)
        if as_json
        else measure_report(measurement, notes=notes, width=fold_width())
    )
    return Reply(text=answer, problems=tuple(problems), status=1 if measurement.suspects else 0)


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


def sheet(measurement: Measurement, text: str, name: str, options: Options) -> Card:
    """The sheet of a measurement; it carries the layout found, if there is one, under `name`."""
    layout = (
        parse_layout(text, name=name)
        if text
        else without_text(measurement.survey.layout, name=name)
    )
    return survey_card(measurement, options, layout)


def _pictured(
    measurement: Measurement, text: str, picture: str, options: Options, *, force: bool
) -> list[str]:
    path = Path(picture)
    return saved(sheet(measurement, text, path.stem, options), path, force=force)


def _json(measurement: Measurement) -> str:
    return json.dumps(measurement_answer(measurement), indent=2, allow_nan=False) + "\n"
