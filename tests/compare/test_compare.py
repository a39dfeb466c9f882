"""Comparisons: what differs, what it does, and that two equal drives differ in nothing."""

from __future__ import annotations

from functools import cache
from math import degrees, inf
from pathlib import Path
from typing import Any

import pytest

from beltpath.comparison import Comparison, Pair, compare
from beltpath.files.reading import read, read_changed
from beltpath.layout.what_if import Changes
from beltpath.output.compare_answer import comparison_answer
from beltpath.output.compare_text import changes, comparison_report, effects, verdict_sentence
from beltpath.studies import Study, study

LAYOUTS = Path(__file__).parents[2] / "layouts"
#: All but those whose route is still to be found.
DEMOS = sorted(path.stem for path in LAYOUTS.glob("*.toml") if read(path).route)
SPRAYER = "orchard-sprayer"


@cache
@cache
def studied(demo: str) -> Study:
    return study(read(LAYOUTS / f"{demo}.toml"))


@cache
def what_if(*values: str, demo: str = SPRAYER, without: tuple[str, ...] = ()) -> Comparison:
    """A demo compared with its changed self."""
    after = read_changed(LAYOUTS / f"{demo}.toml", Changes(values=values, without=without))
    return compare(studied(demo), study(after))


def back(comparison: Comparison) -> Comparison:
    """The same comparison the other way round."""
    return compare(comparison.after, comparison.before)


def told(comparison: Comparison) -> dict[tuple[str, str], tuple[Any, Any]]:
    return {(d.subject, d.key): (d.before, d.after) for d in comparison.differences}


class TestTheSame:
    """A drive compared with itself differs in nothing, and keeps all its findings."""

    @pytest.mark.parametrize("demo", DEMOS)
    def test_itself(self, demo: str) -> None:
        found = compare(studied(demo), studied(demo))
        assert (found.differences, found.new, found.gone) == ((), (), ())
        assert found.still == studied(demo).findings
        assert effects(found) == [] or not found.rides
        assert "changed  nothing" in comparison_report(found)

    def test_inches_and_millimetres(self) -> None:
        """Two files of one drive in two units; only the crank's speed ratios print the same."""
        found = compare(studied("cider-mill"), studied("cider-mill-inch"))
        assert found.differences == ()
        assert effects(found) == []


class TestOppositeWay:
    """Compared the other way round, before and after change places."""

    @pytest.mark.parametrize("demo", ["orchard-sprayer-underdrive", "orchard-sprayer-wrong-belt"])
    def test_swapped(self, demo: str) -> None:
        one = compare(studied(SPRAYER), studied(demo))
        other = back(one)
        assert told(other) == {key: (b, a) for key, (a, b) in told(one).items()}
        assert (other.length.before, other.length.after) == (one.length.after, one.length.before)
        assert {f.check for f in other.gone} == {f.check for f in one.new}
        for ride, again in zip(one.rides, other.rides, strict=True):
            assert again.wrap == Pair(ride.wrap.after, ride.wrap.before)
            assert again.ratio == Pair(ride.ratio.after, ride.ratio.before)


