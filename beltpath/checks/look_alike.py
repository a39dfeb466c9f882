"""Check look-alike: another routing of the same pulleys that this belt also fits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from beltpath.checks.findings import Finding
from beltpath.checks.register import check
from beltpath.layout.keys import Side
from beltpath.solve.drive import Drive
from beltpath.words import listed

if TYPE_CHECKING:
    from beltpath.routing.look_alikes import LookAlike

#: More look-alikes than this are counted, not told one by one.
MOST_TOLD = 3

_SOURCE = "computed: search of all ways that the belt can go"


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherWay(Finding):
    """A finding with the look-alike that it tells of, so that a card need not search for it again.

    `many` is how many look-alikes the search found in all, `off` by how many mm the belt in hand is
    short (−) or long (+) for the way that the layout says. In every other respect, equality with
    another finding included, it is its sentence.
    """

    alike: LookAlike = field(compare=False, repr=False)
    many: int = field(compare=False, repr=False)
    off: float = field(compare=False, repr=False)


@check("look-alike")
def look_alike(drive: Drive) -> Iterator[Finding]:
    """Another way that this belt fits within the travel, worst one that turns a pulley wrongly."""
    if drive.layout.belt.length is None:
        return
    # Here and not above: it loads the search, which a drive without a known belt does not need.
    from beltpath.routing.look_alikes import look_alikes

    alikes = look_alikes(drive)
    for alike in alikes.found[:MOST_TOLD]:
        differing = _differing(drive, alike)
        yield OtherWay(
            check="look-alike",
            level="caution",
            pulleys=differing,
            message=_sentence(drive, alike, alikes.off),
            source=_SOURCE,
            where=tuple(drive.centre(name) for name in differing),
            alike=alike,
            many=len(alikes.found),
            off=alikes.off,
        )
    if len(alikes.found) > MOST_TOLD:
        yield _note(
            f"This belt fits {len(alikes.found) - MOST_TOLD} further ways besides. Follow the "
            f"routing pulley by pulley."
        )
    if not alikes.complete:
        yield _note(
            "Other ways that this belt fits were not searched to the end: there may be more than "
            "are told here. Follow the routing pulley by pulley."
        )


def _note(message: str) -> Finding:
    return Finding(check="look-alike", level="note", pulleys=(), message=message, source=_SOURCE)


def _sentence(drive: Drive, alike: LookAlike, off: float) -> str:
    """How the other way differs from the right one, what it does, and what not to do."""
    parts = [f"{_fits(drive, alike, off)}."]
    if alike.wrong:
        parts.append(f"It would turn {_listed(drive, alike.wrong)} the wrong way.")
    return " ".join([*parts, *_warnings(drive, alike)])


def _fits(drive: Drive, alike: LookAlike, off: float) -> str:
    """Whether the belt fits the other way, how that way goes, and whether it fits the right one."""
    sides = _with_sides(drive, alike)
    fits = "fits" if alike.off == 0.0 else "may fit"
    start = "This belt " + ("also fits" if alike.off == 0.0 else "may also fit")
    if off != 0.0:
        start = f"This belt is {misfit(off)} for this way, but {fits}"
    if parting(drive, alike) is None:
        return f"{start} in the same order{sides.removeprefix(',')}"
    titles = [_title(drive, contact.pulley) for contact in alike.drive.path.contacts]
    other = "another way" if off == 0.0 else "a wrong one"
    return f"{start} {other}: {', '.join(titles)} and back to {titles[0]}{sides}"


def _with_sides(drive: Drive, alike: LookAlike) -> str:
    """The sides of the belt that differ from the right way, as the end of a sentence's part."""
    groups = [f"its {side} on {_listed(drive, names)}" for side, names in _by_side(alike)]
    return f", with {' and '.join(groups)}" if groups else ""


def misfit(off: float) -> str:
    """In words what a belt is that misses by so many mm: `off` is not 0."""
    return "too long" if off > 0.0 else "too short"


def _warnings(drive: Drive, alike: LookAlike) -> Iterator[str]:
    """What not to do: the sides that must not touch, and the turning that must not be taken."""
    for side, names in _by_side(alike):
        right = "back belongs" if side == "ribs" else "ribs belong"
        yield f"Do not lay the {side} of the belt on {_listed(drive, names)}: its {right} there."
    parted = parting(drive, alike)
    if parted is not None:
        before, there, here = (_title(drive, name) for name in parted)
        yield f"Do not lead the belt from {before} to {there}: after {before} it goes to {here}."


def parting(drive: Drive, alike: LookAlike) -> tuple[str, str, str] | None:
    """The pulley after which the two ways part, and where the other and the right way go then.

    None when both meet the pulleys in the same order: they differ by side only.
    """
    here = [contact.pulley for contact in drive.path.contacts]
    there = [contact.pulley for contact in alike.drive.path.contacts]
    pairs = enumerate(zip(here, there, strict=True))
    return next(((here[i - 1], b, a) for i, (a, b) in pairs if a != b), None)


def _differing(drive: Drive, alike: LookAlike) -> tuple[str, ...]:
    """The pulleys to mark: turned the wrong way, else on the wrong side, else where ways part."""
    return alike.wrong or alike.sided or parting(drive, alike) or ()


def _by_side(alike: LookAlike) -> list[tuple[Side, list[str]]]:
    """The sides that differ from the right way, each with the pulleys that it touches."""
    path = alike.drive.path
    met = [(c.pulley, side) for c, side in zip(path.contacts, path.sides, strict=True)]
    sides: tuple[Side, ...] = ("ribs", "back")
    groups = ((one, [n for n, side in met if side == one and n in alike.sided]) for one in sides)
    return [(side, names) for side, names in groups if names]


def _listed(drive: Drive, pulleys: Sequence[str]) -> str:
    return listed([_title(drive, name) for name in pulleys])


def _title(drive: Drive, pulley: str) -> str:
    return drive.layout.pulleys[pulley].title
