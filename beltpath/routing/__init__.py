"""Every way the belt can go round its pulleys, found in the graph of all possible spans.

This package loads networkx: import it only where a command needs it.
"""

from beltpath.routing.fit import (
    may_take,
    misses,
    possible,
    sides_to_write,
    solve_way,
    takes,
    tightens,
    with_way,
)
from beltpath.routing.places import Place, places_of
from beltpath.routing.ways import MOST_WORK, Opening, Way, Ways, find_ways

__all__ = [
    "MOST_WORK",
    "Opening",
    "Place",
    "Way",
    "Ways",
    "find_ways",
    "may_take",
    "misses",
    "places_of",
    "possible",
    "sides_to_write",
    "solve_way",
    "takes",
    "tightens",
    "with_way",
]
