"""What the belt carries: span tensions, slip reserve, hub loads, frequencies. Statics only.

Torque Q_i on contact i (positive where the belt drives the pulley) makes
T_out = T_in + Q_i/r_pitch; the crank closes the loop. Only pulleys with a `load` carry torque:
idlers and the tensioner's pulley carry none unless the layout gives them one. One more equation is
needed, and where it comes from is the `basis` of the answer:

- ``spring``: the tensioner's spring. An arm or slide feels the pressing of the belt and not its
  inertia, so the spring holds the *grip tension* T − m·v² of its two spans at M/|dL/dθ| (see
  `tensioner.static_tension`) at any speed, and the spans carry m·v² on top. The belt is taken as
  inextensible: how far its stretch moves the arm is left out.
- ``given``: the layout's `running.tension`, measured with the belt at rest. An arm holds it as a
  spring does. Between fixed centres the belt's stretched length stays, so the mean of T over the
  length stays, and m·v² is lost to grip.
- ``stretch``: a stretch-fit belt between fixed centres, T = EA·(path − belt)/belt. Its cord
  stiffness is a guide value and its length has a tolerance, so this is an interval: a low and a
  high case. The force at which belts are measured is left out, which errs to the low side.

No force is invented: where none of these can be had, there is an `Unknown` with its reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate
from math import atan2, degrees, hypot, radians
from typing import Literal, NamedTuple

from beltpath.data.tables import Sourced, read_table
from beltpath.geometry import Point
from beltpath.layout.layout import Layout
from beltpath.layout.records import Load, Running
from beltpath.solve.drive import Drive
from beltpath.solve.path import BeltPath
from beltpath.solve.reliance import closes, doubt, spring_known
from beltpath.solve.statics import (
    MM_PER_M,
    belt_speed,
    hub_load,
    slip_reserve,
    span_frequency,
)
from beltpath.solve.tensioner import Stand, Travel

Basis = Literal["spring", "given", "stretch"]

#: Below this rate (mm per deg or per mm) the tensioner stands on centre.
ON_CENTRE = 1e-6


class Unknown(NamedTuple):
    """Why no forces can be told, and what would let them be."""

    reason: str


class Held(NamedTuple):
    """The belt's tension at rest in N, from `low` to `high` (the same where it is one number).

    `most` is the highest that a belt of exactly its nominal length has: what fails even then is
    sure to fail, whatever the tolerance. `sprung` tells whether a spring follows the belt, or its
    stretched length stays.
    """

    basis: Basis
    low: float
    high: float
    sprung: bool
    most: float

    @classmethod
    def exactly(cls, basis: Basis, tension: float, *, sprung: bool) -> Held:
        """A tension that is one number."""
        return cls(basis, tension, tension, sprung, tension)


@dataclass(frozen=True, slots=True, kw_only=True)
class Guides:
    """The guide values that the forces rest on, each with its source or the layout's own.

    Friction is effective (wedge included). `mass` is kg per metre and rib, `stiffness` N per rib
    and unit strain, low and high. None where none is known.
    """

    friction_ribs: Sourced
    friction_back: Sourced
    mass: Sourced | None
    stiffness: tuple[Sourced, Sourced] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanForce:
    """One span at one speed.

    `tension` T and `grip` T − m·v² in N: a span whose grip tension is not positive is slack, and
    its tension cannot be told. `frequency` in Hz is that of the span under T, were it to stand
    still; `standing_frequency` is what a plucked span sounds with the engine off.
    """

    start: str
    end: str
    grip: float
    tension: float
    mass: float
    length: float
    standing_frequency: float

    @property
    def slack(self) -> bool:
        """Whether nothing presses the belt on its pulleys at the ends of this span."""
        return self.grip <= 0.0

    @property
    def frequency(self) -> float:
        """sqrt(T/m)/(2·length), Hz; 0 when slack."""
        return 0.0 if self.slack else span_frequency(self.tension, self.mass, self.length)


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactForce:
    """One pulley at one speed. `torque` in N·m is positive where the belt drives the pulley.

    `entering` and `leaving` are grip tensions (N) of the spans before and after it; `friction` is
    the effective friction there, `wrap` in rad. `hub` is the force of the belt on the hub (N).
    """

    pulley: str
    rpm: float
    torque: float
    friction: float
    wrap: float
    entering: float
    leaving: float
    hub: Point

    @property
    def slack(self) -> bool:
        """Whether a span beside it is slack; its hub load cannot be told then."""
        return min(self.entering, self.leaving) <= 0.0

    @property
    def slip_reserve(self) -> float:
        """Grip available over grip needed, μ·wrap/|ln(leaving/entering)|: see `statics`.

        Infinite where there is nothing to grip, 0 beside a slack span.
        """
        return slip_reserve(self.friction, self.wrap, self.entering, self.leaving)

    @property
    def hub_load(self) -> float:
        """Magnitude of the hub load, N."""
        return hypot(*self.hub)

    @property
    def hub_direction(self) -> float:
        """Direction in which the belt pulls the hub, degrees in [0, 360)."""
        return degrees(atan2(self.hub[1], self.hub[0])) % 360.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AtSpeed:
    """The whole drive at one crank speed; spans and contacts as in the path. Speed in m/s."""

    crank_rpm: float
    belt_speed: float
    spans: tuple[SpanForce, ...]
    contacts: tuple[ContactForce, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Forces:
    """The forces at each of the layout's crank speeds, for the low and the high case.

    `low` and `high` are the same where the tension at rest is one number; `most` is the high case
    of a belt of exactly its nominal length. `mass` in kg/m.
    """

    held: Held
    guides: Guides
    mass: float
    low: tuple[AtSpeed, ...]
    high: tuple[AtSpeed, ...]
    most: tuple[AtSpeed, ...]

    @property
    def interval(self) -> bool:
        """Whether the tension is only known as an interval."""
        return self.held.low != self.held.high


def forces(drive: Drive) -> Forces | None:
    """The forces of a drive, None without `[running]` or where they cannot be known."""
    found = forces_or_reason(drive)
    return found if isinstance(found, Forces) else None


def forces_or_reason(drive: Drive) -> Forces | Unknown:
    """The forces of a drive, or why they cannot be told."""
    running = drive.layout.running
    if running is None:
        return Unknown("the layout has no [running] table with crank speeds")
    guides = guides_for(drive.layout)
    unsure = doubt(drive)
    if unsure in ("stops", "exchanged"):
        return _IN_DOUBT if unsure == "stops" else _EXCHANGED
    ruled_out = _ruled_out(drive)
    held = ruled_out or _held(drive, running, guides)
    if isinstance(held, Unknown):
        return held
    if unsure == "over-centre":
        return _IN_DOUBT
    if guides.mass is None:
        return Unknown(
            "the mass of a double-sided belt is not known; give running.mass_per_rib in kg per "
            "metre and rib"
        )
    mass = guides.mass.value * drive.layout.belt.ribs
    cases = {
        tension: _case(drive, running, guides, held, tension, mass)
        for tension in {held.low, held.high, held.most}
    }
    low, high, most = (cases[tension] for tension in (held.low, held.high, held.most))
    return Forces(held=held, guides=guides, mass=mass, low=low, high=high, most=most)


def guides_for(layout: Layout) -> Guides:
    """The guide values for a layout: its own under `[running]`, else those of the data file.

    Stiffness is known for stretch-fit PK belts only; masses are those of single-sided belts.
    """
    own = layout.running or Running(crank_rpm=())
    table, belt = _guides(), layout.belt
    mass = None if belt.double_sided else table[f"mass.{belt.section.name}"]
    stiffness = None
    if belt.section.name == "PK":
        stiffness = (table["stiffness.elastic_low"], table["stiffness.elastic_high"])
    if own.stiffness_per_rib is not None:
        given = _own("stiffness_per_rib", own.stiffness_per_rib, "N")
        stiffness = (given, given)
    return Guides(
        friction_ribs=table["friction.ribs"]
        if own.friction_ribs is None
        else _own("friction_ribs", own.friction_ribs, "1"),
        friction_back=table["friction.back"]
        if own.friction_back is None
        else _own("friction_back", own.friction_back, "1"),
        mass=mass if own.mass_per_rib is None else _own("mass_per_rib", own.mass_per_rib, "kg/m"),
        stiffness=stiffness,
    )


def contact_friction(layout: Layout, path: BeltPath, i: int, guides: Guides) -> Sourced:
    """The effective friction on contact `i`: that of ribs in grooves, or of a smooth face.

    A double-sided belt has ribs in the grooves whichever side touches. Ribs on a smooth face, and
    the smooth back on groove tips, grip no better than the back on a smooth face.
    """
    grooved = layout.pulleys[path.contacts[i].pulley].face == "grooved"
    in_grooves = grooved and (path.sides[i] == "ribs" or layout.belt.double_sided)
    return guides.friction_ribs if in_grooves else guides.friction_back


@cache
def _guides() -> Mapping[str, Sourced]:
    """Every row of the guide values by its key, e.g. ``mass.PK``."""
    return {
        row["key"]: Sourced(
            value=float(row["value"]), unit=row["unit"], status=row["status"], source=row["source"]
        )
        for row in read_table("guides.csv")
    }


def _own(key: str, value: float, unit: str) -> Sourced:
    return Sourced(value=value, unit=unit, status="given", source=f"the layout's own running.{key}")


def _ruled_out(drive: Drive) -> Unknown | None:
    """What makes forces meaningless before any tension is asked for."""
    path, crank, standing = drive.path, drive.layout.crank, drive.stand
    if not closes(path):
        return Unknown("the belt's path has a fault; put that right first")
    if crank.load is not None:
        return Unknown(
            f"{crank.title} is the crank, which drives the belt, and yet has a load; give loads to "
            f"the driven pulleys only"
        )
    for i, contact in enumerate(path.contacts):
        if path.pitch_radius(i) <= 0.0:
            title = drive.layout.pulleys[contact.pulley].title
            return Unknown(f"{title} is so small that the belt's cord has no radius on it")
    if standing is not None and standing.reached in ("too short", "too long"):
        return Unknown(
            f"the belt in hand is {standing.reached} for the tensioner's travel, so where the belt "
            f"would run is not known"
        )
    return None


def _held(drive: Drive, running: Running, guides: Guides) -> Held | Unknown:
    """The tension at rest: measured, from a stretch-fit belt's stretch, or from the spring."""
    standing = drive.stand
    if running.tension is not None:
        return _given(standing, running.tension)
    if drive.layout.belt.elastic:
        return _stretched(drive, guides)
    ask = "give running.tension in N, measured with the belt at rest"
    if standing is None:
        return Unknown(f"the belt has no tensioner, so its tension is not known; {ask}")
    if standing.tensioner.spring is None:
        return Unknown(
            f"the tensioner ({standing.tensioner.kind}) has no spring in the layout, so the "
            f"tension it was set to is not known; {ask}"
        )
    return _sprung(standing)


