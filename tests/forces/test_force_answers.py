"""The JSON of design.md under `forces`, and the guide values beside it."""

from __future__ import annotations

import json
from typing import Any

import pytest

from beltpath.layout.reader import parse
from beltpath.output.check_answer import answer, forces_answer, guides_answer
from beltpath.studies import study
from tests.forces.scenes import CIDER_MILL, LATHE, WASHER, edited, forces_of


def answer_of(text: str, *edits: tuple[str, str]) -> Any:
    found = forces_answer(forces_of(text, *edits))
    assert found is not None
    return found


def test_the_fields_of_the_design_are_all_there() -> None:
    for entry in answer_of(CIDER_MILL):
        assert {"crank_rpm", "belt_speed_m_s", "spans", "contacts"} <= entry.keys()
        for span in entry["spans"]:
            assert {"from", "to", "tension_n", "frequency_hz"} <= span.keys()
        for contact in entry["contacts"]:
            assert {"pulley", "rpm", "slip_reserve", "hub_load_n", "hub_load_deg"} <= contact.keys()


def test_one_entry_a_crank_speed_in_route_order() -> None:
    found = answer_of(CIDER_MILL)
    assert [entry["crank_rpm"] for entry in found] == [800.0, 3000.0, 6000.0]
    assert [c["pulley"] for c in found[0]["contacts"]] == [
        "crank",
        "tensioner",
        "alternator",
        "idler",
        "pump",
    ]
    assert (found[0]["spans"][0]["from"], found[0]["spans"][0]["to"]) == ("crank", "tensioner")


def test_values_are_those_of_the_record() -> None:
    found, entry = forces_of(LATHE), answer_of(LATHE)[0]
    (at,) = found.low
    assert entry["belt_speed_m_s"] == at.belt_speed
    assert entry["basis"] == "given" and entry["high"] is None
    assert entry["mass_kg_m"] == pytest.approx(4 * 0.0235)
    for told, span in zip(entry["spans"], at.spans, strict=True):
        assert told["tension_n"] == span.tension == pytest.approx(span.grip + 4.0134, abs=0.001)
        assert told["grip_n"] == span.grip
        assert told["frequency_hz"] == pytest.approx((span.tension / 0.094) ** 0.5 / 0.6)
        assert told["standing_frequency_hz"] == pytest.approx((400.0 / 0.094) ** 0.5 / 0.6)
    for told, contact in zip(entry["contacts"], at.contacts, strict=True):
        assert told["torque_nm"] == contact.torque
        assert told["friction"] == 0.5
        assert told["slip_reserve"] == contact.slip_reserve
        assert told["hub_load_n"] == contact.hub_load
        assert told["hub_load_deg"] == contact.hub_direction


def test_what_cannot_be_told_is_null_and_the_text_is_json() -> None:
    """No NaN and no infinity: an idler has nothing to grip, a slack span no known tension."""
    idle = answer_of(CIDER_MILL)[0]["contacts"][1]
    assert idle["slip_reserve"] is None and idle["hub_load_n"] > 0.0
    entry = answer_of(LATHE, ("torque_nm = 10.4", "torque_nm = 52"))[0]
    slack, tight = entry["spans"]
    assert slack["tension_n"] is slack["grip_n"] is slack["frequency_hz"] is None
    assert tight["tension_n"] > 0.0
    for contact in entry["contacts"]:
        assert contact["slip_reserve"] == 0.0
        assert contact["hub_load_n"] is contact["hub_load_deg"] is None
    json.dumps([idle, entry], allow_nan=False)


def test_an_interval_is_told_by_its_low_case_and_its_high_case() -> None:
    found = forces_of(WASHER)
    for entry, low, high in zip(answer_of(WASHER), found.low, found.high, strict=True):
        assert entry["spans"][1]["tension_n"] == low.spans[1].tension
        assert entry["high"]["spans"][1]["tension_n"] == high.spans[1].tension
        assert entry["high"].keys() == {"spans", "contacts"}
        assert high.contacts[0].slip_reserve > low.contacts[0].slip_reserve


def test_guides_are_told_with_their_source() -> None:
    rows = guides_answer(forces_of(CIDER_MILL))
    assert rows is not None
    assert [row["key"] for row in rows] == ["friction_ribs", "friction_back", "mass_per_rib"]
    assert rows[0] == {
        "key": "friction_ribs",
        "value": 0.5,
        "unit": "1",
        "status": "from memory",
        "source": rows[0]["source"],
    }
    assert "running.friction_ribs" in rows[0]["source"]


def test_what_the_caller_said_is_called_given() -> None:
    own = "friction_ribs = 0.6\nfriction_back = 0.2\nmass_per_rib = 0.03\nstiffness_per_rib = 4000"
    rows = guides_answer(forces_of(WASHER, ("[running]", f"[running]\n{own}")))
    assert rows is not None
    assert {row["status"] for row in rows} == {"given"}


def test_stiffness_is_told_where_the_tension_comes_from_it() -> None:
    rows = guides_answer(forces_of(WASHER))
    assert rows is not None
    assert [(row["key"], row["value"]) for row in rows[3:]] == [
        ("stiffness_per_rib", 2200.0),
        ("stiffness_per_rib_high", 6300.0),
    ]


def test_without_forces_both_are_null() -> None:
    assert forces_answer(None) is None
    assert guides_answer(None) is None


class TestInTheWholeAnswer:
    def test_with_forces(self) -> None:
        studied = study(parse(CIDER_MILL))
        told = answer(studied)
        assert studied.forces is not None
        assert told["forces"] == forces_answer(studied.forces)
        assert told["guides"] == guides_answer(studied.forces)
        json.dumps(told, allow_nan=False)

    @pytest.mark.parametrize(
        "edit", [("tension = 400\n", ""), ("[running]\ncrank_rpm = [1200]\ntension = 400\n", "")]
    )
    def test_without(self, edit: tuple[str, str]) -> None:
        told = answer(study(parse(edited(LATHE, edit))))
        assert told["forces"] is None
        assert told["guides"] is None
