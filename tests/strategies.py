"""Drives for the property tests, made so that they are sound by construction.

A drive is made as the plain data of a layout file (`Data`), so that the same drive can be written
as TOML in several styles, changed, and read. `hulls` puts pulleys round a circle so far apart and
so alike that the belt touches every one (their support functions are compared in the comments);
`drives` may press smooth pulleys, or grooved ones under a double-sided belt, from outside into some
of the spans, so little that every tangent exists. Nothing is filtered afterwards.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import asin, atan2, cos, degrees, hypot, pi, radians, sin
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from beltpath.data.sections import Section, SectionName, section
from beltpath.geometry import Point
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.solve.path import Disc

Data = dict[str, Any]

#: How hard a law is tried: more with BELTPATH_EXAMPLES=1000. The rest is `conftest`'s profile.
law = settings(max_examples=int(os.environ.get("BELTPATH_EXAMPLES", "25")))


@dataclass(frozen=True, slots=True)
class Bend:
    """A pulley pressed into a span: where, which way is in and along, how deep, how long it is."""

    name: str
    at: Point
    inward: Point
    along: Point
    depth: float
    span: float


@dataclass(frozen=True, slots=True)
class Made:
    """A drive as layout data, with what the strategy knows of it."""

    data: Data
    bends: tuple[Bend, ...]


def discs(*, most: int = 6) -> SearchStrategy[list[Disc]]:
    """Discs of either sign anywhere, so far apart that all tangents exist; not a sound drive."""

    @st.composite
    def build(draw: DrawFn) -> list[Disc]:
        count = draw(st.integers(2, most))
        cells = draw(st.permutations(range(9)))[:count]
        return [
            Disc(
                f"d{cell}",
                # Cells are 200 apart, discs stray 20 from the middle: two radii fit between.
                (
                    200.0 * (cell % 3) + draw(_within(20.0)),
                    200.0 * (cell // 3) + draw(_within(20.0)),
                ),
                draw(st.floats(10.0, 60.0)),
                draw(st.sampled_from([-1, 1])),
            )
            for cell in cells
        ]

    return build()


@st.composite
def hulls(draw: DrawFn, *, least: int = 2, most: int = 7) -> list[Disc]:
    """Discs in anticlockwise order, every one of which the loop round them all touches.

    Disc i stands out of the others when r_j − r_i < ρ(1 − cos Δ): with ρ >= 220, Δ >= 40° and radii
    of 30 to 60 the right side is above 51, the left at most 30.
    """
    count = draw(st.integers(least, most))
    gap = 360.0 / count
    jitter = min(10.0, (gap - 40.0) / 2.0)
    out = draw(st.floats(220.0, 450.0))
    middle = (draw(_within(300.0)), draw(_within(300.0)))
    start = draw(st.floats(0.0, 360.0))
    made = []
    for i in range(count):
        angle = radians(start + i * gap + draw(_within(jitter)))
        centre = (middle[0] + out * cos(angle), middle[1] + out * sin(angle))
        made.append(Disc(f"p{i}", centre, draw(st.floats(30.0, 60.0)), 1))
    return made


@st.composite
def drives(
    draw: DrawFn,
    *,
    double_sided: bool = False,
    sections: tuple[SectionName, ...] = ("PK", "PJ", "PH", "PL"),
    least_bends: int = 0,
) -> Made:
    """A sound drive: ribs inside, any number of back bends pressed in, either sense of travel."""
    sect = section(draw(st.sampled_from(sections)))
    hull = draw(hulls())
    crank = draw(st.integers(0, len(hull) - 1))
    # Two pulleys lie too near to one line for a bend on either side.
    most_bends = 1 if len(hull) == 2 else len(hull)
    spans = st.integers(0, len(hull) - 1)
    where = draw(st.sets(spans, min_size=least_bends, max_size=most_bends))
    pulleys: dict[str, Data] = {}
    bends: list[Bend] = []
    for i, disc in enumerate(hull):
        smooth = i != crank and draw(st.integers(0, 4)) == 0
        face = draw(_inside(disc.radius, sect, smooth=smooth))
        role = "crank" if i == crank else draw(st.sampled_from(["pump", "fan", "other"]))
        pulleys[disc.name] = {"at": [*disc.centre], "role": role, **face}
        if i in where:
            pressed = draw(_pressed(disc, hull[(i + 1) % len(hull)], f"b{i}", sect, double_sided))
            bends.append(pressed[0])
            pulleys[f"b{i}"] = pressed[1]
    route = list(pulleys)
    sense = draw(st.sampled_from(["clockwise", "counterclockwise"]))
    if sense == "clockwise":
        route.reverse()
    turned = draw(st.integers(0, len(route) - 1))
    data: Data = {
        "title": "made up",
        "crank_turns": sense,
        "accuracy": draw(st.floats(0.1, 2.0)),
        "route": route[turned:] + route[:turned],
        "belt": {"section": sect.name, "ribs": 4, "double_sided": double_sided},
        "pulleys": pulleys,
    }
    return Made(data, tuple(bends))


@st.composite
def tensioned(draw: DrawFn, *, kinds: tuple[str, ...] = ("arm", "slide")) -> Made:
    """A sound drive with a sprung tensioner on one of its back bends, pressing inwards when free.

    The pulley moves between depths of 0.5 and 6.5 % of its span, standing at 2 to 5 % as measured.
    """
    made = draw(drives(least_bends=1))
    bend = draw(st.sampled_from(made.bends))
    deeper, shallower = 0.065 * bend.span - bend.depth, bend.depth - 0.005 * bend.span
    tensioner: Data = {"pulley": bend.name, "kind": draw(st.sampled_from(kinds))}
    if tensioner["kind"] == "slide":
        along = degrees(atan2(bend.inward[1], bend.inward[0]))
        tensioner |= {"along": along, "free": deeper, "load": -shallower}
        tensioner["spring"] = {"force": 300.0, "at": 0.0, "rate": draw(st.floats(-2.0, 2.0))}
        return Made({**made.data, "tensioner": tensioner}, made.bends)
    side, arm = draw(st.sampled_from([-1.0, 1.0])), draw(st.floats(80.0, 150.0))
    pivot = (bend.at[0] - side * arm * bend.along[0], bend.at[1] - side * arm * bend.along[1])
    stands = degrees(atan2(bend.at[1] - pivot[1], bend.at[0] - pivot[0]))
    # Turning anticlockwise moves the pulley to the left of the arm.
    left = side * (bend.along[0] * bend.inward[1] - bend.along[1] * bend.inward[0])
    tensioner |= {
        "pivot": [*pivot],
        "free": stands + left * degrees(asin(deeper / arm)),
        "load": stands - left * degrees(asin(shallower / arm)),
    }
    if tensioner["kind"] == "arm":
        tensioner["spring"] = {"torque": 25.0, "at": stands, "rate": draw(st.floats(-0.2, 0.2))}
    return Made({**made.data, "tensioner": tensioner}, made.bends)


def layout_of(data: Mapping[str, Any]) -> Layout:
    """The layout that the data describe, by way of the reader."""
    return parse(toml_of(data))


def toml_of(data: Mapping[str, Any], *, style: str = "inline") -> str:
    """Layout data as TOML text.

    `inline`: a line for each pulley. `headers`: a table header for each. `dotted`: a dotted key for
    each value.
    """
    top = [f"{_key(k)} = {value_of(v)}" for k, v in data.items() if not isinstance(v, dict)]
    for key, table in data.items():
        if isinstance(table, dict):
            top += _table_of(key, table, style if key == "pulleys" else "inline")
    return "\n".join(top) + "\n"


def value_of(value: object) -> str:
    """One value as TOML writes it."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            return _text(value)
        case dict():
            return "{" + ", ".join(f"{_key(k)} = {value_of(v)}" for k, v in value.items()) + "}"
        case list():
            return "[" + ", ".join(map(value_of, value)) + "]"
        case int() if value.bit_length() > 1000:
            return hex(value)
    return str(value)


