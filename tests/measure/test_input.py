"""Reading a file of measurements: every mistake at once, each with its place and what to do."""

from __future__ import annotations

from math import hypot, pi

import pytest

from beltpath.errors import LayoutError
from beltpath.survey import Survey, parse
from tests.measure.scenes import LEVEL, Camera, clicked, head, photo, tapes

PHOTO = photo(clicked(None, Camera()))
SOUND = head(level=LEVEL + ', above = "pump"') + tapes()


def problems(text: str) -> list[str]:
    with pytest.raises(LayoutError) as caught:
        parse(text)
    return [str(problem) for problem in caught.value.problems]


def only(text: str) -> str:
    found = problems(text)
    assert len(found) == 1, found
    return found[0]


class TestSound:
    def test_tape(self) -> None:
        survey = parse(SOUND, name="seven")
        assert survey.layout.name == "seven"
        assert list(survey.targets) == list(survey.layout.pulleys)
        assert survey.targets["crank"].radius == pytest.approx(82.0)
        assert survey.targets["crank"].radius_sigma == pytest.approx(0.15)
        assert survey.tapes[0].sigma == 1.0
        assert survey.tapes[0].pair == {"crank", "pump"}
        assert survey.level.above == "pump"
        assert survey.photo is None
        assert survey.rims == {}

    def test_photograph(self) -> None:
        survey = parse(head() + photo(clicked(None, Camera()), 'file = "a.jpg"\nfocal = 26'))
        assert survey.photo is not None
        assert survey.photo.size == [4000, 3000]
        assert survey.photo.file == "a.jpg"
        assert survey.photo.focal == 26.0
        assert survey.photo.sigma == 2.0
        assert len(survey.rims["pump"]) == 8

    def test_inches_and_accuracies(self) -> None:
        text = head(top='units = "in"\naccuracy = 0.04', keys={"pump": ", depth = 0.5"}).replace(
            "outside = ", "around = "
        )
        text += '[[tape]]\nfrom = "crank"\nto = "pump"\ndistance = 10\nover = "gap"\n'
        text += '[[tape]]\nfrom = "crank"\nto = "idler"\ndistance = 8\nover = "gap"\naccuracy = 1\n'
        for name in ("steering", "alternator", "compressor", "tensioner"):
            text += f'[[tape]]\nfrom = "crank"\nto = "{name}"\ndistance = 8\nover = "centres"\n'
        survey = parse(text.replace("= 76.0", "= 7.6").replace("= 70.0", "= 7.0"))
        assert survey.tapes[0].distance == pytest.approx(254.0)
        assert survey.tapes[0].sigma == pytest.approx(1.016)
        assert survey.tapes[1].sigma == pytest.approx(25.4)
        assert survey.targets["pump"].depth == pytest.approx(12.7)
        assert survey.targets["crank"].radius == pytest.approx(164 * 25.4 / pi / 2)

    def test_flanges_are_the_rim(self) -> None:
        survey = parse(SOUND.replace('role = "idler"', 'role = "idler", rim = 90'))
        assert survey.targets["idler"].radius == 45.0
        assert survey.targets["idler"].radius_sigma == pytest.approx(0.15)

    def test_rims_that_are_reckoned_are_less_sure(self) -> None:
        """A smooth face by its diameter; groove tips by way of the effective diameter."""
        assert parse(SOUND).targets["idler"].radius_sigma == pytest.approx(0.125)
        text = SOUND.replace("crank = { outside", "crank = { diameter")
        assert text != SOUND
        reckoned = parse(text).targets["crank"].radius_sigma
        assert 2.0 * reckoned == pytest.approx(hypot(0.25, 0.34))
        round_the_rim = parse(SOUND.replace("crank = { outside", "crank = { around"))
        assert 2.0 * round_the_rim.targets["crank"].radius_sigma == pytest.approx(1.0 / pi)

    def test_points_and_pivot(self) -> None:
        survey = parse(with_pivot())
        assert survey.pivot == "bolt"
        assert survey.targets["bolt"].radius == 12.0
        assert survey.targets["eye"].radius is None
        assert survey.placings[0].name == "bolt"

    def test_pivot_may_be_numbers(self) -> None:
        assert parse(with_pivot().replace('pivot = "bolt"', "pivot = [40, 60]")).pivot is None

    def test_compact_tape(self) -> None:
        row = '{ from = "crank", to = "pump", distance = 200, over = "centres" }'
        bad = row.replace("200", "-200")
        level = LEVEL.replace("alternator", "pump")
        text = f"tape = [\n  {row},\n  {bad},\n]\n" + head(names=("crank", "pump"), level=level)
        assert only(text) == "line 1: tape.2.distance: must be more than 0; found -200"


def with_pivot() -> str:
    bolt = '[points]\nbolt = { diameter = 24, below = "tensioner" }\neye = {}\n'
    arm = '[tensioner]\npulley = "tensioner"\nkind = "arm"\npivot = "bolt"\nfree = 60\nload = 20\n'
    more = "".join(
        f'[[tape]]\nfrom = "{one}"\nto = "{other}"\ndistance = 100\nover = "centres"\n'
        for one, other in (("bolt", "crank"), ("bolt", "idler"), ("eye", "crank"), ("eye", "idler"))
    )
    return SOUND + bolt + arm + more


