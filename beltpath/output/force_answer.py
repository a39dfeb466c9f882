"""The machine-readable answer about forces: plain values, ready for JSON. N, N·m, m/s, Hz, deg."""

from __future__ import annotations

from math import isfinite
from typing import Any

from beltpath.data.tables import Sourced
from beltpath.solve.forces import AtSpeed, ContactForce, Forces, SpanForce


def forces_answer(forces: Forces | None) -> list[dict[str, Any]] | None:
    """What `check --json` says under `forces`: one entry a crank speed.

    `tension_n` is T; `grip_n` is T − m·v², of which the hub loads are made. `slip_reserve` is null
    where there is nothing to grip and 0 beside a slack span; tension, frequency and hub load are
    null where slack keeps them from being told. Where the tension is an interval, `spans` and
    `contacts` are the low case and `high` holds both again for the high case; else `high` is null.
    """
    if forces is None:
        return None
    return [
        {
            "crank_rpm": low.crank_rpm,
            "belt_speed_m_s": low.belt_speed,
            "basis": forces.held.basis,
            "mass_kg_m": forces.mass,
            **_case(low),
            "high": _case(high) if forces.interval else None,
        }
        for low, high in zip(forces.low, forces.high, strict=True)
    ]


def guides_answer(forces: Forces | None) -> list[dict[str, Any]] | None:
    """The guide values that the forces rest on, each with its source."""
    if forces is None:
        return None
    guides = forces.guides
    rows: dict[str, Sourced | None] = {
        "friction_ribs": guides.friction_ribs,
        "friction_back": guides.friction_back,
        "mass_per_rib": guides.mass,
    }
    if forces.held.basis == "stretch" and guides.stiffness is not None:
        rows["stiffness_per_rib"], rows["stiffness_per_rib_high"] = guides.stiffness
    return [_guide(key, row) for key, row in rows.items() if row is not None]


def _case(at: AtSpeed) -> dict[str, Any]:
    return {
        "spans": [_span(span) for span in at.spans],
        "contacts": [_contact(contact) for contact in at.contacts],
    }


def _span(span: SpanForce) -> dict[str, Any]:
    return {
        "from": span.start,
        "to": span.end,
        "tension_n": None if span.slack else span.tension,
        "grip_n": None if span.slack else span.grip,
        "frequency_hz": None if span.slack else span.frequency,
        "standing_frequency_hz": span.standing_frequency,
    }


def _contact(contact: ContactForce) -> dict[str, Any]:
    reserve = contact.slip_reserve
    return {
        "pulley": contact.pulley,
        "rpm": contact.rpm,
        "torque_nm": contact.torque,
        "friction": contact.friction,
        "slip_reserve": reserve if isfinite(reserve) else None,
        "hub_load_n": None if contact.slack else contact.hub_load,
        "hub_load_deg": None if contact.slack else contact.hub_direction,
    }


def _guide(key: str, row: Sourced) -> dict[str, Any]:
    return {
        "key": key,
        "value": row.value,
        "unit": row.unit,
        "status": row.status,
        "source": row.source,
    }