def _given(standing: Stand | None, tension: float) -> Held | Unknown:
    """A measured tension, and whether a spring holds it: every arm has one, a slide may."""
    if standing is None:
        return Held.exactly("given", tension, sprung=False)
    t = standing.tensioner
    sprung = t.kind == "arm" or t.spring is not None
    if sprung and not _tightens(standing):
        return _NOT_TIGHTENED
    return Held.exactly("given", tension, sprung=sprung)


def _tightens(standing: Stand) -> bool:
    """Whether the spring takes up slack where the tensioner stands.

    A spring drives its tensioner to the free stop; it tightens the belt while the path gets longer
    that way, which it no longer does past over-centre.
    """
    t = standing.tensioner
    return (standing.rate if t.free > t.load else -standing.rate) > ON_CENTRE


_IN_DOUBT = Unknown("where the tensioner stands is in doubt; put its faults right first")
_EXCHANGED = Unknown(
    "the tensioner's stops look exchanged, so that by them it does not tighten the belt; put "
    "tensioner.free and load right first"
)
_NOT_TIGHTENED = Unknown(
    "the belt's path gets no longer towards the tensioner's free stop from where it stands, so its "
    "spring does not tighten the belt there; check tensioner.free and load"
)


def _sprung(standing: Stand) -> Held | Unknown:
    """What the spring holds, if it tightens the belt at all (on centre no tension balances it)."""
    tension = standing.tension
    if not spring_known(standing.tensioner):
        return Unknown("the spring's `at` is no place of the travel; put it right first")
    if tension is None or not _tightens(standing):
        return _NOT_TIGHTENED
    if tension <= 0.0:
        return Unknown(
            "the spring of the layout has no force left where the tensioner stands; check "
            "tensioner.spring, at and rate"
        )
    return Held.exactly("spring", tension, sprung=True)


