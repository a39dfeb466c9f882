"""The machine-readable answer of a comparison: plain values, ready for JSON."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from math import isfinite
from typing import Any

from beltpath.comparison import Comparison, Difference, Pair, Ride
from beltpath.data.sections import Section
from beltpath.output.check_answer import finding_answer, tensioner_answer
from beltpath.solve.reliance import doubt
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study


def comparison_answer(comparison: Comparison) -> dict[str, Any]:
    """Everything `compare --json` says. Lengths mm, angles deg, speeds rpm, forces N."""
    old = comparison.old_belt
    return {
        "units": "mm",
        "verdict": comparison.verdict.after,
        "before": _side(comparison.before),
        "after": _side(comparison.after),
        "changes": [_difference(d) for d in comparison.differences],
        "needed_length_mm": _pair(comparison.length),
        "old_belt": None if old is None else {"reached": old.reached, **_old_belt(comparison, old)},
        "speeds": list(comparison.speeds),
        "contacts": [_ride(ride) for ride in comparison.rides],
        "new": [finding_answer(f) for f in comparison.new],
        "gone": [finding_answer(f) for f in comparison.gone],
        "still": [finding_answer(f) for f in comparison.still],
    }


def _side(study: Study) -> dict[str, Any]:
    stand = study.stand
    return {
        "title": study.layout.title,
        "digest": study.layout.digest,
        "verdict": study.verdict,
        "uncertainty_mm": study.uncertainty.expanded,
        "given_length_mm": study.layout.belt.length,
        "tensioner": None if stand is None else tensioner_answer(stand, doubt(study.drive)),
    }


def _old_belt(comparison: Comparison, old: Stand) -> dict[str, Any]:
    """The tensioner of the drive after with the belt of the drive before."""
    drive = replace(comparison.after.drive, path=old.path, stand=old)
    return tensioner_answer(old, doubt(drive))


def _difference(d: Difference) -> dict[str, Any]:
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


def _ride(ride: Ride) -> dict[str, Any]:
    return {
        "pulley": ride.pulley,
        "turns": _pair(ride.turns),
        "side": _pair(ride.side),
        "wrap_deg": _pair(ride.wrap),
        "speed_ratio": _pair(ride.ratio),
        "rpm": [_pair(rpm) for rpm in ride.rpm],
        "slip_reserve": _pair(ride.reserve),
        "hub_load_n": _pair(ride.hub_load),
    }


def _pair(pair: Pair[Any]) -> dict[str, Any]:
    """Both values; a slip reserve without limit is null, as in `check --json`."""
    return {"before": _finite(pair.before), "after": _finite(pair.after)}


def _finite(value: Any) -> Any:
    return None if isinstance(value, float) and not isfinite(value) else value
