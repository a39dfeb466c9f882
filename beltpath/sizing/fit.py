"""Which belt fits: the lengths that a drive takes, and every offer judged against them.

All conditions are on the offer's nominal effective length n, with a its ± tolerance, s the stretch
in service (``travel.stretch``) and U the ± of the computed length at 95 %:

- with a tensioner: n − a and n + a put it inside its window (without one: inside the usable travel
  less ``size.margin`` of it at either end), (n + a)(1 + s) is within the usable travel, and n − a
  can be lifted over some rim with the lever held over;
- stretch-fit: n − a and n + a are stretched by ``length.elastic_least`` to ``_most``;
- neither: n differs from the path by no more than an ordinary belt's own stretch
  (``length.fixed``); but nothing makes up a and U, so that no belt is sure to fit.

A condition is surely met when U is left over, since the path at every position of the tensioner is
known to ± U only. Neither a nor U is ever room: a larger one never makes an answer better.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import hypot, inf, sqrt
from typing import Literal, NamedTuple, get_args

from beltpath.checks.judged import TakeUp, closes, own_stretch, take_up, travel_of
from beltpath.checks.words import stop_word
from beltpath.data.sections import length_tolerance, tolerance_doubt
from beltpath.data.tables import limits
from beltpath.errors import PathError
from beltpath.layout.layout import Layout
from beltpath.layout.records import Belt
from beltpath.sizing.catalogue import Offer
from beltpath.solve.path import BeltPath
from beltpath.solve.reliance import doubt
from beltpath.solve.tensioner import Stand, laid_nowhere
from beltpath.solve.uncertainty import COVERAGE, Share, Uncertainty
from beltpath.studies import Study, study
from beltpath.words import above, below, counted, mm, position

Answer = Literal["fits", "fits but", "does not fit"]
ANSWERS: tuple[Answer, ...] = get_args(Answer)
Kind = Literal["tensioner", "stretch-fit", "fixed"]
#: A low and a high length, mm.
Band = tuple[float, float]


class Slacks(NamedTuple):
    """What is to spare of each condition, mm: too short, too long, after stretch, fitting on."""

    short: float
    long: float
    worn: float = inf
    on: float = inf


class Place(NamedTuple):
    """A belt of `length` mm on the tensioner: its position and the share of travel used, 0..1.

    Both are None where the travel has no position for it.
    """

    length: float
    position: float | None
    used: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Where one offer puts the tensioner: as nominal, at its tolerance limits, after stretch.

    `sure` is the half-width at 95 % of the nominal belt's position, from the measurements and the
    belt's tolerance together; None where the position is.
    """

    now: Place
    shortest: Place
    longest: Place
    worn: Place
    sure: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """An offer with the answer, why, and what is to spare (mm, negative: what is amiss)."""

    offer: Offer
    tolerance: float
    answer: Answer
    reasons: tuple[str, ...]
    spare: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The lengths that a drive takes, mm.

    `window` must hold a new belt at both its tolerance limits, `reach` its nominal length. With the
    lever held over, a belt shorter than `lifted` passes over no rim, and one shorter than `rule`
    and twice its tolerance is hard to get on by SAE J1596; 0 where nothing is known of that.
    `usable` are the nominal lengths that surely fit if their tolerance is `tolerance`, `exact`
    those that fit if the measurements were exact; None where there are none. `take_up` is what
    fixed centres lack, None elsewhere.
    """

    study: Study
    kind: Kind
    tolerance: float
    own_tolerance: float | None
    window: Band
    reach: Band
    stretch: float
    lifted: float
    rule: float
    usable: Band | None
    exact: Band | None
    take_up: TakeUp | None = None

    @property
    def layout(self) -> Layout:
        """The layout, its belt's length left out."""
        return self.study.layout

    @property
    def nominal(self) -> float:
        """Effective length of the path as measured, mm."""
        return self.study.path.length

    @property
    def uncertainty(self) -> Uncertainty:
        """How sure `nominal` is."""
        return self.study.uncertainty

    @property
    def middle(self) -> float | None:
        """The nominal length to aim at, mm; None where none is sure to fit."""
        return None if self.usable is None else sum(self.usable) / 2.0

    def tolerance_source(self, offer: Offer | None = None) -> str:
        """Where the ± of an offer, or that allowed for in the ranges, comes from."""
        stated = self.own_tolerance if offer is None or offer.tolerance is None else offer.tolerance
        return "given" if stated is not None else tolerance_doubt(self.layout.belt.section.name)

    def tolerance_of(self, offer: Offer) -> float:
        """± of an offer, mm: its own, else the one that the layout states, else the table's."""
        if offer.tolerance is not None:
            return offer.tolerance
        if self.own_tolerance is not None:
            return self.own_tolerance
        return _table_tolerance(offer.length)


