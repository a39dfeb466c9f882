"""What is wrong with a layout file, in sentences with a key path and what to do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from difflib import get_close_matches
from itertools import combinations
from math import dist, pi
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from beltpath.errors import Problem
from beltpath.layout import HOW_MEASURED
from beltpath.layout_model import LayoutModel, PulleyModel

MM_PER_INCH = 25.4
#: Sizes outside these (mm) are taken for slips of the pen, not for belt drives.
FARTHEST = 20_000.0
SIZES = (5.0, 5_000.0)
LENGTHS = (50.0, 50_000.0)
THICKNESS = (0.1, 60.0)
#: Two centres nearer than this (mm) are one place.
SAME_PLACE = 0.1

#: Characters that would steer a terminal, a drawing or the direction of text.
_UNPRINTABLE = frozenset(map(chr, [*range(32), *range(127, 160), *range(0x202A, 0x202F)])) | {
    *map(chr, range(0x2066, 0x206A)),
    "\u2028",
    "\u2029",
    "\ufeff",
    "\u200e",
    "\u200f",
}


def problems_of(error: ValidationError) -> Iterator[Problem]:
    """Pydantic's complaints in plain sentences."""
    for detail in error.errors(include_url=False):
        loc = [part for part in detail["loc"] if part not in ("[key]",)]
        if "spring" in loc:
            loc = [p for i, p in enumerate(loc) if not (loc[i - 1] == "spring" and i > 0)]
        path = ".".join(str(part) for part in loc)
        yield Problem(path, _sentence(detail, [str(part) for part in loc]))


def cross_problems(data: Mapping[str, Any]) -> Iterator[Problem]:
    """Mistakes between keys. Looks at raw data, so that it can speak beside structural mistakes."""
    pulleys = {k: v for k, v in _table(data, "pulleys").items() if isinstance(v, dict)}
    if "pulleys" in data:
        yield from _crew(pulleys)
    for name, pulley in pulleys.items():
        yield from _sizes_given(name, pulley, _table(data, "belt").get("section"))
    yield from _coincident(pulleys)
    if isinstance(data.get("route"), list):
        yield from _route(data["route"], pulleys)
    if isinstance(data.get("tensioner"), dict):
        yield from _tensioner(data["tensioner"], pulleys, data)
    yield from _belt(_table(data, "belt"))
    yield from _unprintable(data, "")


def size_problems(model: LayoutModel) -> Iterator[Problem]:
    """Sizes that no belt drive has: slips of the pen, or the wrong unit."""
    scale = MM_PER_INCH if model.units == "in" else 1.0
    for path, value, (low, high) in _sizes(model):
        if not low <= value * scale <= high:
            yield Problem(
                path,
                f"{value:g} {model.units} is outside what a belt drive can have "
                f"({low / scale:.4g} to {high / scale:.4g} {model.units}); check the number and "
                f"`units`",
            )
    belt = model.belt
    if belt.back is not None and belt.height is not None and belt.back >= belt.height:
        yield Problem("belt.back", "must be less than the belt's height")


def nearest(word: str, known: Iterable[str]) -> str:
    """`; did you mean ...?` for the nearest known word, or nothing."""
    close = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f'; did you mean "{close[0]}"?' if close else ""


def _sizes(model: LayoutModel) -> Iterator[tuple[str, float, tuple[float, float]]]:
    anywhere = (-FARTHEST, FARTHEST)
    for name, p in model.pulleys.items():
        here = f"pulleys.{name}"
        for value in p.at:
            yield f"{here}.at", value, anywhere
        yield from _diameters(here, p)
        yield f"{here}.offset", p.offset, (-1000.0, 1000.0)
        if p.accuracy is not None:
            yield f"{here}.accuracy", p.accuracy, (0.0, 100.0)
    belt = model.belt
    for key, size, span in (
        ("belt.length", belt.length, LENGTHS),
        ("belt.tolerance", belt.tolerance, (0.0, 500.0)),
        ("belt.back", belt.back, THICKNESS),
        ("belt.height", belt.height, THICKNESS),
        ("accuracy", model.accuracy, (0.0, 100.0)),
    ):
        if size is not None:
            yield key, size, span
    t = model.tensioner
    if t is not None:
        for value in t.pivot or ():
            yield "tensioner.pivot", value, anywhere
        if t.kind == "slide":
            yield "tensioner.free", t.free, anywhere
            yield "tensioner.load", t.load, anywhere


