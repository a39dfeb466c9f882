"""Every route that a belt can take: searched, solved, studied and ranked.

::

    search = find_routes(beltpath.read("layouts/found-hay-tedder.toml"), optional=["fan"])
    for route in search.ranked:
        print(route.route, route.length, *route.reasons)

The search (tangents, places, graph, search, solve, look_alikes) stands below the checks, for the
check look-alike uses it. What is built on the checks (rank, reasons, find, answer) is loaded when
it is asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from beltpath.routes.answer import routes_answer, write_route
    from beltpath.routes.find import MOST_STUDIED, Search, find_routes
    from beltpath.routes.rank import Fit, RankedRoute

__all__ = [
    "MOST_STUDIED",
    "Fit",
    "RankedRoute",
    "Search",
    "find_routes",
    "routes_answer",
    "write_route",
]

_HOMES = {
    **dict.fromkeys(("routes_answer", "write_route"), "answer"),
    **dict.fromkeys(("MOST_STUDIED", "Search", "find_routes"), "find"),
    **dict.fromkeys(("Fit", "RankedRoute"), "rank"),
}


def __getattr__(name: str) -> Any:
    """A public name, from the file that holds it."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
