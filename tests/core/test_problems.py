"""Every sentence the reader has for a mistake: its key path, its line, what to do."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from beltpath.errors import LayoutError
from beltpath.layout.problems import MOST_PROBLEMS
from beltpath.layout.reader import parse
from beltpath.layout.sentences import nearest

BASE = """title = "Bench"
route = ["crank", "pump", "idler"]

[belt]
section = "PK"
ribs = 4

[pulleys]
crank = { at = [0, 0], diameter = 150, face = "grooved", role = "crank" }
pump = { at = [300, 0], diameter = 120, face = "grooved", role = "pump" }
idler = { at = [150, 150], diameter = 80, face = "smooth", role = "idler", side = "ribs" }
"""
ARM = (
    BASE
    + """
[tensioner]
pulley = "idler"
kind = "arm"
pivot = [50, 150]
free = -10
load = 30
window = [-5, 20]
spring = { torque = 20, at = 0 }
"""
)
SLIDE = ARM.replace('"arm"', '"slide"').replace("pivot = [50, 150]", "along = 90")
SLIDE = SLIDE.replace("torque", "force")
RUNNING = BASE + "\n[running]\ncrank_rpm = [800, 3000]\n"
BASES = {"bench": BASE, "arm": ARM, "slide": SLIDE, "running": RUNNING}
CASES = tomllib.loads(Path(__file__).with_name("sentences.toml").read_text(encoding="utf-8"))


def told(text: str) -> list[str]:
    """What the reader says of a text that it must refuse."""
    with pytest.raises(LayoutError) as caught:
        parse(text)
    sentences = str(caught.value).splitlines()
    assert sentences == [str(problem) for problem in caught.value.problems]
    return sentences


def spoilt(base: str, old: str, new: str) -> str:
    assert base.count(old) == 1, old
    return base.replace(old, new)


def test_there_are_cases() -> None:
    assert len(CASES["case"]) > 90


def test_the_bases_are_sound() -> None:
    for base in (BASE, ARM, SLIDE, RUNNING):
        assert parse(base).title == "Bench"


@pytest.mark.parametrize("case", CASES["case"], ids=lambda case: case["told"].split("\n")[0])
def test_sentence(case: dict[str, str]) -> None:
    text = spoilt(BASES[case["base"]], case["old"], case["new"])
    assert told(text) == case["told"].splitlines()


def test_empty_file() -> None:
    assert told("") == [
        "title: is missing (printed on top)",
        "belt: is missing (the table [belt]: its section and ribs)",
        "pulleys: is missing (the table [pulleys]: a line for each pulley)",
    ]


def test_one_pulley() -> None:
    text = BASE.splitlines(keepends=True)
    assert told("".join([*text[:1], *text[2:9]])) == [
        "line 7: pulleys: a belt drive has at least two pulleys; add the others"
    ]


def test_pulleys_that_are_no_table() -> None:
    assert told('title = "x"\npulleys = [1]\n[belt]\nsection = "PK"\n') == [
        "line 2: pulleys: must be a table, { key = value, ... }; found [1]"
    ]


@pytest.mark.parametrize("section", ["AV10", "AV13"])
def test_no_balls_for_v_belts(section: str) -> None:
    text = spoilt(
        spoilt(BASE, '"PK"\nribs = 4', f'"{section}"'), "diameter = 120", "over_balls = 120"
    )
    assert told(text) == [
        (
            f"line 9: pulleys.pump.over_balls: no ball diameter is known for {section}; give its "
            "diameter"
        )
    ]


def test_many_mistakes_at_once_in_file_order() -> None:
    text = (
        ARM.replace('title = "Bench"', 'titel = "Bench"')
        .replace('"idler"]', '"idlr"]')
        .replace("ribs = 4", 'ribs = "four"\nlength = 3')
        .replace("diameter = 120", "diameter = 120, outside = 119")
        .replace('"smooth"', '"smoth"')
        .replace("free = -10", "free = inf")
        .replace("torque = 20", "torque = 0")
    )
    assert told(text) == [
        "title: is missing (printed on top)",
        'line 1: titel: is not a key here; did you mean "title"?',
        'line 2: route: "idlr" is not a pulley of this file; did you mean "idler"?',
        'line 6: belt.ribs: must be a whole number; found "four"',
        (
            "line 7: belt.length: 3 mm is outside what a belt drive can have (50 to 50000 mm); "
            "check the number and `units`"
        ),
        "line 11: pulleys.pump: its size is given more than once; keep one of diameter, outside",
        (
            'line 12: pulleys.idler.face: must be "grooved" or "smooth"; found "smoth"; '
            'did you mean "smooth"?'
        ),
        'line 15: tensioner.pulley: "idler" is left out of the route',
        "line 18: tensioner.free: must be a finite number; found inf",
        "line 21: tensioner.spring.torque: must be more than 0; found 0",
    ]


def test_inch_limits_are_told_in_inches() -> None:
    text = """title = "Inch"