def _diameters(here: str, p: PulleyModel) -> Iterator[tuple[str, float, tuple[float, float]]]:
    how, value = p.measured()
    turn = pi if how == "around" else 1.0
    yield f"{here}.{how}", value, (SIZES[0] * turn, SIZES[1] * turn)
    if p.rim is not None:
        yield f"{here}.rim", p.rim, SIZES


def _table(data: Mapping[str, Any], key: str) -> dict[str, Any]:
    value = data.get(key)
    return value if isinstance(value, dict) else {}


def _crew(pulleys: Mapping[str, dict[str, Any]]) -> Iterator[Problem]:
    if len(pulleys) < 2:
        yield Problem("pulleys", "a belt drive has at least two pulleys; add the others")
        return
    cranks = [name for name, pulley in pulleys.items() if pulley.get("role") == "crank"]
    if not cranks:
        yield Problem("pulleys", 'no pulley has role = "crank"; give it to the one that drives')
    for name in cranks[1:]:
        yield Problem(
            f"pulleys.{name}.role", f'only one pulley can be the crank, and "{cranks[0]}" is it'
        )


def _sizes_given(name: str, pulley: dict[str, Any], section: object) -> Iterator[Problem]:
    here = f"pulleys.{name}"
    given = [how for how in HOW_MEASURED if how in pulley]
    if not given:
        yield Problem(here, f"its size is missing; give one of {', '.join(HOW_MEASURED)}")
    elif len(given) > 1:
        yield Problem(here, f"its size is given more than once; keep one of {', '.join(given)}")
    if "over_balls" in pulley and pulley.get("face") == "smooth":
        yield Problem(f"{here}.over_balls", "a smooth pulley has no grooves; give its diameter")
    elif "over_balls" in pulley and section in ("AV10", "AV13"):
        yield Problem(
            f"{here}.over_balls", f"no ball diameter is known for {section}; give its diameter"
        )
    if "grooves" in pulley and pulley.get("face") == "smooth":
        yield Problem(f"{here}.grooves", "a smooth pulley has no grooves; leave this out")
    load = pulley.get("load")
    if isinstance(load, dict) and len(load.keys() & {"power_kw", "torque_nm"}) != 1:
        yield Problem(f"{here}.load", "give one of power_kw and torque_nm")


def _coincident(pulleys: Mapping[str, dict[str, Any]]) -> Iterator[Problem]:
    centres = {
        name: pulley["at"] for name, pulley in pulleys.items() if _is_point(pulley.get("at"))
    }
    for one, other in combinations(centres, 2):
        if dist(centres[one], centres[other]) < SAME_PLACE:
            yield Problem(
                f"pulleys.{other}.at", f'is the same place as "{one}"; measure both centres again'
            )


def _is_point(value: object) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(v, int | float) and not isinstance(v, bool) for v in value)
    )


def _route(route: Sequence[object], pulleys: Mapping[str, dict[str, Any]]) -> Iterator[Problem]:
    names = [name for name in route if isinstance(name, str)]
    if len(names) < 2:
        yield Problem("route", "a belt meets at least two pulleys; name them in order of travel")
    for name, count in Counter(names).items():
        if name not in pulleys:
            yield Problem("route", f'"{name}" is not a pulley of this file{nearest(name, pulleys)}')
        elif count > 1:
            yield Problem("route", f'names "{name}" {count} times; the belt meets a pulley once')
    cranks = [name for name, pulley in pulleys.items() if pulley.get("role") == "crank"]
    if len(cranks) == 1 and cranks[0] not in names:
        yield Problem("route", f'leaves out the crank ("{cranks[0]}"), which drives the belt')


