"""The machine-readable answer of a search: plain values, ready for JSON. Lengths mm, angles deg."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from beltpath.findings import Finding
from beltpath.routes.candidate import Candidate
from beltpath.routes.find import Search
from beltpath.routing import Way


def routes_answer(search: Search) -> dict[str, Any]:
    """Everything `routes --json` says about one layout."""
    return {
        "title": search.layout.title,
        "units": "mm",
        "given_length_mm": search.layout.belt.length,
        "summary": search.summary,
        "complete": search.complete,
        "work": search.work,
        "unreachable": list(search.unreachable),
        "candidates": [_candidate(candidate) for candidate in search.candidates],
        "others": [_other(way) for way in search.others],
    }


def _candidate(candidate: Candidate) -> dict[str, Any]:
    fit = candidate.fit
    return {
        "route": list(candidate.route),
        "contacts": [
            {"pulley": pulley, "side": side, "turns": turns}
            for pulley, side, turns in zip(
                candidate.route, candidate.sides, candidate.senses, strict=True
            )
        ],
        "left_out": list(candidate.left_out),
        "effective_length_mm": candidate.length,
        "fit": {
            "fits": fit.fits,
            "off_mm": fit.off,
            "shortest_mm": fit.shortest,
            "longest_mm": fit.longest,
            "position": fit.position,
            "in_window": fit.in_window,
            "tightens": fit.tightens,
            "as_measured": fit.as_measured,
        },
        "verdict": candidate.verdict,
        "findings": [_finding(finding) for finding in candidate.findings],
        "reasons": list(candidate.reasons),
    }


def _other(way: Way) -> dict[str, Any]:
    lengths = [opening.length for opening in way.openings]
    return {
        "route": list(way.route),
        "contacts": [
            {"pulley": pulley, "side": side, "turns": way.turns_of[pulley]}
            for pulley, side in way.side_of.items()
        ],
        "shortest_mm": min(lengths),
        "longest_mm": max(lengths),
    }


def _finding(finding: Finding) -> dict[str, Any]:
    told = asdict(finding)
    del told["where"]
    return {**told, "pulleys": list(finding.pulleys)}
