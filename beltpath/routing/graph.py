"""The graph of all spans that a belt could run along: contacts joined by unblocked tangents.

A node is a contact (pulley and side of the belt); an edge is the directed tangent from one contact
to another, open at every place of the tensioner at which no rim stands in the belt's way. Which
spans cannot be in one belt is worked out beforehand, so that a search only looks up bits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from beltpath.errors import UsageError
from beltpath.layout.keys import Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import line_radius, rim_diameter
from beltpath.routing.places import TensionerPlace
from beltpath.routing.tangents import (
    Bools,
    Floats,
    Tangents,
    Whole,
    crossing,
    gaps,
    tangents,
    turns,
)
from beltpath.solve.path import MISSED_WRAP

if TYPE_CHECKING:
    import networkx as nx

Indices = NDArray[np.intp]

#: More possible spans than this are not searched: their table of conflicts grows as the square.
MOST_SPANS = 3000
#: A refusal names at most so many of the pulleys whose `side` would make the search smaller.
MOST_NAMED = 4


class TooManySpansError(UsageError):
    """A graph with more spans than the search may look at."""


class Touch(NamedTuple):
    """A contact that the belt may make: a pulley, and the side of the belt that touches it."""

    pulley: str
    side: Side


class Possible(NamedTuple):
    """A span that the belt may have. `open` has a bit for every place at which it is clear."""

    start: Touch
    end: Touch
    open: int


class Shapes(NamedTuple):
    """Lengths (mm) by place and span, and the circle that each span leaves, by span.

    `wrap` (rad) is by place and by pair of spans into and out of one contact; `pair` holds the
    number of each such pair. What is closed at a place may be NaN there.
    """

    length: Floats
    sign: Whole
    radius: Floats
    wrap: Floats
    pair: Indices


@dataclass(frozen=True, slots=True)
class SpanGraph:
    """All possible spans of a belt that runs round in the sense `loop`, and which exclude which.

    `touches` are the contacts. `keep[i]` has a bit for every span that can be in one belt with
    span i. `conflicts[i][j]` has a bit for every place at which spans i and
    j cannot be together; it is kept for those i that meet the tensioner, since the others are
    always or never in each other's way. `everywhere` has a bit for every place.
    """

    touches: tuple[Touch, ...]
    loop: int
    spans: tuple[Possible, ...]
    shapes: Shapes
    keep: tuple[int, ...]
    conflicts: Mapping[int, Sequence[int]]
    everywhere: int

    def reached(self, crank: str) -> set[str]:
        """The pulleys that a chain of spans leads to from the crank and back to it.

        Loads networkx.
        """
        import networkx as nx

        contacts: nx.DiGraph[Any] = nx.DiGraph()
        contacts.add_nodes_from(self.touches)
        contacts.add_edges_from((span.start, span.end) for span in self.spans)
        start = next(touch for touch in contacts if touch.pulley == crank)
        round_ = nx.descendants(contacts, start) & nx.ancestors(contacts, start)
        return {touch.pulley for touch in round_} | {crank}


@dataclass(frozen=True, slots=True)
class _Nodes:
    """The contacts as arrays; those on the tensioner (`moves`) have their centres in `places`."""

    touches: list[Touch]
    pulley: Indices
    centre: Floats
    radius: Floats
    sign: Whole
    moves: Bools
    places: Floats


@dataclass(frozen=True, slots=True)
class _Spans:
    """Spans as arrays: between which nodes, how laid, and where clear, by place and span."""

    tail: Indices
    head: Indices
    laid: Tangents
    clear: Bools


def span_graph(
    layout: Layout,
    touches: Collection[Touch],
    loop: int,
    places: Sequence[TensionerPlace],
    *,
    most_pairs: int | None = None,
) -> SpanGraph:
    """The graph for a belt round `loop` (+1 counterclockwise) that may make these contacts.

    Rims of all the layout's pulleys are in the way, belt thickness included, as in `clearance`.

    Raises TooManySpansError for more than `MOST_SPANS` spans, or when more than `most_pairs` pairs
    of a span with a rim, or of two spans, would have to be looked at.
    """
    nodes = _nodes(layout, list(touches), loop, places)
    if most_pairs is not None and _rim_pairs(layout, nodes) > most_pairs:
        raise _too_many(layout, nodes.touches, len(nodes.touches) ** 2)
    spans, standing = _spans(layout, nodes, loop)
    count = len(spans.tail)
    pairs = standing**2 + (count**2 - standing**2) * len(places)
    if count > MOST_SPANS or (most_pairs is not None and pairs > most_pairs):
        raise _too_many(layout, nodes.touches, count)
    bad, wrap, pair = _conflicts(nodes, spans, standing)
    open_ = _mask(spans.clear)
    apart = ((open_[:, None] & open_[None, :] & ~bad) == 0) | _same_pulley(nodes, spans)
    possible = tuple(
        Possible(nodes.touches[tail], nodes.touches[head], mask)
        for tail, head, mask in zip(
            spans.tail.tolist(), spans.head.tolist(), open_.tolist(), strict=True
        )
    )
    return SpanGraph(
        touches=tuple(nodes.touches),
        loop=loop,
        spans=possible,
        shapes=Shapes(
            length=spans.laid.length,
            sign=nodes.sign[spans.tail],
            radius=nodes.radius[spans.tail],
            wrap=wrap,
            pair=pair,
        ),
        keep=tuple(_bits(row) for row in ~apart),
        conflicts={i: bad[i].tolist() for i in range(standing, len(possible))},
        everywhere=(1 << len(nodes.places)) - 1,
    )


def _rim_pairs(layout: Layout, nodes: _Nodes) -> int:
    """How many pairs of a span with a rim are looked at, over all places of the tensioner."""
    moving = int(nodes.moves.sum())
    still = len(nodes.touches) - moving
    spans = still**2 + 2 * still * moving * len(nodes.places)
    return spans * len(layout.pulleys)


def _too_many(layout: Layout, touches: Sequence[Touch], spans: int) -> TooManySpansError:
    """The refusal, with what makes the search smaller for this layout."""
    sides = Counter(touch.pulley for touch in touches)
    free = [layout.pulleys[name].title for name, count in sides.items() if count > 1]
    remedy = f"say `side` for {_some(free)}, or leave pulleys out" if free else "leave pulleys out"
    return TooManySpansError(
        f"a belt could run along {spans} spans here, more than can be searched ({MOST_SPANS}); "
        f"{remedy}"
    )


def _some(titles: Sequence[str]) -> str:
    """The first few titles, and how many more there are."""
    if len(titles) <= MOST_NAMED:
        return ", ".join(titles)
    return f"{', '.join(titles[:MOST_NAMED])} and {len(titles) - MOST_NAMED} more pulleys"


def _nodes(
    layout: Layout, touches: list[Touch], loop: int, places: Sequence[TensionerPlace]
) -> _Nodes:
    pulleys = [layout.pulleys[touch.pulley] for touch in touches]
    order = {name: i for i, name in enumerate(layout.pulleys)}
    radii = [line_radius(p, t.side, layout.belt) for p, t in zip(pulleys, touches, strict=True)]
    return _Nodes(
        touches=touches,
        pulley=np.array([order[touch.pulley] for touch in touches], dtype=np.intp),
        centre=np.array([pulley.at for pulley in pulleys]),
        radius=np.array(radii),
        sign=np.array([loop if touch.side == "ribs" else -loop for touch in touches]),
        moves=np.array([touch.pulley == _carried(layout) for touch in touches]),
        places=np.array([place.centre for place in places]),
    )


def _spans(layout: Layout, nodes: _Nodes, loop: int) -> tuple[_Spans, int]:
    """All spans that are clear somewhere; first those, so many, that do not meet the tensioner."""
    tail, head = np.nonzero(nodes.pulley[:, None] != nodes.pulley[None, :])
    swings = nodes.moves[tail] | nodes.moves[head]
    parts = [_clear(layout, nodes, tail[w], head[w], loop) for w in (~swings, swings)]
    count = len(nodes.places)
    joined = _Spans(
        np.concatenate([part.tail for part in parts]),
        np.concatenate([part.head for part in parts]),
        Tangents(
            *(
                np.concatenate([_everywhere(array, count) for array in arrays], axis=1)
                for arrays in zip(*(part.laid for part in parts), strict=True)
            )
        ),
        np.concatenate([_everywhere(part.clear, count) for part in parts], axis=1),
    )
    return joined, len(parts[0].tail)


def _clear(layout: Layout, nodes: _Nodes, tail: Indices, head: Indices, loop: int) -> _Spans:
    """The spans between these nodes that are clear of rims somewhere in the travel."""
    q = nodes.sign * nodes.radius
    laid = tangents(_centres(nodes, tail), q[tail], _centres(nodes, head), q[head])
    clear = ~np.isnan(laid.length) & ~_blocked(layout, nodes, (tail, head), laid, loop)
    some: Bools = np.any(clear, axis=0)
    return _Spans(tail[some], head[some], laid.part(slice(None), some), clear[:, some])


def _centres(nodes: _Nodes, which: Indices) -> Floats:
    """Centres by place and node; of one place only when none of the nodes moves."""
    moves = nodes.moves[which]
    if not moves.any():
        return nodes.centre[None, which]
    return np.where(moves[None, :, None], nodes.places[:, None, :], nodes.centre[None, which])


def _blocked(
    layout: Layout, nodes: _Nodes, ends: tuple[Indices, Indices], laid: Tangents, loop: int
) -> Bools:
    """At which places some rim, other than those at its ends, is in the way of which span."""
    back, ribs = layout.belt.back, layout.belt.height - layout.belt.back
    band = (-back, ribs) if loop > 0 else (-ribs, back)
    blocked = np.zeros(laid.length.shape, dtype=np.bool_)
    for moving in (False, True):
        rims = {
            i: pulley
            for i, pulley in enumerate(layout.pulleys.values())
            if (pulley.name == _carried(layout)) is moving
        }
        if rims:
            own = np.array(list(rims))
            at = nodes.places[:, None, :] if moving else np.array([[p.at for p in rims.values()]])
            radii = [rim_diameter(p, layout.belt.section) / 2.0 for p in rims.values()]
            near = gaps(laid, band, at, np.array(radii)) < 0.0
            foreign = (nodes.pulley[ends[0], None] != own) & (nodes.pulley[ends[1], None] != own)
            blocked = blocked | (near & foreign).any(axis=2)
    return blocked


def _conflicts(nodes: _Nodes, spans: _Spans, standing: int) -> tuple[Whole, Floats, Indices]:
    """For every pair of spans the places (bits) at which they cannot be in one belt; the wraps.

    They cross; or one leads into a contact and the other out of it, and between them the belt would
    have to go nearly all the way round. Wraps and the numbers of pairs are as in `Shapes`.
    """
    laid, n = spans.laid, standing
    still, swung = laid.part(slice(1), slice(n)), laid.part(slice(None), slice(n, None))
    bad = np.zeros((len(spans.tail), len(spans.tail)), dtype=np.int64)
    bad[:n, :n] = np.where(crossing(still, still)[0], (1 << len(nodes.places)) - 1, 0)
    bad[n:, :n] = _mask(crossing(swung, still))
    bad[:n, n:] = bad[n:, :n].T
    bad[n:, n:] = _mask(crossing(swung, swung))
    into, out = np.nonzero(spans.head[:, None] == spans.tail[None, :])
    sign = nodes.sign[spans.head[into]]
    wrap = turns(laid.direction[:, into], laid.direction[:, out], sign)
    missed = _mask(wrap > MISSED_WRAP)
    bad[into, out] |= missed
    bad[out, into] |= missed
    pair = np.zeros(bad.shape, dtype=np.intp)
    pair[into, out] = np.arange(len(into))
    return bad, wrap, pair


def _same_pulley(nodes: _Nodes, spans: _Spans) -> Bools:
    """Pairs of spans that would make the belt meet a pulley twice, or with both sides."""
    start, end = nodes.pulley[spans.tail], nodes.pulley[spans.head]
    sides = (end[:, None] == start[None, :]) & (spans.head[:, None] != spans.tail[None, :])
    twice = (start[:, None] == start[None, :]) | (end[:, None] == end[None, :])
    same: Bools = twice | sides | sides.T
    return same


def _carried(layout: Layout) -> str | None:
    return None if layout.tensioner is None else layout.tensioner.pulley


def _everywhere(array: NDArray[Any], places: int) -> NDArray[Any]:
    """An array of one place or of all, as one of all."""
    return np.broadcast_to(array, (places, *array.shape[1:]))


def _mask(flags: Bools) -> Whole:
    """Flags by place (first axis) as the bits of a number."""
    bits = np.left_shift(1, np.arange(flags.shape[0], dtype=np.int64))
    masks: Whole = np.tensordot(bits, flags.astype(np.int64), axes=1)
    return masks


def _bits(row: Bools) -> int:
    """A row of flags as the bits of one number, the first flag lowest."""
    return int.from_bytes(np.packbits(row, bitorder="little").tobytes(), "little")