def toml_values() -> SearchStrategy[object]:
    """Any TOML value, absurd ones included."""
    plain = (
        st.none().map(lambda _: 10**400)
        | st.integers()
        | st.floats()
        | st.booleans()
        | st.text(max_size=8)
        | st.dates().map(date.isoformat).map(_Literal)
        | st.sampled_from(["crank", "grooved", "smooth", "ribs", "in", "PK", "p0", "p1"])
        | st.sampled_from([0, 1, -1.0, 1e-9, 1e9])
    )
    return st.recursive(
        plain,
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
        ),
        max_leaves=5,
    )


@st.composite
def spoilt(draw: DrawFn) -> Data:
    """A sound drive's data with one to four numbers or places changed, taken out or added to."""
    data: Data = draw(tensioned(kinds=("arm", "slide", "swing"))).data
    for _ in range(draw(st.integers(1, 4))):
        data = _edited(draw, data)
    return data


class _Literal(str):
    """Text that stands in TOML as it is, such as a date."""

    __slots__ = ()


def _edited(draw: DrawFn, table: Data) -> Data:
    """The table with one edit somewhere in it."""
    copy = dict(table)
    key = draw(st.sampled_from(sorted(copy)))
    if isinstance(copy[key], dict) and copy[key] and draw(st.integers(0, 5)):
        copy[key] = _edited(draw, copy[key])
        return copy
    match draw(st.sampled_from(["nudge", "nudge", "nudge", "change", "drop", "rename", "add"])):
        case "nudge":
            copy[key] = _nudged(draw, copy[key])
        case "change":
            copy[key] = draw(toml_values())
        case "drop":
            del copy[key]
        case "rename":
            copy[draw(st.text(max_size=5)) + key[1:]] = copy.pop(key)
        case "add":
            copy[draw(_KEYS)] = draw(toml_values())
    return copy or {"left": 1}


