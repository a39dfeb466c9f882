"""The typed answer of `routes`, and a layout file's text with a route in it. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import tomlkit
from typing_extensions import TypedDict

from beltpath.checks.findings import Verdict
from beltpath.layout.keys import Sense, Side
from beltpath.layout.reader import parse
from beltpath.output.check_answer import FindingAnswer, findings_answer
from beltpath.output.records import Doc
from beltpath.ranking.find import Search
from beltpath.ranking.rank import Fit, RankedRoute
from beltpath.routing.search import FoundRoute
from beltpath.routing.solve import sides_to_write

_BOM = "\ufeff"

# --- what it holds -------------------------------------------------------------------------------


class RouteContact(TypedDict):
    """One contact."""

    pulley: Annotated[str, Doc("The pulley's name.")]
    side: Annotated[Side, Doc("Which side of the belt touches.")]
    turns: Annotated[Sense, Doc("The sense the pulley turns in.")]


class FitAnswer(TypedDict):
    """Whether the belt in hand fits."""

    fits: Annotated[bool | None, Doc("Null: no belt is known.")]
    off_mm: Annotated[float | None, Doc("By how much it is short (−) or long (+).")]
    shortest_mm: Annotated[float, Doc("The shortest belt that this way takes.")]
    longest_mm: Annotated[float, Doc("The longest.")]
    position: Annotated[float | None, Doc("Where the tensioner stands, degrees or mm.")]
    in_window: Annotated[bool | None, Doc("Null: no window is known.")]
    tightens: Annotated[bool | None, Doc("False: the spring would slacken the belt.")]
    as_measured: Annotated[bool, Doc("Whether the belt can go this way where `at` is.")]


class _Way(TypedDict):
    route: Annotated[list[str], Doc("Pulleys in the belt's travel, crank first.")]
    contacts: Annotated[list[RouteContact], Doc("In route order.")]


class RouteCandidate(_Way):
    """One way, studied."""

    left_out: Annotated[list[str], Doc("Optional pulleys that it does without.")]
    effective_length_mm: Annotated[float, Doc("Length of the effective line as solved.")]
    fit: FitAnswer
    verdict: Annotated[Verdict, Doc("fail with any fault.")]
    findings: Annotated[list[FindingAnswer], Doc("Faults first.")]
    reasons: Annotated[list[str], Doc("What tells it from the others.")]


class OtherRoute(_Way):
    """One way that is not studied."""

    shortest_mm: Annotated[float, Doc("The shortest belt at the places tried.")]
    longest_mm: Annotated[float, Doc("The longest.")]


class RoutesAnswer(TypedDict):
    """Every way that the belt can go.

    Lengths in mm, whatever the layout's own units. Fields may be added, never renamed.
    """

    title: Annotated[str, Doc("The layout's title.")]
    units: Literal["mm"]
    given_length_mm: Annotated[float | None, Doc("The length of the belt in hand.")]
    summary: Annotated[str, Doc("How the search ended.")]
    complete: Annotated[bool, Doc("False: it stopped at its limit, and there may be more ways.")]
    work: Annotated[int, Doc("Steps of the search.", minimum=0)]
    unreachable: Annotated[list[str], Doc("Pulleys that no span leads to.")]
    candidates: Annotated[list[RouteCandidate], Doc("The ways studied, the likeliest first.")]
    others: Annotated[list[OtherRoute], Doc("The ways not studied.")]


# --- how it is filled ----------------------------------------------------------------------------


def routes_answer(search: Search) -> RoutesAnswer:
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


def _ranked(route: RankedRoute) -> RouteCandidate:
    return {
        "route": list(route.route),
        "contacts": _contacts(zip(route.route, route.sides, route.senses, strict=True)),
        "left_out": list(route.left_out),
        "effective_length_mm": route.length,
        "fit": _fit(route.fit),
        "verdict": route.verdict,
        "findings": findings_answer(route.findings),
        "reasons": list(route.reasons),
    }


def _contacts(met: Iterable[tuple[str, Side, Sense]]) -> list[RouteContact]:
    return [{"pulley": pulley, "side": side, "turns": turns} for pulley, side, turns in met]


def _fit(fit: Fit) -> FitAnswer:
    return {
        "fits": fit.fits,
        "off_mm": fit.off,
        "shortest_mm": fit.shortest,
        "longest_mm": fit.longest,
        "position": fit.position,
        "in_window": fit.in_window,
        "tightens": fit.tightens,
        "as_measured": fit.as_measured,
    }


def _other(found: FoundRoute) -> OtherRoute:
    shortest, longest = found.span_of_lengths
    turns = found.turns_of
    return {
        "route": list(found.route),
        "contacts": _contacts((name, side, turns[name]) for name, side in found.side_of.items()),
        "shortest_mm": shortest,
        "longest_mm": longest,
    }


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