class TestStructure:
    def test_too_large(self) -> None:
        assert "too large" in only(" " * 1_000_001)

    def test_not_toml(self) -> None:
        assert "not TOML" in only("title = ")

    def test_too_deep(self) -> None:
        assert "nests too deeply" in only("a = " + "[" * 5000)

    def test_empty(self) -> None:
        found = problems("")
        assert "holds no measurement; give [[tape]] distances or [photo.rims]" in found
        assert (
            "level: is missing (a line between two pulleys and its angle, which fix the turn)"
            in found
        )
        assert any(line.startswith("title: is missing") for line in found)

    def test_layout_mistakes_are_told_with_their_lines(self) -> None:
        found = problems(SOUND.replace('section = "PK"', 'section = "PKK"').replace("ribs", "rib"))
        assert len(found) == 2
        assert found[0].startswith("line 4: belt.section: must be")
        assert found[1] == 'line 5: belt.rib: is not a key here; did you mean "ribs"?'

    def test_unknown_keys(self) -> None:
        found = problems(
            SOUND.replace('title = "Seven, simulated"', 'title = "x"\ntap = 1')
            .replace('role = "idler"', 'role = "idler", dept = 3')
            .replace("angle =", "angel = 1\nangle =")
        )
        assert found == [
            'line 2: tap: is not a key here; did you mean "tape"?',
            'line 10: level.angel: is not a key here; did you mean "angle"?',
            'line 17: pulleys.idler.dept: is not a key here; did you mean "depth"?',
        ]

    def test_what_is_to_be_found_is_not_given(self) -> None:
        found = problems(
            SOUND.replace('role = "idler"', 'role = "idler", at = [1, 2], accuracy = 1')
        )
        assert [line.partition(": ")[2] for line in found] == [
            "pulleys.idler.at: is what these measurements are to give; leave it out",
            "pulleys.idler.accuracy: is what these measurements are to give; leave it out",
        ]

    def test_tape_entries_are_counted_from_one_and_have_lines(self) -> None:
        text = SOUND.replace('over = "centres"', 'over = "middle"', 1)
        text = text.replace('to = "steering"\ndistance', 'to = "steering"\n# distance', 1)
        first, second = problems(text)
        assert first.startswith('line 23: tape.1.over: must be "centres", "outside" or "gap"')
        assert second == "line 24: tape.2.distance: is missing (what the tape reads)"

    def test_kinds_of_value(self) -> None:
        found = problems(
            head(top="tape = 3").replace("idler = {", "idler = 3 #")
            + "[photo]\nsize = [4000]\n"
            + "rims = { crank = [[1, 2], [3, 4]], pump = [[1, 2], [3], [5, 6]] }"
        )
        text = "\n".join(found)
        assert "line 2: tape: must be a list" in text
        assert "pulleys.idler: must be a table, { key = value, ... }; found 3" in text
        assert "photo.size: must have at least 2 values (width and height, pixels)" in text
        assert "photo.rims.crank: must have at least 3 values; found [[1, 2], [3, 4]]" in text
        assert "photo.rims.pump: value 2 must have at least 2 values; found [3]" in text
        assert "is not measured" not in text

    def test_tables_that_are_none(self) -> None:
        text = "\n".join(problems("title = 'x'\npulleys = 1\nlevel = 2\ntape = [1]\nphoto = []\n"))
        assert "pulleys: must be a table" in text
        assert "level: must be a table" in text
        assert "tape: value 1 must be a table" in text
        assert "photo: must be a table" in text

    def test_lists_and_tables_for_names(self) -> None:
        text = SOUND.replace('to = "pump"', "to = [1]", 1).replace('from = "crank"', "from = {}", 1)
        text = "\n".join(problems(text))
        assert "tape.1.to: must be text in quotes; found [1]" in text
        assert "level.from: must be text in quotes; found a table" in text

    def test_unprintable_names(self) -> None:
        assert any(
            "cannot be printed" in line for line in problems(SOUND.replace("Seven", "\\u202e"))
        )