@dataclass(slots=True, kw_only=True)
class Shelf:
    """What a catalogue holds for a drive: the offers that may fit, and how many cannot.

    `nearest` are the one too short and the one too long that come nearest.
    """

    survivors: list[Offer] = field(default_factory=list)
    other_section: int = 0
    other_ribs: int = 0
    too_short: int = 0
    too_long: int = 0
    nearest: tuple[Offer, ...] = ()


def wanted(layout: Layout) -> Wanted:
    """The lengths that a layout's drive takes; the length of a belt in hand plays no part.

    Raises PathError where no length can be told: the belt does not close, the tensioner goes over
    centre in its travel, its stops are exchanged, or its window lies where no belt can be laid.
    """
    belt = layout.belt
    own = _own_tolerance(belt)
    found = study(replace(layout, belt=replace(belt, length=None, tolerance=None)))
    if not closes(found.path):
        raise PathError(
            "the belt does not close properly along this route, so no length can be told; see "
            "what beltpath check finds"
        )
    kind: Kind = "stretch-fit" if belt.elastic else "fixed"
    window: Band = (found.path.length, found.path.length)
    stretch = 0.0
    if found.stand is not None:
        kind, stretch = "tensioner", limits()["travel.stretch"].value / 100.0
        reach, window = _travel_bands(found, found.stand)
        tolerance = _guess(own, sum(window) / 2.0)
    elif belt.elastic:
        least, most = (limits()[f"length.elastic_{end}"].value for end in ("least", "most"))
        window = reach = (window[0] / (1.0 + most / 100.0), window[0] / (1.0 + least / 100.0))
        tolerance = _guess(own, sum(window) / 2.0)
    else:
        tolerance = _guess(own, window[0])
        reach = (window[0] * (1.0 - own_stretch()), window[0] * (1.0 + own_stretch()))
    bare = Wanted(
        study=found,
        kind=kind,
        tolerance=tolerance,
        own_tolerance=own,
        window=window,
        reach=reach,
        stretch=stretch,
        lifted=_lifted(found),
        rule=found.refit.shortest_by_rule or 0.0,
        usable=None,
        exact=None,
        take_up=take_up(found.drive, tolerance) if kind == "fixed" else None,
    )
    return replace(bare, usable=_band(bare, found.uncertainty.expanded), exact=_band(bare, 0.0))


def judge(need: Wanted, offer: Offer) -> Judged:
    """One offer: whether it fits, and why not or why only with reserve."""
    tolerance = need.tolerance_of(offer)
    refused = _other_belt(need, offer)
    if refused:
        return Judged(
            offer=offer, tolerance=tolerance, answer="does not fit", reasons=refused, spare=-inf
        )
    low, high = _reach(need, tolerance)
    outside = max(low - offer.length, offer.length - high)
    if outside > 0.0:
        return Judged(
            offer=offer,
            tolerance=tolerance,
            answer="does not fit",
            reasons=(_out_of_reach(need, offer.length, tolerance, (low, high)),),
            spare=-outside,
        )
    slacks = _slacks(need, offer.length, tolerance)
    reasons = (*_reserves(need, offer, tolerance, slacks), *_remarks(need, offer))
    return Judged(
        offer=offer,
        tolerance=tolerance,
        answer="fits but" if reasons else "fits",
        reasons=reasons,
        spare=min(slacks),
    )


def ranked(need: Wanted, judged: Iterable[Judged]) -> list[Judged]:
    """Best first: by answer, in stock, the layout's own number of ribs, what is to spare."""
    ribs = need.layout.belt.ribs
    return sorted(
        judged,
        key=lambda one: (
            ANSWERS.index(one.answer),
            one.offer.stock == 0,
            one.offer.ribs != ribs,
            -one.spare,
            one.offer.length,
            one.offer.line,
        ),
    )


