"""A tensioner in doubt is neither drawn, judged nor stepped from what is wrong about it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

import beltpath
from beltpath.errors import PathError
from beltpath.layout.reader import parse
from beltpath.layout.records import outside_diameter
from beltpath.output.check_text import report
from beltpath.refit.cautions import SPRUNG as SPRUNG_CAUTION
from beltpath.refit.cautions import SPRUNG_IN_DOUBT, cautions
from beltpath.refit.steps import used_sure
from beltpath.sizing.fit import wanted
from beltpath.solve.reliance import doubt, way_to_slacken
from beltpath.solve.uncertainty import length_uncertainty
from beltpath.studies import Study
from tests.checks.drives import SLIDE, SPRUNG, drive_of, findings_of, run
from tests.checks.test_measured import ORCHARD, SWING
from tests.checks.test_tension import NO_WINDOW

#: Stops of `ORCHARD` written clockwise from 3 o'clock, from 12 o'clock, exchanged, and beyond.
NEGATIVE = {"free = -5": "free = 5", "load = -67": "load = 67", "[-42, -10]": "[10, 42]"}
FROM_12 = {"free = -5": "free = 95", "load = -67": "load = 157", "[-42, -10]": "[100, 132]"}
EXCHANGED = {"free = -5": "free = -67", "load = -67": "load = -5"}
BEYOND = {"free = -5": "free = -40", "load = -67": "load = -80", "window = [-42, -10]\n": ""}
WRONG_WAY = {'kind = "arm"': 'kind = "arm"\nrelease = "counterclockwise"'}
DOUBTS = {
    "negative": (NEGATIVE, "stops"),
    "from 12": (FROM_12, "stops"),
    "exchanged": (EXCHANGED, "exchanged"),
    "beyond": (BEYOND, "stops"),
    "release": (WRONG_WAY, None),
}


def orchard(edits: dict[str, str]) -> str:
    text = ORCHARD
    for old, new in edits.items():
        assert old in text, old
        text = text.replace(old, new)
    return text


def studied(edits: dict[str, str]) -> Study:
    return beltpath.study(parse(orchard(edits)))


def card_words(study: Study) -> str:
    return "".join(beltpath.card(study).svg_pages)


class TestTheLever:
    """While the way that slackens is in doubt, nothing shows or tells one."""

    @pytest.mark.parametrize("name", DOUBTS)
    def test_no_way_is_shown_nor_told(self, name: str) -> None:
        edits, unsure = DOUBTS[name]
        study = studied(edits)
        assert study.verdict == "fail"
        assert doubt(study.drive) == unsure
        assert way_to_slacken(study.drive) is None
        assert beltpath.answer(study)["tensioner"]["release"] is None
        assert "\nto slacken" not in report(study)
        assert "\nnot told" in report(study)
        card = card_words(study)
        assert "this way slackens" not in card
        assert "lever: do not move it yet" in card
        assert "Move it only the way shown" not in card
        assert "which way slackens it is in doubt" in card

    @pytest.mark.parametrize("name", DOUBTS)
    def test_the_steps_say_no_way_and_no_position(self, name: str) -> None:
        edits, unsure = DOUBTS[name]
        refit = studied(edits).refit
        steps = [*refit.off, *refit.on]
        slacken = [step for step in steps if step.kind == "slacken"]
        assert len(slacken) == 2
        for step in slacken:
            assert step.text.startswith("Find out which way slackens the tensioner")
            assert step.before == (SPRUNG_IN_DOUBT,)
            assert "clockwise" not in step.text
        (settle,) = [step.text for step in refit.on if step.kind == "settle"]
        assert ("in doubt" in settle) == (unsure is not None)

    def test_a_sound_drive_shows_and_tells_it(self) -> None:
        study = studied({})
        assert way_to_slacken(study.drive) == "clockwise"
        assert "lever: this way slackens" in card_words(study)
        assert SPRUNG_CAUTION in cautions("engine", sprung=True)
        assert SPRUNG_IN_DOUBT in cautions("engine", sprung=True, in_doubt=True)

    def test_a_bolted_swing_in_doubt(self) -> None:
        study = beltpath.study(
            parse(SWING.replace("free = 80\nload = 100", "free = 10\nload = -10"))
        )
        steps = {step.kind: step.text for step in study.refit.on}
        assert "the other way until the belt is as tight" in steps["tighten"]
        off = {step.kind: step.text for step in study.refit.off}
        assert "Swing it the way that slackens it until" in off["slacken"]

    def test_the_pictures_of_steps_have_no_arrow(self) -> None:
        options = beltpath.Options(steps=True)
        pages = "".join(beltpath.card(studied(WRONG_WAY), options).svg_pages)
        assert "this way slackens" not in pages


class TestAsMeasured:
    """With its stops in doubt a drive is drawn and judged as it was measured, whatever the belt."""

    @pytest.mark.parametrize("edits", [NEGATIVE, FROM_12, BEYOND], ids=["negative", "12", "beyond"])
    def test_it_stands_where_it_was_measured(self, edits: dict[str, str]) -> None:
        study, sound = studied(edits), studied({})
        assert study.path == study.drive.as_measured == sound.drive.as_measured
        expected = length_uncertainty(sound.layout, sound.drive.as_measured).expanded
        assert study.uncertainty.expanded == expected
        assert f"1877.4 mm ± {expected:.1f} mm" in report(study)
        assert f"1877.4 mm ± {expected:.1f} mm" in report(sound)
        found = {f.check for f in study.findings if f.level == "fault"}
        assert found == {"stops"}
        (note,) = [f.message for f in study.findings if f.check == "slip"]
        assert "where the tensioner stands is in doubt" in note

    @pytest.mark.parametrize("edits", [NEGATIVE, FROM_12, EXCHANGED, BEYOND])
    def test_nothing_is_said_of_slack(self, edits: dict[str, str]) -> None:
        study = studied(edits)
        assert study.refit.slack is study.refit.shortest_by_rule is None
        assert study.refit.rims == ()
        assert not {f.check for f in study.findings} & {"fit-on", "length"}

    def test_exchanged_stops_are_a_fault_of_their_own_with_a_belt_out_of_reach(self) -> None:
        study = studied({**EXCHANGED, "length = 1877": "length = 1960"})
        told = {f.check: f.message for f in study.findings if f.level == "fault"}
        assert "The stops look exchanged" in told["travel"]
        assert "look for one between" not in told["length"]
        assert "What belts the travel takes is in doubt" in told["length"]

    def test_over_centre_is_a_fault_of_its_own_with_a_belt_out_of_reach(self) -> None:
        belt = ("ribs = 4", "ribs = 4\nlength = 1290")
        told = {f.check: f.message for f in findings_of(SLIDE, ("along = 0", "along = 90"), belt)}
        assert {"length", "over-centre"} <= told.keys()
        assert "look for one between" not in told["length"]

    def test_the_lengths_are_compared_all_the_same(self) -> None:
        study = studied({**NEGATIVE, "length = 1877": "length = 1940"})
        (told,) = [f.message for f in study.findings if f.check == "agreement"]
        assert "62.6 mm more" in told
        assert "where no such belt can put it" not in told

    def test_angles_are_told_by_one_rule(self) -> None:
        """By stops about 470° the place would be at 331.1°; the finding says −28.9°."""
        edits = {"free = -5": "free = 500", "load = -67": "load = 440", "window = [-42, -10]\n": ""}
        study = studied({**edits, "length = 1877": "length = 1940"})
        text = report(study)
        assert "measured at -28.9°" in text
        assert "\nposition   -28.9° as measured" in text
        assert "331.1" not in text


class TestARoughMeasurement:
    """± is risk: a coarser accuracy never turns a place beyond the stops into one between them."""

    @pytest.mark.parametrize("accuracy", [0.1, 1.0, 5.0, 7.0, 20.0, 95.0])
    @pytest.mark.parametrize("edits", [NEGATIVE, BEYOND], ids=["negative", "beyond"])
    def test_it_stays_a_fault(self, edits: dict[str, str], accuracy: float) -> None:
        study = beltpath.study(replace(parse(orchard(edits)), accuracy=accuracy))
        assert ("stops", "fault") in {(f.check, f.level) for f in study.findings}
        assert beltpath.answer(study)["tensioner"]["take_up_mm"] is None

    def test_just_beyond_a_stop_is_a_caution_with_a_belt_in_hand(self) -> None:
        """The belt puts it at 0.07°; it was measured at 3.18°."""
        for free, told in ((2.0, True), (3.2, False)):
            findings = findings_of(SPRUNG, ("free = 20", f"free = {free}"), NO_WINDOW)
            cautions_ = [f for f in findings if f.check == "stops"]
            assert [f.level for f in cautions_] == ["caution"] * told
        assert (
            "Ordinary measuring is no surer than that"
            in findings_of(SPRUNG, ("free = 20", "free = 2"), NO_WINDOW)[0].message
        )


class TestSize:
    @pytest.mark.parametrize("edits", [NEGATIVE, FROM_12, BEYOND], ids=["negative", "12", "beyond"])
    def test_stops_in_doubt_are_refused_in_the_words_of_the_check(
        self, edits: dict[str, str]
    ) -> None:
        layout = parse(orchard(edits))
        (fault,) = [f for f in beltpath.study(layout).findings if f.check == "stops"]
        with pytest.raises(PathError) as caught:
            wanted(layout)
        assert str(caught.value) == fault.message
        assert "If they were read" in fault.message


class TestForces:
    """Tensions that cannot be are not told: not in words, not in JSON."""

    def test_a_value_far_outside_the_trade(self) -> None:
        study = beltpath.study(_heavy())
        assert study.forces is None
        assert beltpath.answer(study)["forces"] is None
        words = report(study)
        assert "tension, " not in words
        assert "283" not in words
        (told,) = [f.message for f in study.findings if f.check == "plausibility"]
        assert told.endswith("Tensions, slip reserves and hub loads are not told.")


def _heavy() -> beltpath.Layout:
    layout = parse(ORCHARD)
    pump = layout.pulleys["pump"]
    assert pump.load is not None
    heavy = replace(pump, load=replace(pump.load, power_kw=2000.0, torque_nm=None))
    return replace(layout, pulleys={**layout.pulleys, "pump": heavy})


def test_a_belt_that_slips_far_has_no_tensions() -> None:
    layout = parse(ORCHARD)
    pump = layout.pulleys["pump"]
    assert pump.load is not None
    heavy = replace(pump, load=replace(pump.load, power_kw=190.0, torque_nm=None))
    study = beltpath.study(replace(layout, pulleys={**layout.pulleys, "pump": heavy}))
    assert study.forces is None
    told = [f.message for f in study.findings if f.check == "slip" and f.level == "fault"]
    assert all("they are not told" in message for message in told)
    (load,) = [f.message for f in study.findings if f.check == "load"]
    assert "it carries more than that" in load


def test_an_impossible_spring_is_a_fault_without_its_numbers() -> None:
    layout = parse(ORCHARD)
    t = layout.tensioner
    assert t is not None and t.spring is not None
    study = beltpath.study(
        replace(layout, tensioner=replace(t, spring=replace(t.spring, effort=5e3)))
    )
    assert study.verdict == "fail"
    words = report(study)
    assert "static tension" not in words
    assert "44728" not in words and "7539" not in words
    assert beltpath.answer(study)["tensioner"]["tension_n"] is None


class TestAgreement:
    @pytest.mark.parametrize("by", [-1500.0, -700.0, -300.0, 60.0, 300.0, 900.0])
    def test_what_cannot_be_is_no_explanation(self, by: float) -> None:
        """No pulley gets smaller than nothing, nor moves to where the belt cannot go."""
        measured = drive_of(ORCHARD).as_measured.length
        drive = drive_of(ORCHARD, ("length = 1877", f"length = {measured + by!r}"))
        told = [f.message for f in run(drive) if f.check == "agreement"]
        for name, less in re.findall(
            r"the diameter of ([\w ]+) \(([\d.]+) mm smaller\)", "".join(told)
        ):
            pulley = next(p for p in drive.layout.pulleys.values() if p.title == name)
            assert float(less) < outside_diameter(pulley, drive.layout.belt.section)

    def test_a_place_at_which_the_belt_closes_is_one(self) -> None:
        measured = drive_of(ORCHARD).as_measured.length
        for by in (-60.0, 60.0):
            drive = drive_of(ORCHARD, ("length = 1877", f"length = {measured + by!r}"))
            (told,) = [f.message for f in run(drive) if f.check == "agreement"]
            assert "the place of " in told and "the diameter of " in told


def test_over_centre_with_a_measured_tension_has_no_forces() -> None:
    running = ("window = [-25, 35]", "[running]\ncrank_rpm = [900]\ntension = 300")
    (told,) = [
        f.message
        for f in findings_of(SLIDE, ("along = 0", "along = 90"), running)
        if f.check == "slip"
    ]
    assert "where the tensioner stands is in doubt" in told


def test_on_centre_the_place_of_a_belt_has_no_certainty() -> None:
    drive = drive_of(ORCHARD)
    assert drive.stand is not None
    assert used_sure(drive, replace(drive.stand, rate=0.0)) is None
    assert used_sure(drive, drive.stand) == pytest.approx(0.11, abs=0.03)
