"""Layout + route -> BeltPath: the contacts and spans of the belt, exact.

Works on the effective line. A contact's signed radius is q = s·r, s = +1 for counterclockwise; the
directed tangent between two contacts obeys n·(c2 − c1) = q2 − q1 (see `geometry.tangent`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import pi
from typing import NamedTuple

from beltpath.errors import PathError
from beltpath.geometry import TAU, Point, crossing_point, tangent, turn
from beltpath.layout.keys import Sense, Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import SIGN, Pulley, line_radius, sense_of

#: A contact whose wrap comes out above this (rad) is one that the belt does not really touch: two
#: spans that leave a pulley after more than 300° would meet within 0.58 of its radius. Computed.
MISSED_WRAP = 300.0 * pi / 180.0
#: Undeclared sides beyond this many keep their plain choice (2**8 rings take about 10 ms).
MOST_FREE_SIDES = 8


class Disc(NamedTuple):
    """One pulley as the belt runs round it: sign +1 counterclockwise, radius of its line."""

    name: str
    centre: Point
    radius: float
    sign: int


class Contact(NamedTuple):
    """One pulley as the belt meets it; `wrap` in radians, `radius` (effective line) in mm."""

    pulley: str
    centre: Point
    radius: float
    sign: int
    wrap: float
    enter: Point
    leave: Point

    @property
    def turns(self) -> Sense:
        """The sense in which the pulley turns."""
        return sense_of(self.sign)

    @property
    def arc(self) -> float:
        """Length of the arc of contact on the effective line, mm."""
        return self.radius * self.wrap


class Span(NamedTuple):
    """The straight run from contact to contact, in the direction of travel."""

    start: str
    end: str
    leave: Point
    enter: Point
    direction: Point
    length: float


class Ring(NamedTuple):
    """A closed belt round any discs: its contacts, spans, length and turning (rad)."""

    contacts: tuple[Contact, ...]
    spans: tuple[Span, ...]
    length: float
    turning: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltPath:
    """The belt of a layout, crank first.

    `contacts[i]` is left by `spans[i]` and entered by `spans[i - 1]`; `sides[i]` is the side of
    the belt that touches there. `loop` is +1 for a loop that runs counterclockwise. `inferred`
    names smooth pulleys on the ribs that the layout did not declare so. Lengths in mm.
    """

    contacts: tuple[Contact, ...]
    spans: tuple[Span, ...]
    sides: tuple[Side, ...]
    loop: int
    length: float
    turning: float
    b_e: float
    inferred: tuple[str, ...]

    @property
    def pitch_length(self) -> float:
        """Length of the pitch line: the effective line moved outward by b_e, L + 2π·b_e."""
        return self.length + TAU * self.b_e

    @property
    def proper(self) -> bool:
        """Whether the belt turns exactly once and really touches every pulley."""
        return is_proper(self.contacts, self.turning, self.loop)

    @property
    def discs(self) -> tuple[Disc, ...]:
        """The discs that the belt runs round, to be laid again with some of them moved."""
        return tuple(Disc(c.pulley, c.centre, c.radius, c.sign) for c in self.contacts)

    def moved(self, pulley: str, centre: Point) -> BeltPath:
        """The same belt path, sides and senses kept, with one pulley at another place."""
        laid = _relaid(self.contacts, self.spans, pulley, centre)
        return BeltPath(
            contacts=laid.contacts,
            spans=laid.spans,
            sides=self.sides,
            loop=self.loop,
            length=laid.length,
            turning=laid.turning,
            b_e=self.b_e,
            inferred=self.inferred,
        )

    def index(self, pulley: str) -> int:
        """Where in the route that pulley stands; ValueError when the belt does not meet it."""
        return [contact.pulley for contact in self.contacts].index(pulley)

    def pitch_radius(self, i: int) -> float:
        """Radius of the pitch line on contact `i`, mm: r + b_e inside the loop, r − b_e outside."""
        contact = self.contacts[i]
        return contact.radius + contact.sign * self.loop * self.b_e

    def speed_ratio(self, i: int) -> float:
        """Pulley speed over crank speed, from the pitch radii."""
        return self.pitch_radius(0) / self.pitch_radius(i)

    def centre_gradient(self, i: int) -> Point:
        """∂L/∂c of contact `i`: u_in − u_out, both unit directions of travel."""
        before, after = self.spans[i - 1].direction, self.spans[i].direction
        return (before[0] - after[0], before[1] - after[1])


def ring(discs: Sequence[Disc]) -> Ring:
    """Lay a closed belt round `discs` in their order.

    A pulley may appear more than once. Raises PathError when two neighbours have no tangent.
    """
    spans = _spans(discs)
    contacts: list[Contact] = []
    total = turning = 0.0
    into = spans[-1]
    for (name, centre, radius, sign), out in zip(discs, spans, strict=True):
        wrap = turn(into.direction, out.direction, sign)
        contacts.append(Contact(name, centre, radius, sign, wrap, into.enter, out.leave))
        total += radius * wrap + out.length
        turning += sign * wrap
        into = out
    return Ring(tuple(contacts), tuple(spans), total, turning)


def _relaid(contacts: Sequence[Contact], spans: Sequence[Span], pulley: str, centre: Point) -> Ring:
    """The ring of these contacts and spans with a pulley moved, to the last bit as `ring` lays it.

    Only the spans at that pulley are laid anew, and the wraps at their ends: the rest stays.
    """
    count = len(contacts)
    places = [i for i, contact in enumerate(contacts) if contact.pulley == pulley]
    laid, new = list(contacts), list(spans)
    for i in places:
        laid[i] = laid[i]._replace(centre=centre)
    # The last span first, as `ring` goes: the same one is then told of when two cannot be laid.
    ends = sorted({(i + d) % count for i in places for d in (0, 1)})
    for i in ends:
        new[i - 1] = _span(laid[i - 1], laid[i])
    for i in {(end + d) % count for end in ends for d in (-1, 0)}:
        name, at, radius, sign, *_ = laid[i]
        into, out = new[i - 1], new[i]
        wrap = turn(into.direction, out.direction, sign)
        laid[i] = Contact(name, at, radius, sign, wrap, into.enter, out.leave)
    total = turning = 0.0
    for contact, out in zip(laid, new, strict=True):
        total += contact.radius * contact.wrap + out.length
        turning += contact.sign * contact.wrap
    return Ring(tuple(laid), tuple(new), total, turning)


def _span(one: Contact, other: Contact) -> Span:
    laid = tangent(one.centre, one.sign * one.radius, other.centre, other.sign * other.radius)
    if laid is None:
        raise _no_run(one.pulley, other.pulley)
    return Span(one.pulley, other.pulley, *laid)


def _no_run(start: str, end: str) -> PathError:
    return PathError(
        f"no straight run of belt fits between {start} and {end}: one lies "
        f"inside or across the other; check their positions, diameters and sides"
    )


def trace(
    layout: Layout,
    *,
    route: Sequence[str] | None = None,
    sides: Mapping[str, Side] | None = None,
) -> BeltPath:
    """The path of the layout's belt, crank first.

    `route` takes the place of the layout's own, `sides` fixes sides that would otherwise be
    inferred. A side that nobody declares is `ribs` for a grooved pulley and `back` for a smooth
    one, unless only another choice closes the loop properly.

    Raises PathError when there is no route or two neighbours in it have no common tangent.
    """
    names = from_crank(layout, route)
    chosen, laid = _settle(layout, names, sides or {})
    inferred = tuple(
        name
        for name in names
        if chosen[name] == "ribs"
        and layout.pulleys[name].face == "smooth"
        and layout.pulleys[name].side is None
    )
    return BeltPath(
        contacts=laid.contacts,
        spans=laid.spans,
        sides=tuple(chosen[name] for name in names),
        loop=loop_sense(layout, chosen),
        length=laid.length,
        turning=laid.turning,
        b_e=layout.belt.section.b_e,
        inferred=inferred,
    )


def is_proper(contacts: Sequence[Contact], turning: float, loop: int) -> bool:
    """Whether the signed wraps sum to one turn in the loop's sense and no contact is missed."""
    return abs(turning - loop * TAU) < 1e-6 and all(c.wrap <= MISSED_WRAP for c in contacts)


