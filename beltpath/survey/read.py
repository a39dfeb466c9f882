"""The text of a survey file -> Survey, with every mistake reported at once.

The layout's own reader reads what the file shares with a layout, with stand-ins for the centres to
be found. `SurveyKeys` reads the rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import hypot
from typing import Any

from pydantic import ValidationError

from beltpath.errors import LayoutError
from beltpath.layout import reader as layout_file
from beltpath.layout.keys import MM_PER_INCH, LayoutModel, PulleyModel
from beltpath.layout.layout import Layout
from beltpath.layout.problems import comment_problems, text_problems
from beltpath.layout.records import Pulley, rim_diameter
from beltpath.layout.toml import LineIndex
from beltpath.solve.uncertainty import diameter_sigma
from beltpath.survey.problems import (
    OWN_KEYS,
    key_problems,
    measure_problems,
    reference_problems,
    structure_problems,
    tables,
)
from beltpath.survey.survey import (
    RELATIONS,
    Placing,
    PlacingKeys,
    Survey,
    SurveyKeys,
    Tape,
    Target,
)

#: 1 sigma of a diameter that a calliper takes on the rim itself, mm (guide value, from memory).
CALLIPER = 0.3
#: 1 sigma of a groove-tip diameter calculated from the effective one, mm: what the guide value
#: for `outside` (0.45) holds beyond the calliper's own.
TIPS = 0.34
#: Stand-ins for unknown centres: apart from one another and from any number that a person writes.
_STEP, _HEIGHT = 5.0, 777.123


def parse(text: str, *, name: str = "survey") -> Survey:
    """Read a survey file: a layout without `at`, and what was measured.

    Raises LayoutError with every mistake found, each with its key path and line.
    """
    text = text.removeprefix("\ufeff")
    data = layout_file.toml_data(text)
    lines = LineIndex(text)
    problems = [*key_problems(data), *reference_problems(data), *comment_problems(text)]
    problems += text_problems({key: data[key] for key in OWN_KEYS if key in data})
    layout = keys = None
    try:
        layout = layout_file.from_data(_shared(data), name=name)
    except LayoutError as error:
        problems += [replace(problem, line=None) for problem in error.problems]
    try:
        keys = SurveyKeys.model_validate(_own(data))
    except ValidationError as error:
        problems += structure_problems(error)
    if layout is not None and keys is not None and not problems:
        survey = _survey(data, layout, keys, lines)
        problems += measure_problems(survey)
        if not problems:
            return survey
    raise LayoutError([lines.placed(problem) for problem in lines.in_order(problems)])


def _shared(data: Mapping[str, Any]) -> dict[str, Any]:
    """The keys that a layout holds too, with stand-ins for the centres to be found."""
    kept = {key: value for key, value in data.items() if key in LayoutModel.model_fields}
    pulleys, tensioner = kept.get("pulleys"), kept.get("tensioner")
    if isinstance(pulleys, dict):
        kept["pulleys"] = {
            name: _stand_in(pulley, number) if isinstance(pulley, dict) else pulley
            for number, (name, pulley) in enumerate(pulleys.items())
        }
    if isinstance(tensioner, dict) and isinstance(tensioner.get("pivot"), str):
        kept["tensioner"] = {**tensioner, "pivot": [0.0, 0.0]}
    return kept


def _stand_in(pulley: Mapping[str, Any], number: int) -> dict[str, Any]:
    kept = {k: v for k, v in pulley.items() if k in PulleyModel.model_fields}
    return {**kept, "at": [_STEP * number, _HEIGHT], "accuracy": 0.0}


def _own(data: Mapping[str, Any]) -> dict[str, Any]:
    """The keys that a layout does not hold."""
    return {key: data[key] for key in OWN_KEYS if key in data} | {
        "pulleys": {
            name: {key: value for key, value in pulley.items() if key in PlacingKeys.model_fields}
            for name, pulley in tables(data, "pulleys").items()
        }
    }


def _survey(data: Mapping[str, Any], layout: Layout, keys: SurveyKeys, lines: LineIndex) -> Survey:
    scale = MM_PER_INCH if layout.units == "in" else 1.0
    pivot = data.get("tensioner", {}).get("pivot")
    return Survey(
        layout=layout,
        data={key: value for key, value in data.items() if key not in OWN_KEYS},
        targets={target.name: target for target in _targets(layout, keys, scale)},
        tapes=tuple(
            Tape(
                start=tape.start,
                end=tape.end,
                distance=tape.distance * scale,
                over=tape.over,
                sigma=layout.accuracy if tape.accuracy is None else tape.accuracy * scale,
            )
            for tape in keys.tape
        ),
        level=keys.level,
        photo=keys.photo,
        placings=tuple(
            Placing(name=name, relation=relation, other=other)
            for name, placed in (*keys.pulleys.items(), *keys.points.items())
            for relation in RELATIONS
            if (other := getattr(placed, relation)) is not None
        ),
        pivot=pivot if isinstance(pivot, str) else None,
        lines=lines,
    )


def _targets(layout: Layout, keys: SurveyKeys, scale: float) -> Iterator[Target]:
    for name, pulley in layout.pulleys.items():
        yield Target(
            name=name,
            radius=rim_diameter(pulley, layout.belt.section) / 2.0,
            radius_sigma=_rim_sigma(pulley) / 2.0,
            depth=keys.pulleys[name].depth * scale,
        )
    for name, point in keys.points.items():
        yield Target(
            name=name,
            radius=None if point.diameter is None else point.diameter * scale / 2.0,
            radius_sigma=0.0 if point.diameter is None else CALLIPER / 2.0,
            depth=point.depth * scale,
        )


def _rim_sigma(pulley: Pulley) -> float:
    """1 sigma of the rim's diameter, mm: measured on the rim, or calculated from the grooves.

    The rim does not need the effective diameter, so that its allowance at `outside` is left out.
    """
    how = pulley.measured.how
    if pulley.rim is not None or how == "outside":
        return CALLIPER
    if pulley.face == "smooth" or how == "around":
        return diameter_sigma(pulley.measured)
    return hypot(diameter_sigma(pulley.measured), TIPS)
