"""The cautions that every card carries. Signal words as ANSI Z535.4 defines them.

WARNING: could cause death or serious injury; CAUTION: minor or moderate injury; NOTICE: no injury.
The points are common practice; the maker's service information always comes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A signal word and what it warns of."""

    signal: Signal
    text: str


STILL = Caution(
    signal="WARNING",
    text="Engine off, key out and everything cold first. Battery: negative lead off first, on "
    "last. An electric fan can start by itself.",
)
SPRUNG = Caution(
    signal="WARNING",
    text="The tensioner is sprung. Turn it only the way shown, hold it both ways, let it back "
    "slowly; never let it snap.",
)
LET_BACK = Caution(
    signal="WARNING",
    text="Keep hold until it rests: a sprung arm that snaps back breaks fingers.",
)
RUN_IN = Caution(
    signal="WARNING",
    text="Fingers, sleeves and hair stay out of the places where belt and pulley run together.",
)
AFTER = Caution(
    signal="CAUTION",
    text="Before the first start: every rib in its groove all round, tools and hands clear, guards "
    "and covers back on.",
)
LIMITS = Caution(
    signal="NOTICE",
    text="This card answers for geometry and statics only. The maker's service information, local "
    "rules and licensed practice come first.",
)


def cautions(*, sprung: bool) -> tuple[Caution, ...]:
    """The cautions for a drive, with or without a sprung tensioner."""
    return (STILL, *((SPRUNG,) if sprung else ()), RUN_IN, AFTER, LIMITS)