def crossings(spans: Sequence[Span]) -> list[tuple[Span, Span, Point]]:
    """Every pair of spans that cross, with the point where they do."""
    found = []
    lines = [(span, span.leave, span.enter) for span in spans]
    for (one, a, b), (other, c, d) in combinations(lines, 2):
        point = crossing_point(a, b, c, d)
        if point is not None:
            found.append((one, other, point))
    return found


def discs_of(layout: Layout, names: Sequence[str], sides: Mapping[str, Side]) -> list[Disc]:
    """The discs that the belt runs round, given the side of the belt on each pulley."""
    loop = loop_sense(layout, sides)
    return [
        Disc(
            name,
            (pulley := layout.pulleys[name]).at,
            line_radius(pulley, sides[name], layout.belt),
            loop if sides[name] == "ribs" else -loop,
        )
        for name in names
    ]


def loop_sense(layout: Layout, sides: Mapping[str, Side]) -> int:
    """+1 when the whole belt runs round counterclockwise: the crank's sense, if on the ribs."""
    sign = SIGN[layout.crank_turns]
    return sign if sides[layout.crank.name] == "ribs" else -sign


def from_crank(layout: Layout, route: Sequence[str] | None = None) -> tuple[str, ...]:
    """The route in the belt's direction of travel, turned so that it starts at the crank."""
    names = tuple(route if route is not None else layout.route or ())
    crank = layout.crank.name
    if crank not in names:
        raise PathError(
            "this layout has no route from the crank; write one, or find it with routes"
        )
    at = names.index(crank)
    return names[at:] + names[:at]


