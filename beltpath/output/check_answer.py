"""The typed answer of `check`. Lengths mm, angles deg, forces N, torques N·m, frequencies Hz."""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, degrees, isfinite
from typing import Annotated, Literal

from typing_extensions import TypedDict

from beltpath.checks.findings import Finding, Level, Verdict
from beltpath.checks.judged import tolerance_of, tolerance_words
from beltpath.checks.plausible import sets_forces
from beltpath.data.sections import SectionName
from beltpath.data.tables import Sourced
from beltpath.layout.designation import designation
from beltpath.layout.keys import Sense, Side, TensionerKind
from beltpath.layout.records import Belt
from beltpath.output.records import Doc, Point, Ribs
from beltpath.solve.forces import AtSpeed, Basis, ContactForce, Forces, SpanForce
from beltpath.solve.reliance import Doubt, doubt, told_of
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study

# --- what it holds -------------------------------------------------------------------------------


class BeltAnswer(TypedDict):
    """The belt."""

    section: Annotated[SectionName, Doc("Its section.")]
    ribs: Ribs
    effective_length_mm: Annotated[float, Doc("Length of the effective line as solved.")]
    pitch_length_mm: Annotated[float, Doc("Length of the pitch line.")]
    uncertainty_mm: Annotated[float, Doc("± on the length by the measurements, at 95 %.")]
    given_length_mm: Annotated[float | None, Doc("The length of the belt in hand.")]
    tolerance_mm: Annotated[float | None, Doc("± on that.")]
    tolerance_source: Annotated[str | None, Doc("given, or how little is known of the table's.")]
    designation: Annotated[str | None, Doc("The designation of the belt in hand.")]


class ContactAnswer(TypedDict):
    """One pulley as the belt meets it."""

    pulley: Annotated[str, Doc("The pulley's name.")]
    side: Annotated[Side, Doc("Which side of the belt touches.")]
    turns: Annotated[Sense, Doc("The sense the pulley turns in.")]
    wrap_deg: Annotated[float, Doc("Wrap angle.")]
    arc_mm: Annotated[float, Doc("Arc of contact on the effective line.")]
    enter: Point
    leave: Point
    speed_ratio: Annotated[float, Doc("Pulley speed over crank speed.")]


_Ends = TypedDict(
    "_Ends",
    {
        "from": Annotated[str, Doc("The pulley it leaves.")],
        "to": Annotated[str, Doc("The pulley it meets.")],
    },
)


class SpanAnswer(_Ends):
    """The straight run between two contacts, in the direction of travel."""

    length_mm: Annotated[float, Doc("Its length.")]
    angle_deg: Annotated[float, Doc("Its direction of travel, 0 to 360.")]
    clearance_mm: Annotated[
        float | None, Doc("Belt face to the nearest other rim; negative: through it.")
    ]
    nearest: Annotated[str | None, Doc("The pulley of that rim.")]


class TensionerAnswer(TypedDict):
    """The tensioner; positions in degrees (arm, swing) or mm (slide). Null: in doubt by a fault."""

    pulley: Annotated[str, Doc("The pulley it carries.")]
    kind: Annotated[TensionerKind, Doc("How it moves.")]
    position: Annotated[float | None, Doc("Where it stands.")]
    free: Annotated[float, Doc("Its stop with no belt.")]
    load: Annotated[float, Doc("Its stop with the lever held fully over.")]
    travel_used: Annotated[float | None, Doc("0 at the free stop, 1 at the load stop.")]
    at: Point
    shortest_mm: Annotated[float | None, Doc("Shortest belt that its travel takes.")]
    longest_mm: Annotated[float | None, Doc("The longest belt that it keeps taut.")]
    take_up_mm: Annotated[float | None, Doc("Effective length left to take up to its free stop.")]
    rate_mm_per_unit: Annotated[float | None, Doc("Effective length for a degree or mm of travel.")]
    release: Annotated[
        Sense | float | None,
        Doc("To slacken: the way an arm or swing goes, the direction in which a slide goes."),
    ]
    tension_n: Annotated[
        float | None, Doc("Belt tension at rest by the spring; null without one too.")
    ]


class SpanForceAnswer(_Ends):
    """One span."""

    tension_n: Annotated[float | None, Doc("Its tension T; null where it is slack.")]
    grip_n: Annotated[float | None, Doc("T − m·v², which presses on the pulleys.")]
    frequency_hz: Annotated[float | None, Doc("Of the span under that tension, standing still.")]
    standing_frequency_hz: Annotated[
        float, Doc("What the plucked span sounds with the engine off.")
    ]