def places(need: Wanted, one: Judged) -> Places | None:
    """Where an offer puts the tensioner; None without one."""
    stand = need.study.stand
    if stand is None:
        return None
    length, tolerance = one.offer.length, one.tolerance
    now = _place(need, stand, length)
    sure = None
    if now.position is not None:
        rate = travel_of(need.study.drive, stand).rate_here(now.position)
        sure = abs(with_tolerance(need, tolerance) / rate) if rate else None
    return Places(
        now=now,
        shortest=_place(need, stand, length - tolerance),
        longest=_place(need, stand, length + tolerance),
        worn=_place(need, stand, (length + tolerance) * (1.0 + need.stretch)),
        sure=sure,
    )


def with_tolerance(need: Wanted, tolerance: float) -> float:
    """± at 95 % of path less belt, mm: the measurements and a belt anywhere in its tolerance.

    JCGM 100:2008, 4.3.7: a quantity anywhere within ± a has the standard uncertainty a/√3.
    """
    return COVERAGE * hypot(need.uncertainty.sigma, tolerance / sqrt(3.0))


def sort_out(need: Wanted, offers: Iterable[Offer]) -> Shelf:
    """The offers of a catalogue that may fit, by section, ribs and length alone: fast."""
    shelf, section = Shelf(), need.layout.belt.section.name
    takes: dict[int, bool] = {}
    short: Offer | None = None
    long: Offer | None = None
    for offer in offers:
        if offer.section != section:
            shelf.other_section += 1
            continue
        ribs = offer.ribs
        if ribs not in takes:
            takes[ribs] = not _other_belt(need, offer)
        if not takes[ribs]:
            shelf.other_ribs += 1
            continue
        low, high = _reach(need, need.tolerance_of(offer))
        if offer.length < low:
            shelf.too_short += 1
            short = offer if short is None or offer.length > short.length else short
        elif offer.length > high:
            shelf.too_long += 1
            long = offer if long is None or offer.length < long.length else long
        else:
            shelf.survivors.append(offer)
    shelf.nearest = tuple(offer for offer in (short, long) if offer is not None)
    return shelf


def shares(uncertainty: Uncertainty) -> list[tuple[Share, float]]:
    """The budget: every measurement with its part 0..1 of the length's variance, largest first."""
    whole = uncertainty.sigma**2  # never 0: no diameter is known without any doubt
    return [(share, share.adds**2 / whole) for share in uncertainty.budget]


def without(uncertainty: Uncertainty, share: Share) -> float:
    """± at 95 % of the length, mm, if one measurement's own sigma were halved."""
    return COVERAGE * sqrt(max(0.0, uncertainty.sigma**2 - 0.75 * share.adds**2))


def _own_tolerance(belt: Belt) -> float | None:
    """The ± that the layout itself states; the reader fills in the table's for a belt in hand."""
    return None if belt.tolerance_assumed else belt.tolerance


@lru_cache(maxsize=100_000)
def _table_tolerance(length: float) -> float:
    """The table's ±, kept: a catalogue repeats its lengths, and the table is a file."""
    return length_tolerance(length)


def _guess(own: float | None, length: float) -> float:
    return length_tolerance(length) if own is None else own


def _travel_bands(found: Study, stand: Stand) -> tuple[Band, Band]:
    """The lengths of the usable travel, and of the window in it."""
    t, travel, centre = stand.tensioner, travel_of(found.drive, stand), stand.over_centre
    if doubt(found.drive) == "stops":
        raise PathError(next(f.message for f in found.findings if f.check == "stops"))
    if laid_nowhere(stand):
        raise PathError(
            "no belt can be laid anywhere in the tensioner's travel, so no length can be told; "
            "measure stops, pivot and pulley again"
        )
    if centre is not None:
        raise PathError(
            f"the tensioner goes over centre at {position(t, centre)}, so that one belt has two "
            f"positions and no length can be told; see what beltpath check finds"
        )
    if stand.at_load >= stand.at_free:
        raise PathError(
            "the tensioner's stops look exchanged: its path is longer at the load stop than at "
            "the free stop; exchange free and load, or measure pivot and pulley again"
        )
    ends = _inside(stand)
    low, high = sorted(travel.path_at(end).length for end in ends)
    return (stand.shortest, stand.longest), (low, high)


