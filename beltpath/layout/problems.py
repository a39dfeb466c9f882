"""What is wrong with a layout file, in sentences with a key path and what to do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain, combinations, islice
from math import dist, pi
from typing import Any, NamedTuple

from pydantic import ValidationError

from beltpath.data.sections import sections
from beltpath.errors import Problem
from beltpath.geometry import Point
from beltpath.layout.characters import LINE_ENDS, unseen
from beltpath.layout.keys import HOW_MEASURED, MM_PER_INCH, MOST_PULLEYS, LayoutModel, finite
from beltpath.layout.records import (
    MOST_TURNED,
    Belt,
    Load,
    Pulley,
    Running,
    Spring,
    Tensioner,
    effective_diameter,
    outside_diameter,
    written_near,
)
from beltpath.layout.sentences import nearest, problems_of, shown
from beltpath.layout.toml import comments, dotted, quoted

#: Two centres nearer than this (mm) are one place.
SAME_PLACE = 0.1
#: An arm has at least this length, mm.
SHORTEST_ARM = 1.0
#: A rim may be this much less than the outside diameter (mm), which may be reckoned, not measured.
RIM_SLACK = 1.0
#: More mistakes than these are not told; the file is hardly a layout.
MOST_PROBLEMS = 100
#: Tables and lists inside one another; a layout needs five.
DEEPEST = 8


class Range(NamedTuple):
    """What a number can be before it is taken for a slip of the pen; `unit` None is a length."""

    low: float
    high: float
    unit: str | None = None


_PLACE = Range(-20_000.0, 20_000.0)
_SIZE = Range(5.0, 5_000.0)
_ANGLE = Range(-720.0, 720.0, "degrees")
#: An angle that may be some turns round.
_TURNED = Range(-MOST_TURNED, MOST_TURNED, "degrees")
#: 1 sigma of a place, mm.
SIGMA = Range(0.0, 100.0)
_THICKNESS = Range(0.1, 60.0)
_PULLEY = {
    "at": _PLACE,
    "diameter": _SIZE,
    "outside": _SIZE,
    "over_balls": _SIZE,
    "around": Range(_SIZE.low * pi, _SIZE.high * pi),
    "rim": _SIZE,
    "offset": Range(-1_000.0, 1_000.0),
    "accuracy": SIGMA,
}
_BELT = {
    "length": Range(50.0, 50_000.0),
    "tolerance": Range(0.0, 500.0),
    "back": _THICKNESS,
    "height": _THICKNESS,
}
_ARM = {"pivot": _PLACE, "free": _ANGLE, "load": _ANGLE, "window": _TURNED}
_SLIDE = {"free": _PLACE, "load": _PLACE, "window": _PLACE}


def judged(data: Mapping[str, Any]) -> tuple[LayoutModel | None, list[Problem]]:
    """The tables of a layout, and all that is wrong with them: the rules of every layout."""
    read: LayoutModel | None = None
    found: Iterable[Problem] = ()
    try:
        read = LayoutModel.model_validate(data)
    except ValidationError as error:
        found = problems_of(error)
    problems = list(islice(chain(found, cross_problems(data)), MOST_PROBLEMS + 1))
    told = {problem.path for problem in problems}
    problems += [problem for problem in size_problems(data) if problem.path not in told]
    return read, problems


def record_problems(layout: Any) -> Iterator[Problem]:
    """What only the records of a layout can have wrong, and no file."""
    if not isinstance(layout.name, str):
        yield Problem("name", f"must be text in quotes; found {shown(layout.name)}")
    else:
        yield from _text(layout.name, ("name",))
    belt, tensioner = layout.belt, layout.tensioner
    yield from _no_table("belt", belt, Belt)
    yield from _no_table("tensioner", tensioner, Tensioner)
    yield from _no_table("tensioner.spring", getattr(tensioner, "spring", None), Spring)
    yield from _no_table("running", layout.running, Running)
    if isinstance(belt, Belt) and belt.section not in (known := sections().values()):
        names = ", ".join(quoted(one.name) for one in known)
        yield Problem("belt.section", f"must be one of the sections known, unchanged: {names}")
    for key, pulley in layout.pulleys.items() if isinstance(layout.pulleys, Mapping) else ():
        yield from _pulley_record(key, pulley)


def _pulley_record(key: object, pulley: object) -> Iterator[Problem]:
    if not isinstance(key, str):
        yield Problem("pulleys", f"must have names that are text; found {shown(key)}")
        return
    here = dotted(("pulleys", key))
    if not isinstance(pulley, Pulley):
        yield Problem(here, f"must be a Pulley; found {shown(pulley)}")
        return
    yield from _no_table(f"{here}.load", pulley.load, Load)
    if pulley.name != key:
        told = shown(pulley.name)
        yield Problem(here, f"holds a pulley that calls itself {told}; give both one name")


def _no_table(path: str, value: object, kind: type) -> Iterator[Problem]:
    """A table of a file where its record must be: the keys would take it."""
    if isinstance(value, dict):
        yield Problem(path, f"must be a {kind.__name__}; found a table")


def cross_problems(data: Mapping[str, Any]) -> Iterator[Problem]:
    """Mistakes between keys. Looks at raw data, so that it can speak beside structural mistakes."""
    pulleys = {k: v for k, v in _table(data, "pulleys").items() if isinstance(v, dict)}
    scale = _scale(data.get("units", "mm")) or 1.0
    if isinstance(data.get("pulleys"), dict):
        yield from _crew(data["pulleys"])
    for name, pulley in pulleys.items():
        yield from _sizes_given(name, pulley, _table(data, "belt").get("section"))
    yield from _coincident(pulleys, scale)
    if isinstance(data.get("route"), list):
        yield from _route(data["route"], _table(data, "pulleys"))
    if isinstance(data.get("tensioner"), dict):
        yield from _tensioner(data["tensioner"], data, scale)
    yield from _belt(_table(data, "belt"))
    yield from text_problems(data)


def size_problems(data: Mapping[str, Any]) -> Iterator[Problem]:
    """Sizes that no belt drive has: slips of the pen, or the wrong unit. Looks at raw data."""
    units = data.get("units", "mm")
    scale = _scale(units)
    if scale is None:
        return
    for place, value, (low, high, unit) in _sizes(data):
        number = finite(value)
        least, most = (low / scale, high / scale) if unit is None else (low, high)
        if number is not None and not least <= number <= most:
            name = units if unit is None else unit
            check = "the number and `units`" if unit is None else "the number"
            yield Problem(
                dotted(place),
                f"{shown(value)} {name} is outside what a belt drive can have "
                f"({_plain(least)} to {_plain(most)} {name}); check {check}",
            )


def fit_problems(belt: Belt, pulleys: Mapping[str, Pulley], units: str) -> Iterator[Problem]:
    """Sizes that contradict one another, or bends that this belt cannot be laid round at all."""
    if belt.back >= belt.height:
        yield Problem(
            "belt",
            f"the belt's height ({_length(belt.height, units)}) must be more than its back "
            f"({_length(belt.back, units)}, effective line to belt back); measure and give both",
        )
    # Far below every section's smallest; the pitch radius stays positive.
    least = 2.0 * max(belt.height, 2.0 * abs(belt.section.b_e))
    for name, pulley in pulleys.items():
        outside = outside_diameter(pulley, belt.section)
        size = effective_diameter(pulley, belt.section) if pulley.face == "grooved" else outside
        if size < least:
            yield Problem(
                dotted(("pulleys", name, pulley.measured.how)),
                f"this belt cannot be bent round so small a pulley (its diameter comes to "
                f"{_length(size, units)}, twice the belt's height is {_length(least, units)}); "
                f"check it and the belt",
            )
        if pulley.rim is not None and pulley.rim < outside - RIM_SLACK:
            yield Problem(
                dotted(("pulleys", name, "rim")),
                f"is less than the pulley's own outside diameter ({_length(outside, units)}); "
                f"the rim is the outermost diameter",
            )


def too_deep(data: Mapping[str, Any]) -> bool:
    """Whether tables and lists lie deeper inside one another than in any layout."""
    level: list[object] = [data]
    for _ in range(DEEPEST):
        level = [inner for value in level for inner in _inside(value)]
    return bool(level)


def _inside(value: object) -> Iterable[object]:
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()


def _scale(units: object) -> float | None:
    """Millimetres in the file's unit, None when its `units` cannot be read."""
    return {"mm": 1.0, "in": MM_PER_INCH}.get(units) if isinstance(units, str) else None