class ContactForceAnswer(TypedDict):
    """One contact; null beside a slack span."""

    pulley: Annotated[str, Doc("The pulley's name.")]
    rpm: Annotated[float, Doc("Its speed.")]
    torque_nm: Annotated[float, Doc("Its torque, positive where the belt drives it.")]
    friction: Annotated[float, Doc("Effective friction there.")]
    slip_reserve: Annotated[
        float | None, Doc("Grip available over needed; null: none needed; 0: a slack span.")
    ]
    hub_load_n: Annotated[float | None, Doc("The belt's force on its hub, of the spans' grip.")]
    hub_load_deg: Annotated[float | None, Doc("The direction of that force.")]


class CaseAnswer(TypedDict):
    """Where the tension is known as an interval: its high case; the low one stands beside it."""

    spans: Annotated[list[SpanForceAnswer], Doc("In route order.")]
    contacts: Annotated[list[ContactForceAnswer], Doc("In route order.")]


class ForcesAnswer(CaseAnswer):
    """One crank speed."""

    crank_rpm: Annotated[float, Doc("Crank speed.")]
    belt_speed_m_s: Annotated[float, Doc("Belt speed.")]
    basis: Annotated[Basis, Doc("What sets the tension.")]
    mass_kg_m: Annotated[float, Doc("Mass of the belt per metre.")]
    high: CaseAnswer | None


class GuideAnswer(TypedDict):
    """A value that the forces rest on."""

    key: Annotated[str, Doc("Its name; a layout overrides it under [running].")]
    value: Annotated[float, Doc("Its value.")]
    unit: Annotated[str, Doc("Its unit; 1 for none.")]
    status: Annotated[str, Doc("published, computed, common practice, from memory or given.")]
    source: Annotated[str, Doc("Where it comes from.")]


class FindingAnswer(TypedDict):
    """One result of a check."""

    check: Annotated[str, Doc("The check's name.")]
    level: Annotated[Level, Doc("A fault fails the drive.")]
    pulleys: Annotated[list[str], Doc("The pulleys it is about; may be none.")]
    message: Annotated[str, Doc("What is found and what to do.")]
    source: Annotated[str, Doc("Where its limit comes from.")]


class CheckAnswer(TypedDict):
    """One layout, solved and checked."""

    title: Annotated[str, Doc("The layout's title.")]
    verdict: Annotated[Verdict, Doc("fail with any fault, caution with any caution.")]
    units: Literal["mm"]
    belt: BeltAnswer
    contacts: Annotated[list[ContactAnswer], Doc("In route order, crank first.")]
    spans: Annotated[list[SpanAnswer], Doc("Span i leaves contact i.")]
    tensioner: TensionerAnswer | None
    forces: Annotated[list[ForcesAnswer] | None, Doc("One entry for each crank speed.")]
    guides: Annotated[list[GuideAnswer] | None, Doc("What the forces rest on.")]
    findings: Annotated[list[FindingAnswer], Doc("Faults first, then cautions, then notes.")]


_File = Annotated[str, Doc("The file as it was named in the call; - is standard input.")]


class UnusableFile(TypedDict):
    """A file that cannot be used."""

    file: _File
    error: Annotated[str, Doc("Every problem found, a line each.")]


class CheckedFile(CheckAnswer):
    """One of several layouts."""

    file: _File


_Files = Annotated[
    list[CheckedFile | UnusableFile],
    Doc("Several files: one entry each, in the order of the call.", minItems=2),
]
CheckReply = Annotated[
    CheckAnswer | UnusableFile | _Files,
    Doc(
        "Lengths in mm and angles in degrees anticlockwise from +x, seen from the front, whatever "
        "the layout's own units. Fields may be added, never renamed."
    ),
]

# --- how it is filled ----------------------------------------------------------------------------


def answer(study: Study) -> CheckAnswer:
    """Everything `check --json` says about one layout."""
    return {
        "title": study.layout.title,
        "verdict": study.verdict,
        "units": "mm",
        "belt": _belt(study),
        "contacts": _contacts(study),
        "spans": _spans(study),
        "tensioner": _tensioner(study),
        "forces": forces_answer(study.forces),
        "guides": guides_answer(study.forces),
        "findings": findings_answer(study.findings),
    }


def _belt(study: Study) -> BeltAnswer:
    belt, path = study.layout.belt, study.path
    return {
        "section": belt.section.name,
        "ribs": belt.ribs,
        "effective_length_mm": path.length,
        "pitch_length_mm": path.pitch_length,
        "uncertainty_mm": study.uncertainty.expanded,
        "given_length_mm": belt.length,
        "tolerance_mm": None if belt.length is None else tolerance_of(belt),
        "tolerance_source": None if belt.length is None else tolerance_words(belt),
        "designation": _designation(belt),
    }