class TestUnderDrive:
    FOUND = compare(studied(SPRAYER), studied("orchard-sprayer-underdrive"))

    def test_what_differs(self) -> None:
        assert told(self.FOUND) == {
            ("crank", "diameter"): (165.0, 140.0),
            ("crank", "rim"): (172.0, 147.0),
            ("belt", "length"): (1877.0, 1841.0),
        }
        assert self.FOUND.changed_pulleys == ("crank",)

    def test_numbers_are_those_of_the_two_studies(self) -> None:
        for ride in self.FOUND.rides:
            for which, one in (("before", SPRAYER), ("after", "orchard-sprayer-underdrive")):
                path = studied(one).path
                i = path.index(ride.pulley)
                assert getattr(ride.wrap, which) == degrees(path.contacts[i].wrap)
                assert getattr(ride.ratio, which) == path.speed_ratio(i)

    def test_speeds_by_pitch_radii(self) -> None:
        """By hand: PK has b_e = 2 mm, so 15.0 % slower: (140/2 + 2)/(165/2 + 2) = 72/84.5."""
        pump = next(r for r in self.FOUND.rides if r.pulley == "pump")
        assert pump.ratio.before == pytest.approx(84.5 / 72.0)
        assert pump.ratio.after == pytest.approx(1.0)
        assert [p.after for p in pump.rpm] == pytest.approx([800.0, 1600.0, 2400.0])
        assert (
            "pump turns 15 % slower: 1.174 → 1.000 times the crank "
            "(2817 → 2400 rpm at 2400 rpm of the crank)"
        ) in effects(self.FOUND)

    def test_what_drives_nothing_has_no_sentence_about_speed(self) -> None:
        assert not any(
            s.startswith(("idler turns", "tensioner turns")) for s in effects(self.FOUND)
        )

    def test_the_old_belt(self) -> None:
        """It stands where the same drive with that belt stands."""
        alone = what_if("crank.diameter=140", "crank.rim=147")
        assert self.FOUND.old_belt is not None
        assert alone.after.stand is not None
        assert self.FOUND.old_belt.position == alone.after.stand.position
        assert alone.old_belt is not None
        assert alone.old_belt.position == alone.after.stand.position
        assert any(s.startswith("the old belt, 6PK1877, puts the") for s in effects(self.FOUND))
        assert not any("old belt" in s for s in effects(alone))

    def test_the_length_needed(self) -> None:
        sentence = effects(self.FOUND)[0]
        assert sentence.startswith("effective length needed, as measured: 1877.4 → 1842.6 mm, 34.7")
        assert " less " in sentence
        assert " more " in effects(back(self.FOUND))[0]


class TestArm:
    def test_towards_the_load_stop(self) -> None:
        assert (
            "the arm moves 18.8° towards its free stop: -29.1° → -10.3°, 39 % → 9 % of its travel "
            "used (6PK1877)"
        ) in effects(what_if("crank.diameter=140", "crank.rim=147"))
        longer = effects(what_if("belt.length=1860"))
        assert any("towards its load stop" in s and "(6PK1877 → 6PK1860)" in s for s in longer)

    def test_a_slide_is_in_millimetres(self) -> None:
        found = effects(what_if("belt.length=1365", demo="cider-mill"))
        assert any("the slide moves" in s and " mm towards its load stop" in s for s in found)

    def test_another_travel(self) -> None:
        found = effects(what_if("tensioner.free=-3", "tensioner.load=-60", "belt.length=1870"))
        assert any(s.startswith("the tensioner stands at -29.1° → ") for s in found)

    def test_as_measured_without_a_belt(self) -> None:
        plain = what_if("belt.tolerance=4", demo="cider-mill")
        assert not any("slide" in s for s in effects(plain))
        assert any("of its travel used (as measured)" in s for s in effects(measured_elsewhere()))

    def test_a_belt_that_misfits(self) -> None:
        short = effects(what_if("belt.length=1700"))
        assert short[0].startswith("6PK1700 is too short for the changed drive, which takes ")
        assert "static belt tension in N: 448 → not known" in short
        assert "least slip reserve: 1.9 at crank → not known" in short

    def test_an_old_belt_that_misfits(self) -> None:
        found = effects(compare(studied("orchard-sprayer-wrong-belt"), studied(SPRAYER)))
        assert any(
            s.startswith("the old belt, 6PK1960, is too long for the changed drive, which takes")
            for s in found
        )

    def test_no_old_belt(self) -> None:
        assert what_if("motor.outside=95", demo="workshop-compressor").old_belt is None
        assert what_if("belt.section=PL", demo="cider-mill").old_belt is None

    def test_an_old_belt_that_cannot_be_laid(self, monkeypatch: pytest.MonkeyPatch) -> None:
        from beltpath.errors import PathError

        def refuse(*_: object) -> None:
            raise PathError("nowhere")

        monkeypatch.setattr("beltpath.comparison.stand", refuse)
        found = compare(studied(SPRAYER), studied("orchard-sprayer-underdrive"))
        assert found.old_belt is None
        assert comparison_answer(found)["old_belt"] is None


def measured_elsewhere() -> Comparison:
    """The sprayer without a belt, its tensioner's pulley in two places."""
    from beltpath.layout.reader import parse

    text = (LAYOUTS / f"{SPRAYER}.toml").read_text(encoding="utf-8").replace("length = 1877", "")
    return compare(study(parse(text)), study(parse(text.replace("[-52, 147]", "[-50, 151]"))))


