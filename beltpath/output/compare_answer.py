"""The typed answer of `compare`. Lengths mm, angles deg, speeds rpm, forces N."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from math import isfinite
from typing import Annotated, Any, Literal, TypeVar

from typing_extensions import TypedDict

from beltpath.checks.findings import Verdict
from beltpath.comparison import Comparison, Difference, Pair, Ride
from beltpath.data.sections import Section
from beltpath.layout.keys import Sense, Side
from beltpath.output.check_answer import (
    FindingAnswer,
    TensionerAnswer,
    findings_answer,
    tensioner_answer,
)
from beltpath.output.records import BeforeAfter, Doc
from beltpath.solve.reliance import doubt
from beltpath.solve.tensioner import Reached, Stand
from beltpath.studies import Study

T = TypeVar("T")

# --- what it holds -------------------------------------------------------------------------------

_Anything = Annotated[
    Any,
    Doc(
        "A value of any kind, lengths in mm; null: not given; true and false: there or not.",
    ),
]
_Findings = Annotated[list[FindingAnswer], Doc("Matched by check, level and pulleys.")]


class ComparedLayout(TypedDict):
    """One of the two layouts."""

    title: Annotated[str, Doc("Its title.")]
    digest: Annotated[str, Doc("The digest of its text, as on its card.")]
    verdict: Annotated[Verdict, Doc("fail with any fault.")]
    uncertainty_mm: Annotated[float, Doc("± on the length by the measurements, at 95 %.")]
    given_length_mm: Annotated[float | None, Doc("The length of the belt in hand.")]
    tensioner: TensionerAnswer | None


class ChangeAnswer(TypedDict):
    """One fact that differs."""

    subject: Annotated[str, Doc("A pulley's name, or belt, tensioner, running or layout.")]
    is_pulley: Annotated[bool, Doc("Whether the subject is a pulley.")]
    key: Annotated[str, Doc("The key that differs; pulley: the pulley as a whole.")]
    before: _Anything
    after: _Anything


class OldBelt(TensionerAnswer):
    """The drive after with the belt in hand of the one before."""

    reached: Annotated[Reached, Doc("How it was found.")]


class ComparedContact(TypedDict):
    """One pulley before and after. A null is not known, or has no limit."""

    pulley: Annotated[str, Doc("Its name.")]
    turns: Annotated[BeforeAfter[Sense], Doc("The sense it turns in.")]
    side: Annotated[BeforeAfter[Side], Doc("The side of the belt on it.")]
    wrap_deg: Annotated[BeforeAfter[float], Doc("Wrap angle.")]
    speed_ratio: Annotated[BeforeAfter[float], Doc("Pulley speed over crank speed.")]
    rpm: Annotated[list[BeforeAfter[float]], Doc("Its speed at each of `speeds`.")]
    slip_reserve: Annotated[BeforeAfter[float | None], Doc("The least over the speeds of both.")]
    hub_load_n: Annotated[BeforeAfter[float | None], Doc("The greatest over the speeds of both.")]


class CompareAnswer(TypedDict):
    """Two layouts compared; fields may be added, never renamed."""

    units: Literal["mm"]
    verdict: Annotated[Verdict, Doc("The verdict of the layout after.")]
    before: Annotated[ComparedLayout, Doc("The layout before.")]
    after: Annotated[ComparedLayout, Doc("The layout after.")]
    changes: Annotated[list[ChangeAnswer], Doc("What differs between the layouts.")]
    needed_length_mm: Annotated[
        BeforeAfter[float | None], Doc("As measured; null: no belt fits so.")
    ]
    old_belt: OldBelt | None
    speeds: Annotated[list[float], Doc("Crank speeds of both layouts, rpm, as in after.")]
    contacts: Annotated[
        list[ComparedContact], Doc("Pulleys that both belts meet; none if one cannot be.")
    ]
    new: _Findings
    gone: _Findings
    still: _Findings


# --- how it is filled ----------------------------------------------------------------------------


def comparison_answer(comparison: Comparison) -> CompareAnswer:
    """Everything `compare --json` says."""
    old = comparison.old_belt
    return {
        "units": "mm",
        "verdict": comparison.verdict.after,
        "before": _side(comparison.before),
        "after": _side(comparison.after),
        "changes": [_difference(d) for d in comparison.differences],
        "needed_length_mm": _pair(comparison.length),
        "old_belt": None if old is None else _old_belt(comparison, old),
        "speeds": list(comparison.speeds),
        "contacts": [_ride(ride) for ride in comparison.rides],
        "new": findings_answer(comparison.new),
        "gone": findings_answer(comparison.gone),
        "still": findings_answer(comparison.still),
    }


def _side(study: Study) -> ComparedLayout:
    stand = study.stand
    return {
        "title": study.layout.title,
        "digest": study.layout.digest,
        "verdict": study.verdict,
        "uncertainty_mm": study.uncertainty.expanded,
        "given_length_mm": study.layout.belt.length,
        "tensioner": None if stand is None else tensioner_answer(stand, doubt(study.drive)),
    }


def _old_belt(comparison: Comparison, old: Stand) -> OldBelt:
    """The tensioner of the drive after with the belt of the drive before."""
    drive = replace(comparison.after.drive, path=old.path, stand=old)
    return {"reached": old.reached, **tensioner_answer(old, doubt(drive))}


def _difference(d: Difference) -> ChangeAnswer:
    return {
        "subject": d.subject,
        "is_pulley": d.pulley,
        "key": d.key,
        "before": _plain(d.before),
        "after": _plain(d.after),
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Section):
        return value.name
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(inner) for inner in value]
    return value


def _ride(ride: Ride) -> ComparedContact:
    return {
        "pulley": ride.pulley,
        "turns": _pair(ride.turns),
        "side": _pair(ride.side),
        "wrap_deg": _pair(ride.wrap),
        "speed_ratio": _pair(ride.ratio),
        "rpm": [_pair(rpm) for rpm in ride.rpm],
        "slip_reserve": _pair(Pair(_finite(ride.reserve.before), _finite(ride.reserve.after))),
        "hub_load_n": _pair(ride.hub_load),
    }


def _pair(pair: Pair[T]) -> BeforeAfter[T]:
    return {"before": pair.before, "after": pair.after}


def _finite(reserve: float | None) -> float | None:
    """A slip reserve without limit is null, as in `check --json`."""
    return None if reserve is None or not isfinite(reserve) else reserve