class TestReferences:
    def test_more_than_any_drive_has(self) -> None:
        """Told at once instead of hanging; 20 are still solved."""
        points = "".join(f"p{i} = {{}}\n" for i in range(14))
        told = "holds 21 pulleys and points; at most 20 are solved"
        assert told in problems(f"{SOUND}[points]\n{points}")
        fewer = points.removesuffix("p13 = {}\n")
        assert told.replace("21", "20") not in problems(f"{SOUND}[points]\n{fewer}")

    def test_names(self) -> None:
        found = problems(
            SOUND.replace('to = "pump"', 'to = "pomp"', 1).replace(
                'above = "pump"', 'above = "pum"'
            )
            + "[photo.rims]\ncrnk = [[1, 2], [3, 4], [5, 9]]\n"
        )
        assert [line.partition(": ")[2] for line in found] == [
            'level.above: "pum" is not a pulley or point of this file; did you mean "pump"?',
            'tape.1.to: "pomp" is not a pulley or point of this file; did you mean "pump"?',
            'photo.rims.crnk: "crnk" is not a pulley or point of this file; did you mean "crank"?',
        ]

    def test_from_itself_to_itself(self) -> None:
        found = only(SOUND.replace('from = "crank"\nto = "pump"', 'from = "pump"\nto = "pump"', 1))
        assert found.endswith("tape.1.to: is where it starts; name another pulley")

    def test_above(self) -> None:
        text = head(level=LEVEL + ', above = "crank"') + tapes()
        assert only(text).endswith("level.above: lies on the line itself; name another pulley")
        upright = 'from = "crank", to = "idler", angle = 95, above = "pump"'
        assert "the line stands upright" in only(head(level=upright) + tapes())

    def test_placings(self) -> None:
        keys = {"idler": ', above = "crnk", left_of = "idler"'}
        found = problems(SOUND.replace(head(level=LEVEL + ', above = "pump"'), head(keys=keys)))
        unknown = '"crnk" is not a pulley or point of this file; did you mean "crank"?'
        assert [line.partition(": ")[2] for line in found] == [
            f"pulleys.idler.above: {unknown}",
            "pulleys.idler.left_of: is itself; name another pulley",
        ]

    def test_points(self) -> None:
        text = with_pivot().replace("eye = {}", "idler = {}").replace('"eye"', '"pump"')
        assert only(text).endswith("points.idler: is the name of a pulley; give the point its own")
        text = with_pivot().replace('pivot = "bolt"', 'pivot = "bold"')
        assert only(text).endswith(
            'tensioner.pivot: "bold" is not one of the [points]; did you mean "bolt"?'
        )

    def test_not_measured(self) -> None:
        pairs = [("crank", "pump"), ("pump", "idler")]
        found = problems(
            head(
                names=("crank", "pump", "idler", "tensioner"),
                level=LEVEL.replace("alternator", "pump"),
            )
            + tapes(pairs=pairs)
            + "[points]\neye = {}\n"
        )
        said = "is not measured: no tape goes to it and its rim is not clicked"
        assert [line.partition(": ")[2] for line in found] == [
            f"pulleys.tensioner: {said}",
            f"points.eye: {said}",
        ]


class TestNumbers:
    def test_accuracy_of_the_tape(self) -> None:
        found = only(SOUND.replace("[belt]", "accuracy = 0\n[belt]"))
        assert found == "line 3: accuracy: must be more than 0; nobody reads a tape so well"

    def test_too_far(self) -> None:
        text = SOUND.replace("distance = ", "distance = 90000", 1)
        assert "tape.1.distance: is farther than any belt drive reaches" in only(text)

    def test_over_needs_rims(self) -> None:
        text = with_pivot() + '[[tape]]\nfrom = "eye"\nto = "crank"\ndistance = 90\nover = "gap"\n'
        assert '"eye" has no diameter, so that only "centres" can be measured' in only(text)

    def test_over_the_far_rims_is_more_than_the_radii(self) -> None:
        text = SOUND.replace('over = "centres"', 'over = "outside"')
        found = problems(text.replace("distance = ", "distance = 90 # ", 1))
        assert (
            "tape.1.distance: over the far rims is less than both radii; check `over`" in found[0]
        )

    def test_three_rims(self) -> None:
        text = SOUND + photo(clicked(None, Camera(), names=("crank", "pump")))
        assert "needs the rims of at least 3 pulleys" in only(text)

    def test_clicks(self) -> None:
        points = clicked(None, Camera())
        points["pump"][1] = points["pump"][0]
        points["crank"][0] = [4100.0, 20.0]
        first, second = problems(head() + photo(points))
        assert "photo.rims.crank: has a point outside the picture" in first
        assert "photo.rims.pump: has two points in one place" in second

    def test_rim_without_size(self) -> None:
        points = {**clicked(None, Camera()), "eye": [[9.0, 9.0], [50.0, 9.0], [20.0, 80.0]]}
        assert "photo.rims.eye: has no diameter" in only(
            head() + "[points]\neye = {}\n" + photo(points)
        )

    def test_depth_needs_the_size_of_the_picture(self) -> None:
        text = head(keys={"pump": ", depth = 12"}) + PHOTO.replace("size =", "# size =")
        assert (
            only(text)
            .partition(": ")[2]
            .startswith('photo.size: is missing; to allow for the depth of "pump"')
        )


def test_placing_is_about_centres() -> None:
    survey: Survey = parse(
        head(
            keys={
                "pump": ', above = "crank", left_of = "idler"',
                "idler": ', below = "alternator", right_of = "pump"',
            }
        )
        + tapes()
    )
    places = {
        "crank": (0.0, 0.0),
        "pump": (-2.0, 1.0),
        "idler": (0.0, 2.0),
        "alternator": (0.0, 3.0),
    }
    assert all(p.holds(places[p.name], places[p.other]) for p in survey.placings)
    assert not any(p.holds(places[p.other], places[p.name]) for p in survey.placings)
    assert len(survey.placings) == 4
