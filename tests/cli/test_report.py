"""What ``check`` says to a person: every table, and every way a tensioner can stand."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import beltpath
from beltpath.cli.new import starter
from beltpath.layout.records import Spring
from beltpath.output.check_text import report, row, summary, unusable_row
from beltpath.studies import Study
from tests.cli.calling import CAUTIOUS, FAULTY, SOUND

LAYOUTS = Path(__file__).parents[2] / "layouts"

TWO = """
title = "Two pulleys and nothing else"
route = ["crank", "fan"]

[belt]
section = "AV10"

[pulleys]
crank = { at = [0, 0], diameter = 120, face = "grooved", role = "crank" }
fan = { at = [0, 260], diameter = 110, face = "grooved", role = "fan", label = "Cooling fan" }
"""


def studied(text: str) -> Study:
    return beltpath.study(beltpath.parse(text))


def with_belt(lines: str, text: str = SOUND) -> str:
    return text.replace("ribs = 6", f"ribs = 6\n{lines}")


def sliding(free: float = 25, load: float = -25) -> str:
    """The starter drive with its tensioner on a slide."""
    head, _, tail = SOUND.partition("[tensioner]\n")
    lever = tail[tail.index("# Crank speeds") :]
    return (
        f"{head}[tensioner]\npulley = 'tensioner'\nkind = 'slide'\nalong = 10\n"
        f"free = {free}\nload = {load}\n{lever}"
    )


class TestTables:
    def test_contacts_stand_in_the_order_of_the_route_with_their_figures(self) -> None:
        study = studied(SOUND)
        lines = report(study).splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("contact "))
        assert lines[at].split() == [
            "contact",
            "face",
            "side",
            "turns",
            "wrap",
            "°",
            "speed",
            "ratio",
        ]
        for told, known in zip(
            lines[at + 1 : at + 5], beltpath.answer(study)["contacts"], strict=True
        ):
            name, _, side, turns, wrap, ratio = told.split()
            assert (name, side, turns) == (known["pulley"], known["side"], known["turns"])
            assert float(wrap) == pytest.approx(known["wrap_deg"], abs=0.0501)
            assert float(ratio) == pytest.approx(known["speed_ratio"], abs=0.000501)

    def test_spans_tell_length_clearance_and_the_nearest_rim(self) -> None:
        study = studied(SOUND)
        lines = report(study).splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("span "))
        for told, known in zip(
            lines[at + 1 : at + 5], beltpath.answer(study)["spans"], strict=True
        ):
            start, to, end, length, clearance, nearest = told.split()
            assert (start, to, end, nearest) == (known["from"], "to", known["to"], known["nearest"])
            assert float(length) == pytest.approx(known["length_mm"], abs=0.0501)
            assert float(clearance) == pytest.approx(known["clearance_mm"], abs=0.0501)

    def test_columns_stand_under_one_another(self) -> None:
        lines = report(studied(SOUND)).splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("contact "))
        table = lines[at : at + 5]
        assert {line.find("clockwise") for line in table[1::2]} == {table[0].index("turns")}
        assert {len(line) for line in table} == {len(table[0])}

    def test_two_pulleys_have_no_other_rim_to_clear(self) -> None:
        said = report(studied(TWO))
        assert "crank to fan  " in said
        rows = [line.split()[3:] for line in said.splitlines() if " to " in line]
        assert [(clearance, nearest) for _, clearance, nearest in rows] == [("-", "-")] * 2
        assert "fan (Cooling fan)" in said
        assert "AV10\n" in said
        assert "tensioner" not in said


class TestBelt:
    def test_the_length_carries_its_uncertainty(self) -> None:
        study = studied(SOUND)
        length, sure = study.path.length, study.uncertainty.expanded
        assert f"effective length  {length:.1f} mm ± {sure:.1f} mm (95 %)" in report(study)

    def test_an_inch_layout_is_told_in_both(self) -> None:
        study = studied(starter("in"))
        said = report(study)
        assert "the layout is in inches; this report is in millimetres" in said
        assert f"{study.path.length:.1f} mm ({study.path.length / 25.4:.3f} in)" in said

    def test_a_belt_in_hand_stands_beside_what_was_measured(self) -> None:
        study = studied(with_belt("length = 1300\ntolerance = 7.5"))
        said = report(study)
        assert "belt in hand  6PK1300, effective length 1300.0 mm ± 7.5 mm (given)" in said
        assert f"as measured   effective length {study.drive.as_measured.length:.1f} mm" in said
        assert "as solved     effective length 1300.0 mm" in said
        assert "with the belt in hand" in said

    @pytest.mark.parametrize(
        ("section", "words"),
        [
            ("PK", "± 8.0 mm (from memory, low confidence)"),
            ("PJ", "from memory, low confidence: a table for PK, not known to hold for PJ)"),
        ],
    )
    def test_a_tolerance_that_nobody_gave_is_told_as_such(self, section: str, words: str) -> None:
        text = with_belt("length = 1300").replace('"PK"', f'"{section}"')
        said = report(studied(text))
        assert words in next(line for line in said.splitlines() if line.startswith("belt in hand"))

    def test_kinds_of_belt_are_named(self) -> None:
        no_tensioner = SOUND[: SOUND.index("[tensioner]")]
        both = with_belt("double_sided = true\nelastic = true", no_tensioner)
        assert "belt              PK, 6 ribs, double-sided, stretch-fit" in report(studied(both))
        assert "PK, 1 rib\n" in report(studied(SOUND.replace("ribs = 6", "ribs = 1")))


class TestTensioner:
    @pytest.mark.parametrize(
        ("length", "words"),
        [(1100, "belt in hand, which is too short"), (1400, "belt in hand, which is too long")],
    )
    def test_a_belt_out_of_reach_is_said_to_be(self, length: int, words: str) -> None:
        assert words in report(studied(with_belt(f"length = {length}")))

    def test_an_arm_is_told_in_degrees(self) -> None:
        said = report(studied(SOUND.replace("# window", "window").replace("# spring", "spring")))
        assert "45° (free) to 105° (load)" in said
        assert "window             60° to 92°" in said
        assert "turn the arm counterclockwise (15 mm hex)" in said
        assert "static tension     " in said

    def test_a_slide_is_told_in_millimetres_and_by_direction(self) -> None:
        study = studied(sliding())
        said = report(study)
        assert "25 mm (free) to -25 mm (load), 50 % used" in said
        assert "mm for each mm" in said
        assert study.stand is not None
        assert study.stand.release == 190.0
        assert "move the pulley towards 190°\n" in said

    def test_no_tension_is_invented_without_a_spring(self) -> None:
        assert "static tension" not in report(studied(SOUND))
        study = studied(SOUND)
        assert study.layout.tensioner is not None
        spring = Spring(effort=24.0, at=76.0)
        sprung = replace(study.layout, tensioner=replace(study.layout.tensioner, spring=spring))
        stand = beltpath.study(sprung).stand
        assert stand is not None
        assert f"static tension     {stand.tension:.0f} N" in report(beltpath.study(sprung))


RUNNING = (
    SOUND.replace("# spring", "spring")
    .replace("# [running]", "[running]")
    .replace("# crank_rpm", "crank_rpm")
    .replace('role = "pump"', 'role = "pump", load = { power_kw = 2 }')
)
ELASTIC = """
title = "A belt that stretches on"
route = ["crank", "pump"]
belt = { section = "PK", ribs = 4, length = 1000, elastic = true }
running = { crank_rpm = [1500] }

