"""Two studies side by side: what differs between their layouts, and what that does to the drive.

Pulleys are matched by name. Lengths mm, angles deg, speeds rpm, whatever the layouts' units. Where
one of the two routings does not close, numbers along the belt mean nothing and are left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from math import degrees, isclose
from typing import Any, Generic, TypeVar

from beltpath.checks.findings import Finding, Verdict
from beltpath.data.sections import SectionName
from beltpath.errors import PathError
from beltpath.layout.keys import Sense, Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import Pulley, effective_diameter, outside_diameter
from beltpath.solve.forces import Forces
from beltpath.solve.path import BeltPath, crossings
from beltpath.solve.tensioner import Stand, stand
from beltpath.studies import Study

T = TypeVar("T")

#: What of a pulley's record is no fact of its own: its name, its size (told as a diameter) and how
#: it is called on paper.
_NOT_COMPARED = frozenset({"name", "measured", "label"})


@dataclass(frozen=True, slots=True)
class Pair(Generic[T]):
    """One thing before and after."""

    before: T
    after: T

    @property
    def differs(self) -> bool:
        """Whether it is not the same, a rounding of the last digits aside."""
        return not _same(self.before, self.after)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One fact of the layout that differs: which key of what, before and after (None: not there).

    `subject` is a pulley's name, or ``belt``, ``tensioner``, ``running`` or ``layout``; `pulley`
    tells which of the two it is. `key` ``pulley`` is the pulley as a whole, added or left out.
    """

    subject: str
    pulley: bool
    key: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Ride:
    """One pulley that the belt meets in both drives, and how it meets it.

    `wrap` deg; `ratio` pulley speed over crank speed; `rpm` at each crank speed that both layouts
    have. `reserve` is the least slip reserve and `hub_load` (N) the greatest over these speeds
    (the low and the high case of an interval), None where not known; `reserve` is infinite where
    nothing is to be gripped.
    """

    pulley: str
    turns: Pair[Sense]
    side: Pair[Side]
    wrap: Pair[float]
    ratio: Pair[float]
    rpm: tuple[Pair[float], ...]
    reserve: Pair[float | None]
    hub_load: Pair[float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What differs between two studies and what it does.

    `length` is the effective length needed as measured, None where no belt fits so. `old_belt` is
    where the tensioner of the drive after stands with the belt in hand of the drive before; None
    without such a belt or tensioner, with a belt of another section, or where it cannot be laid.
    `speeds` are the crank speeds that both layouts have. `gone`, `new` and `still` are findings: of
    before, of after, of both (as they are after).
    """

    before: Study
    after: Study
    differences: tuple[Difference, ...]
    length: Pair[float | None]
    old_belt: Stand | None
    speeds: tuple[float, ...]
    rides: tuple[Ride, ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    still: tuple[Finding, ...]

    def __repr__(self) -> str:
        """One line: what is compared, and the verdicts."""
        titles = f"{self.before.layout.title!r} and {self.after.layout.title!r}"
        return f"<Comparison of {titles}: {self.before.verdict}, {self.after.verdict}>"

    @property
    def verdict(self) -> Pair[Verdict]:
        """The verdicts."""
        return Pair(self.before.verdict, self.after.verdict)

    @property
    def stands(self) -> Pair[Stand | None]:
        """Where the tensioners stand, each with its own belt in hand or as measured."""
        return Pair(self.before.stand, self.after.stand)

    @property
    def changed_pulleys(self) -> tuple[str, ...]:
        """The pulleys with a difference of their own, in order."""
        return tuple(dict.fromkeys(d.subject for d in self.differences if d.pulley))


def compare(before: Study, after: Study) -> Comparison:
    """Compare two studies, pulleys matched by name."""
    new, still = _told_apart(after.findings, before.findings)
    gone, _ = _told_apart(before.findings, after.findings)
    speeds = _common_speeds(before.layout, after.layout)
    return Comparison(
        before=before,
        after=after,
        differences=tuple(_differences(before.layout, after.layout)),
        length=Pair(_length(before), _length(after)),
        old_belt=_old_belt(before, after),
        speeds=speeds,
        rides=tuple(_rides(before, after, speeds)),
        gone=gone,
        new=new,
        still=still,
    )


# --- what differs --------------------------------------------------------------------------------


def _differences(before: Layout, after: Layout) -> Iterator[Difference]:
    yield from _fields("layout", "crank_turns", before, after)
    yield from _fields("layout", "driver", before, after)
    for name in dict.fromkeys([*before.pulleys, *after.pulleys]):
        yield from _pulley(name, before, after)
    kept = Pair(_kept_route(before, after), _kept_route(after, before))
    if kept.differs:
        yield _difference("layout", "route", before.route, after.route)
    yield from _record("belt", before.belt, after.belt)
    yield from _record("tensioner", before.tensioner, after.tensioner)
    yield from _record("running", before.running, after.running)
    yield from _fields("layout", "accuracy", before, after)


def _pulley(name: str, before: Layout, after: Layout) -> Iterator[Difference]:
    one, other = before.pulleys.get(name), after.pulleys.get(name)
    if one is None or other is None:
        there = Pair(one is not None, other is not None)
        yield _difference(name, "pulley", there.before, there.after, pulley=True)
        return
    sizes = Pair(diameter(one, before), diameter(other, after))
    if sizes.differs:
        yield _difference(name, "diameter", sizes.before, sizes.after, pulley=True)
    for field in fields(Pulley):
        if field.name not in _NOT_COMPARED:
            yield from _fields(name, field.name, one, other, pulley=True)
    on_belt = Pair(_on_belt(name, before), _on_belt(name, after))
    if on_belt.differs:
        yield _difference(name, "on the route", on_belt.before, on_belt.after, pulley=True)


def diameter(pulley: Pulley, layout: Layout) -> float:
    """The diameter that a pulley is called by, mm: effective if grooved, outside if smooth."""
    of = effective_diameter if pulley.face == "grooved" else outside_diameter
    return of(pulley, layout.belt.section)


def _on_belt(name: str, layout: Layout) -> bool:
    return name in (layout.route or ())


def _kept_route(layout: Layout, other: Layout) -> tuple[str, ...]:
    """The route from the crank on, less the pulleys that the other route does not have."""
    route = layout.route or ()
    start = route.index(layout.crank.name) if route else 0
    return tuple(n for n in (*route[start:], *route[:start]) if _on_belt(n, other))


def _record(subject: str, before: Any, after: Any) -> Iterator[Difference]:
    """Every field of two records; a record that is not there differs as a whole."""
    if before is None or after is None:
        there = Pair(before is not None, after is not None)
        if there.differs:
            yield _difference(subject, subject, there.before, there.after)
        return
    for field in fields(before):
        yield from _fields(subject, field.name, before, after)


def _fields(
    subject: str, key: str, before: object, after: object, *, pulley: bool = False
) -> Iterator[Difference]:
    pair = Pair(getattr(before, key), getattr(after, key))
    if pair.differs:
        yield _difference(subject, key, pair.before, pair.after, pulley=pulley)


def _difference(
    subject: str, key: str, before: Any, after: Any, *, pulley: bool = False
) -> Difference:
    return Difference(subject=subject, pulley=pulley, key=key, before=before, after=after)


def _same(one: object, other: object) -> bool:
    """Equal, but for the last digits of numbers that came from other units."""
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    if is_dataclass(one) and type(one) is type(other):
        return all(_same(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    if isinstance(one, float | int) and isinstance(other, float | int):
        return isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return one == other


# --- what it does --------------------------------------------------------------------------------


def sound(path: BeltPath) -> bool:
    """Whether a path is one that a belt can have: closed, touching every pulley, not crossing."""
    return path.proper and not crossings(path.spans)


def _length(study: Study) -> float | None:
    measured = study.drive.as_measured
    return measured.length if sound(measured) else None


def _old_belt(before: Study, after: Study) -> Stand | None:
    length, sections = before.layout.belt.length, Pair(_section(before), _section(after))
    if length is None or sections.differs or not sound(after.drive.as_measured):
        return None
    belt = replace(after.layout.belt, length=length)
    try:
        return stand(replace(after.layout, belt=belt), after.drive.as_measured)
    except PathError:
        return None


def _section(study: Study) -> SectionName:
    return study.layout.belt.section.name


def _common_speeds(before: Layout, after: Layout) -> tuple[float, ...]:
    if before.running is None or after.running is None:
        return ()
    return tuple(rpm for rpm in after.running.crank_rpm if rpm in before.running.crank_rpm)


def _rides(before: Study, after: Study, speeds: tuple[float, ...]) -> Iterator[Ride]:
    if not (sound(before.path) and sound(after.path)):
        return
    met = {contact.pulley for contact in before.path.contacts}
    for contact in after.path.contacts:
        if contact.pulley in met:
            yield _ride(contact.pulley, before, after, speeds)


def _ride(name: str, before: Study, after: Study, speeds: tuple[float, ...]) -> Ride:
    was, now = before.path.index(name), after.path.index(name)
    one, other = before.path.contacts[was], after.path.contacts[now]
    ratio = Pair(before.path.speed_ratio(was), after.path.speed_ratio(now))
    return Ride(
        pulley=name,
        turns=Pair(one.turns, other.turns),
        side=Pair(before.path.sides[was], after.path.sides[now]),
        wrap=Pair(degrees(one.wrap), degrees(other.wrap)),
        ratio=ratio,
        rpm=tuple(Pair(rpm * abs(ratio.before), rpm * abs(ratio.after)) for rpm in speeds),
        reserve=Pair(*(_reserve(s.forces, name, speeds) for s in (before, after))),
        hub_load=Pair(*(_hub_load(s.forces, name, speeds) for s in (before, after))),
    )


def _reserve(forces: Forces | None, name: str, speeds: tuple[float, ...]) -> float | None:
    """The least slip reserve of a pulley at these speeds."""
    found = [
        contact.slip_reserve
        for at in (forces.low if forces else ())
        for contact in at.contacts
        if contact.pulley == name and at.crank_rpm in speeds
    ]
    return min(found, default=None)


def _hub_load(forces: Forces | None, name: str, speeds: tuple[float, ...]) -> float | None:
    """The greatest hub load of a pulley at these speeds; None beside a slack span."""
    found = [
        None if contact.slack else contact.hub_load
        for at in (forces.high if forces else ())
        for contact in at.contacts
        if contact.pulley == name and at.crank_rpm in speeds
    ]
    loads = [load for load in found if load is not None]
    return max(loads) if loads and len(loads) == len(found) else None


def _told_apart(
    findings: tuple[Finding, ...], others: tuple[Finding, ...]
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """The findings that the others do not have, and those that they have too.

    The same check at the same level about the same pulleys is the same finding, however its
    numbers have moved.
    """
    left = Counter(map(_identity, others))
    own: list[Finding] = []
    shared: list[Finding] = []
    for finding in findings:
        (shared if left[_identity(finding)] > 0 else own).append(finding)
        left[_identity(finding)] -= 1
    return tuple(own), tuple(shared)


def _identity(finding: Finding) -> tuple[str, str, frozenset[str]]:
    return finding.check, finding.level, frozenset(finding.pulleys)