def _inside(stand: Stand) -> Band:
    """The ends of the window as far as the belt can be laid there.

    Without a window, the ends of the usable travel less its margins.
    """
    (free, load), window = stand.usable, stand.tensioner.window
    if window is None:
        margin = limits()["size.margin"].value / 100.0 * (load - free)
        return free + margin, load - margin
    low, high = max(min(window), min(free, load)), min(max(window), max(free, load))
    if low > high:
        raise PathError(
            "no belt can be laid anywhere in the tensioner's window; measure the window, the "
            "stops and the pivot again"
        )
    return low, high


def _reach(need: Wanted, tolerance: float) -> Band:
    if need.kind == "fixed":
        return need.reach
    return max(need.reach[0], need.lifted + tolerance), need.reach[1]


def _lifted(found: Study) -> float:
    """The shortest belt that passes over the easiest rim with the lever held over, mm."""
    way = found.refit
    if way.slack is None or not way.rims:
        return 0.0
    return found.drive.as_measured.length - way.slack + min(rim.needs for rim in way.rims)


def _slacks(need: Wanted, length: float, tolerance: float) -> Slacks:
    low, high = need.reach if need.kind == "fixed" else need.window
    short, long = length - tolerance - low, high - length - tolerance
    if need.kind != "tensioner":
        return Slacks(short, long)
    worn = need.reach[1] - (length + tolerance) * (1.0 + need.stretch)
    return Slacks(short, long, worn, length - tolerance - need.lifted)


def _band(need: Wanted, sure: float) -> Band | None:
    """The nominal lengths for which every slack is at least `sure`; None if there are none."""
    if need.kind == "fixed":
        return None  # nothing makes up what the tolerance and the measuring leave open
    a, (low, high) = need.tolerance, need.window
    low, high = low + a + sure, high - a - sure
    if need.kind == "tensioner":
        low = max(low, need.lifted + a + sure, need.rule + 2.0 * a)
        high = min(high, (need.reach[1] - sure) / (1.0 + need.stretch) - a)
    return (low, high) if low <= high else None


def _other_belt(need: Wanted, offer: Offer) -> tuple[str, ...]:
    """Why a belt of that section and ribs cannot be used at all."""
    belt = need.layout.belt
    if offer.section != belt.section.name:
        return (f"its section is {offer.section}, the pulleys are for {belt.section.name}",)
    if offer.ribs < belt.ribs:
        return (f"it has {_ribs(offer.ribs)}, the layout's belt {belt.ribs}: it carries less",)
    narrow, _ = _grooves(need.study.path, need.layout, offer.ribs)
    return (f"it has {_ribs(offer.ribs)}, but {' and '.join(narrow)}",) if narrow else ()


def _grooves(path: BeltPath, layout: Layout, ribs: int) -> tuple[list[str], list[str]]:
    """The grooved pulleys under the ribs that have too few grooves, and those not counted."""
    narrow: list[str] = []
    unknown: list[str] = []
    for contact, side in zip(path.contacts, path.sides, strict=True):
        pulley = layout.pulleys[contact.pulley]
        if pulley.face != "grooved" or not (side == "ribs" or layout.belt.double_sided):
            continue
        if pulley.grooves is None:
            unknown.append(pulley.title)
        elif pulley.grooves < ribs:
            narrow.append(f"{pulley.title} has {counted(pulley.grooves, 'groove')}")
    return narrow, unknown


def _out_of_reach(need: Wanted, length: float, tolerance: float, reach: Band) -> str:
    short = length < reach[0]
    outside = max(reach[0] - length, length - reach[1])
    words = f"{mm(above(outside, 0.0))} mm too {'short' if short else 'long'}"
    if need.kind == "tensioner":
        why = (
            f"it cannot be got on, {_why_not_on(need, length, tolerance)}"
            if short
            else f"it hangs loose, the travel keeps nothing over "
            f"{mm(below(reach[1], round(length, 1)))} mm taut"
        )
    elif need.kind == "stretch-fit":
        stretch = 100.0 * (need.nominal - length) / length
        why = f"it would be stretched by {stretch:.1f} %" if stretch > 0.0 else "it hangs loose"
    else:
        words = f"{mm(abs(length - need.nominal))} mm too {'short' if short else 'long'}"
        why = f"the path is {mm(need.nominal)} mm, and nothing tightens a longer belt"
        if short:
            why = (
                f"the path is {mm(need.nominal)} mm; a belt's own stretch makes up "
                f"{mm(own_stretch() * need.nominal)} mm and nothing the rest"
            )
    if outside < need.uncertainty.expanded:
        why += f"; less than the ± {mm(need.uncertainty.expanded)} mm of the path: measure again"
    return f"{words}: {why}"


