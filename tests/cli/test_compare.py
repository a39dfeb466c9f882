"""``beltpath compare``: words, JSON, card, exit statuses and misuse."""

from __future__ import annotations

from pathlib import Path

import pytest

import beltpath
from beltpath.comparison import compare
from beltpath.output.compare_answer import comparison_answer
from tests.cli.calling import CAUTIOUS, FAULTY, SOUND, UNUSABLE, call, written


class TestTwoFiles:
    @pytest.mark.parametrize(("after", "status"), [(SOUND, 0), (CAUTIOUS, 0), (FAULTY, 1)])
    def test_the_status_is_that_of_the_layout_after(
        self, tmp_path: Path, after: str, status: int
    ) -> None:
        one, other = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", after)
        result = call("compare", one, other)
        assert (result.status, result.err) == (status, "")
        assert call("compare", other, one).status == 0

    def test_words(self, tmp_path: Path) -> None:
        one, other = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", FAULTY)
        out = call("compare", one, other).out
        assert "changed  pump: required sense not given → counterclockwise\n" in out
        assert "new fault  rotation: pump must turn counterclockwise" in out
        assert "verdict  pass → fail: " in out

    def test_json(self, tmp_path: Path) -> None:
        one, other = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", FAULTY)
        result = call("compare", one, other, "--json", encoding="ascii")
        studies = (beltpath.study(beltpath.read(path)) for path in (one, other))
        assert result.json == comparison_answer(compare(*studies))
        assert result.status == 1

    def test_changes_go_to_the_file_after(self, tmp_path: Path) -> None:
        file = written(tmp_path, "a.toml", SOUND)
        result = call("compare", file, file, "--with", "pump.diameter=100", "--json")
        assert [c["key"] for c in result.json["changes"]] == ["diameter"]

    def test_one_of_them_from_standard_input(self, tmp_path: Path) -> None:
        file = written(tmp_path, "a.toml", SOUND)
        assert call("compare", "-", file, stdin=FAULTY.encode()).status == 0
        assert call("compare", file, "-", stdin=FAULTY.encode()).status == 1


class TestOneFile:
    def test_with_its_changed_self(self, tmp_path: Path) -> None:
        file = written(tmp_path, "a.toml", SOUND)
        result = call("compare", file, "--with", "pump.diameter=100", "--json")
        assert result.status == 0
        assert result.json["after"]["title"].endswith("(what if: pump.diameter=100)")
        assert result.json["before"]["title"] == beltpath.parse(SOUND).title
        assert result.json["before"]["digest"] != result.json["after"]["digest"]

    def test_from_standard_input(self) -> None:
        result = call("compare", "-", "--without", "pump", stdin=SOUND.encode())
        assert result.err == ""
        assert "changed  pump is left out\n" in result.out

    def test_alone(self, tmp_path: Path) -> None:
        file = written(tmp_path, "a.toml", SOUND)
        result = call("compare", file)
        assert (result.status, result.out) == (2, "")
        assert result.err == (
            f"{file}: name a second layout to compare it with, or a change (--with, --without)\n"
        )


class TestMisuse:
    def test_mistakes_are_told_with_their_file(self, tmp_path: Path) -> None:
        good, bad = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", UNUSABLE)
        for args in ((good, bad), (bad, good)):
            result = call("compare", *args)
            assert (result.status, result.out) == (2, "")
            assert result.err.startswith(f"{bad}: line ")
        result = call("compare", good, "--with", "crank.diameter=0")
        assert result.status == 2
        assert result.err.startswith(f"{good}: --with crank.diameter=0: pulleys.crank.diameter")

    def test_a_belt_that_cannot_be_laid(self, tmp_path: Path) -> None:
        file = written(tmp_path, "a.toml", SOUND)
        result = call("compare", file, "--with", "pump.at=[3, 4]")
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f"{file}: ")

    def test_standard_input_twice(self) -> None:
        result = call("compare", "-", "-", stdin=SOUND.encode())
        assert result.status == 2
        assert "named twice" in result.err

    def test_a_file_that_is_not_there(self, tmp_path: Path) -> None:
        result = call("compare", tmp_path / "a.toml", tmp_path / "b.toml")
        assert result.status == 2
        assert result.err == f"{tmp_path / 'a.toml'}: cannot be read: no such file or directory\n"

    def test_no_such_paper(self, tmp_path: Path) -> None:
        file = written(tmp_path, "a.toml", SOUND)
        result = call("compare", file, file, "--card", tmp_path / "c.svg", "--paper", "a7")
        assert (result.status, result.out) == (2, "")
        assert "no paper is called" in result.err


class TestCard:
    def test_it_is_written_and_carries_the_layout_after(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "a.toml", SOUND), tmp_path / "card.svg"
        args = ("compare", file, "--with", "pump.diameter=100", "--card", out)
        result = call(*args)
        assert (result.status, result.err) == (0, "")
        assert result.out.endswith(f"{out} is written\n")
        changed = call("check", "--json", file, "--with", "pump.diameter=100").json
        assert call("check", "--json", out).json == changed
        again = call(*args)
        assert again.status == 2
        assert "exists already" in again.err
        assert call(*args, "--force").status == 0

    def test_with_json_only_the_answer_is_printed(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "a.toml", SOUND), tmp_path / "card.svg"
        result = call("compare", file, file, "--card", out, "--json")
        assert result.json["changes"] == []
        assert out.exists()
