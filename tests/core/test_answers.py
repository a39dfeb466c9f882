"""The machine-readable answer: its fields as the design fixes them, its numbers the study's own."""

from __future__ import annotations

import json
from math import degrees, pi
from typing import Any

import pytest

from beltpath.checks.findings import Finding, verdict
from beltpath.layout.designation import designation
from beltpath.layout.reader import parse
from beltpath.output.check_answer import answer
from beltpath.studies import study
from tests.core.test_path import SQUARE
from tests.core.test_tensioner import ARM, SLIDE

FIELDS = {
    "": {
        "title",
        "verdict",
        "units",
        "belt",
        "contacts",
        "spans",
        "tensioner",
        "forces",
        "findings",
    },
    "belt": {
        "section",
        "ribs",
        "effective_length_mm",
        "pitch_length_mm",
        "uncertainty_mm",
        "given_length_mm",
        "tolerance_mm",
        "tolerance_source",
        "designation",
    },
    "contacts": {
        "pulley",
        "side",
        "turns",
        "wrap_deg",
        "arc_mm",
        "enter",
        "leave",
        "speed_ratio",
    },
    "spans": {"from", "to", "length_mm", "angle_deg", "clearance_mm", "nearest"},
    "tensioner": {
        "pulley",
        "kind",
        "position",
        "free",
        "load",
        "travel_used",
        "at",
        "shortest_mm",
        "longest_mm",
        "take_up_mm",
        "rate_mm_per_unit",
        "release",
        "tension_n",
    },
    "findings": {"check", "level", "pulleys", "message", "source"},
}


def test_fields_are_there() -> None:
    found: Any = answer(
        study(parse(SLIDE.replace('section = "PK"', 'section = "PK"\nlength = 900')))
    )
    assert found.keys() >= FIELDS[""]
    for key in ("belt", "tensioner"):
        assert found[key].keys() >= FIELDS[key]
    for key in ("contacts", "spans", "findings"):
        assert found[key]
        for row in found[key]:
            assert row.keys() >= FIELDS[key]
    assert json.loads(json.dumps(found, allow_nan=False)) == found


def test_numbers_of_a_square() -> None:
    found = answer(study(parse(SQUARE.replace('"PK"', '"PK"\nribs = 6\nlength = 1914'))))
    assert found["title"] == "Square"
    assert found["units"] == "mm"
    belt = found["belt"]
    assert belt["effective_length_mm"] == pytest.approx(1600 + 100 * pi)
    assert belt["pitch_length_mm"] == pytest.approx(1600 + 104 * pi)
    assert belt["uncertainty_mm"] > 0.0
    assert (belt["section"], belt["ribs"]) == ("PK", 6)
    assert (belt["given_length_mm"], belt["designation"]) == (1914, "6PK1914")
    assert (belt["tolerance_mm"], belt["tolerance_source"]) == (9, "from memory, low confidence")
    assert [c["pulley"] for c in found["contacts"]] == ["crank", "b", "c", "d"]
    for contact in found["contacts"]:
        assert contact["wrap_deg"] == pytest.approx(90.0)
        assert contact["arc_mm"] == pytest.approx(25 * pi)
        assert contact["speed_ratio"] == pytest.approx(1.0)
        assert (contact["side"], contact["turns"]) == ("ribs", "clockwise")
    assert [s["angle_deg"] for s in found["spans"]] == pytest.approx([90.0, 0.0, 270.0, 180.0])
    assert [s["length_mm"] for s in found["spans"]] == pytest.approx([400.0] * 4)
    assert found["tensioner"] is None
    assert found["forces"] is None


def test_without_a_belt_in_hand() -> None:
    belt = answer(study(parse(SQUARE)))["belt"]
    assert (belt["given_length_mm"], belt["designation"]) == (None, None)
    assert (belt["tolerance_mm"], belt["tolerance_source"]) == (None, None)


def test_a_tolerance_of_the_layout_is_called_given() -> None:
    own = SQUARE.replace('"PK"', '"PK"\nlength = 1914\ntolerance = 9')
    belt = answer(study(parse(own)))["belt"]
    assert (belt["tolerance_mm"], belt["tolerance_source"]) == (9, "given")


def test_numbers_of_a_tensioner() -> None:
    layout = parse(ARM)
    solved = study(layout)
    found: Any = answer(solved)["tensioner"]
    assert solved.stand is not None
    assert (found["pulley"], found["kind"]) == ("t", "arm")
    assert (found["free"], found["load"]) == (150, 200)
    assert found["position"] == pytest.approx(180.0)
    assert found["travel_used"] == pytest.approx(0.6)
    assert found["at"] == pytest.approx([0.0, 50.0])
    assert found["longest_mm"] - found["take_up_mm"] == pytest.approx(solved.path.length)
    assert found["shortest_mm"] < solved.path.length
    assert found["rate_mm_per_unit"] == pytest.approx(solved.stand.rate)
    assert found["release"] == "counterclockwise"
    assert found["tension_n"] == pytest.approx(solved.stand.tension)


def test_a_study_gives_what_it_was_made_of() -> None:
    layout = parse(ARM)
    solved = study(layout)
    assert solved.layout is layout
    assert solved.path is solved.drive.path
    assert solved.verdict == verdict(solved.findings)
    assert sum(degrees(c.sign * c.wrap) for c in solved.path.contacts) == pytest.approx(-360.0)


def test_verdict_is_the_worst_finding() -> None:
    def finding(level: str) -> Finding:
        known = {"fault": "fault", "caution": "caution", "note": "note"}
        return Finding(
            check="x",
            level=known[level],  # type: ignore[arg-type]
            pulleys=(),
            message="m",
            source="s",
        )

    assert verdict([]) == "pass"
    assert verdict([finding("note")]) == "pass"
    assert verdict([finding("note"), finding("caution")]) == "caution"
    assert verdict([finding("caution"), finding("fault"), finding("note")]) == "fail"


def test_designations() -> None:
    assert designation("PK", 6, 1795.4) == "6PK1795"
    assert designation("AV10", 1, 1000.0) == "AV10x1000"
