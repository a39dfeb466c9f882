"""What is wrong with a survey file, in sentences with a key path and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from math import cos, dist, radians
from typing import Any

from pydantic import ValidationError

from beltpath.errors import Problem
from beltpath.layout.keys import LayoutModel, PulleyModel, meanings
from beltpath.layout.sentences import nearest, problems_of
from beltpath.layout.toml import dotted, quoted
from beltpath.survey.survey import RELATIONS, RIM_SIGN, PlacingKeys, Survey, SurveyKeys

#: A longer reading than this (mm) is a typing error.
FARTHEST = 6_000.0
#: Top keys of a survey file, beside those of a layout.
OWN_KEYS = tuple(key for key in SurveyKeys.model_fields if key != "pulleys")
#: Keys of a layout's pulley that the measurement finds.
FOUND_KEYS = ("at", "accuracy")
FEWEST_RIMS = 3
#: More pulleys and points than any drive has; the search for mirror solutions grows fast.
MOST_TARGETS = 20
#: A line whose cosine against the horizontal is less than this has no side above it.
UPRIGHT = 0.25


def structure_problems(error: ValidationError) -> Iterator[Problem]:
    """Pydantic's errors about the survey's own keys in plain sentences."""
    return problems_of(error, lambda place: meanings(place, SurveyKeys))


def key_problems(data: Mapping[str, Any]) -> Iterator[Problem]:
    """Keys that do not belong in a survey file."""
    known = [*LayoutModel.model_fields, *OWN_KEYS]
    pulley_keys = {*PulleyModel.model_fields, *PlacingKeys.model_fields} - {*FOUND_KEYS}
    for key in data:
        if key not in known:
            yield Problem(key, f"is not a key here{nearest(key, known)}")
    for name, pulley in tables(data, "pulleys").items():
        for key in pulley:
            if key in FOUND_KEYS:
                yield Problem(
                    dotted(("pulleys", name, key)),
                    "is what these measurements are to give; leave it out",
                )
            elif key not in pulley_keys:
                yield Problem(
                    dotted(("pulleys", name, key)), f"is not a key here{nearest(key, pulley_keys)}"
                )


def reference_problems(data: Mapping[str, Any]) -> Iterator[Problem]:
    """Unknown names, and targets that were not measured. Looks at raw data."""
    names = [*tables(data, "pulleys"), *tables(data, "points")]
    if len(names) > MOST_TARGETS:
        yield Problem(
            "", f"holds {len(names)} pulleys and points; at most {MOST_TARGETS} are solved"
        )
    for name in tables(data, "points"):
        if name in tables(data, "pulleys"):
            yield Problem(
                dotted(("points", name)), "is the name of a pulley; give the point its own"
            )
    measured: list[object] = []
    for number, tape in enumerate(_list(data.get("tape")), start=1):
        yield from _ends(f"tape.{number}", tape, names)
        measured += [tape.get("from"), tape.get("to")]
    if isinstance(level := data.get("level"), dict):
        yield from _ends("level", level, names)
        yield from _above(level, names)
    rims = _table(_table(data, "photo"), "rims")
    for name in rims:
        yield from _known(dotted(("photo", "rims", name)), name, names)
    yield from _placings(data, names)
    yield from _pivot(data)
    yield from _unmeasured(names, [*measured, *rims], data)


def measure_problems(survey: Survey) -> Iterator[Problem]:
    """Numbers that no measurement can give."""
    if survey.layout.accuracy == 0.0:
        yield Problem("accuracy", "must be more than 0; nobody reads a tape so well")
    for number, tape in enumerate(survey.tapes, start=1):
        here = f"tape.{number}.distance"
        if tape.distance > FARTHEST:
            yield Problem(here, "is farther than any belt drive reaches; check it and `units`")
        rims = [survey.targets[name] for name in (tape.start, tape.end)]
        for rim in rims:
            if rim.radius is None and RIM_SIGN[tape.over]:
                yield Problem(
                    f"tape.{number}.over",
                    f'{quoted(rim.name)} has no diameter, so that only "centres" can be measured',
                )
        if tape.over == "outside" and tape.distance <= sum(rim.radius or 0.0 for rim in rims):
            yield Problem(here, "over the far rims is less than both radii; check `over`")
    if survey.photo is not None:
        yield from _photo(survey)


def tables(data: Mapping[str, Any], key: str) -> dict[str, dict[str, Any]]:
    """The tables inside a table, whatever else the file may hold there."""
    return {k: v for k, v in _table(data, key).items() if isinstance(v, dict)}


def _photo(survey: Survey) -> Iterator[Problem]:
    photo = survey.photo
    if photo is None or len(photo.rims) < FEWEST_RIMS:
        yield Problem(
            "photo.rims",
            f"a photograph needs the rims of at least {FEWEST_RIMS} pulleys to tell how the camera "
            f"stood; click more of them, or use a tape",
        )
        return
    for name, clicks in photo.rims.items():
        here = dotted(("photo", "rims", name))
        if survey.targets[name].radius is None:
            yield Problem(here, "has no diameter, so that its rim says nothing; give its diameter")
        if any(dist(a, b) < 1.0 for a, b in combinations(clicks, 2)):
            yield Problem(here, "has two points in one place; click points apart round the rim")
        if photo.size is not None and not all(
            0.0 <= x <= photo.size[0] and 0.0 <= y <= photo.size[1] for x, y in clicks
        ):
            yield Problem(here, "has a point outside the picture; check it and photo.size")
    if photo.size is None:
        for name in photo.rims:
            if survey.targets[name].depth:
                yield Problem(
                    "photo.size",
                    f"is missing; to allow for the depth of {quoted(name)} it must be known how "
                    f"large the whole picture is, [width, height] in pixels",
                )
                return


def _ends(path: str, table: Mapping[str, Any], names: list[str]) -> Iterator[Problem]:
    for key in ("from", "to"):
        yield from _known(f"{path}.{key}", table.get(key), names)
    if isinstance(table.get("from"), str) and table.get("from") == table.get("to"):
        yield Problem(f"{path}.to", "is where it starts; name another pulley")


def _known(path: str, name: object, names: list[str]) -> Iterator[Problem]:
    if isinstance(name, str) and name not in names:
        yield Problem(
            path, f"{quoted(name)} is not a pulley or point of this file{nearest(name, names)}"
        )


def _above(level: Mapping[str, Any], names: list[str]) -> Iterator[Problem]:
    above, angle = level.get("above"), level.get("angle")
    yield from _known("level.above", above, names)
    if above is None:
        return
    if above in (level.get("from"), level.get("to")):
        yield Problem("level.above", "lies on the line itself; name another pulley")
    if isinstance(angle, int | float) and abs(angle) <= 360 and abs(cos(radians(angle))) < UPRIGHT:
        yield Problem(
            "level.above",
            "the line stands upright, so that nothing is above it; say instead in a pulley's "
            "table which pulley it is left_of or right_of",
        )


def _placings(data: Mapping[str, Any], names: list[str]) -> Iterator[Problem]:
    for kind in ("pulleys", "points"):
        for name, table in tables(data, kind).items():
            for relation in RELATIONS:
                here = dotted((kind, name, relation))
                yield from _known(here, table.get(relation), names)
                if table.get(relation) == name:
                    yield Problem(here, "is itself; name another pulley")


def _pivot(data: Mapping[str, Any]) -> Iterator[Problem]:
    pivot = _table(data, "tensioner").get("pivot")
    points = _table(data, "points")
    if isinstance(pivot, str) and pivot not in points:
        yield Problem(
            "tensioner.pivot", f"{quoted(pivot)} is not one of the [points]{nearest(pivot, points)}"
        )


def _unmeasured(
    names: list[str], measured: list[object], data: Mapping[str, Any]
) -> Iterator[Problem]:
    if not isinstance(data.get("tape", []), list):
        # The reader reports the wrong kind; what it should hold is unknown.
        return
    if not measured:
        yield Problem("", "holds no measurement; give [[tape]] distances or [photo.rims]")
        return
    for name in names:
        if name not in measured:
            kind = "points" if name in tables(data, "points") else "pulleys"
            yield Problem(
                dotted((kind, name)),
                "is not measured: no tape goes to it and its rim is not clicked",
            )


def _table(data: Mapping[str, Any], key: str) -> dict[str, Any]:
    value = data.get(key)
    return value if isinstance(value, dict) else {}


def _list(value: object) -> list[dict[str, Any]]:
    return [item for item in value if isinstance(item, dict)] if isinstance(value, list) else []