def _spans(discs: Sequence[Disc]) -> list[Span]:
    """The spans that leave each disc; the loop carries what two neighbours share, for speed."""
    spans: list[Span] = []
    start, from_centre, radius, sign = discs[-1]
    from_q = sign * radius
    for end, to_centre, radius, sign in discs:
        to_q = sign * radius
        laid = tangent(from_centre, from_q, to_centre, to_q)
        if laid is None:
            raise _no_run(start, end)
        spans.append(Span(start, end, *laid))
        start, from_centre, from_q = end, to_centre, to_q
    spans.append(spans.pop(0))
    return spans


def _settle(
    layout: Layout, names: Sequence[str], fixed: Mapping[str, Side]
) -> tuple[Mapping[str, Side], Ring]:
    """The sides of all contacts and the ring they give: the first choice that closes properly.

    Falls back to the plain choice (the first) when none does, so that its faults can be shown;
    where the plain choice has no tangent, its error says more than a stray alternative.
    """
    choices = _choices(layout, names, fixed)
    plain = next(choices)
    first = _attempt(layout, names, plain)
    if isinstance(first, Ring) and _closes(layout, plain, first):
        return plain, first
    for sides in choices:
        laid = _attempt(layout, names, sides)
        if isinstance(laid, Ring) and _closes(layout, sides, laid):
            return sides, laid
    if isinstance(first, PathError):
        raise first
    return plain, first


def _attempt(layout: Layout, names: Sequence[str], sides: Mapping[str, Side]) -> Ring | PathError:
    try:
        return ring(discs_of(layout, names, sides))
    except PathError as error:
        return error


def _closes(layout: Layout, sides: Mapping[str, Side], laid: Ring) -> bool:
    loop = loop_sense(layout, sides)
    return is_proper(laid.contacts, laid.turning, loop) and not crossings(laid.spans)


def _choices(
    layout: Layout, names: Sequence[str], fixed: Mapping[str, Side]
) -> Iterator[dict[str, Side]]:
    """Every allowed choice of sides, those nearest to the plain one first."""
    options = [_options(layout, layout.pulleys[name], fixed.get(name)) for name in names]
    free = [i for i, option in enumerate(options) if len(option) > 1][:MOST_FREE_SIDES]
    for count in range(len(free) + 1):
        for flipped in combinations(free, count):
            yield {name: options[i][i in flipped] for i, name in enumerate(names)}


def _options(layout: Layout, pulley: Pulley, fixed: Side | None) -> tuple[Side, ...]:
    side = fixed or pulley.side
    if side is not None:
        return (side,)
    if pulley.face == "smooth":
        return ("back", "ribs")
    return ("ribs", "back") if layout.belt.double_sided else ("ribs",)
