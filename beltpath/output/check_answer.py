"""The machine-readable answer of a study: plain values, ready for JSON. Lengths mm, angles deg."""

from __future__ import annotations

from math import atan2, degrees
from typing import Any

from beltpath.checks.findings import Finding
from beltpath.checks.judged import tolerance_of, tolerance_words
from beltpath.checks.plausible import sets_forces
from beltpath.errors import UsageError
from beltpath.layout.designation import designation
from beltpath.layout.records import Belt
from beltpath.output.force_answer import forces_answer, guides_answer
from beltpath.solve.reliance import Doubt, doubt, told_of
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study


def answer(study: Study) -> dict[str, Any]:
    """Everything `check --json` says about one layout. Raises UsageError for what is no study."""
    if not isinstance(study, Study):
        raise UsageError(f"an answer is of a Study; found {type(study).__name__}")
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
        "findings": [_finding(finding) for finding in study.findings],
    }


def _belt(study: Study) -> dict[str, Any]:
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


def _contacts(study: Study) -> list[dict[str, Any]]:
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


def _spans(study: Study) -> list[dict[str, Any]]:
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


def _tensioner(study: Study) -> dict[str, Any] | None:
    if study.stand is None:
        return None
    told = tensioner_answer(study.stand, doubt(study.drive))
    return {**told, "tension_n": None} if sets_forces(study.layout) else told


def tensioner_answer(stand: Stand, unsure: Doubt | None) -> dict[str, Any]:
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


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "check": finding.check,
        "level": finding.level,
        "pulleys": list(finding.pulleys),
        "message": finding.message,
        "source": finding.source,
    }


#: Other answers tell of findings in the same way.
finding_answer = _finding
