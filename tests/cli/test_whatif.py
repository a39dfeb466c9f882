"""``--with`` and ``--without`` on commands: the file untouched, mistakes told at the option."""

from __future__ import annotations

from pathlib import Path

import beltpath
from tests.cli.calling import SOUND, call, written

WITH = ("--with", "pump.diameter=100")
NOTE = "(what if: pump.diameter=100)"


class TestCheck:
    def test_the_changed_drive_is_checked(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        result = call("check", "--json", file, *WITH)
        assert (result.status, result.err) == (0, "")
        assert result.json["title"].endswith(NOTE)
        edited = beltpath.parse(SOUND).pulleys["pump"]
        assert edited.measured.value != 100.0
        ratio = {c["pulley"]: c["speed_ratio"] for c in result.json["contacts"]}["pump"]
        plain = call("check", "--json", file).json["contacts"]
        assert ratio != {c["pulley"]: c["speed_ratio"] for c in plain}["pump"]
        assert file.read_text(encoding="utf-8") == SOUND

    def test_a_fault_that_it_brings_counts(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        assert call("check", file).status == 0
        assert call("check", file, "--with", "pump.turns=counterclockwise").status == 1

    def test_several_files(self, tmp_path: Path) -> None:
        files = [written(tmp_path, f"{i}.toml", SOUND) for i in range(2)]
        titles = [one["title"] for one in call("check", "--json", *files, *WITH).json]
        assert all(title.endswith(NOTE) for title in titles)

    def test_standard_input(self) -> None:
        result = call("check", "-", *WITH, stdin=SOUND.encode())
        assert result.status == 0
        assert NOTE in result.out

    def test_mistakes(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        result = call("check", file, "--with", "pump.diameter=wide", "--with", "pump.turns=x")
        assert (result.status, result.out) == (2, "")
        told = result.err.splitlines()
        place = "--with pump.diameter=wide: pulleys.pump.diameter"
        assert f'{file}: {place}: must be a number; found "wide"' in told
        assert len(told) == 2
        result = call("check", file, "--without", "crank")
        assert result.status == 2
        assert result.err.startswith(f'{file}: --without crank: "crank" is the crank')


class TestCard:
    def test_the_card_carries_the_changed_layout(self, tmp_path: Path) -> None:
        """Checked again, from the card, the answer is the same."""
        file = written(tmp_path, "drive.toml", SOUND)
        out = tmp_path / "card.pdf"
        assert call("card", file, *WITH, "--out", out).status == 0
        assert call("check", "--json", out).json == call("check", "--json", file, *WITH).json

    def test_it_can_be_changed_again(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        out = tmp_path / "card.svg"
        call("card", file, *WITH, "--out", out)
        title = call("check", "--json", out, "--with", "accuracy=2").json["title"]
        assert title.endswith(f"{NOTE} (what if: accuracy=2)")


class TestSize:
    def test_the_belt_for_the_changed_drive(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        plain, changed = call("size", file, "--json"), call("size", file, "--json", *WITH)
        assert (changed.status, changed.err) == (0, "")
        assert changed.json["title"].endswith(NOTE)
        assert changed.json != plain.json

    def test_mistakes(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        result = call("size", file, "--without", "crank")
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f'{file}: --without crank: "crank" is the crank')