def _nudged(draw: DrawFn, value: object) -> object:
    """Numbers a little or a lot off, however deep they lie; anything else as it is."""
    if isinstance(value, dict):
        return {key: _nudged(draw, inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_nudged(draw, inner) for inner in value]
    if isinstance(value, int) and abs(value) > 10**300:
        return value  # too large for a float; it is absurd enough already
    if isinstance(value, float) or (type(value) is int and abs(value) < 1e300):
        return value * draw(st.sampled_from([1.0, 1.01, 0.5, 2.0, -1.0, 0.0, 7.0]))
    return value


_KEYS = st.sampled_from(
    ["diameter", "around", "outside", "over_balls", "rim", "side", "load", "window", "elastic"]
) | (
    st.sampled_from(["length", "back", "height", "units", "route", "spring", "release", "grooves"])
    | st.text(max_size=6)
)


def _within(span: float) -> SearchStrategy[float]:
    return st.floats(-span, span)


def _inside(radius: float, sect: Section, *, smooth: bool) -> SearchStrategy[Data]:
    """Size and face of a pulley inside the loop on which the effective line has that radius."""
    if smooth:
        ribs = sect.height - sect.back
        diameter = 2.0 * (radius - ribs)
        sizes: list[Data] = [{"diameter": diameter}, {"around": diameter * pi}]
        return st.sampled_from([{**size, "face": "smooth", "side": "ribs"} for size in sizes])
    effective = 2.0 * radius
    outside = effective + sect.tip_excess
    sizes = [{"diameter": effective}, {"outside": outside}, {"around": outside * pi}]
    if sect.over_balls_excess is not None:
        sizes.append({"over_balls": effective + sect.over_balls_excess})
    return st.sampled_from([{**size, "face": "grooved"} for size in sizes])


@st.composite
def _pressed(
    draw: DrawFn, one: Disc, other: Disc, name: str, sect: Section, double_sided: bool
) -> tuple[Bend, Data]:
    """A pulley pressed a little into the span from one disc of an anticlockwise hull to the next.

    Spans are over 146 long, hull radii at most 60, its own at most 58. At a depth d of 6.5 % and
    at x >= 0.4 of the span's length both tangents exist: x² > 2d(60 + 58).
    """
    span, (start, end) = _outer_tangent(one, other)
    along = ((end[0] - start[0]) / span, (end[1] - start[1]) / span)
    inward = (-along[1], along[0])
    depth = span * draw(st.floats(0.02, 0.05))
    place = draw(st.floats(0.4, 0.6))
    diameter = draw(st.floats(50.0, 90.0))
    grooved = double_sided and draw(st.booleans())
    # The radius of the effective line, reckoned apart from the code under test. A double-sided
    # belt has its ribs, height − back deep, on either side of the cord's two b_e.
    beyond = sect.back if not double_sided else sect.height - sect.back + 2.0 * sect.b_e
    radius = diameter / 2.0 + (2.0 * sect.b_e if grooved else beyond)
    at = (
        start[0] + place * span * along[0] - inward[0] * (radius - depth),
        start[1] + place * span * along[1] - inward[1] * (radius - depth),
    )
    size = draw(st.sampled_from([{"diameter": diameter}, {"around": diameter * pi}]))
    face: Data = {**size, "face": "smooth", "role": "idler"}
    if grooved:
        face = {"diameter": diameter, "face": "grooved", "role": "pump", "side": "back"}
    return Bend(name, at, inward, along, depth, span), {"at": [*at], **face}


def _outer_tangent(one: Disc, other: Disc) -> tuple[float, tuple[Point, Point]]:
    """The outer tangent of two discs run round anticlockwise, by angles, unlike the code's."""
    dx, dy = other.centre[0] - one.centre[0], other.centre[1] - one.centre[1]
    away = hypot(dx, dy)
    out = atan2(dy, dx) - pi / 2.0 + asin((one.radius - other.radius) / away)
    ends = (_on(one, out), _on(other, out))
    return hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]), ends


def _on(disc: Disc, angle: float) -> Point:
    return (
        disc.centre[0] + disc.radius * cos(angle),
        disc.centre[1] + disc.radius * sin(angle),
    )


def _table_of(key: str, table: Data, style: str) -> list[str]:
    here = _key(key)
    if style == "headers":
        lines = []
        for name, inner in table.items():
            lines += [f"[{here}.{_key(name)}]"]
            lines += [f"{_key(k)} = {value_of(v)}" for k, v in inner.items()]
        return lines
    lines = [f"[{here}]"]
    for name, inner in table.items():
        if style == "dotted":
            lines += [f"{_key(name)}.{_key(k)} = {value_of(v)}" for k, v in inner.items()]
        else:
            lines.append(f"{_key(name)} = {value_of(inner)}")
    return lines


def _key(key: str) -> str:
    return key if key.isascii() and key.isidentifier() else _text(key)


def _text(value: str) -> str:
    if isinstance(value, _Literal):
        return str(value)
    return '"' + "".join(c if c.isascii() and c.isalnum() else _code(c) for c in value) + '"'


def _code(character: str) -> str:
    return character if character == " " else f"\\U{ord(character):08X}"
