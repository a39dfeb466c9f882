"""Check of fitting: whether the belt can be got on with the lever held over."""

from __future__ import annotations

from collections.abc import Iterator

from beltpath.checks.findings import Finding
from beltpath.checks.judged import sound_stand
from beltpath.checks.register import check
from beltpath.refit.order import refit
from beltpath.solve.drive import Drive
from beltpath.words import below

_RULE = (
    "summary of SAE J1596 (cancelled 2019), shortest PK belt over a pulley inside it: "
    "1.003·L1 + L2 + 0.77 in + 6.28·h"
)


@check("fit-on")
def fit_on(drive: Drive) -> Iterator[Finding]:
    """With the lever held over, the belt cannot be got over the easiest rim."""
    stand = sound_stand(drive)
    if stand is None or stand.over_centre is not None or stand.reached == "too short":
        return  # `missed`, `crossing`, `over-centre` or `length` tells
    if not min(stand.usable) <= stand.position <= max(stand.usable):
        return  # `travel` tells
    found = refit(drive)
    if found.slack is None or not found.rims:
        return
    easiest = min(found.rims, key=lambda rim: rim.needs)
    title = drive.layout.pulleys[easiest.pulley].title
    length = drive.layout.belt.length
    if not found.can_be_fitted:
        yield Finding(
            check="fit-on",
            level="fault",
            pulleys=(easiest.pulley,),
            message=f"With the lever held fully over the belt has "
            f"{below(found.slack, round(easiest.needs, 1)):.1f} mm of slack, but even {title} "
            f"needs {easiest.needs:.1f} mm to lift it over the rim. Look for a longer belt, or "
            f"measure the stops of the travel again.",
            source="computed: the path round a rim, less the path with the lever held over",
            where=(drive.centre(easiest.pulley),),
        )
    elif (
        length is not None
        and found.shortest_by_rule is not None
        and length < found.shortest_by_rule
    ):
        yield Finding(
            check="fit-on",
            level="caution",
            pulleys=(found.last_on,),
            message=f"The belt given ({length:.0f} mm) may be hard to get on: the rule asks for at "
            f"least {found.shortest_by_rule:.0f} mm with this travel. Our own reckoning leaves "
            f"{found.rims[0].spare:.1f} mm of slack over the rim of "
            f"{drive.layout.pulleys[found.last_on].title}. Fit it there last, and do not force it.",
            source=_RULE,
            where=(drive.centre(found.last_on),),
        )
