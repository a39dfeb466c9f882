"""The tables of a layout file as they are read: plain dicts in which every key has a value.

The rules are `LayoutModel`'s. They ship as data (``beltpath/data/layout_tables.json``, written by
``python -m beltpath.output.schemas``), since building the models takes longer than solving a drive.
Values are as written in the file: lengths in its `units`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import Any, TypedDict

from pydantic_core import SchemaValidator

from beltpath.data.sections import SectionName, read_data
from beltpath.layout.parts import (
    HOW_MEASURED,
    Driver,
    Face,
    HowMeasured,
    Reach,
    Role,
    Sense,
    Side,
    TensionerKind,
    Units,
)

RULES_FILE = "layout_tables.json"


class LoadTable(TypedDict):
    """What an accessory takes."""

    power_kw: float | None
    torque_nm: float | None


class PulleyTable(TypedDict):
    """One pulley."""

    at: list[float]
    diameter: float | None
    outside: float | None
    over_balls: float | None
    around: float | None
    face: Face
    role: Role
    side: Side | None
    turns: Sense | None
    grooves: int | None
    rim: float | None
    offset: float
    min_wrap: float | None
    max_rpm: float | None
    load: LoadTable | None
    reach: Reach | None
    accuracy: float | None
    label: str | None


class BeltTable(TypedDict):
    """The belt's section, and its length if one is in hand."""

    section: SectionName
    ribs: int
    length: float | None
    tolerance: float | None
    double_sided: bool
    elastic: bool
    back: float | None
    height: float | None


class SpringTable(TypedDict):
    """A tensioner's spring."""

    torque: float | None
    force: float | None
    at: float
    rate: float


class TensionerTable(TypedDict):
    """The tensioner: its pulley, how that can move, its stops and window."""

    pulley: str
    kind: TensionerKind
    pivot: list[float] | None
    along: float | None
    free: float
    load: float
    window: list[float] | None
    spring: SpringTable | None
    lever: str | None
    release: Sense | None


class RunningTable(TypedDict):
    """How the drive runs."""

    crank_rpm: list[float]
    friction_ribs: float | None
    friction_back: float | None
    mass_per_rib: float | None
    stiffness_per_rib: float | None
    tension: float | None


class LayoutTable(TypedDict):
    """A whole layout file."""

    title: str
    units: Units
    crank_turns: Sense
    driver: Driver
    accuracy: float | None
    notes: str
    route: list[str] | None
    belt: BeltTable
    pulleys: dict[str, PulleyTable]
    tensioner: TensionerTable | None
    running: RunningTable | None


def tables(data: Mapping[str, Any]) -> LayoutTable:
    """The tables of a layout whose keys and kinds of value are all as they must be.

    Raises pydantic_core.ValidationError with every key that is not.
    """
    read: LayoutTable = _rules().validate_python(data)
    return read


def measured(pulley: PulleyTable) -> tuple[HowMeasured, float]:
    """The one size that is given, and how it was measured."""
    return next((how, size) for how in HOW_MEASURED if (size := pulley[how]) is not None)


def effort(spring: SpringTable) -> float:
    """The one of `torque` and `force` that is given."""
    return next(v for v in (spring["torque"], spring["force"]) if v is not None)


@cache
def _rules() -> SchemaValidator:
    return SchemaValidator(json.loads(read_data(RULES_FILE)))
