"""What drives the crank: a key of the layout file, and what rests on it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import beltpath
from beltpath.cli.new import starter
from beltpath.comparison import compare
from beltpath.errors import LayoutError
from beltpath.layout.reader import parse
from beltpath.layout.toml import write
from beltpath.layout.what_if import Changes, changed
from beltpath.output.compare_text import comparison_report

LAYOUTS = Path(__file__).parents[2] / "layouts"
SOUND = starter("mm")
ENGINE = 'driver = "engine"'
#: The demos that no engine drives, each by what its scene says.
DRIVEN = {
    "cider-mill": "motor",
    "cider-mill-inch": "motor",
    "dough-sheeter": "motor",
    "grain-auger": "motor",
    "water-wheel": "other",
    "workshop-compressor": "motor",
}


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_starter_shows_the_key(units: str) -> None:
    text = starter("mm" if units == "mm" else "in")
    assert tomllib.loads(text)["driver"] == "engine"


def test_an_engine_unless_the_file_says_otherwise() -> None:
    without = "\n".join(line for line in SOUND.splitlines() if not line.startswith("driver"))
    assert "driver" not in tomllib.loads(without)
    assert parse(without).driver == "engine"


@pytest.mark.parametrize("driver", ["engine", "motor", "other"])
def test_each_kind_is_read(driver: str) -> None:
    assert parse(SOUND.replace(ENGINE, f'driver = "{driver}"')).driver == driver


def test_another_word_is_refused_with_its_place() -> None:
    with pytest.raises(LayoutError) as caught:
        parse(SOUND.replace(ENGINE, 'driver = "horse"'))
    [problem] = caught.value.problems
    assert problem.path == "driver"
    assert problem.line is not None
    for word in ("engine", "motor", "other"):
        assert word in str(problem)


@pytest.mark.parametrize("path", sorted(LAYOUTS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_demo_says_what_drives_it(path: Path) -> None:
    assert beltpath.read(path).driver == DRIVEN.get(path.stem, "engine")


def test_it_is_written_next_to_the_crank() -> None:
    lines = write({"title": "t", "notes": "n", "driver": "motor", "crank_turns": "clockwise"})
    assert [line.split(" = ")[0] for line in lines.splitlines()] == [
        "title",
        "crank_turns",
        "driver",
        "notes",
    ]


def test_a_what_if_changes_it_and_the_steps_with_it() -> None:
    motor = changed(SOUND, Changes(values=("driver=motor",)))
    assert motor.driver == "motor"
    first = beltpath.study(motor).refit.off[0].before[0].text
    assert "prove it dead" in first
    assert "key" not in first


def test_a_comparison_tells_that_it_differs() -> None:
    before, after = parse(SOUND), parse(SOUND.replace(ENGINE, 'driver = "motor"'))
    told = comparison_report(compare(beltpath.study(before), beltpath.study(after)))
    assert "what turns the crank engine → motor" in " ".join(told.split())
