"""A comparison in words: sentences for the terminal and the card. Lengths mm, angles deg.

"The same" is what prints the same: a difference below the last printed digit is not told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from math import dist, isfinite
from typing import Any, Literal

from beltpath.checks.findings import Finding
from beltpath.checks.plausible import sets_forces
from beltpath.comparison import Comparison, Difference, Pair, Ride, sound
from beltpath.data.sections import Section
from beltpath.layout.designation import designation
from beltpath.layout.records import Load
from beltpath.output.tables import Rows, aligned, page, table
from beltpath.solve.reliance import doubt, told_of
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study
from beltpath.words import DEFERS, decimals, unit

#: Keys whose values are lengths, shown with their unit.
_IN_MM = frozenset(
    {"at", "diameter", "rim", "offset", "accuracy", "length", "tolerance", "back", "height"}
)
#: Pulleys that drive nothing: their speeds stand in the table only.
_RUN_ALONG = frozenset({"idler", "tensioner"})
_IN_DEGREES = frozenset({"min_wrap", "along"})
#: How the fields of the records are called, where not as in the file.
_CALLED = {
    "on the route": "on the belt's route",
    "rim": "outermost diameter",
    "turns": "required sense",
    "side": "required side",
    "max_rpm": "greatest speed",
    "min_wrap": "least wrap",
    "reach": "in reach",
    "crank_turns": "the crank turns",
    "driver": "what turns the crank",
    "route": "the route",
    "accuracy": "accuracy of the centres",
    "length": "length in hand",
    "back": "effective line to back",
}
_WHOLE = {
    ("pulley", True): "is added",
    ("pulley", False): "is left out",
    ("on the route", True): "is put on the belt's route",
    ("on the route", False): "is off the belt's route, and an obstacle to it",
    ("tensioner", True): "is added",
    ("tensioner", False): "is left out",
    ("running", True): "is given",
    ("running", False): "is left out",
}


def comparison_report(comparison: Comparison, *, width: int | None = None) -> str:
    """Everything that `compare` says. Sentences are folded at `width` characters if given."""
    blocks = [
        aligned(_heading(comparison), width),
        aligned(_named("changed", changes(comparison) or ["nothing"]), width),
        aligned(_named("effect", effects(comparison) or ["none on the belt's path"]), width),
        _numbers(comparison),
        aligned(_findings(comparison), width),
        aligned([("verdict", verdict_sentence(comparison))], width),
    ]
    return page(blocks)


def changes(comparison: Comparison) -> list[str]:
    """What differs between the layouts, a sentence each."""
    return [change(difference) for difference in comparison.differences]


def effects(comparison: Comparison) -> list[str]:
    """What that does to the drive, a sentence each; what prints the same is left out."""
    return [
        *_length(comparison),
        *_stand(comparison),
        *_old_belt(comparison),
        *_tension(comparison),
        *_least_reserve(comparison),
        *(sentence for ride in comparison.rides for sentence in _ride(comparison, ride)),
    ]


def verdict_sentence(comparison: Comparison) -> str:
    """The two verdicts, and what they mean for the drive after."""
    verdict = comparison.verdict
    if verdict.after == "fail":
        end = "put the faults right before the changed drive is used"
    elif verdict.after == "caution":
        end = "the changed drive has no fault, but read its cautions"
    else:
        end = "no check found anything in the changed drive"
    return f"{verdict.before} → {verdict.after}: {end}. Geometry and statics only: {DEFERS}"


def _heading(comparison: Comparison) -> Rows:
    yield "before", comparison.before.layout.title
    yield "after", comparison.after.layout.title


def _named(name: str, sentences: list[str]) -> Rows:
    for i, sentence in enumerate(sentences):
        yield (name if i == 0 else ""), sentence


# --- what differs --------------------------------------------------------------------------------


def change(d: Difference) -> str:
    """One difference as a sentence."""
    subject = "" if d.subject == "layout" else f"{d.subject}: "
    if isinstance(d.after, bool) and (whole := _WHOLE.get((d.key, d.after))):
        return f"{d.subject} {whole}"
    if d.key == "at":
        return (
            f"{subject}centre {_value(d.key, d.before)} → {_value(d.key, d.after)}, "
            f"{dist(d.before, d.after):.1f} mm away"
        )
    name = _CALLED.get(d.key, d.key.replace("_", " "))
    return f"{subject}{name} {_value(d.key, d.before)} → {_value(d.key, d.after)}"


def _value(key: str, value: Any) -> str:
    unit = " mm" if key in _IN_MM else "°" if key in _IN_DEGREES else ""
    return f"{_plain(value)}{unit if value is not None else ''}"


def _plain(value: Any) -> str:
    """A value of a record on one line."""
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Section):
        return value.name
    if isinstance(value, Load):
        return f"{value.power_kw:g} kW" if value.torque_nm is None else f"{value.torque_nm:g} N·m"
    if is_dataclass(value):
        return ", ".join(f"{f.name} {_plain(getattr(value, f.name))}" for f in fields(value))
    if isinstance(value, tuple):
        return f"({', '.join(map(_plain, value))})"
    if isinstance(value, float | int):
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return str(value)


# --- what it does --------------------------------------------------------------------------------


def _length(comparison: Comparison) -> Iterator[str]:
    one, other = comparison.length.before, comparison.length.after
    for name, length in (("before", one), ("after", other)):
        if length is None:
            yield (
                f"the drive {name} has no path that a belt can have (see its faults), so numbers "
                f"along the belt are not compared"
            )
    if one is None or other is None or f"{one:.1f}" == f"{other:.1f}":
        return
    sure = (s.uncertainty.expanded for s in (comparison.before, comparison.after))
    yield (
        f"effective length needed, as measured: {one:.1f} → {other:.1f} mm, "
        f"{abs(other - one):.1f} mm {'more' if other > one else 'less'} "
        f"(± {max(sure):.1f} mm on each, 95 %)"
    )


def _stand(comparison: Comparison) -> Iterator[str]:
    one, other = comparison.stands.before, comparison.stands.after
    if one is None or other is None or not _both_sound(comparison):
        return
    if other.reached in ("too short", "too long"):
        misfits = Pair(_misfit(comparison.before, one), _misfit(comparison.after, other))
        if misfits.differs or one.reached != other.reached:
            yield misfits.after
        return
    if _alike(one, other):
        moved = other.position - one.position
        told = (
            f"the {other.tensioner.kind} moves {abs(moved):.1f}{unit(other.tensioner)} towards its "
        )
        told += f"{_stop(other, moved)}: "
    elif Pair(one.tensioner, other.tensioner).differs:
        told = "the tensioner stands at "
    else:
        return
    used = (f"{abs(100 * stand.travel_used):.0f} %" for stand in (one, other))
    told += f"{_position(one)} → {_position(other)}"
    yield f"{told}, {' → '.join(used)} of its travel used ({_by_which(comparison)})"


def _by_which(comparison: Comparison) -> str:
    """Which belts put the tensioners there."""
    how = dict.fromkeys(
        _belt_name(study) if study.layout.belt.length is not None else "as measured"
        for study in (comparison.before, comparison.after)
    )
    return " → ".join(how)


def _misfit(study: Study, stand: Stand) -> str:
    return (
        f"{_belt_name(study)} is {stand.reached} for the changed drive, which takes "
        f"{stand.shortest:.1f} to {stand.longest:.1f} mm; wraps are told with the "
        f"{stand.tensioner.kind} at {_position(stand)}, the nearest that it comes"
    )


def _alike(one: Stand, other: Stand) -> bool:
    """Whether positions of two tensioners are angles or distances of the same thing."""
    t, u = one.tensioner, other.tensioner
    same = not Pair(
        (t.kind, t.pivot, t.along, t.free, t.load), (u.kind, u.pivot, u.along, u.free, u.load)
    ).differs
    return same and _position(one) != _position(other)


def _belt_name(study: Study) -> str:
    belt = study.layout.belt
    return designation(belt.section.name, belt.ribs, belt.length or 0.0)


def _stop(stand: Stand, moved: float) -> str:
    towards_load = (moved > 0) == (stand.tensioner.load > stand.tensioner.free)
    return "load stop" if towards_load else "free stop"


def _position(stand: Stand) -> str:
    return f"{decimals(stand.position)}{unit(stand.tensioner)}"


def _old_belt(comparison: Comparison) -> Iterator[str]:
    """What becomes of the belt that was on: only told where the drive after has another."""
    stand = comparison.old_belt
    lengths = Pair(comparison.before.layout.belt.length, comparison.after.layout.belt.length)
    if stand is None or not lengths.differs or not sound(stand.path):
        return
    name = _belt_name(comparison.before)
    if stand.reached == "reached":
        yield (
            f"the old belt, {name}, puts the changed drive's {stand.tensioner.kind} at "
            f"{_position(stand)}, "
            f"{abs(100 * stand.travel_used):.0f} % of its travel"
        )
    else:
        yield (
            f"the old belt, {name}, is {stand.reached} for the changed drive, which takes "
            f"{stand.shortest:.1f} to {stand.longest:.1f} mm"
        )


def _tension(comparison: Comparison) -> Iterator[str]:
    tensions = Pair(*(_taut(study) for study in (comparison.before, comparison.after)))
    if _both_sound(comparison) and (told := _moved(tensions, ".0f")):
        yield f"static belt tension in N: {told}"


def _taut(study: Study) -> float | None:
    """The tension that the spring sets, where no fault leaves it in doubt."""
    stand = study.stand
    if stand is None or sets_forces(study.layout):
        return None
    return told_of(stand, doubt(study.drive)).tension


def _least_reserve(comparison: Comparison) -> Iterator[str]:
    """The slip reserve of the pulley that has the least, which may be another one after."""
    told = [_least(comparison, which) for which in ("before", "after")]
    if told[0] != told[1]:
        yield f"least slip reserve: {told[0]} → {told[1]}"


def _least(comparison: Comparison, which: Literal["before", "after"]) -> str:
    known = [
        (value, ride.pulley)
        for ride in comparison.rides
        if (value := getattr(ride.reserve, which)) is not None and isfinite(value)
    ]
    if not known:
        return "not known"
    value, pulley = min(known)
    return f"{value:.1f} at {pulley}"


def _both_sound(comparison: Comparison) -> bool:
    return sound(comparison.before.path) and sound(comparison.after.path)


def _ride(comparison: Comparison, ride: Ride) -> Iterator[str]:
    name = ride.pulley
    if ride.turns.differs:
        yield f"{name} turns {ride.turns.after} instead of {ride.turns.before}"
    if ride.side.differs:
        yield f"{name} meets the belt's {ride.side.after} instead of its {ride.side.before}"
    yield from _speed(comparison, ride)
    if told := _moved(ride.wrap, ".0f", "°"):
        less = "less" if ride.wrap.after < ride.wrap.before else "more"
        by = abs(ride.wrap.after - ride.wrap.before)
        yield f"the belt wraps {name} by {by:.0f}° {less}: {told}"


def _speed(comparison: Comparison, ride: Ride) -> Iterator[str]:
    role = comparison.after.layout.pulleys[ride.pulley].role
    if role in _RUN_ALONG or not (told := _moved(ride.ratio, ".3f")):
        return
    by = 100.0 * (ride.ratio.after / ride.ratio.before - 1.0)
    rpm = "".join(
        f" ({pair.before:.0f} → {pair.after:.0f} rpm at {speed:g} rpm of the crank)"
        for speed, pair in zip(comparison.speeds, ride.rpm, strict=True)
        if speed == max(comparison.speeds)
    )
    digits = 0 if abs(by) >= 1.0 else 1
    yield (
        f"{ride.pulley} turns {abs(by):.{digits}f} % {'faster' if by > 0 else 'slower'}: "
        f"{told} times the crank{rpm}"
    )


def _moved(pair: Pair[float] | Pair[float | None], digits: str, unit: str = "") -> str:
    """Both numbers if they print differently, else nothing; no number is "not known"."""
    one, other = (_number(x, digits, unit) for x in (pair.before, pair.after))
    return "" if one == other else f"{one} → {other}"


def _number(value: float | None, digits: str, unit: str) -> str:
    return "not known" if value is None else f"{value:{digits}}{unit}"


# --- tables --------------------------------------------------------------------------------------


def _numbers(comparison: Comparison) -> list[str]:
    """All numbers of the pulleys that both belts meet, changed or not."""
    if not comparison.rides:
        return []
    columns = list(_columns(comparison))
    heads = ["contact", *(f"{head} {when}" for head, _ in columns for when in ("before", "after"))]
    rows = [
        [ride.pulley, *(cell for _, told in columns for cell in told[i])]
        for i, ride in enumerate(comparison.rides)
    ]
    return list(_split(heads, rows))


def _split(heads: list[str], rows: list[list[str]]) -> Iterator[str]:
    """One table under another, each of two pairs of columns at the most."""
    for start in range(1, len(heads), 4):
        if start > 1:
            yield ""
        some = slice(start, start + 4)
        head = [heads[0], *heads[some]]
        yield from table(head, [[row[0], *row[some]] for row in rows], "l" + "r" * (len(head) - 1))


def _columns(comparison: Comparison) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Each quantity with its cells before and after, a row a pulley."""
    rides = comparison.rides
    yield "wrap °", [_cells(r.wrap, ".1f") for r in rides]
    yield "speed ratio", [_cells(r.ratio, ".3f") for r in rides]
    for i, rpm in enumerate(comparison.speeds):
        if rpm == max(comparison.speeds):
            yield f"rpm at {rpm:g}", [_cells(r.rpm[i], ".0f") for r in rides]
    if any(r.reserve.before is not None or r.reserve.after is not None for r in rides):
        yield "slip reserve", [_cells(r.reserve, ".1f") for r in rides]
        yield "hub load N", [_cells(r.hub_load, ".0f") for r in rides]


def _cells(pair: Pair[float] | Pair[float | None], digits: str) -> tuple[str, str]:
    """Two cells; a dash for what is not known or has no limit."""
    return _cell(pair.before, digits), _cell(pair.after, digits)


def _cell(value: float | None, digits: str) -> str:
    return "-" if value is None or not isfinite(value) else f"{value:{digits}}"


def _findings(comparison: Comparison) -> Rows:
    for word, findings in (
        ("new", comparison.new),
        ("still", comparison.still),
        ("gone", comparison.gone),
    ):
        for finding in findings:
            yield f"{word} {finding.level}", _finding(finding)


def _finding(finding: Finding) -> str:
    return f"{finding.check}: {finding.message} ({finding.source})"