def _tensioner(
    t: dict[str, Any], pulleys: Mapping[str, dict[str, Any]], data: Mapping[str, Any]
) -> Iterator[Problem]:
    yield from _carried(t, pulleys, data.get("route"))
    kind = t.get("kind")
    if kind in ("arm", "swing"):
        yield from _pivoted(t, pulleys)
    elif kind == "slide":
        yield from _sliding(t)
    if _table(data, "belt").get("elastic") is True:
        yield Problem("tensioner", "a stretch-fit belt (belt.elastic) runs without a tensioner")
    yield from _travel(t)
    yield from _spring(t, kind)


def _carried(
    t: dict[str, Any], pulleys: Mapping[str, dict[str, Any]], route: object
) -> Iterator[Problem]:
    name = t.get("pulley")
    if not isinstance(name, str):
        return
    if name not in pulleys:
        yield Problem(
            "tensioner.pulley", f'"{name}" is not a pulley of this file{nearest(name, pulleys)}'
        )
    elif pulleys[name].get("role") == "crank":
        yield Problem("tensioner.pulley", "the crank cannot be the tensioner's pulley")
    elif isinstance(route, list) and name not in route:
        yield Problem("tensioner.pulley", f'"{name}" is left out of the route')


def _pivoted(t: dict[str, Any], pulleys: Mapping[str, dict[str, Any]]) -> Iterator[Problem]:
    if "pivot" not in t:
        yield Problem("tensioner.pivot", f"is missing; a {t['kind']} turns about one, [x, y]")
    if "along" in t:
        yield Problem("tensioner.along", "belongs to a slide; leave it out")
    name = t.get("pulley")
    at = pulleys.get(name, {}).get("at") if isinstance(name, str) else None
    pivot = t.get("pivot")
    if (
        isinstance(at, list)
        and isinstance(pivot, list)
        and _is_point(at)
        and _is_point(pivot)
        and dist(at, pivot) < 1.0
    ):
        yield Problem("tensioner.pivot", "is where the pulley is; an arm has a length")


def _sliding(t: dict[str, Any]) -> Iterator[Problem]:
    if "along" not in t:
        yield Problem("tensioner.along", "is missing; a slide moves along a direction, in degrees")
    for key in ("pivot", "release"):
        if key in t:
            yield Problem(f"tensioner.{key}", "belongs to an arm or swing; leave it out")


def _travel(t: dict[str, Any]) -> Iterator[Problem]:
    free, load = t.get("free"), t.get("load")
    if not (isinstance(free, int | float) and isinstance(load, int | float)):
        return
    if free == load:
        yield Problem("tensioner.load", "is the free stop too; there is no travel between them")
    if t.get("kind") != "slide" and abs(load - free) >= 360:
        yield Problem("tensioner.load", "is a whole turn or more from the free stop")
    window = t.get("window")
    if isinstance(window, list) and _is_point(window):
        low, high = sorted((free, load))
        if min(window) < low or max(window) > high or window[0] == window[1]:
            yield Problem(
                "tensioner.window",
                f"must be a part of the travel, {low:g} to {high:g}, low to high",
            )


def _spring(t: dict[str, Any], kind: object) -> Iterator[Problem]:
    spring = t.get("spring")
    if not isinstance(spring, dict):
        return
    if kind == "swing":
        yield Problem("tensioner.spring", "a swing is bolted, not sprung; leave it out")
    elif kind == "slide" and "torque" in spring:
        yield Problem("tensioner.spring.torque", "a slide has a force; give force in N")
    elif kind == "arm" and "force" in spring:
        yield Problem("tensioner.spring.force", "an arm has a moment; give torque in N·m")


