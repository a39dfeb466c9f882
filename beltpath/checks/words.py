"""How findings name pulleys and stretches of belt."""

from __future__ import annotations

from typing import Literal

from beltpath.layout.records import Tensioner
from beltpath.refit.steps import SWING_ENDS
from beltpath.solve.drive import Drive

Stop = Literal["free", "load"]
#: The source of findings that no limit of the table decides.
GEOMETRY = "computed: geometry of the path"
#: Nobody moves the pulleys of a machine that its maker built for the sake of a guide value.
OWN_DESIGN = "on a drive of your own design"


def held_slack(t: Tensioner) -> str:
    """How the belt is slackened, as a sentence begins: an accessory that is bolted has no lever."""
    if t.kind == "swing":
        return "Swung to the end where it is slack,"
    return "With the lever held fully over"


def stop_word(t: Tensioner, end: Stop) -> str:
    """What an end of the travel is called; a bolted swing has no stops that a lever reaches."""
    if t.kind == "swing":
        return f"{SWING_ENDS[end == 'load']} end"
    return f"{end} stop"


def title(drive: Drive, pulley: str) -> str:
    """What a pulley is called on paper."""
    return drive.layout.pulleys[pulley].title


def stretch_title(drive: Drive, place: int) -> str:
    """A stretch of belt in words; `place` counts round the loop (see `clearance`)."""
    names = [title(drive, pulley) for pulley in stretch_pulleys(drive, place)]
    return f"the belt on {names[0]}" if len(names) == 1 else f"the span from {' to '.join(names)}"


def stretch_pulleys(drive: Drive, place: int) -> tuple[str, ...]:
    """The pulley that a stretch of belt lies on, or the two that a span joins."""
    if place % 2 == 0:
        return (drive.path.contacts[place // 2].pulley,)
    span = drive.path.spans[place // 2]
    return (span.start, span.end)
