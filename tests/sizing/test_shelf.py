"""Which belt fits: bands in closed form, agreement with the checks, and every reason.

Two equal pulleys of 120 mm at 400 + s mm make a belt of 800 + 120·π + 2·s mm, whose uncertainty is
known too: 2·1 mm from the pump's centre, seen from the crank's, and π·0.25/2 mm from each diameter.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import hypot, inf, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

import beltpath
from beltpath.errors import PathError
from beltpath.sizing.catalogue import Offer
from beltpath.sizing.fit import (
    Wanted,
    judge,
    places,
    ranked,
    shares,
    sort_out,
    wanted,
    with_tolerance,
    without,
)
from tests.checks.drives import PAIR, SLIDE, SPRUNG
from tests.sizing.drives import (
    AUGER,
    FIXED_PAIR,
    FOGGER,
    LAYOUTS,
    ORCHARD,
    layout,
    need,
    offer,
    told,
)
from tests.strategies import law

LENGTH = 800.0 + 120.0 * pi
SURE = 1.96 * hypot(2.0, pi * 0.125, pi * 0.125)
#: The table's ± for a belt of that length.
TOLERANCE = 6.0


kept = cache(need)


def middle_of(wants: Wanted) -> float:
    """The length to aim at, of a drive that has one."""
    assert wants.middle is not None
    return wants.middle


class TestBands:
    def test_a_tensioner_without_window_keeps_a_tenth_of_its_travel_at_either_end(self) -> None:
        wants = need(PAIR)
        assert wants.kind == "tensioner"
        assert wants.nominal == pytest.approx(LENGTH)
        assert wants.uncertainty.expanded == pytest.approx(SURE)
        assert wants.reach == pytest.approx((LENGTH - 40.0, LENGTH + 40.0))
        assert wants.window == pytest.approx((LENGTH - 32.0, LENGTH + 32.0))

    def test_usable_allows_for_tolerance_stretch_rule_and_measuring(self) -> None:
        wants = need(PAIR)
        # SAE J1596's shortest belt is the closest lower limit here: no flange, twice the tolerance.
        low = 1.003 * (LENGTH - 40.0) + 0.77 * 25.4 + 2.0 * TOLERANCE
        high = (LENGTH + 40.0 - SURE) / 1.01 - TOLERANCE
        assert wants.usable == pytest.approx((low, high))
        assert wants.exact == pytest.approx((low, (LENGTH + 40.0) / 1.01 - TOLERANCE))
        assert middle_of(wants) == pytest.approx((low + high) / 2.0)

    def test_the_window_counts_where_there_is_one(self) -> None:
        wants = need(PAIR, ("load = -20", "load = -20\nwindow = [0, 12]"))
        assert wants.window == pytest.approx((LENGTH, LENGTH + 24.0))
        assert wants.usable == pytest.approx(
            (LENGTH + TOLERANCE + SURE, LENGTH + 24.0 - TOLERANCE - SURE)
        )

    @pytest.mark.parametrize("tolerance", [0, 6, 20])
    def test_on_fixed_centres_no_length_is_sure_to_fit(self, tolerance: float) -> None:
        """Nothing makes up a tolerance or the ± of the path, however small or large."""
        wants = need(FIXED_PAIR, ("ribs = 4", f"ribs = 4\ntolerance = {tolerance}"))
        assert wants.kind == "fixed"
        assert wants.reach == pytest.approx((0.998 * LENGTH, 1.002 * LENGTH))
        assert (wants.exact, wants.usable, wants.middle) == (None, None, None)

    def test_fixed_centres_tell_the_take_up_that_they_lack(self) -> None:
        """± the belt's and the path's, the rim's lift of the line by h − t − 0.4425 mm, 1 %."""
        needed = need(FIXED_PAIR).take_up
        assert needed is not None
        assert needed.slip_on == pytest.approx(pi * (2.4 - 0.4425), abs=0.02)
        assert needed.stretch == pytest.approx(0.01 * (LENGTH + TOLERANCE))
        assert needed.shorter == pytest.approx(TOLERANCE + SURE + needed.slip_on)
        assert needed.longer == pytest.approx(TOLERANCE + SURE + needed.stretch)
        assert need(PAIR).take_up is None

    def test_a_stretch_fit_belt_is_shorter_by_the_stretch_of_the_guide(self) -> None:
        wants = need(FIXED_PAIR, ("ribs = 4", "ribs = 4\nelastic = true\ntolerance = 3"))
        assert wants.kind == "stretch-fit"
        assert wants.window == wants.reach == pytest.approx((LENGTH / 1.04, LENGTH / 1.005))
        assert wants.usable == pytest.approx(
            (LENGTH / 1.04 + 3.0 + SURE, LENGTH / 1.005 - 3.0 - SURE)
        )

    def test_a_window_too_narrow_for_the_tolerance_leaves_nothing(self) -> None:
        wants = need(PAIR, ("load = -20", "load = -20\nwindow = [0, 5]"))
        assert wants.usable is None
        assert wants.exact is None
        assert wants.middle is None

    def test_the_belt_in_hand_plays_no_part(self) -> None:
        bands = [
            (wants.usable, wants.exact, wants.nominal, wants.reach)
            for wants in (
                need(ORCHARD),
                need(ORCHARD, ("length = 1877", "length = 1900")),
                need(ORCHARD, ("length = 1877", "# length")),
            )
        ]
        assert bands[0] == bands[1] == bands[2]

    def test_a_tolerance_that_the_layout_states_goes_for_belts_without_their_own(self) -> None:
        stated = need(ORCHARD, ("length = 1877", "length = 1877\ntolerance = 4"))
        assert stated.tolerance == stated.tolerance_of(offer(1500.0)) == 4.0
        assert stated.tolerance_of(offer(1500.0, tolerance=1.0)) == 1.0
        assert need(ORCHARD).tolerance_of(offer(1500.0)) == 8.0

    def test_where_a_tolerance_comes_from_is_told(self) -> None:
        stated = need(ORCHARD, ("length = 1877", "length = 1877\ntolerance = 9"))
        assert stated.tolerance_source() == stated.tolerance_source(offer(1500.0)) == "given"
        unstated = need(ORCHARD)
        assert unstated.tolerance_source(offer(1500.0, tolerance=1.0)) == "given"
        assert unstated.tolerance_source() == "from memory, low confidence"
        other = need(AUGER).tolerance_source(offer(1500.0, section="PL"))
        assert other == "from memory, low confidence: a table for PK, not known to hold for PL"

    def test_inches_and_millimetres_agree(self) -> None:
        mm, inches = (
            wanted(beltpath.read(LAYOUTS / f"cider-mill{more}.toml")) for more in ("", "-inch")
        )
        assert mm.usable == pytest.approx(inches.usable, abs=1e-6)
        assert mm.reach == pytest.approx(inches.reach, abs=1e-6)