def _plain(number: float) -> str:
    """A limit in four figures, never as a power of ten."""
    return f"{number:.0f}" if abs(number) >= 1000.0 else f"{number:.4g}"


def _length(mm: float, units: str) -> str:
    return f"{mm / MM_PER_INCH:.3f} in" if units == "in" else f"{mm:.1f} mm"


def _point(value: object) -> Point | None:
    """A pair of finite numbers, None for anything else."""
    if not isinstance(value, list) or len(value) != 2:
        return None
    x, y = map(finite, value)
    return None if x is None or y is None else (x, y)


def _sizes(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], object, Range]]:
    yield from _ranged(data, (), {"accuracy": SIGMA})
    yield from _ranged(_table(data, "belt"), ("belt",), _BELT)
    for name, pulley in _table(data, "pulleys").items():
        if isinstance(pulley, dict):
            yield from _ranged(pulley, ("pulleys", name), _PULLEY)
    tensioner = _table(data, "tensioner")
    ranges = _SLIDE if tensioner.get("kind") == "slide" else _ARM
    yield from _ranged(tensioner, ("tensioner",), ranges)


def _ranged(
    table: Mapping[str, Any], place: tuple[str, ...], ranges: Mapping[str, Range]
) -> Iterator[tuple[tuple[str, ...], object, Range]]:
    for key, span in ranges.items():
        value = table.get(key)
        for single in value if isinstance(value, list) else [value]:
            yield (*place, key), single, span


