"""``beltpath new``: a starter layout that is sound as it stands, and never an overwritten file."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import beltpath
from beltpath.cli.new import starter
from beltpath.layout.keys import Units
from tests.cli.calling import SOUND, call

UNITS: tuple[Units, ...] = ("mm", "in")
#: Lines of the starter that are commented out, by how they begin, and that go together.
OFFERED = ("length", "tolerance", "window", "spring", "[running]", "crank_rpm")


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_passes_every_check_without_a_word(units: Units) -> None:
    layout = beltpath.parse(starter(units))
    assert layout.units == units
    assert beltpath.study(layout).findings == ()


@pytest.mark.parametrize("units", UNITS)
def test_the_lines_it_offers_can_be_switched_on(units: Units) -> None:
    text = starter(units)
    for key in OFFERED:
        assert f"\n# {key}" in text, key
        text = text.replace(f"\n# {key}", f"\n{key}")
    layout = beltpath.parse(text)
    study = beltpath.study(layout)
    assert layout.running is not None
    assert study.stand is not None
    assert study.stand.reached == "reached"
    assert study.stand.tension is not None
    assert not [finding for finding in study.findings if finding.level == "fault"]


def test_both_starters_explain_the_same_keys() -> None:
    millimetres, inches = (tomllib.loads(starter(units)) for units in UNITS)
    assert millimetres.keys() == inches.keys()
    assert millimetres["pulleys"].keys() == inches["pulleys"].keys()


def test_it_writes_the_file_and_says_what_comes_next(tmp_path: Path) -> None:
    file = tmp_path / "my drive.toml"
    result = call("new", file)
    assert result.status == 0
    assert file.read_text(encoding="utf-8") == SOUND
    assert f"beltpath check '{file}'" in result.out
    assert result.err == ""


def test_it_can_write_inches(tmp_path: Path) -> None:
    file = tmp_path / "drive.toml"
    assert call("new", file, "--units", "in").status == 0
    assert file.read_text(encoding="utf-8") == starter("in")


def test_it_never_writes_over_a_file_that_exists(tmp_path: Path) -> None:
    file = tmp_path / "drive.toml"
    file.write_text("mine", encoding="utf-8")
    result = call("new", file)
    assert result.status == 2
    assert result.err == f"{file}: exists already; choose another name\n"
    assert file.read_text(encoding="utf-8") == "mine"


def test_it_does_not_follow_a_link_that_leads_nowhere(tmp_path: Path) -> None:
    link = tmp_path / "drive.toml"
    link.symlink_to(tmp_path / "elsewhere.toml")
    assert call("new", link).status == 2
    assert not (tmp_path / "elsewhere.toml").exists()


def test_a_dash_shows_the_starter() -> None:
    result = call("new", "-")
    assert (result.status, result.out, result.err) == (0, SOUND, "")


def test_other_units_are_refused() -> None:
    result = call("new", "drive.toml", "--units", "furlongs")
    assert result.status == 2
    assert result.err.startswith("beltpath new: ")
    assert "furlongs" in result.err
    assert not Path("drive.toml").exists()


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    file = tmp_path / "nowhere" / "drive.toml"
    result = call("new", file)
    assert result.status == 2
    assert result.err == f"{file}: cannot be written: no such file or directory\n"