class TestRefused:
    """Where no length can be told, it is said and none is told."""

    def test_a_belt_that_does_not_close(self) -> None:
        wrong = ('role = "idler", label', 'role = "idler", side = "ribs", label')
        with pytest.raises(PathError, match="does not close properly"):
            need(ORCHARD, wrong)

    def test_over_centre(self) -> None:
        with pytest.raises(PathError, match="goes over centre at 30 mm"):
            need(SLIDE, ("along = 0", "along = 90"))

    def test_exchanged_stops(self) -> None:
        exchanged = (("free = 20", "free = -20"), ("load = -20", "load = 20"))
        with pytest.raises(PathError, match="stops look exchanged"):
            need(PAIR, *exchanged)

    def test_a_travel_in_which_no_belt_can_be_laid(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("beltpath.sizing.fit.laid_nowhere", lambda stand: True)
        with pytest.raises(PathError, match="no belt can be laid anywhere in the tensioner's"):
            need(SPRUNG)

    def test_stops_that_no_belt_reaches(self) -> None:
        stops = (("free = 20", "free = 200"), ("load = -35", "load = 172"))
        with pytest.raises(PathError, match=r"measured at 3\.2°, which does not lie between"):
            need(SPRUNG, *stops, ("window = [-20, 18]\n", ""))

    def test_a_window_where_no_belt_can_be_laid(self) -> None:
        """The pulley leaves the belt before it gets to the end of its travel."""
        far = (
            ("[-70, 165]", "[-65, 150]"),
            ("pivot = [-160, 160]", "pivot = [-150, 130]"),
            ("window = [-20, 18]", "window = [-30, -15]"),
        )
        with pytest.raises(
            PathError, match="no belt can be laid anywhere in the tensioner's window"
        ):
            need(SPRUNG, *far)


class TestAnswers:
    def test_in_the_middle_it_fits_and_nothing_is_held_against_it(self) -> None:
        wants = need(ORCHARD)
        one = told(wants, middle_of(wants))
        assert (one.answer, one.reasons) == ("fits", ())
        assert one.spare > wants.uncertainty.expanded

    @pytest.mark.parametrize(
        ("length", "says"),
        [
            (1841.0, "it stands outside the window towards the load stop, too tight"),
            (1858.0, "at the short end of its tolerance it stands outside the window towards the"),
            (
                1905.0,
                "at the long end of its tolerance it stands outside the window towards the fr",
            ),
            (1915.0, "it stands outside the window towards the free stop, too slack"),
            (1905.0, "after 1 % of stretch in service it may be 1933.1 mm"),
            (1841.0, "SAE J1596's rule asks for 1841.4 mm"),
            (1885.0, "only if the measuring is right"),
        ],
    )
    def test_fits_but(self, length: float, says: str) -> None:
        one = told(need(ORCHARD), length)
        assert one.answer == "fits but"
        assert says in "; ".join(one.reasons)

    @pytest.mark.parametrize(
        ("length", "says"),
        [
            (1700.0, "111.4 mm too short: it cannot be got on, at the short end of its tolerance"),
            (1960.0, "40.3 mm too long: it hangs loose, the travel keeps nothing over 1919.7 mm"),
            (1922.0, "less than the ± 9.9 mm of the path: measure again"),
        ],
    )
    def test_does_not_fit(self, length: float, says: str) -> None:
        one = told(need(ORCHARD), length)
        assert one.answer == "does not fit"
        assert says.split(":", 1)[-1] in one.reasons[0]
        assert one.spare < 0.0

    def test_a_belt_of_no_tolerance_may_be_held_by_the_travel_itself(self) -> None:
        wants = need(ORCHARD)
        one = judge(replace(wants, lifted=0.0), offer(1790.0, tolerance=0.0))
        assert (
            "8.5 mm too short: it cannot be got on, the travel takes nothing under"
            in one.reasons[0]
        )

    def test_without_a_tensioner(self) -> None:
        wants = need(AUGER)
        one = told(wants, 2453.0)
        assert (one.answer, len(one.reasons)) == ("fits but", 1)
        assert one.reasons[0].startswith("only with a way to tension it: by its tolerance and the")
        assert "may be 18.2 mm too long or 17.9 mm too short" in one.reasons[0]
        one = told(wants, 2440.0)
        (reason,) = one.reasons
        assert reason.startswith(
            "12.9 mm too short: the path is 2452.9 mm; a belt's own stretch makes"
        )
        assert reason.endswith("less than the ± 8.1 mm of the path: measure again")

    @pytest.mark.parametrize("tolerance", [0.0, 9.0, 20.0, 40.0])
    def test_a_sloppy_belt_does_not_fit_better_on_fixed_centres(self, tolerance: float) -> None:
        """± 20 mm made a belt 15 mm too short fit before."""
        wants = need(FIXED_PAIR)
        one = judge(wants, offer(LENGTH - 14.8, ribs=4, tolerance=tolerance))
        assert one.answer == "does not fit"

    def test_margins_are_named_where_there_is_no_window(self) -> None:
        reasons = told(need(PAIR), LENGTH + 35.0).reasons
        assert reasons[0].startswith("it stands outside the margin at the end of the travel")

    @pytest.mark.parametrize(
        ("length", "answer", "says"),
        [
            (778.0, "fits", ""),
            (767.0, "fits but", "at the short end of its tolerance (762 mm) it is stretched more"),
            (790.0, "fits but", "at the long end of its tolerance (795 mm) it is stretched less"),
            (700.0, "does not fit", "65.2 mm too short: it would be stretched by 13.7 %"),
            (800.0, "does not fit", "8.1 mm too long: it hangs loose"),
        ],
    )
    def test_stretch_fit(self, length: float, answer: str, says: str) -> None:
        one = told(need(FOGGER), length)
        assert one.answer == answer
        assert says in "; ".join(one.reasons)

    def test_a_stretch_fit_belt_may_be_outside_as_nominal_too(self) -> None:
        """Only within a hair of its limits: reach and window are the same."""
        wants = need(FOGGER)
        wider = replace(wants, reach=(700.0, 900.0))
        assert told(wider, 750.0).reasons[0].startswith("nominally (750 mm) it is stretched more")


class TestRibs:
    def test_another_section(self) -> None:
        one = judge(need(ORCHARD), offer(1877.0, section="PJ"))
        assert one.reasons == ("its section is PJ, the pulleys are for PK",)
        assert one.spare == -inf

    def test_more_ribs_than_a_pulley_has_grooves(self) -> None:
        one = told(need(ORCHARD), 1877.0, ribs=7)
        assert one.answer == "does not fit"
        assert one.reasons == ("it has 7 ribs, but crank has 6 grooves and pump has 6 grooves",)

    def test_more_ribs_where_grooves_are_not_counted(self) -> None:
        one = told(need(PAIR), LENGTH, ribs=5)
        assert one.answer == "fits but"
        assert "count the grooves of crank, pump" in one.reasons[0]

    def test_more_ribs_where_all_grooves_are_enough(self) -> None:
        counted = ('face = "grooved", ', 'face = "grooved", grooves = 6, ')
        wants = need(
            PAIR, counted, ('"grooved", role = "pump"', '"grooved", grooves = 6, role = "pump"')
        )
        one = told(wants, middle_of(wants), ribs=5)
        assert (one.answer, one.reasons) == (
            "fits but",
            ("it has 5 ribs, the layout's belt 4: look at the room",),
        )

    @pytest.mark.parametrize(("ribs", "has"), [(1, "1 rib"), (5, "5 ribs")])
    def test_fewer_ribs_carry_less_and_do_not_fit(self, ribs: int, has: str) -> None:
        one = told(need(ORCHARD), 1877.0, ribs=ribs)
        assert one.answer == "does not fit"
        assert one.reasons == (f"it has {has}, the layout's belt 6: it carries less",)

    def test_the_back_of_a_plain_belt_needs_no_grooves(self) -> None:
        """A grooved pulley on the back is a fault of its own, and no matter of ribs."""
        grooved = (
            'around = 283, face = "smooth"',
            'around = 283, face = "grooved", side = "back", grooves = 1',
        )
        assert told(need(ORCHARD, grooved), 1877.0).answer != "does not fit"

    def test_the_back_of_a_double_sided_belt_does(self) -> None:
        grooved = (
            'around = 283, face = "smooth"',
            'around = 283, face = "grooved", side = "back", grooves = 1',
        )
        wants = need(ORCHARD, grooved, ("ribs = 6", "ribs = 6\ndouble_sided = true"))
        one = told(wants, middle_of(wants))
        assert one.reasons == ("it has 6 ribs, but right idler has 1 groove",)

    def test_none_in_stock(self) -> None:
        one = judge(need(ORCHARD), offer(1877.0)._replace(stock=0))
        assert (one.answer, one.reasons) == ("fits but", ("none in stock",))


class TestPlaces:
    def test_positions_in_closed_form(self) -> None:
        wants = need(PAIR)
        stands = places(wants, told(wants, LENGTH + 10.0))
        assert stands is not None
        assert stands.now == pytest.approx((LENGTH + 10.0, 5.0, 15.0 / 40.0))
        assert stands.shortest.position == pytest.approx(5.0 - TOLERANCE / 2.0)
        assert stands.longest.position == pytest.approx(5.0 + TOLERANCE / 2.0)
        worn = (LENGTH + 10.0 + TOLERANCE) * 1.01
        assert stands.worn.position == pytest.approx((worn - LENGTH) / 2.0)
        both = 1.96 * hypot(SURE / 1.96, TOLERANCE / sqrt(3.0))
        assert with_tolerance(wants, TOLERANCE) == pytest.approx(both)
        assert stands.sure == pytest.approx(both / 2.0)

    def test_out_of_travel_there_is_none(self) -> None:
        wants = need(PAIR)
        stands = places(wants, told(wants, LENGTH + 60.0))
        assert stands is not None
        assert stands.now == (LENGTH + 60.0, None, None)
        assert stands.sure is None

    def test_none_without_a_tensioner(self) -> None:
        wants = need(AUGER)
        assert places(wants, told(wants, 2453.0)) is None


class TestRanking:
    def test_best_first(self) -> None:
        wants = need(ORCHARD)
        middle = middle_of(wants)
        best, plain = offer(middle), offer(middle + 1.0)
        offers = [
            offer(1960.0),
            offer(1877.0, ribs=7),
            offer(1877.0)._replace(stock=0),
            offer(1885.0),
            plain,
            best,
        ]
        order = [one.offer for one in ranked(wants, (judge(wants, o) for o in offers))]
        assert set(order[:2]) == {best, plain}
        assert order[2:4] == [offers[3], offers[2]]
        assert {one.length for one in order[4:]} == {1960.0, 1877.0}

    def test_a_catalogue_is_sorted_out_as_every_belt_is_judged(self) -> None:
        for wants in (need(ORCHARD), need(AUGER)):
            section = wants.layout.belt.section.name
            ribs = wants.layout.belt.ribs
            offers = [
                Offer("x", one, count, wants.nominal + off)
                for one in (section, "PM")
                for count in (ribs, ribs + 1)
                for off in range(-150, 150, 7)
            ]
            shelf = sort_out(wants, offers)
            able = [o for o in offers if judge(wants, o).answer != "does not fit"]
            assert shelf.survivors == able
            passed = shelf.other_section + shelf.other_ribs + shelf.too_short + shelf.too_long
            assert passed + len(able) == len(offers)
            short, long = shelf.nearest
            assert short.length < min(o.length for o in able) < max(o.length for o in able)
            assert long.length > max(o.length for o in able)

    def test_an_empty_shelf(self) -> None:
        shelf = sort_out(need(ORCHARD), [])
        assert (shelf.survivors, shelf.nearest) == ([], ())


class TestBudget:
    def test_the_parts_make_the_whole(self) -> None:
        found = need(PAIR).uncertainty
        parts = shares(found)
        assert sum(part for _, part in parts) == pytest.approx(1.0)
        assert [part for _, part in parts] == sorted((p for _, p in parts), reverse=True)
        assert parts[0][1] == pytest.approx(4.0 * 1.96**2 / SURE**2)

    def test_a_measurement_taken_better(self) -> None:
        wants = need(PAIR, ("at = [0, 0],", "at = [0, 0], accuracy = 2,"))
        (share, _), *_ = shares(wants.uncertainty)
        assert (share.pulley, share.quantity) == ("crank", "centre")
        assert share.adds == pytest.approx(4.0)
        halved = 1.96 * hypot(2.0, 2.0, pi * 0.125, pi * 0.125)
        assert without(wants.uncertainty, share) == pytest.approx(halved)


class TestLaws:
    """`usable` holds exactly the nominal lengths that fit, and answers agree with the checks."""

    @law
    @given(part=st.floats(0.0, 1.0), drive=st.sampled_from([PAIR, ORCHARD, FOGGER]))
    def test_usable_and_fits_are_the_same(self, part: float, drive: str) -> None:
        wants = kept(drive)
        assert wants.usable is not None
        length = wants.reach[0] - 20.0 + part * (wants.reach[1] - wants.reach[0] + 40.0)
        # The range is for one tolerance: the table's steps with length are left out.
        wants = replace(wants, own_tolerance=wants.tolerance)
        assert wants.usable is not None
        inside = wants.usable[0] <= length <= wants.usable[1]
        assert (told(wants, length).answer == "fits") == inside

    @law
    @given(length=st.floats(1780.0, 1940.0), tolerance=st.floats(0.0, 12.0))
    def test_the_checks_of_a_layout_with_that_belt_agree(
        self, length: float, tolerance: float
    ) -> None:
        belt = f"length = {length!r}\ntolerance = {tolerance!r}"
        found = beltpath.study(layout(ORCHARD, ("length = 1877", belt)))
        about = [f for f in found.findings if f.check in ("length", "fit-on", "travel")]
        wants = kept(ORCHARD)
        one = judge(wants, offer(length, tolerance=tolerance))
        faulty = any(f.level == "fault" for f in about)
        assert (one.answer == "does not fit") == faulty
        if one.answer == "fits":
            # After stretch `travel` asks for the window, `size` for the travel.
            assert not [f for f in about if "stretch" not in f.message]
        stands = places(wants, one)
        assert stands is not None
        if stands.now.position is not None:
            assert found.stand is not None
            assert stands.now.position == pytest.approx(found.stand.position, abs=1e-6)
