"""What the picture of each step shows: the drive as the step has it, and what of it is dark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from beltpath.refit.steps import Kind, Place, Step, Tensioning, tensioning
from beltpath.solve.reliance import way_to_slacken
from beltpath.solve.tensioner import Stand, Travel
from beltpath.studies import Study

_CAPTIONS: Mapping[Kind, str] = {
    "compare": "compare, mark the travel",
    "slacken": "lever over, hold",
    "cut": "cut it through",
    "off": "off here first",
    "settle": "let back slowly",
    "rest": "off the others",
    "spin": "spin by hand",
    "check": "belt and grooves",
    "thread": "on in this order",
    "on": "on here last",
    "walk": "turn: it walks on",
    "tighten": "tighten, bolt down",
    "turn": "turn by hand",
    "run": "run, stop, look",
}
_OWN_CAPTIONS: Mapping[tuple[Tensioning, Kind], str] = {
    ("elastic", "compare"): "compare first",
    ("slide", "slacken"): "push over, hold",
    ("swing", "slacken"): "loosen, swing",
    ("fixed", "slacken"): "loosen, move it",
    ("elastic", "on"): "start it here",
}

Shown = Literal["dark", "at", "thin"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What a picture shows: the drive as the step has it, and what of it is dark.

    `belt` is dark as a whole, dark at the pulley that the step names, or thin. `lever` and
    `pointer` are +1 for the way that slackens or takes off, -1 for the way back, 0 for no arrow.
    """

    study: Study
    step: Step
    belt: Shown = "thin"
    dark: frozenset[str] = frozenset()
    tensioner: bool = False
    lever: int = 0
    pointer: int = 0
    crank: bool = False
    cut: bool = False

    @property
    def caption(self) -> str:
        """What is done, in few words."""
        how, kind = tensioning(self.study.drive), self.step.kind
        told = _OWN_CAPTIONS.get((how, kind), _CAPTIONS[kind])
        return f"{self.step.half} {self.step.number}: {told}"


def looks(study: Study) -> tuple[Look, ...]:
    """The pictures of a study's steps, in order."""
    places: Mapping[Place, Study] = {
        "stands": study,
        "slack": _standing(study, "slack"),
        "free": _standing(study, "free"),
    }
    return tuple(_look(places[step.place], step) for step in (*study.refit.off, *study.refit.on))


def _look(study: Study, step: Step) -> Look:
    look = Look(study=study, step=step)
    every = frozenset(study.refit.order)
    named = frozenset(step.pulleys)
    match step.kind:
        case "slacken" | "settle" | "tighten":
            way = 1 if step.kind == "slacken" else -1
            if not named:
                return replace(look, belt="dark")
            known = way_to_slacken(study.drive) is not None
            return replace(look, dark=named, tensioner=True, lever=way if known else 0)
        case "off" | "on":
            way = 1 if step.kind == "off" else -1
            shown: Shown = "dark" if step.belt == "loose" else "at"
            return replace(look, belt=shown, dark=named, pointer=way)
        case "spin" | "check":
            return replace(look, dark=every, crank=_spins(study, step))
        case "walk":
            return replace(look, belt="at", dark=named, crank=True)
        case "turn":
            return replace(look, dark=named, crank=True)
        case _:
            return replace(look, belt="dark", cut=step.kind == "cut")


def _spins(study: Study, step: Step) -> bool:
    """Whether the crank is turned too: one that is kept blocked is not."""
    return step.kind == "spin" and study.layout.driver != "other"


def _standing(study: Study, where: Literal["slack", "free"]) -> Study:
    """The study with its tensioner moved: to the end with most slack, or to its free end."""
    stand = study.stand
    if stand is None:
        return study
    t = stand.tensioner
    travel = Travel(t, study.drive.as_measured, study.layout.pulleys[t.pulley].at)
    position = stand.usable[0]
    if where == "slack":
        position = min(stand.usable, key=lambda end: travel.path_at(end).length)
    return _moved(study, stand, travel, position)


def _moved(study: Study, stand: Stand, travel: Travel, position: float) -> Study:
    path = travel.path_at(position)
    there = replace(stand, position=position, at=travel.centre(position), path=path)
    return replace(study, drive=replace(study.drive, path=path, stand=there))
