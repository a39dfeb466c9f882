"""The command `measure`: from tape or photograph to a layout with its uncertainty.

Exit status 0: solved, and no measurement is suspected; 1: solved, but a measurement does not fit
the others; 2: the file is unusable or too little was measured, and nothing is written.
"""

from __future__ import annotations

import json
from pathlib import Path

from beltpath.errors import LayoutError, UsageError
from beltpath.files import read_text, write_whole
from beltpath.measure import measurement_answer, parse, picture, solve
from beltpath.measure.measurement import Measurement
from beltpath.terminal import Reply, inert


def measure(
    file: str,
    *,
    out: str | None,
    drawing: str | None = None,
    as_json: bool = False,
    force: bool = False,
) -> Reply:
    """Carry out ``measure`` and return what it has to say."""
    targets = [Path(name) for name in (out, drawing) if name is not None]
    for target in targets:
        if target.exists() and not force:
            raise UsageError(f"{target}: exists already; say --force to write over it")
    measurement = _solved(file)
    notes = []
    if out is not None:
        write_whole(Path(out), measurement.layout_text().encode())
        notes.append(f"{out} is written")
    if drawing is not None:
        write_whole(Path(drawing), picture(measurement).encode())
        notes.append(f"{drawing} is written")
    answer = measurement_answer(measurement)
    text = (
        json.dumps(answer, indent=2, allow_nan=False) + "\n"
        if as_json
        else "".join(f"{inert(line)}\n" for line in (*_words(answer), *notes))
    )
    return Reply(text=text, status=1 if answer["suspects"] else 0)


def _solved(file: str) -> Measurement:
    try:
        return solve(parse(read_text(file)))
    except LayoutError as error:
        told = (inert(f"{file}: {problem}") for problem in error.problems)
        raise UsageError("\n".join(told)) from error


def _words(answer: dict[str, object]) -> list[str]:
    return [f"{key}: {value}" for key, value in answer.items()]
