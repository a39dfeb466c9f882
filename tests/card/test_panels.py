"""What the written parts of a card say: the belt, its length, the tensioner's place, the signs."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

import beltpath
from beltpath.cards import Options, card, steps
from beltpath.cards.facts import fact_rows, stand_words
from beltpath.cards.scene import Words
from beltpath.studies import Study
from beltpath.words import whole
from tests.card.scenes import group, has_group, plain, said, studied


def facts(study: Study) -> dict[str, str]:
    return dict(fact_rows(study))


class TestFacts:
    def test_a_belt_in_hand_is_named_by_its_designation(self) -> None:
        told = facts(studied("orchard-sprayer"))
        assert told["Belt"] == "6PK1877, effective length 1877 mm"
        assert "Length computed" not in told

    def test_without_one_the_computed_length_is_told_with_its_uncertainty(self) -> None:
        study = studied("wrong-side")
        told = facts(study)
        assert told["Belt"] == "4 PK"
        length, off = round(study.path.length), round(study.uncertainty.expanded)
        assert told["Length computed"] == f"{length} ± {off} mm (95\u00a0%), effective"

    @pytest.mark.parametrize(
        ("demo", "words"),
        [
            ("dough-sheeter", "6 PK, double-sided"),
            ("greenhouse-fogger", "4PK778, stretch-fit, effective length 778 mm"),
            ("workshop-compressor", "AV13"),
            ("sawmill-alternator", "AV10x1192, effective length 1192 mm"),
        ],
    )
    def test_kinds_of_belt(self, demo: str, words: str) -> None:
        assert facts(studied(demo))["Belt"] == words

    def test_the_travels_range_and_where_it_stands(self) -> None:
        study = studied("orchard-sprayer")
        stand = study.stand
        assert stand is not None
        told = facts(study)
        assert told["Travel takes"].startswith(
            f"{stand.shortest:.0f} to {stand.longest:.0f} mm, ± {study.uncertainty.expanded:.0f} mm"
        )
        assert told["Tensioner"] == stand_words(stand)
        assert told["Tensioner"].startswith(
            "stands at 39\u00a0% from free to load, inside its window;"
        )
        assert "°" not in told["Tensioner"]

    def test_a_slide_stands_at_a_part_of_its_travel(self) -> None:
        stand = studied("cider-mill").stand
        assert stand is not None
        used = whole(100.0 * stand.travel_used)
        assert stand_words(stand).startswith(f"stands at {used}\u00a0% from free to load, inside")

    def test_a_belt_that_cannot_be_has_no_place(self) -> None:
        told = facts(studied("orchard-sprayer-wrong-belt"))
        assert (
            told["Tensioner"] == "the belt given is too long; drawn at 0\u00a0% from free to load"
        )

    def test_a_travel_in_which_no_belt_can_be_laid(self) -> None:
        study = studied("orchard-sprayer")
        stand = study.stand
        assert stand is not None
        nowhere = replace(stand, usable=(stand.usable[0], stand.usable[0]))
        told = facts(replace(study, drive=replace(study.drive, stand=nowhere)))
        assert told["Tensioner"] == "no belt can be laid between its stops as they are given"
        assert "Travel takes" not in told

    def test_a_path_that_does_not_close_has_no_length(self) -> None:
        text = """
        title = "Against its travel"
        route = ["crank", "fan", "pump"]
        [belt]
        section = "PK"
        ribs = 6
        [pulleys]
        crank = { at = [0, 0], diameter = 120, face = "grooved", role = "crank" }
        fan = { at = [260, 40], diameter = 120, face = "grooved", role = "fan" }
        pump = { at = [120, 230], diameter = 120, face = "grooved", role = "pump" }
        """
        study = beltpath.study(beltpath.parse(text))
        assert not study.path.proper
        assert facts(study)["Length"] == "not known: the belt does not close as it is drawn"
        assert "Length computed" not in facts(study)

    @pytest.mark.parametrize(
        ("value", "words"), [(-0.4, "0"), (0.4, "0"), (-29.6, "−30"), (1877.2, "1877")]
    )
    def test_whole_numbers(self, value: float, words: str) -> None:
        assert whole(value) == words


class TestTable:
    def test_wide_paper_spells_everything_out(self) -> None:
        table = [i for i in said(plain("orchard-sprayer").pages[0]).split() if i]
        assert "face" in table
        assert "counterclockwise" in table
        assert "ccw" not in table

    def test_long_names_are_given_the_room(self) -> None:
        front = said(plain("long-names").pages[0])
        assert " ccw " in front
        assert 'Alternator "B" (24 V), charges the winch & lights < 3 kW' in front

    def test_wraps_are_whole_degrees(self) -> None:
        study = studied("orchard-sprayer")
        front = said(plain("orchard-sprayer").pages[0])
        for contact in study.path.contacts:
            assert f" {round(contact.wrap * 180.0 / 3.141592653589793)}°" in front


class TestOtherParts:
    def test_the_legend_explains_every_sign(self) -> None:
        legend = {
            item.text
            for item in group(plain("cider-mill").pages[0], "legend").items
            if hasattr(item, "text")
        }
        assert {"grooved", "smooth", "travel"} <= legend
        assert any("ribbed side" in words for words in legend)

    def test_a_v_belt_has_no_ribbed_side(self) -> None:
        front = said(plain("workshop-compressor").pages[0])
        assert "V side" in front
        assert " V " in front
        assert "ribbed" not in front
        assert "ribs" not in front

    def test_notes_of_the_layout_are_printed(self) -> None:
        whole_card = " ".join(said(page) for page in plain("snow-groomer").pages)
        assert " ".join(studied("snow-groomer").layout.notes.split()) in whole_card
        assert "Notes by hand" in whole_card

    def test_there_are_blank_lines_for_notes_by_hand(self) -> None:
        [page] = [p for p in plain("cider-mill").pages if has_group(p, "by-hand")]
        ruled = [i.box for i in group(page, "by-hand").items if not hasattr(i, "text")]
        assert len(ruled) >= 3
        assert all(box.width > 100.0 for box in ruled)
        # A biro needs about 6 mm.
        gaps = [b.y - a.y for a, b in pairwise(ruled)]
        assert min(gaps) >= 6.0

    def test_the_maker_comes_first_on_every_card(self) -> None:
        for demo in ("orchard-sprayer", "wrong-side", "workshop-compressor"):
            told = " ".join(said(page) for page in plain(demo).pages)
            assert "The maker's service information, local rules and licensed practice" in told

    @pytest.mark.parametrize(
        ("demo", "words"),
        [
            ("orchard-sprayer", "Engine off, key out, cold."),
            ("cider-mill", "Every energy source isolated, locked, proved dead."),
            ("water-wheel", "Drive shut off, blocked, locked."),
        ],
    )
    def test_the_front_warns_of_what_drives_it(self, demo: str, words: str) -> None:
        assert words in said(plain(demo).pages[0])

    def test_a_failed_drive_is_warned_of_by_what_drives_it(self) -> None:
        study = studied("wrong-side")
        layout = replace(study.layout, driver="motor")
        failed = replace(study, drive=replace(study.drive, layout=layout))
        first = steps.cautions_blocks(failed)[0]
        told = " ".join(w.text for w in first.set(0.0, 0.0, 100.0).items if isinstance(w, Words))
        assert "lock it, prove it dead" in told
        assert "key" not in told

    def test_a_front_without_its_cautions_sends_the_reader_to_them(self) -> None:
        assert "Read the cautions overleaf first." in said(plain("orchard-sprayer").pages[0])
        large = card(studied("wrong-side"), Options(paper="a4")).pages
        assert len(large) == 1 or "overleaf" in said(large[0])
        for page in large:
            assert ("overleaf" in said(page)) <= (len(large) > 1)


@pytest.mark.parametrize("demo", ["cider-mill", "dough-sheeter", "snow-groomer", "wrong-side"])
def test_the_legend_explains_exactly_the_signs_of_the_card(demo: str) -> None:
    made, study = plain(demo), studied(demo)
    [legend] = [group(page, "legend") for page in made.pages if has_group(page, "legend")]
    told = {item.text for item in legend.items if isinstance(item, Words)}
    faces = {pulley.face for pulley in study.layout.pulleys.values()}
    assert told & {"grooved", "smooth"} == faces
    assert ("stops" in told) == (study.layout.tensioner is not None)
    window = study.layout.tensioner is not None and study.layout.tensioner.window is not None
    assert ("window: stand here" in told) == window
    assert ("place of a fault" in told) == has_group(made.pages[0], "faults")
    assert ("belt, teeth on both sides" in told) == study.layout.belt.double_sided
