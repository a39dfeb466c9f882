"""What a search gives: plain values for JSON, and a layout file's text with a route in it.

Lengths in mm, angles in degrees.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import tomlkit

from beltpath.checks.findings import Finding
from beltpath.layout.reader import parse
from beltpath.ranking.find import Search
from beltpath.ranking.rank import RankedRoute
from beltpath.routing.search import FoundRoute
from beltpath.routing.solve import sides_to_write

_BOM = "\ufeff"


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
        "candidates": [_ranked(route) for route in search.ranked],
        "others": [_other(found) for found in search.others],
    }


def _ranked(route: RankedRoute) -> dict[str, Any]:
    fit = route.fit
    return {
        "route": list(route.route),
        "contacts": [
            {"pulley": pulley, "side": side, "turns": turns}
            for pulley, side, turns in zip(route.route, route.sides, route.senses, strict=True)
        ],
        "left_out": list(route.left_out),
        "effective_length_mm": route.length,
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
        "verdict": route.verdict,
        "findings": [_finding(finding) for finding in route.findings],
        "reasons": list(route.reasons),
    }


def _other(found: FoundRoute) -> dict[str, Any]:
    shortest, longest = found.span_of_lengths
    return {
        "route": list(found.route),
        "contacts": [
            {"pulley": pulley, "side": side, "turns": found.turns_of[pulley]}
            for pulley, side in found.side_of.items()
        ],
        "shortest_mm": shortest,
        "longest_mm": longest,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    told = asdict(finding)
    del told["where"]
    return {**told, "pulleys": list(finding.pulleys)}


def write_route(text: str, route: RankedRoute) -> str:
    """The text of a layout file with this route in it; all else stays as it is.

    A pulley's `side` is written only where the layout, read with this route, would not infer it.
    Raises LayoutError when the text is not a sound layout.
    """
    layout = parse(text)
    document = tomlkit.parse(text.removeprefix(_BOM))
    document["route"] = list(route.route)
    pulleys = document["pulleys"]
    for name, side in sides_to_write(layout, route.found).items():
        pulleys[name]["side"] = side
    mark = _BOM if text.startswith(_BOM) else ""
    return mark + tomlkit.dumps(document)
