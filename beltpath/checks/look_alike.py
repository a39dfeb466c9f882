"""Check look-alike: another routing of the same pulleys that this belt also fits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from beltpath.checks.registry import check
from beltpath.drive import Drive
from beltpath.findings import Finding

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
    # Here and not above: it loads networkx, which a drive without a known belt does not need.
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
            f"The search for other ways that this belt fits stopped after {alikes.work} steps: "
            f"there may be more than are told here."
        )


def _note(message: str) -> Finding:
    return Finding(check="look-alike", level="note", pulleys=(), message=message, source=_SOURCE)


def _sentence(drive: Drive, alike: LookAlike, off: float) -> str:
    """What the other way is, what it does, and what not to do."""
    titles = [_title(drive, c.pulley) for c in alike.drive.path.contacts]
    text = f"{_fits(alike, off)}: {', '.join(titles)} and back to {titles[0]}."
    if alike.wrong:
        names = _listed([_title(drive, name) for name in alike.wrong])
        text += f" It would turn {names} the wrong way."
    return f"{text} {_warning(drive, alike)}"


def _fits(alike: LookAlike, off: float) -> str:
    """Whether the belt fits the other way, and the way that the layout says besides."""
    if off == 0.0:
        return f"This belt {'also fits' if alike.off == 0.0 else 'may also fit'} another way"
    fits = "fits" if alike.off == 0.0 else "may fit"
    return f"This belt is {misfit(off)} for this way, but {fits} a wrong one"


def misfit(off: float) -> str:
    """In words what a belt is that misses by so many mm: `off` is not 0."""
    return "too long" if off > 0.0 else "too short"


def _warning(drive: Drive, alike: LookAlike) -> str:
    """What not to do: the side that must not touch, or the turning that must not be taken."""
    sides = _sides(alike.drive)
    own = _sides(drive)
    if alike.wrong:
        return " ".join(
            f"Do not lay the {sides[name]} of the belt on {_title(drive, name)}: its {own[name]} "
            f"{'belong' if own[name] == 'ribs' else 'belongs'} there."
            for name in alike.wrong
        )
    before, there, here = parting(drive, alike)
    return (
        f"Do not lead the belt from {_title(drive, before)} to {_title(drive, there)}: after "
        f"{_title(drive, before)} it goes to {_title(drive, here)}."
    )


def parting(drive: Drive, alike: LookAlike) -> tuple[str, str, str]:
    """The pulley after which the two ways part, and where each of them goes then."""
    here = [contact.pulley for contact in drive.path.contacts]
    there = [contact.pulley for contact in alike.drive.path.contacts]
    i = next(i for i, (a, b) in enumerate(zip(here, there, strict=True)) if a != b)
    return here[i - 1], there[i], here[i]


def _differing(drive: Drive, alike: LookAlike) -> tuple[str, ...]:
    """The pulleys to mark: those turned the wrong way, else those where the ways part."""
    return alike.wrong or parting(drive, alike)


def _sides(drive: Drive) -> dict[str, str]:
    return {
        contact.pulley: side
        for contact, side in zip(drive.path.contacts, drive.path.sides, strict=True)
    }


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _title(drive: Drive, pulley: str) -> str:
    return drive.layout.pulleys[pulley].title