units = "in"
[belt]
section = "PK"
height = 0.05
[pulleys]
crank = { at = [0, 0], diameter = 150, face = "grooved", role = "crank" }
pump = { at = [0.003, 0], diameter = 0.1, face = "grooved", role = "pump" }
[tensioner]
pulley = "pump"
kind = "swing"
pivot = [0.03, 0]
free = 0
load = 30
"""
    assert told(text) == [
        'line 8: pulleys.pump.at: is the same place as "crank"; measure both centres again',
        (
            "line 8: pulleys.pump.diameter: 0.1 in is outside what a belt drive can have "
            "(0.1969 to 196.9 in); check the number and `units`"
        ),
        "line 12: tensioner.pivot: is where the pulley is; an arm has a length",
    ]
    text = text.replace("0.003", "5").replace("diameter = 0.1", "diameter = 0.25, rim = 0.2")
    assert told(text.replace("pivot = [0.03, 0]", "pivot = [5.5, 0]")) == [
        (
            "line 3: belt: the belt's height (0.050 in) must be more than its back (0.087 in, "
            "effective line to belt back); measure and give both"
        ),
        (
            "line 8: pulleys.pump.diameter: this belt cannot be bent round so small a pulley "
            "(its diameter comes to 0.250 in, twice the belt's height is 0.315 in); check it and "
            "the belt"
        ),
    ]


def test_centres_a_twentieth_of_an_inch_apart_are_two_places() -> None:
    text = BASE.replace("[300, 0]", "[0.05, 0]").replace("[150, 150]", "[15, 15]")
    for size, inches in (("150", "6"), ("120", "5"), ("80", "3")):
        text = text.replace(f"diameter = {size}", f"diameter = {inches}")
    assert told(text) == [
        'line 10: pulleys.pump.at: is the same place as "crank"; measure both centres again',
        (
            "line 11: pulleys.idler.diameter: 3 mm is outside what a belt drive can have "
            "(5 to 5000 mm); check the number and `units`"
        ),
    ]
    assert parse(text.replace('title = "Bench"', 'title = "Bench"\nunits = "in"')).units == "in"


def test_an_inch_arm_of_nine_tenths_is_an_arm() -> None:
    text = ARM.replace('title = "Bench"', 'title = "Bench"\nunits = "in"')
    text = text.replace("[300, 0]", "[30, 0]").replace("[150, 150]", "[15, 15]")
    text = text.replace("diameter = 150", "diameter = 6").replace("diameter = 120", "diameter = 5")
    text = text.replace("diameter = 80", "diameter = 3").replace("[50, 150]", "[14.1, 15]")
    assert parse(text).tensioner is not None


def test_a_pulley_of_the_name_spring_is_told_of_as_any_other() -> None:
    text = BASE.replace("pump =", "spring =").replace('"pump",', '"spring",')
    assert told(spoilt(text, "diameter = 120", "diameter = -120")) == [
        "line 10: pulleys.spring.diameter: must be more than 0; found -120"
    ]


def test_too_many_pulleys() -> None:
    more = "".join(
        f'p{i} = {{ at = [0, {i}], diameter = 80, face = "smooth", role = "idler" }}\n'
        for i in range(101)
    )
    assert told(BASE + more) == [
        (
            "line 8: pulleys: must have at most 100 values (the table [pulleys]: a line for each "
            "pulley); found a table"
        )
    ]


def test_too_long_a_route() -> None:
    names = ", ".join(f'"p{i}"' for i in range(101))
    assert told(spoilt(BASE, '"crank", "pump", "idler"]', f"{names}]")) == [
        (
            "line 2: route: must have at most 100 values (the order in which the belt meets the "
            'pulleys, in its travel); found ["p0", "p1", "p2", "p3", ...]'
        )
    ]


def test_more_mistakes_than_anybody_reads() -> None:
    sentences = told("".join(f"key{i} = 1\n" for i in range(2 * MOST_PROBLEMS)))
    assert len(sentences) == MOST_PROBLEMS + 1
    assert sentences[-1] == "and more mistakes after these; is this a layout file?"
    lines = [int(s.split()[1][:-1]) for s in sentences if s.startswith("line")]
    assert lines == sorted(lines)


class TestNearest:
    """The nearest key or word is offered, and never the wrong one of the two senses."""

    def test_case_does_not_matter(self) -> None:
        assert nearest("GROOVED", ["grooved", "smooth"]) == '; did you mean "grooved"?'

    def test_nothing_near(self) -> None:
        assert nearest("zebra", ["grooved", "smooth"]) == ""

    @pytest.mark.parametrize(
        "word", ["anticlockwise", "Anti-Clockwise", "CCW", "acw", "counter clockwise"]
    )
    def test_anticlockwise(self, word: str) -> None:
        senses = ["clockwise", "counterclockwise"]
        assert nearest(word, senses) == '; did you mean "counterclockwise"?'

    @pytest.mark.parametrize("word", ["cw", "Clockwise", "clokwise"])
    def test_clockwise(self, word: str) -> None:
        assert nearest(word, ["clockwise", "counterclockwise"]) == '; did you mean "clockwise"?'

    @pytest.mark.parametrize("word", ["antoclockwise", "anticlockwize", "wise", "left"])
    def test_doubtful_senses_are_not_guessed_at(self, word: str) -> None:
        assert nearest(word, ["clockwise", "counterclockwise"]) == ""

    def test_a_pulley_may_be_called_what_it_likes(self) -> None:
        assert nearest("ccw", ["crank", "pump"]) == ""
        assert nearest("idler", [""]) == ""