def _stretched(drive: Drive, guides: Guides) -> Held | Unknown:
    """T = EA·(path − belt)/belt, least with a soft long belt, most with a stiff short one."""
    belt, path = drive.layout.belt, drive.path
    if belt.length is None:
        return Unknown("the stretch of the stretch-fit belt is not known; give belt.length")
    if guides.stiffness is None:
        return Unknown(
            f"no cord stiffness is known for stretch-fit {belt.section.name} belts; give "
            f"running.stiffness_per_rib, or running.tension measured with the belt at rest"
        )
    off = belt.tolerance or 0.0
    soft, stiff = guides.stiffness
    low, high, most = (
        stiffness.value * belt.ribs * (path.length - length) / length
        for stiffness, length in (
            (soft, belt.length + off),
            (stiff, belt.length - off),
            (stiff, belt.length),
        )
    )
    if most <= 0.0:
        return Unknown("the stretch-fit belt is longer than its path, so nothing stretches it")
    return Held("stretch", max(low, 0.0), high, False, most)


def _case(
    drive: Drive, running: Running, guides: Guides, held: Held, tension: float, mass: float
) -> tuple[AtSpeed, ...]:
    """The drive at every crank speed for one tension at rest."""
    return tuple(
        _at_speed(drive, guides, held.sprung, tension, mass, rpm) for rpm in running.crank_rpm
    )


