"""The text of the layout that a survey gives."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from beltpath import layout_file
from beltpath.geometry import Point
from beltpath.layout import Units
from beltpath.layout_values import MM_PER_INCH
from beltpath.layout_writer import write
from beltpath.measure.survey import Survey
from beltpath.measure.survey_problems import OWN_PULLEY_KEYS

#: Decimals of centres and their sigmas in a layout, by its units.
DECIMALS: Mapping[Units, int] = {"mm": 2, "in": 4}
#: A centre and 1 sigma of its coordinates, mm.
Found = tuple[Point, float]


def layout_text(survey: Survey, found: Mapping[str, Found], remarks: Iterable[str]) -> str:
    """The survey's own facts with the centres found put in; `remarks` become comments on top.

    Raises LayoutError in the rare case that the places found make no layout.
    """
    comment = "\n".join([f"Centres found from {survey.readings}; accuracy is 1 sigma.", *remarks])
    text = write(_data(survey, found), comments={"": comment})
    layout_file.parse(text)
    return text


def _data(survey: Survey, found: Mapping[str, Found]) -> dict[str, Any]:
    units = survey.layout.units
    places = {name: [_rounded(v, units) for v in at] for name, (at, _) in found.items()}
    data = {key: value for key, value in survey.data.items() if key != "accuracy"}
    data["pulleys"] = {
        name: {
            "at": places[name],
            **{key: value for key, value in pulley.items() if key not in OWN_PULLEY_KEYS},
            "accuracy": _rounded(found[name][1], units),
        }
        for name, pulley in survey.data["pulleys"].items()
    }
    if survey.pivot is not None:
        data["tensioner"] = {**data["tensioner"], "pivot": places[survey.pivot]}
    return data


def _rounded(mm: float, units: Units) -> float:
    """A length in the file's units; adding 0 makes a negative zero positive."""
    return round(mm / (MM_PER_INCH if units == "in" else 1.0), DECIMALS[units]) + 0.0