def _table(data: Mapping[str, Any], key: str) -> dict[str, Any]:
    value = data.get(key)
    return value if isinstance(value, dict) else {}


def _cranks(pulleys: Mapping[str, Any]) -> list[str]:
    return [n for n, p in pulleys.items() if isinstance(p, dict) and p.get("role") == "crank"]


def _crew(pulleys: Mapping[str, Any]) -> Iterator[Problem]:
    if len(pulleys) < 2:
        yield Problem("pulleys", "a belt drive has at least two pulleys; add the others")
        return
    cranks = _cranks(pulleys)
    if not cranks:
        yield Problem("pulleys", 'no pulley has role = "crank"; give it to the one that drives')
    for name in cranks[1:]:
        yield Problem(
            dotted(("pulleys", name, "role")),
            f"only one pulley can be the crank, and {shown(cranks[0])} is it",
        )


def _sizes_given(name: str, pulley: dict[str, Any], section: object) -> Iterator[Problem]:
    here = dotted(("pulleys", name))
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


def _coincident(pulleys: Mapping[str, dict[str, Any]], scale: float) -> Iterator[Problem]:
    if len(pulleys) > MOST_PULLEYS:
        return
    centres = [(n, at) for n, p in pulleys.items() if (at := _point(p.get("at"))) is not None]
    for (one, here), (other, there) in combinations(centres, 2):
        if dist(here, there) * scale < SAME_PLACE:
            yield Problem(
                dotted(("pulleys", other, "at")),
                f"is the same place as {shown(one)}; measure both centres again",
            )


def _route(route: Sequence[object], pulleys: Mapping[str, Any]) -> Iterator[Problem]:
    if len(route) > MOST_PULLEYS:
        return
    names = [name for name in route if isinstance(name, str)]
    if len(names) < 2:
        yield Problem("route", "a belt meets at least two pulleys; name them in order of travel")
    for name, count in Counter(names).items():
        if name not in pulleys:
            yield _unknown("route", name, pulleys)
        elif count > 1:
            yield Problem("route", f"names {shown(name)} {count} times; the belt meets it once")
    cranks = _cranks(pulleys)
    if len(cranks) == 1 and cranks[0] not in names:
        yield Problem("route", f"leaves out the crank ({shown(cranks[0])}), which drives the belt")


def _unknown(path: str, name: str, pulleys: Iterable[str]) -> Problem:
    return Problem(path, f"{shown(name)} is not a pulley of this file{nearest(name, pulleys)}")


def _tensioner(t: dict[str, Any], data: Mapping[str, Any], scale: float) -> Iterator[Problem]:
    pulleys, kind = _table(data, "pulleys"), t.get("kind")
    yield from _carried(t, pulleys, data.get("route"))
    if kind in ("arm", "swing"):
        yield from _pivoted(t, pulleys, scale)
    elif kind == "slide":
        yield from _sliding(t)
    if _table(data, "belt").get("elastic") is True:
        yield Problem("tensioner", "a stretch-fit belt (belt.elastic) runs without a tensioner")
    yield from _travel(t)
    yield from _spring(t, kind)


def _carried(t: dict[str, Any], pulleys: Mapping[str, Any], route: object) -> Iterator[Problem]:
    name = t.get("pulley")
    if not isinstance(name, str):
        return
    if name not in pulleys:
        yield _unknown("tensioner.pulley", name, pulleys)
    elif name in _cranks(pulleys):
        yield Problem("tensioner.pulley", "the crank cannot be the tensioner's pulley")
    elif isinstance(route, list) and name not in route:
        yield Problem("tensioner.pulley", f"{shown(name)} is left out of the route")


