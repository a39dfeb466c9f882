"""`beltpath routes`: every way a belt can go, studied and ranked, for a drive without a diagram.

::

    search = find_routes(beltpath.read("layouts/found-hay-tedder.toml"), optional=["fan"])
    for candidate in search.candidates:
        print(candidate.route, candidate.length, *candidate.reasons)

The search itself is in `beltpath.routing`. This package loads networkx and tomlkit.
"""

from beltpath.routes.answer import routes_answer
from beltpath.routes.candidate import Candidate, Fit
from beltpath.routes.find import MOST_STUDIED, Search, find_routes
from beltpath.routes.writing import write_route

__all__ = [
    "MOST_STUDIED",
    "Candidate",
    "Fit",
    "Search",
    "find_routes",
    "routes_answer",
    "write_route",
]