class TestWhatDiffers:
    @pytest.mark.parametrize(
        ("value", "sentence"),
        [
            ("pump.at=[230,154]", "pump: centre (220, 154) mm → (230, 154) mm, 10.0 mm away"),
            ("alternator.over_balls=58", "alternator: diameter 56.01 mm → 57.01 mm"),
            ("pump.grooves=5", "pump: grooves 6 → 5"),
            ("fan.grooves=6", "fan: grooves not given → 6"),
            ("fan.turns=counterclockwise", "fan: required sense clockwise → counterclockwise"),
            ("pump.load={power_kw=2}", "pump: load 18 N·m → 2 kW"),
            ("crank_turns=counterclockwise", "the crank turns clockwise → counterclockwise"),
            ("belt.section=PJ", "belt: section PK → PJ"),
            ("belt.ribs=5", "belt: ribs 6 → 5"),
            ("belt.double_sided=true", "belt: double sided no → yes"),
            ("tensioner.window=[-40,-10]", "tensioner: window (-42, -10) → (-40, -10)"),
            (
                "tensioner.spring.torque=40",
                "tensioner: spring effort 50, at -29, rate -0.25 → effort 40, at -29, rate -0.25",
            ),
            ("running.crank_rpm=[900]", "running: crank rpm (800, 1600, 2400) → (900)"),
            ("accuracy=2", "accuracy of the centres 1 mm → 2 mm"),
            ("pump.side=ribs", "pump: required side not given → ribs"),
            ("pump.reach=hard", "pump: in reach not given → hard"),
        ],
    )
    def test_sentence(self, value: str, sentence: str) -> None:
        assert sentence in changes(what_if(value))

    def test_a_label_is_no_change_of_the_drive(self) -> None:
        assert what_if("pump.label=spray pump", "notes=new").differences == ()

    def test_the_same_size_measured_otherwise_is_no_change(self) -> None:
        assert what_if("alternator.diameter=56.01").differences == ()

    def test_added_and_left_out(self) -> None:
        found = what_if(demo="snow-groomer", without=("water", "old-vacuum"))
        assert changes(found) == ["water is left out", "old-vacuum is left out"]
        assert changes(back(found)) == ["water is added", "old-vacuum is added"]
        assert "water" not in {ride.pulley for ride in found.rides}

    def test_off_the_route(self) -> None:
        route = (
            '["crank", "tensioner", "alternator", "idler-a", "steering", "compressor", "idler-b"]'
        )
        found = what_if(f"route={route}", demo="snow-groomer")
        assert changes(found) == ["water is off the belt's route, and an obstacle to it"]
        assert changes(back(found)) == ["water is put on the belt's route"]

    def test_another_order(self) -> None:
        found = what_if('route=["crank", "tensioner", "fan", "alternator", "idler", "pump"]')
        (sentence,) = changes(found)
        assert sentence.startswith("the route (crank, tensioner, alternator, fan")
        turned = what_if('route=["pump", "crank", "tensioner", "alternator", "fan", "idler"]')
        assert turned.differences == ()

    def test_tables_that_come_and_go(self) -> None:
        found = compare(studied(SPRAYER), studied("greenhouse-fogger"))
        assert "tensioner is left out" in changes(found)
        assert "tensioner is added" in changes(back(found))
        assert effects(found)

    def test_without_speeds(self) -> None:
        from beltpath.layout.reader import parse

        text = (LAYOUTS / f"{SPRAYER}.toml").read_text(encoding="utf-8").split("[running]")[0]
        found = compare(studied(SPRAYER), study(parse(text)))
        assert "running is left out" in changes(found)
        assert found.speeds == ()
        assert "rpm" not in comparison_report(found).split("\n\n")[3]
        assert "slip reserve" not in comparison_report(compare(found.after, found.after))


class TestSenses:
    def test_a_pulley_on_the_other_side_of_the_belt(self) -> None:
        """The idler let in from the ribs' side turns the other way."""
        found = compare(studied("water-wheel"), studied("water-wheel"))
        assert all(not r.turns.differs and not r.side.differs for r in found.rides)
        flipped = other_side()
        assert "idler meets the belt's ribs instead of its back" in effects(flipped)
        assert "idler turns clockwise instead of counterclockwise" in effects(flipped)