def _pivoted(t: dict[str, Any], pulleys: Mapping[str, Any], scale: float) -> Iterator[Problem]:
    if "pivot" not in t:
        yield Problem("tensioner.pivot", f"is missing; the {t['kind']} turns about it, [x, y]")
    if "along" in t:
        yield Problem("tensioner.along", "belongs to a slide; leave it out")
    name = t.get("pulley")
    carried = _table(pulleys, name) if isinstance(name, str) else {}
    at, pivot = _point(carried.get("at")), _point(t.get("pivot"))
    if at is not None and pivot is not None and dist(at, pivot) * scale < SHORTEST_ARM:
        yield Problem("tensioner.pivot", "is where the pulley is; an arm has a length")


def _sliding(t: dict[str, Any]) -> Iterator[Problem]:
    if "along" not in t:
        yield Problem("tensioner.along", "is missing; a slide moves along a direction, in degrees")
    for key in ("pivot", "release"):
        if key in t:
            yield Problem(f"tensioner.{key}", "belongs to an arm or swing; leave it out")


def _travel(t: dict[str, Any]) -> Iterator[Problem]:
    free, load = finite(t.get("free")), finite(t.get("load"))
    if free is None or load is None:
        return
    low, high = sorted((free, load))
    window = _point(t.get("window")) or (low, high)
    if t.get("kind") != "slide":
        window = (written_near(window[0], low, high), written_near(window[1], low, high))
    if free == load:
        yield Problem("tensioner.load", "is the free stop too; there is no travel between them")
    elif t.get("kind") != "slide" and high - low >= 360:
        yield Problem("tensioner.load", "is a whole turn or more from the free stop")
    elif min(window) < low or max(window) > high or window[0] == window[1]:
        yield Problem(
            "tensioner.window",
            f"must be two positions within the travel, {low:g} to {high:g}; angles are "
            f"written through, as the stops are",
        )


def _spring(t: dict[str, Any], kind: object) -> Iterator[Problem]:
    spring = t.get("spring")
    if not isinstance(spring, dict):
        return
    if kind == "swing":
        yield Problem("tensioner.spring", "a swing is bolted, not sprung; leave it out")
    elif kind == "slide":
        if "torque" in spring:
            yield Problem("tensioner.spring.torque", "a slide has a force; give force in N")
        elif "force" not in spring:
            yield Problem("tensioner.spring.force", "is missing (a slide's force in N)")
    elif kind == "arm":
        if "force" in spring:
            yield Problem("tensioner.spring.force", "an arm has a moment; give torque in N·m")
        elif "torque" not in spring:
            yield Problem("tensioner.spring.torque", "is missing (an arm's moment in N·m)")


def _belt(belt: dict[str, Any]) -> Iterator[Problem]:
    if belt.get("section") in ("AV10", "AV13"):
        if belt.get("ribs", 1) != 1:
            yield Problem("belt.ribs", f"{belt['section']} is a V-belt; it has one rib")
        if belt.get("double_sided") is True:
            yield Problem("belt.double_sided", f"{belt['section']} is made single-sided")


def text_problems(value: object, place: tuple[str, ...] = ()) -> Iterator[Problem]:
    """Blank texts, and characters that cannot be seen, anywhere in names and texts."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if unseen(key):
                text = f"the name {shown(key)} holds a character that cannot be printed"
                yield Problem(dotted(place), text)
            elif key and not key.strip():
                yield Problem(dotted(place), f"the name {shown(key)} is blank")
            yield from text_problems(inner, (*place, key))
    elif isinstance(value, list):
        for inner in value:
            yield from text_problems(inner, place)
    elif isinstance(value, str):
        yield from _text(value, place)


def comment_problems(text: str) -> Iterator[Problem]:
    """Characters that cannot be seen in comments, which a card carries along."""
    for line, comment in comments(text):
        found = unseen(comment, "\t")
        if found:
            told = f"the comment holds a character that cannot be printed ({quoted(found)})"
            yield Problem("", f"{told}; take it out", line)


def _text(value: str, place: tuple[str, ...]) -> Iterator[Problem]:
    found = unseen(value, LINE_ENDS if place == ("notes",) else "")
    if found:
        text = f"holds a character that cannot be printed ({quoted(found)})"
        yield Problem(dotted(place), text)
    elif value and not value.strip() and place != ("notes",):
        yield Problem(dotted(place), "is blank; write something or leave it out")