def _why_not_on(need: Wanted, length: float, tolerance: float) -> str:
    if need.lifted + tolerance <= need.reach[0]:
        return f"the travel takes nothing under {mm(above(need.reach[0], round(length, 1)))} mm"
    shortest = length - tolerance
    return (
        f"at the short end of its tolerance ({mm(shortest)} mm) no rim can be passed under "
        f"{mm(above(need.lifted, round(shortest, 1)))} mm"
    )


def _reserves(need: Wanted, offer: Offer, tolerance: float, slacks: Slacks) -> tuple[str, ...]:
    """What speaks against a belt that can be put on."""
    if need.kind == "fixed":
        return (_never_sure(need, offer.length, tolerance),)
    told = []
    if slacks.short < 0.0:
        told.append(_not_inside(need, offer.length, tolerance, -1))
    if slacks.long < 0.0:
        told.append(_not_inside(need, offer.length, tolerance, 1))
    if slacks.worn < 0.0:
        worn = (offer.length + tolerance) * (1.0 + need.stretch)
        told.append(
            f"after {100.0 * need.stretch:g} % of stretch in service it may be {mm(worn)} mm, "
            f"which the travel no longer keeps taut"
        )
    rule = need.rule + 2.0 * tolerance
    if need.kind == "tensioner" and offer.length < rule:
        told.append(f"it may be hard to get on: SAE J1596's rule asks for {mm(rule)} mm or more")
    spare, sure = min(slacks), need.uncertainty.expanded
    if not told and spare < sure:
        told.append(
            f"only if the measuring is right: {mm(spare)} mm to spare, the path is known to "
            f"± {mm(sure)} mm"
        )
    return tuple(told)


def _never_sure(need: Wanted, length: float, tolerance: float) -> str:
    """Why no ordinary belt is sure to fit on fixed centres, and this one least of all."""
    unsure, off = tolerance + need.uncertainty.expanded, length - need.nominal
    return (
        f"only with a way to tension it: by its tolerance and the measuring it may be "
        f"{mm(unsure + off)} mm too long or {mm(unsure - off)} mm too short, and nothing makes "
        f"that up"
    )


def _not_inside(need: Wanted, length: float, tolerance: float, towards: int) -> str:
    """A nominal belt outside the window, or one that is so at the limit of its tolerance."""
    low, high = need.window
    limit = length + towards * tolerance
    nominal = length < low if towards < 0 else length > high
    belt = "" if nominal else f"at the {'short' if towards < 0 else 'long'} end of its tolerance "
    t = need.layout.tensioner
    if t is None:  # stretch-fit: on fixed centres nothing is asked of an ordinary belt's window
        return (
            f"{belt or 'nominally '}({mm(length if nominal else limit)} mm) it is stretched "
            f"{'more' if towards < 0 else 'less'} than the guide allows"
        )
    place = "the window" if t.window else "the margin at the end of the travel"
    does = "too tight" if towards < 0 else "too slack"
    where = stop_word(t, "load" if towards < 0 else "free")
    return f"{belt}it stands outside {place} towards the {where}, {does}"


def _remarks(need: Wanted, offer: Offer) -> tuple[str, ...]:
    told = []
    ribs = need.layout.belt.ribs
    if offer.ribs > ribs:
        has = f"it has {_ribs(offer.ribs)}, the layout's belt {ribs}"
        _, unknown = _grooves(need.study.path, need.layout, offer.ribs)
        if unknown:
            count = f"count the grooves of {', '.join(unknown)}, which the layout does not tell"
            told.append(f"{has}: {count}")
        else:
            told.append(f"{has}: look at the room")
    if offer.stock == 0:
        told.append("none in stock")
    return tuple(told)


def _place(need: Wanted, stand: Stand, length: float) -> Place:
    travel, t = travel_of(need.study.drive, stand), stand.tensioner
    at = travel.position_for(length, stand.usable)
    return Place(length, at, None if at is None else (at - t.free) / (t.load - t.free))


def _ribs(count: int) -> str:
    return counted(count, "rib")
