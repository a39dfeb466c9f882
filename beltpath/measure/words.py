"""What a measurement has to say, in rows and sentences for paper and terminal.

Lengths are in mm whatever the file's units, as in every other answer.
"""

from __future__ import annotations

from collections.abc import Iterator

from beltpath.measure.measurement import Measurement
from beltpath.measure.survey import counted
from beltpath.measure.suspects import OVER

PLACE_HEAD = ("", "centre", "x mm", "y mm", "± mm")
TAPE_HEAD = ("", "tape reading", "read mm", "off by", "")


def place_rows(measurement: Measurement) -> list[tuple[str, ...]]:
    """Number, name, x, y and 1 sigma of every centre; the crank is the origin."""
    crank = measurement.survey.layout.crank.name
    return [
        (
            str(number),
            name,
            _decimal(centre.at[0]),
            _decimal(centre.at[1]),
            "origin" if name == crank else f"{centre.sigma:.1f}",
        )
        for number, (name, centre) in enumerate(measurement.centres.items(), start=1)
    ]


def tape_rows(measurement: Measurement) -> list[tuple[str, ...]]:
    """Number, ends, what was read, how far the solution is from it, and whether it is left out."""
    return [
        (
            str(number),
            f"{tape.start} to {tape.end}, {OVER[tape.over]}",
            f"{tape.measured:.1f}",
            _decimal(tape.computed - tape.measured, sign=True),
            "" if tape.kept else "left out",
        )
        for number, tape in enumerate(measurement.tapes, start=1)
    ]


def remarks(measurement: Measurement) -> Iterator[tuple[str, str]]:
    """What kind of remark, and the sentence: how well all fits, doubts, cautions, what next."""
    yield "fit", _fit(measurement)
    yield "±", "1 sigma of each coordinate: about two thirds lie within it, 95 % within twice that."
    for suspect in measurement.suspects:
        yield "doubtful", _sentence(suspect.message)
    for caution in measurement.cautions:
        yield "caution", _sentence(caution)
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
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _decimal(value: float, *, sign: bool = False) -> str:
    """One decimal, a minus nought made plain."""
    rounded = round(value, 1) + 0.0
    return f"{rounded:+.1f}" if sign else f"{rounded:.1f}"