def _at_speed(
    drive: Drive, guides: Guides, sprung: bool, tension: float, mass: float, rpm: float
) -> AtSpeed:
    path = drive.path
    speed = belt_speed(path.pitch_radius(0), rpm)
    inertia = mass * speed * speed
    pulls = _pulls(drive, speed)
    # By how much each span's tension exceeds that of the span that leaves the crank.
    above = tuple(accumulate((0.0, *pulls[1:])))
    if sprung and drive.stand is not None:
        base = _base_of_spring(drive, drive.stand, tension, above)
    else:
        base = tension - _mean(path, above) - inertia
    grips = tuple(base + rise for rise in above)
    return AtSpeed(
        crank_rpm=rpm,
        belt_speed=speed,
        spans=tuple(_spans(path, grips, inertia, mass, tension)),
        contacts=tuple(_contacts(drive, guides, grips, pulls, rpm)),
    )


def _pulls(drive: Drive, speed: float) -> tuple[float, ...]:
    """What each contact adds to the tension, T_out − T_in in N; the crank takes it all back."""
    loads = [drive.layout.pulleys[c.pulley].load for c in drive.path.contacts]
    driven = [_pull(load, drive.path.pitch_radius(i), speed) for i, load in enumerate(loads)]
    return (0.0 - sum(driven[1:]), *driven[1:])


def _pull(load: Load | None, pitch_radius: float, speed: float) -> float:
    """Q/r_pitch of a load in N; for a power it is P/v, since Q·ω = P and ω·r_pitch = v."""
    if load is None:
        return 0.0
    if load.power_kw is not None:
        return load.power_kw * 1000.0 / speed
    return (load.torque_nm or 0.0) * MM_PER_M / pitch_radius


def _mean(path: BeltPath, above: Sequence[float]) -> float:
    """Mean over the belt's length of the spans' tensions above the first.

    On an arc the mean of its two ends stands for the tension (it really runs by the capstan
    relation, for a part of the arc).
    """
    total = length = 0.0
    for i, (contact, span) in enumerate(zip(path.contacts, path.spans, strict=True)):
        arc = path.pitch_radius(i) * contact.wrap
        total += above[i] * span.length + arc * (above[i - 1] + above[i]) / 2.0
        length += span.length + arc
    return total / length


def _base_of_spring(drive: Drive, standing: Stand, tension: float, above: Sequence[float]) -> float:
    """Grip tension of the span leaving the crank, from equilibrium of the tensioner.

    With g = u·dc/dposition of the spans before and after, the spring's effort E = T·|dL/dposition|
    balances G_in·g_in − G_out·g_out. Should the tensioner's own pulley be loaded, then
    G_out = G_in + Q/r_pitch, and on an arm the accessory's housing, which rides on it, adds Q.
    """
    t, path = standing.tensioner, drive.path
    i = path.index(t.pulley)
    travel = Travel(t, path, drive.layout.pulleys[t.pulley].at)
    vx, vy = travel.velocity(standing.position)
    before, after = path.spans[i - 1].direction, path.spans[i].direction
    g_in, g_out = before[0] * vx + before[1] * vy, after[0] * vx + after[1] * vy
    effort = tension * standing.rate
    housing = 0.0
    if t.pivot is not None:
        torque = (above[i] - above[i - 1]) * path.pitch_radius(i)
        housing = radians(path.contacts[i].sign * torque)
    return (effort + above[i] * g_out - above[i - 1] * g_in + housing) / standing.rate


def _spans(
    path: BeltPath, grips: Sequence[float], inertia: float, mass: float, tension: float
) -> Iterator[SpanForce]:
    for span, grip in zip(path.spans, grips, strict=True):
        yield SpanForce(
            start=span.start,
            end=span.end,
            grip=grip,
            tension=grip + inertia,
            mass=mass,
            length=span.length,
            standing_frequency=span_frequency(tension, mass, span.length),
        )


def _contacts(
    drive: Drive, guides: Guides, grips: Sequence[float], pulls: Sequence[float], rpm: float
) -> Iterator[ContactForce]:
    path = drive.path
    for i, contact in enumerate(path.contacts):
        before, after = path.spans[i - 1].direction, path.spans[i].direction
        yield ContactForce(
            pulley=contact.pulley,
            rpm=rpm * path.speed_ratio(i),
            torque=pulls[i] * path.pitch_radius(i) / MM_PER_M,
            friction=contact_friction(drive.layout, path, i, guides).value,
            wrap=contact.wrap,
            entering=grips[i - 1],
            leaving=grips[i],
            hub=hub_load(grips[i - 1], grips[i], before, after),
        )