def other_side() -> Comparison:
    from beltpath.layout.reader import parse

    text = """
title = "Square"
route = ["crank", "b", "idler", "c"]
[belt]
section = "PK"
[pulleys]
crank = { at = [0, 0], diameter = 80, face = "grooved", role = "crank" }
b = { at = [0, 400], diameter = 80, face = "grooved", role = "other" }
idler = { at = [200, 300], diameter = 80, face = "smooth", role = "idler", side = "back" }
c = { at = [400, 0], diameter = 80, face = "grooved", role = "other" }
"""
    outer = text.replace('side = "back"', 'side = "ribs"').replace("[200, 300]", "[400, 400]")
    inner = text.replace("[200, 300]", "[150, 200]")
    return compare(study(parse(inner)), study(parse(outer)))


class TestFindings:
    def test_new_gone_and_still(self) -> None:
        found = what_if("belt.length=1960")
        assert "length" in {f.check for f in found.new}
        assert "length" in {f.check for f in back(found).gone}
        assert found.verdict == Pair("caution", "fail")
        report = comparison_report(found)
        assert "new fault length: " in " ".join(report.split())
        assert "caution → fail: put the faults right" in verdict_sentence(found)
        same = compare(found.after, found.after)
        assert same.still == found.after.findings
        assert "still fault" in comparison_report(same)

    def test_a_caution(self) -> None:
        found = compare(studied(SPRAYER), studied("orchard-sprayer-worn-belt"))
        assert "but read its cautions" in verdict_sentence(found)
        sound = compare(studied("orchard-sprayer-worn-belt"), studied("cider-mill"))
        assert "no check found anything" in verdict_sentence(sound)

    def test_a_second_finding_of_the_same_kind_is_new(self) -> None:
        twice = what_if("fan.turns=counterclockwise", "pump.turns=counterclockwise")
        once = what_if("fan.turns=counterclockwise")
        found = compare(once.after, twice.after)
        assert [f.pulleys for f in found.new] == [("pump",)]
        assert [f.pulleys for f in found.still if f.check == "rotation"] == [("fan",)]


class TestAnswer:
    def test_a_section_and_a_spring_are_plain_values(self) -> None:
        answer = comparison_answer(what_if("belt.section=PJ", "tensioner.spring.torque=40"))
        told_of = {(c["subject"], c["key"]): (c["before"], c["after"]) for c in answer["changes"]}
        assert told_of["belt", "section"] == ("PK", "PJ")
        assert told_of["tensioner", "spring"][1] == {"effort": 40.0, "at": -29.0, "rate": -0.25}
        assert told_of["belt", "height"][0] == studied(SPRAYER).layout.belt.height

    def test_points_are_lists(self) -> None:
        (change,) = comparison_answer(what_if("pump.at=[230,154]"))["changes"]
        assert (change["before"], change["after"]) == ([220.0, 154.0], [230.0, 154.0])
        assert (change["subject"], change["is_pulley"]) == ("pump", True)


class TestNoPath:
    """Numbers along a belt that cannot be are never compared."""

    @pytest.mark.parametrize(
        "found",
        [what_if(without=("fan",)), what_if("crank_turns=counterclockwise")],
        ids=["crossing", "backwards"],
    )
    def test_no_numbers(self, found: Comparison) -> None:
        assert found.length.after is None
        assert (found.rides, found.old_belt) == ((), None)
        (told_so,) = effects(found)
        assert told_so == (
            "the drive after has no path that a belt can have (see its faults), so numbers along "
            "the belt are not compared"
        )
        assert "wrap °" not in comparison_report(found)
        assert comparison_answer(found)["needed_length_mm"]["after"] is None


class TestReport:
    def test_sentences_are_folded(self) -> None:
        text = comparison_report(TestUnderDrive.FOUND, width=70)
        prose = text.split("\n\n")
        assert all(len(line) <= 70 for block in prose[:3] for line in block.splitlines())

    def test_what_has_no_limit_is_a_dash(self) -> None:
        found = TestUnderDrive.FOUND
        idler = next(r for r in found.rides if r.pulley == "idler")
        assert idler.reserve == Pair(inf, inf)
        row = next(s for s in comparison_report(found).splitlines() if s.startswith("idler  "))
        assert row
        assert any(
            line.split() == ["idler", "4483", "3820", "-", "-"]
            for line in comparison_report(found).splitlines()
        )
