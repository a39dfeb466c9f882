"""Check of fitting: whether the belt can be got on with the tensioner at its slack end."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from beltpath.checks.findings import Finding
from beltpath.checks.judged import sound_stand, tolerance_words
from beltpath.checks.register import check
from beltpath.checks.words import held_slack, title
from beltpath.refit.order import RimNeed, refit
from beltpath.solve.drive import Drive
from beltpath.solve.tensioner import Stand
from beltpath.words import above, mm

_RULE = (
    "summary of SAE J1596 (cancelled 2019), shortest PK belt over a pulley inside it: "
    "1.003·L1 + L2 + 0.77 in + 6.28·h"
)


@check("fit-on")
def fit_on(drive: Drive) -> Iterator[Finding]:
    """With the tensioner held at its slack end, the belt cannot be got over the easiest rim."""
    stand = sound_stand(drive)
    if stand is None or stand.over_centre is not None or stand.reached == "too short":
        return  # `missed`, `crossing`, `over-centre` or `length` tells
    if not min(stand.usable) <= stand.position <= max(stand.usable):
        return  # `travel` tells
    found = refit(drive)
    if found.slack is None or not found.rims:
        return
    length = drive.layout.belt.length
    if not found.can_be_fitted:
        easiest = min(found.rims, key=lambda rim: (round(rim.needs, 1), len(rim.before)))
        yield _never_on(drive, stand, found.slack, easiest)
    elif (
        length is not None
        and found.shortest_by_rule is not None
        and length < found.shortest_by_rule
    ):
        over = " and then ".join(title(drive, pulley) for pulley in found.slipped)
        yield Finding(
            check="fit-on",
            level="caution",
            pulleys=(found.last_on,),
            message=f"The belt given ({mm(length)} mm) may be hard to get on: the rule asks for at "
            f"least {ceil(found.shortest_by_rule)} mm with this travel. Our own reckoning leaves "
            f"{_rounded_down(found.rims[0].spare):.1f} mm of slack over the rim of {over}"
            f"{_at_short_end(drive)}. Fit it there last, and do not force it.",
            source=_RULE,
            where=(drive.centre(found.last_on),),
        )


def _never_on(drive: Drive, stand: Stand, slack: float, easiest: RimNeed) -> Finding:
    over = " and then ".join(title(drive, name) for name in (*easiest.before[::-1], easiest.pulley))
    needs = above(easiest.needs, max(slack, 0.0))
    if slack > 0.0:
        has = f"has {_rounded_down(slack):.1f} mm of slack, but"
    else:
        has = f"is {above(-slack, 0.0):.1f} mm too short for the shortest path; besides,"
    belt = drive.layout.belt
    measure = (
        "Measure the belt, look for a longer one" if belt.tolerance else "Look for a longer belt"
    )
    return Finding(
        check="fit-on",
        level="fault",
        pulleys=(easiest.pulley,),
        message=f"{held_slack(stand.tensioner)} the belt{_at_short_end(drive)} {has} the easiest "
        f"way on, over {over}, needs {needs:.1f} mm. {measure}, or measure the stops of the travel "
        f"again.",
        source="computed: the path while rim after rim is passed, less the shortest path",
        where=(drive.centre(easiest.pulley),),
    )


def _at_short_end(drive: Drive) -> str:
    """Which belt is meant, where its tolerance is taken off: risk is never room."""
    belt = drive.layout.belt
    if belt.length is None or not belt.tolerance:
        return ""
    short = belt.length - belt.tolerance
    return (
        f" at the short end of its tolerance ({mm(short)} mm; ± {mm(belt.tolerance)} mm, "
        f"{tolerance_words(belt)})"
    )


def _rounded_down(value: float) -> float:
    return floor(value * 10.0 + 1e-6) / 10.0
