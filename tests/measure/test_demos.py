"""The demo inputs, and what the pages say of them."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from math import dist
from pathlib import Path

import pytest

from beltpath import study
from beltpath.errors import LayoutError
from beltpath.layout import reader as layout_file
from beltpath.survey import Measurement, parse, solve
from tests.measure.demos import FOLDER, demos, sprayer_truth
from tests.measure.scenes import SEVEN, Point
from tests.measure.trouble import Make, large_slip, outcomes, swapped_names, two_slips, wrong_size

TAPE = Path("docs/measured-with-a-tape.md")
PHONE = Path("docs/measured-with-a-phone.md")


@cache
def solved(name: str) -> Measurement:
    return solve(parse((FOLDER / name).read_text(encoding="utf-8")))


def quoted(page: Path) -> list[str]:
    """The sentences that a page quotes."""
    text = re.sub(r"^> \*\*WARNING.*\n(> .+\n)*", "", page.read_text(encoding="utf-8"), flags=re.M)
    return re.findall(r"^> (.+)$", text, re.MULTILINE)


def said(measurement: Measurement) -> set[str]:
    return {*measurement.doubts, *(suspect.message for suspect in measurement.suspects)}


def rows(page: Path) -> dict[str, tuple[float, ...]]:
    """The page's table of places: x, y, sigma, distance from the truth."""
    found = re.findall(
        r"^\| (\w+) \| (-?[\d.]+) \| (-?[\d.]+) \| ([\d.]+) \| ([\d.]+) \|$",
        page.read_text(encoding="utf-8"),
        re.MULTILINE,
    )
    return {name: tuple(map(float, numbers)) for name, *numbers in found}


def same_places(page: Path, found: Measurement, truth: dict[str, Point]) -> None:
    table = rows(page)
    assert set(table) == set(found.centres)
    for name, (x, y, sigma, off) in table.items():
        centre = found.centres[name]
        assert (x, y) == pytest.approx(centre.at, abs=0.06)
        assert sigma == pytest.approx(centre.sigma, abs=0.006)
        assert off == pytest.approx(dist(centre.at, truth[name]), abs=0.06)


def test_demos_are_what_the_scenes_give() -> None:
    assert {path.name for path in FOLDER.glob("*.toml")} == set(demos())
    for name, text in demos().items():
        assert (FOLDER / name).read_text(encoding="utf-8") == text


@pytest.mark.parametrize("name", sorted(demos()))
def test_demos_give_layouts_that_can_be_studied(name: str) -> None:
    layout = layout_file.parse(solved(name).layout_text())
    assert study(layout).path.proper


def test_tape_page() -> None:
    tape, slip = solved("sprayer-tape.toml"), solved("sprayer-slip.toml")
    same_places(TAPE, tape, sprayer_truth())
    caution, suspect, mirror = quoted(TAPE)
    assert caution in said(tape)
    assert suspect in said(slip)
    text = (FOLDER / "sprayer-tape.toml").read_text(encoding="utf-8")
    with pytest.raises(LayoutError, match="mirror image") as caught:
        solve(parse(text.replace('above = "fan"', "")))
    assert mirror in str(caught.value)


def test_phone_page() -> None:
    found = solved("workboat-photo.toml")
    same_places(PHONE, found, {name: truth.at for name, truth in SEVEN.items()})
    text = (FOLDER / "workboat-photo.toml").read_text(encoding="utf-8")
    unsaid = solve(parse(re.sub(r"(?m)^above = .*\n", "", text)))
    assert set(quoted(PHONE)) <= said(found) | said(unsaid)
    assert not set(quoted(PHONE)) <= said(found)
    assert found.rms_px == pytest.approx(1.7, abs=0.05)


@pytest.mark.parametrize(
    ("page", "demo"), [(TAPE, "sprayer-tape.toml"), (PHONE, "workboat-photo.toml")]
)
def test_examples_in_the_pages_are_sound(page: Path, demo: str) -> None:
    """What the pages show of the file reads without a mistake of its own."""
    text = page.read_text(encoding="utf-8")
    for example in re.findall(r"```toml\n(.*?)```", text, re.DOTALL):
        data = tomllib.loads(example)
        head = (FOLDER / demo).read_text(encoding="utf-8")
        facts = re.sub(r"(?m)^accuracy = .*\n", "", head[: head.index("[level]")])
        known = parse_problems(facts, data, example)
        assert known == set(), known
    for link in re.findall(r"\]\(([^)#]+)\)", text):
        assert (page.parent / link).exists(), link


def parse_problems(facts: str, data: dict[str, object], example: str) -> set[str]:
    """Complaints about the example's own keys when it stands in a whole file."""
    start = example.index("[")
    level = "" if "level" in data else '[level]\nfrom = "crank"\nto = "pump"\nangle = 0\n'
    try:
        parse(f"{example[:start]}\n{facts}{level}{example[start:]}")
    except LayoutError as error:
        lines = str(error).splitlines()
        return {line for line in lines if "not measured" not in line and "at least 3" not in line}
    return set()


@pytest.mark.parametrize(
    ("make", "draws"), [(large_slip, 2), (two_slips, 2), (wrong_size, 5), (swapped_names, 5)]
)
def test_trouble_is_never_silently_wrong(make: Make, draws: int) -> None:
    """A short run of `python -m tests.measure.trouble`."""
    found = outcomes(make, draws)
    assert sum(found.values()) == draws
    assert not {"not named, yet wrong", "named and left out, yet wrong", "not named"} & set(found)