[pulleys]
crank = { at = [0, 0], diameter = 120, face = "grooved", role = "crank" }
pump = { at = [0, 328], diameter = 110, face = "grooved", role = "pump" }
"""


class TestForces:
    def test_each_crank_speed_has_its_column(self) -> None:
        lines = report(studied(RUNNING)).splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("at crank rpm"))
        assert lines[at].split()[-2:] == ["800", "3000"]
        answers: Any = beltpath.answer(studied(RUNNING))["forces"]
        for i, span in enumerate(answers[0]["spans"]):
            name = f"tension, {span['from']} to {span['to']}, N "
            cells = next(line for line in lines if line.startswith(name)).split()[-2:]
            assert [float(cell) for cell in cells] == pytest.approx(
                [speed["spans"][i]["tension_n"] for speed in answers], abs=0.501
            )
        for i, contact in enumerate(answers[0]["contacts"]):
            name = f"speed, {contact['pulley']}, rpm "
            cells = next(line for line in lines if line.startswith(name)).split()[-2:]
            assert [float(cell) for cell in cells] == pytest.approx(
                [speed["contacts"][i]["rpm"] for speed in answers], abs=0.501
            )

    def test_a_pulley_that_takes_nothing_has_no_slip_reserve(self) -> None:
        said = report(studied(RUNNING))
        assert re.search(r"^slip reserve, pump +\d+\.\d\d +\d+\.\d\d$", said, re.MULTILINE)
        assert "slip reserve, tensioner" not in said

    def test_a_slack_belt_is_said_to_be_slack(self) -> None:
        text = ELASTIC.replace(", length = 1000, elastic = true", "")
        text = text.replace("[1500]", "[1500], tension = 20")
        text = text.replace('role = "pump"', 'role = "pump", load = { power_kw = 5 }')
        weak = report(studied(text))
        assert re.search(r"^tension, .* slack", weak, re.MULTILINE)
        assert re.search(r"^hub load, .* slack", weak, re.MULTILINE)

    def test_what_they_rest_on_is_told_with_its_standing(self) -> None:
        said = report(studied(RUNNING))
        assert re.search(r"^tension by +the tensioner's spring$", said, re.MULTILINE)
        assert re.search(r"^friction_ribs +0\.5 \(from memory\)$", said, re.MULTILINE)
        assert re.search(r"^mass_per_rib +0\.0235 kg/m \(from memory\)$", said, re.MULTILINE)

    def test_what_the_caller_said_is_called_given(self) -> None:
        """It was called published."""
        said = report(studied(RUNNING.replace("[running]", "[running]\nfriction_ribs = 0.6")))
        assert re.search(r"^friction_ribs +0\.6 \(given\)$", said, re.MULTILINE)
        assert "published" not in said

    def test_an_interval_stays_one(self) -> None:
        said = report(studied(ELASTIC))
        assert re.search(r"^tension, crank to pump, N +\d+ to \d+$", said, re.MULTILINE)
        assert "known as an interval only" in said

    def test_forces_that_cannot_be_told_are_not_invented(self) -> None:
        said = report(studied(RUNNING.replace("\nspring", "\n# spring")))
        assert re.search(r"^note +slip: Forces and slip are not computed: ", said, re.MULTILINE)
        assert "at crank rpm" not in said
        assert "tension by" not in said


class TestFindingsAndVerdict:
    @pytest.mark.parametrize(
        ("text", "ending"), [(SOUND, "PASS"), (CAUTIOUS, "CAUTION"), (FAULTY, "FAIL")]
    )
    def test_the_verdict_ends_it_and_defers_to_the_maker(self, text: str, ending: str) -> None:
        last = report(studied(text)).splitlines()[-1]
        assert last.startswith(f"verdict  {ending}: ")
        assert "the maker's service information, local rules" in last

    def test_every_finding_is_told_whole(self) -> None:
        study = studied(FAULTY.replace(", turns", ", min_wrap = 170, turns"))
        assert len(study.findings) == 2
        for finding in study.findings:
            told = f"{finding.check}: {finding.message} ({finding.source})"
            assert told in report(study)

    def test_sentences_fold_and_hang_under_their_beginning(self) -> None:
        study = studied(CAUTIOUS)
        folded = report(study, width=60).splitlines()
        assert max(map(len, folded)) <= 70
        at = next(i for i, line in enumerate(folded) if line.startswith("caution  wrap: "))
        assert folded[at + 1].startswith(" " * len("caution  "))
        assert " ".join(report(study).split()) == " ".join(" ".join(folded).split())


class TestManyLayouts:
    def test_a_row_counts_what_was_found(self) -> None:
        study = studied(FAULTY.replace(", turns", ", min_wrap = 170, turns"))
        assert row("a.toml", study, wide=8).startswith("a.toml    fail      ")
        assert row("a.toml", study, wide=8).endswith("  1 fault, 1 caution")

    def test_two_are_more_than_one(self) -> None:
        text = CAUTIOUS.replace('role = "alternator"', 'role = "alternator", min_wrap = 170')
        assert row("a", studied(text), wide=1).endswith("  2 cautions")

    def test_an_unusable_one_has_no_figures(self) -> None:
        assert unusable_row("a", wide=3) == "a    unusable"

    def test_the_summary_names_only_what_came_out(self) -> None:
        assert summary(["pass", "fail", "pass"]) == "3 layouts: 2 pass, 1 fail"
        assert summary(["unusable", "caution"]) == "2 layouts: 1 caution, 1 unusable"


def test_nothing_is_minus_nought() -> None:
    """At its free stop, or a hair before it, the tensioner has used 0 % of its travel."""
    layouts = [beltpath.read(path) for path in sorted(LAYOUTS.glob("*.toml"))]
    told = [report(beltpath.study(layout)) for layout in layouts if layout.route is not None]
    at_the_stop = [text for text in told if " 0 % used" in text]
    assert at_the_stop
    for text in told:
        assert not re.search(r"[-−]0(\.0+)?(?![.\d])", text)