def _belt(belt: dict[str, Any]) -> Iterator[Problem]:
    if belt.get("section") in ("AV10", "AV13"):
        if belt.get("ribs", 1) != 1:
            yield Problem("belt.ribs", f"{belt['section']} is a V-belt; it has one rib")
        if belt.get("double_sided") is True:
            yield Problem("belt.double_sided", f"{belt['section']} is made single-sided")


def _unprintable(value: object, path: str) -> Iterator[Problem]:
    """Control and direction characters anywhere in names and texts."""
    if isinstance(value, dict):
        for key, inner in value.items():
            here = f"{path}.{key}" if path else key
            if _UNPRINTABLE.intersection(key):
                yield Problem(path, f"the name {key!r} holds a character that cannot be printed")
            yield from _unprintable(inner, here)
    elif isinstance(value, list):
        for inner in value:
            yield from _unprintable(inner, path)
    elif isinstance(value, str):
        found = _UNPRINTABLE.intersection(value)
        if path == "notes":
            found -= {"\n", "\t", "\r"}
        if found:
            yield Problem(path, f"holds a character that cannot be printed ({min(found)!r})")


def _sentence(detail: Any, loc: list[str]) -> str:
    """One of pydantic's error records as a sentence."""
    kind, context = detail["type"], detail.get("ctx", {})
    found = _shown(detail.get("input"))
    match kind:
        case "missing":
            return f"is missing{_describe(loc)}"
        case "extra_forbidden":
            return f"is not a key here{nearest(loc[-1], _keys_at(loc))}"
        case "literal_error":
            known = str(context["expected"]).replace("'", '"')
            words = [word.strip('" ') for word in known.replace(" or ", ", ").split(",")]
            return f"must be {known}; found {found}{nearest(str(detail['input']), words)}"
        case "finite_number":
            return f"must be a finite number; found {found}"
        case "greater_than" | "greater_than_equal" | "less_than" | "less_than_equal":
            return f"{_bound(kind, context)}; found {found}"
        case "too_short" | "too_long":
            return f"holds the wrong number of values; found {found}{_describe(loc)}"
        case "string_too_short" | "string_too_long":
            return f"must be text of {_text_limit(kind, context)} characters; found {found}"
    return f"must be {_KINDS.get(kind, 'of another kind')}; found {found}"


_KINDS = {
    "float_type": "a number",
    "int_type": "a whole number",
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "list_type": "a list, such as [0, 0]",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "int_from_float": "a whole number",
}


def _bound(kind: str, context: Mapping[str, Any]) -> str:
    words = {
        "greater_than": ("gt", "more than"),
        "greater_than_equal": ("ge", "at least"),
        "less_than": ("lt", "less than"),
        "less_than_equal": ("le", "at most"),
    }
    key, phrase = words[kind]
    return f"must be {phrase} {context[key]:g}"


def _text_limit(kind: str, context: Mapping[str, Any]) -> str:
    if kind == "string_too_short":
        return f"at least {context['min_length']}"
    return f"at most {context['max_length']}"


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 40 else f'"{value[:37]}..."'
    if isinstance(value, dict):
        return "a table"
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def _keys_at(loc: list[str]) -> list[str]:
    """The keys that the table at this place knows."""
    model = _model_at(loc[:-1])
    return [] if model is None else list(model.model_fields)


def _describe(loc: list[str]) -> str:
    model = _model_at(loc[:-1])
    field = None if model is None else model.model_fields.get(loc[-1])
    if field is None or not field.description:
        return ""
    return f": {field.description[0].lower()}{field.description[1:].rstrip('.')}"


def _model_at(loc: Sequence[str]) -> type[BaseModel] | None:
    model: type[BaseModel] | None = LayoutModel
    for part in loc:
        if model is None:
            return PulleyModel
        field = model.model_fields.get(part)
        if field is None:
            return None
        model = None if part == "pulleys" else _model_in(field.annotation)
    return model


def _model_in(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(_model_in, get_args(annotation))), None)
