"""What `measure` says in words, in the terminal and on its sheet. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

from beltpath.layout.characters import inert
from beltpath.output.tables import Rows, aligned, page, table
from beltpath.survey.answer import Measurement
from beltpath.survey.survey import OVER
from beltpath.words import MAKER_FIRST, counted, decimals, sentence

PLACE_HEAD = ("", "centre", "x mm", "y mm", "± mm")
TAPE_HEAD = ("", "tape reading", "read mm", "off by", "")
_DEFERS = (
    "Places are as good as the readings: hold the layout against the engine before a belt is "
    f"bought. {MAKER_FIRST}"
)


def measure_report(
    measurement: Measurement, *, notes: Sequence[str] = (), width: int | None = None
) -> str:
    """Everything that `measure` says; `notes` tell of files that were written.

    Sentences are folded at `width` characters if given.
    """
    blocks = [
        _heading(measurement),
        table(PLACE_HEAD, place_rows(measurement), "llrrr"),
        table(TAPE_HEAD, tape_rows(measurement), "llrrl") if measurement.tapes else [],
        aligned(remarks(measurement), width),
        aligned([("remember", _DEFERS)], width),
        notes,
    ]
    return page([list(map(inert, block)) for block in blocks])


def _heading(measurement: Measurement) -> list[str]:
    layout = measurement.survey.layout
    usable = measurement.usable
    head = [] if usable else ["NOT USABLE: these places do not hold, see what is doubtful"]
    head += [layout.title, "seen from the front, facing the pulleys; the crank is the origin"]
    if layout.units == "in":
        head.append("the file is in inches; this answer is in millimetres")
    return head


def place_rows(measurement: Measurement) -> list[tuple[str, ...]]:
    """Number, name, x, y and 1 sigma of every centre, mm; the crank is the origin."""
    crank = measurement.survey.layout.crank.name
    return [
        (
            str(number),
            name,
            *map(decimals, centre.at),
            "origin" if name == crank else f"{centre.sigma:.1f}",
        )
        for number, (name, centre) in enumerate(measurement.centres.items(), start=1)
    ]


def tape_rows(measurement: Measurement) -> list[tuple[str, ...]]:
    """Number, ends, reading and residual in mm, and whether the reading is left out."""
    return [
        (
            str(number),
            f"{tape.start} to {tape.end}, {OVER[tape.over]}",
            f"{tape.measured:.1f}",
            decimals(tape.residual, sign="+"),
            "" if tape.kept else "left out",
        )
        for number, tape in enumerate(measurement.tapes, start=1)
    ]


def remarks(measurement: Measurement) -> Rows:
    """Label and sentence of each remark: the fit, suspects, doubts, and the next reading."""
    yield "fit", _fit(measurement)
    yield "±", "1 sigma of each coordinate: about two thirds lie within it, 95 % within twice that."
    for suspect in measurement.suspects:
        yield "doubtful", _sentence(suspect.message)
    for doubt in measurement.doubts:
        yield "caution", _sentence(doubt)
    if (after := measurement.next_reading) is not None:
        said = (
            f"{after.start} to {after.end}, centre to centre, would help most: with it the worst "
            f"place would be known to ± {after.worst_after:.1f} mm in its worst direction."
        )
        yield "measure next", said


def _fit(measurement: Measurement) -> str:
    survey = measurement.survey
    parts = []
    if measurement.rms_mm is not None:
        parts.append(
            f"{counted(len(survey.tapes), 'tape reading')}, to {measurement.rms_mm:.1f} mm"
        )
    if measurement.rms_px is not None:
        clicks = sum(map(len, survey.rims.values()))
        where = f"{counted(clicks, 'point')} on {counted(len(survey.rims), 'rim')}"
        parts.append(f"{where}, to {measurement.rms_px:.1f} px")
    return f"{'; '.join(parts)} (rms of what was used)."


def _sentence(text: str) -> str:
    """A message as a sentence of its own."""
    return f"{sentence(text.rstrip('.'))}."
