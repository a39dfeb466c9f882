"""The cautions that every card carries. Signal words as ANSI Z535.4 defines them.

WARNING: could cause death or serious injury; CAUTION: minor or moderate injury; NOTICE: no injury.
The points are common practice; the maker's service information always comes first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from beltpath.layout.keys import Driver
from beltpath.words import DEFERS, sentence

Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A signal word and what it warns of."""

    signal: Signal
    text: str


#: Before the first step: nothing may turn the drive.
STILL: Mapping[Driver, Caution] = {
    "engine": Caution(
        signal="WARNING",
        text="Stop the engine, take the key out, let everything cool. Take the battery's negative "
        "lead off first. An engine with start-stop and an electric fan can start by themselves.",
    ),
    "motor": Caution(
        signal="WARNING",
        text="Isolate every energy source, lock it, prove it dead. A pressure switch, a float or a "
        "timer can start a motor by itself. Let out pressure that could turn it.",
    ),
    "other": Caution(
        signal="WARNING",
        text="Shut off and lock whatever can turn the drive: water, wind, a weight, an animal, a "
        "person. Block it. Isolate every other energy source, lock it, prove it dead.",
    ),
}
#: The same in a few words, for a front whose cautions stand overleaf.
STILL_BRIEF: Mapping[Driver, str] = {
    "engine": "Engine off, key out, cold.",
    "motor": "Every energy source isolated, locked, proved dead.",
    "other": "Drive shut off, blocked, locked.",
}
SPRUNG = Caution(
    signal="WARNING",
    text="The tensioner is sprung. Move it only the way shown, hold it both ways, let it back "
    "slowly; never let it snap.",
)
#: The same where nobody knows which way slackens.
SPRUNG_IN_DOUBT = Caution(
    signal="WARNING",
    text="The tensioner is sprung, and which way slackens it is in doubt. Do not move it before "
    "that is clear; never let it snap.",
)
LET_BACK = Caution(
    signal="WARNING",
    text="Keep hold until it rests: a sprung tensioner that snaps back breaks fingers.",
)
CUT = Caution(
    signal="WARNING",
    text="The belt is stretched and springs apart when it is cut. Wear goggles. Keep face and "
    "hands out of its plane.",
)
RUN_IN = Caution(
    signal="WARNING",
    text="Fingers, sleeves and hair stay out of the places where belt and pulley run together.",
)
#: Before a drive that was blocked is turned by hand.
UNBLOCKED = Caution(
    signal="WARNING",
    text="Take the block out for the next step only. Leave water, wind and the like shut off and "
    "locked.",
)
AFTER = Caution(
    signal="WARNING",
    text="Before the first start: tools and hands clear, guards and covers back on.",
)
LIMITS = Caution(
    signal="NOTICE",
    text=f"This card answers for geometry and statics only. {sentence(DEFERS)}",
)


def cautions(driver: Driver, *, sprung: bool, in_doubt: bool = False) -> tuple[Caution, ...]:
    """The cautions for a drive, with or without a sprung tensioner, its way known or in doubt."""
    tensioner = (SPRUNG_IN_DOUBT if in_doubt else SPRUNG,) if sprung else ()
    return (STILL[driver], *tensioner, RUN_IN, AFTER, LIMITS)