def _designation(belt: Belt) -> str | None:
    return None if belt.length is None else designation(belt.section.name, belt.ribs, belt.length)


def _contacts(study: Study) -> list[ContactAnswer]:
    path = study.path
    return [
        {
            "pulley": contact.pulley,
            "side": path.sides[i],
            "turns": contact.turns,
            "wrap_deg": degrees(contact.wrap),
            "arc_mm": contact.arc,
            "enter": list(contact.enter),
            "leave": list(contact.leave),
            "speed_ratio": path.speed_ratio(i),
        }
        for i, contact in enumerate(path.contacts)
    ]


def _spans(study: Study) -> list[SpanAnswer]:
    return [
        {
            "from": span.start,
            "to": span.end,
            "length_mm": span.length,
            "angle_deg": degrees(atan2(span.direction[1], span.direction[0])) % 360.0,
            "clearance_mm": near.gap,
            "nearest": near.nearest,
        }
        for span, near in zip(study.path.spans, study.drive.span_clearances, strict=True)
    ]


def _tensioner(study: Study) -> TensionerAnswer | None:
    if study.stand is None:
        return None
    told = tensioner_answer(study.stand, doubt(study.drive))
    return {**told, "tension_n": None} if sets_forces(study.layout) else told


def tensioner_answer(stand: Stand, unsure: Doubt | None) -> TensionerAnswer:
    """What `check --json` says about the tensioner; None for what a fault leaves in doubt."""
    t, told = stand.tensioner, told_of(stand, unsure)
    return {
        "pulley": t.pulley,
        "kind": t.kind,
        "position": told.position,
        "free": t.free,
        "load": t.load,
        "travel_used": told.travel_used,
        "at": list(stand.at),
        "shortest_mm": told.shortest,
        "longest_mm": told.longest,
        "take_up_mm": told.take_up,
        "rate_mm_per_unit": told.rate,
        "release": told.release,
        "tension_n": told.tension,
    }


def findings_answer(findings: Iterable[Finding]) -> list[FindingAnswer]:
    """What every answer says about findings."""
    return [
        {
            "check": finding.check,
            "level": finding.level,
            "pulleys": list(finding.pulleys),
            "message": finding.message,
            "source": finding.source,
        }
        for finding in findings
    ]


def forces_answer(forces: Forces | None) -> list[ForcesAnswer] | None:
    """What `check --json` says under `forces`: one entry a crank speed.

    Where the tension is an interval, `spans` and `contacts` are the low case and `high` holds both
    again for the high case; else `high` is None.
    """
    if forces is None:
        return None
    return [
        {
            "crank_rpm": low.crank_rpm,
            "belt_speed_m_s": low.belt_speed,
            "basis": forces.held.basis,
            "mass_kg_m": forces.mass,
            **_case(low),
            "high": _case(high) if forces.interval else None,
        }
        for low, high in zip(forces.low, forces.high, strict=True)
    ]


def guides_answer(forces: Forces | None) -> list[GuideAnswer] | None:
    """The guide values that the forces rest on, each with its source."""
    if forces is None:
        return None
    guides = forces.guides
    rows: dict[str, Sourced | None] = {
        "friction_ribs": guides.friction_ribs,
        "friction_back": guides.friction_back,
        "mass_per_rib": guides.mass,
    }
    if forces.held.basis == "stretch" and guides.stiffness is not None:
        rows["stiffness_per_rib"], rows["stiffness_per_rib_high"] = guides.stiffness
    return [_guide(key, row) for key, row in rows.items() if row is not None]


def _case(at: AtSpeed) -> CaseAnswer:
    return {
        "spans": [_span(span) for span in at.spans],
        "contacts": [_contact(contact) for contact in at.contacts],
    }


def _span(span: SpanForce) -> SpanForceAnswer:
    return {
        "from": span.start,
        "to": span.end,
        "tension_n": None if span.slack else span.tension,
        "grip_n": None if span.slack else span.grip,
        "frequency_hz": None if span.slack else span.frequency,
        "standing_frequency_hz": span.standing_frequency,
    }


def _contact(contact: ContactForce) -> ContactForceAnswer:
    reserve = contact.slip_reserve
    return {
        "pulley": contact.pulley,
        "rpm": contact.rpm,
        "torque_nm": contact.torque,
        "friction": contact.friction,
        "slip_reserve": reserve if isfinite(reserve) else None,
        "hub_load_n": None if contact.slack else contact.hub_load,
        "hub_load_deg": None if contact.slack else contact.hub_direction,
    }


def _guide(key: str, row: Sourced) -> GuideAnswer:
    return {
        "key": key,
        "value": row.value,
        "unit": row.unit,
        "status": row.status,
        "source": row.source,
    }
