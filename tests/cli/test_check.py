"""``beltpath check``: verdicts, exit statuses, many files at once, and its JSON."""

from __future__ import annotations

import re
from math import cos, sin
from pathlib import Path

import pytest

import beltpath
from beltpath.geometry import TAU
from tests.cli.calling import CAUTIOUS, FAULTY, SOUND, UNUSABLE, call, written


class TestOneFile:
    def test_a_sound_drive_passes(self, tmp_path: Path) -> None:
        result = call("check", written(tmp_path, "drive.toml", SOUND))
        assert (result.status, result.err) == (0, "")
        assert "verdict  PASS" in result.out

    def test_a_caution_is_no_fault(self, tmp_path: Path) -> None:
        result = call("check", written(tmp_path, "drive.toml", CAUTIOUS))
        assert (result.status, result.err) == (0, "")
        assert "verdict  CAUTION" in result.out
        assert re.search(r"^caution  wrap: .*170°", result.out, re.MULTILINE)

    def test_a_fault_is_told_and_counts(self, tmp_path: Path) -> None:
        result = call("check", written(tmp_path, "drive.toml", FAULTY))
        assert (result.status, result.err) == (1, "")
        assert "verdict  FAIL" in result.out
        assert re.search(r"^fault  rotation: pump must turn", result.out, re.MULTILINE)

    def test_mistakes_are_told_with_file_line_and_key(self, tmp_path: Path) -> None:
        text = UNUSABLE.replace('face = "smooth"', 'face = "smoth"')
        file = written(tmp_path, "drive.toml", text)
        line = next(i for i, s in enumerate(text.splitlines(), 1) if s.startswith("tensioner "))
        result = call("check", file)
        assert (result.status, result.out) == (2, "")
        told = result.err.splitlines()
        assert len(told) == 2
        assert (
            f'{file}: line {line}: pulleys.tensioner.diameter: must be a number; found "wide"'
            in (told)
        )
        assert any("did you mean" in sentence for sentence in told)

    def test_a_belt_that_cannot_be_laid_is_told_with_its_file(self, tmp_path: Path) -> None:
        text = SOUND.replace("at = [155, 205]", "at = [3, 4]")
        file = written(tmp_path, "drive.toml", text)
        result = call("check", file)
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f"{file}: ")
        assert "between pump and crank" in result.err

    def test_a_file_that_is_not_there(self, tmp_path: Path) -> None:
        file = tmp_path / "absent.toml"
        result = call("check", file)
        assert result.status == 2
        assert result.err == f"{file}: cannot be read: no such file or directory\n"

    def test_a_folder_is_no_file(self, tmp_path: Path) -> None:
        result = call("check", tmp_path)
        assert result.status == 2
        assert result.err == f"{tmp_path}: cannot be read: is a directory\n"

    def test_a_name_that_would_steer_the_terminal_is_shown_inert(self, tmp_path: Path) -> None:
        result = call("check", tmp_path / "a\x1b[2Jb\nc.toml")
        assert result.status == 2
        assert "\x1b" not in result.err
        assert result.err.count("\n") == 1
        assert result.err.count("cannot be read") == result.err.count(str(tmp_path)) == 1


class TestStandardInput:
    def test_it_is_read_for_a_dash(self) -> None:
        result = call("check", "-", stdin=FAULTY.encode())
        assert result.status == 1
        assert "verdict  FAIL" in result.out

    def test_its_problems_name_it(self) -> None:
        result = call("check", "-", stdin=b"title = 3\n")
        assert result.status == 2
        assert all(line.startswith("standard input: ") for line in result.err.splitlines())
        assert "standard input: line 1: title: must be text in quotes; found 3" in result.err

    @pytest.mark.parametrize(
        ("stdin", "words"),
        [
            (b"", "is missing"),
            (b"\xff\xfe", "saved as UTF-16"),
            (b"[pulleys", "not TOML"),
            (b"#" * 1_000_001, "too large"),
        ],
    )
    def test_other_things_than_layouts_are_refused(self, stdin: bytes, words: str) -> None:
        result = call("check", "-", stdin=stdin)
        assert (result.status, result.out) == (2, "")
        assert words in result.err

    def test_it_can_be_named_once_only(self) -> None:
        result = call("check", "-", "-", stdin=SOUND.encode())
        assert (result.status, result.out) == (2, "")
        assert result.err == "- is named twice, but standard input can be read once only\n"


class TestManyFiles:
    def test_each_gets_a_line_and_all_a_summary(self, tmp_path: Path) -> None:
        files = [
            written(tmp_path, f"{name}.toml", text)
            for name, text in (("a", SOUND), ("b", CAUTIOUS), ("c", FAULTY))
        ]
        result = call("check", *files)
        assert (result.status, result.err) == (1, "")
        first, second, third, empty, last = result.out.splitlines()
        assert re.fullmatch(rf"{files[0]} +pass +\d+\.\d mm ± \d+\.\d", first)
        assert re.fullmatch(rf"{files[1]} +caution +\d+\.\d mm ± \d+\.\d +1 caution", second)
        assert re.fullmatch(rf"{files[2]} +fail +\d+\.\d mm ± \d+\.\d +1 fault", third)
        assert (empty, last) == ("", "3 layouts: 1 pass, 1 caution, 1 fail")

    def test_an_unusable_one_does_not_stop_the_rest(self, tmp_path: Path) -> None:
        bad = written(tmp_path, "bad.toml", UNUSABLE)
        faulty = written(tmp_path, "faulty.toml", FAULTY)
        result = call("check", bad, faulty)
        assert result.status == 2
        assert result.err.startswith(f"{bad}: line ")
        assert re.search(rf"^{bad} +unusable$", result.out, re.MULTILINE)
        assert result.out.endswith("2 layouts: 1 fail, 1 unusable\n")

    def test_a_routing_that_does_not_close_shows_no_length(self, tmp_path: Path) -> None:
        text = SOUND.replace(
            '["crank", "tensioner", "alternator", "pump"]',
            '["crank", "pump", "alternator", "tensioner"]',
        )
        backwards = written(tmp_path, "backwards.toml", text)
        result = call("check", backwards, written(tmp_path, "sound.toml", SOUND))
        assert result.status == 1
        assert re.search(rf"^{backwards} +fail +no belt fits so +", result.out, re.MULTILINE)
        assert "NO belt fits so, see the faults" in call("check", backwards).out


class TestJson:
    def test_one_file_gives_its_answer(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", FAULTY)
        result = call("check", "--json", file)
        assert (result.status, result.err) == (1, "")
        assert result.json == beltpath.answer(beltpath.study(beltpath.read(file)))

    def test_several_give_a_list_with_their_files(self, tmp_path: Path) -> None:
        sound = written(tmp_path, "sound.toml", SOUND)
        bad = written(tmp_path, "bad.toml", UNUSABLE)
        result = call("check", sound, "-", bad, "--json", stdin=FAULTY.encode())
        assert result.status == 2
        first, second, third = result.json
        assert (first["file"], first["verdict"]) == (str(sound), "pass")
        assert (second["file"], second["verdict"]) == ("-", "fail")
        assert third == {"file": str(bad), "error": result.err.rstrip("\n")}

    def test_one_unusable_file_says_so_on_both_streams(self, tmp_path: Path) -> None:
        bad = written(tmp_path, "bad.toml", UNUSABLE)
        result = call("check", bad, "--json")
        assert result.status == 2
        assert result.json == {"file": str(bad), "error": result.err.rstrip("\n")}
        assert result.err.startswith(f"{bad}: line ")

    def test_it_is_ascii_whatever_the_names(self, tmp_path: Path) -> None:
        text = SOUND.replace("pump ", "насос ").replace('"pump"]', '"насос"]')
        text = text.replace("насос       =", '"насос" =').replace("насос      =", '"насос" =')
        result = call("check", written(tmp_path, "drive.toml", text), "--json", encoding="ascii")
        assert result.status == 0
        assert result.out.isascii()
        assert result.json["contacts"][-1]["pulley"] == "насос"


class TestMisuse:
    @pytest.mark.parametrize(
        ("args", "words"),
        [
            (["check"], "beltpath check: Missing argument"),
            (["check", "--jason", "x"], "beltpath check: No such option: --jason"),
            (["chek"], "beltpath: No such command 'chek'"),
            (["card", "x.toml"], "beltpath card: Missing option '--out'"),
        ],
    )
    def test_a_wrong_call_gets_one_sentence(self, args: list[str], words: str) -> None:
        result = call(*args)
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(words)
        assert result.err.rstrip("\n").endswith("--help")
        assert result.err.count("\n") == 1

    def test_no_command_shows_the_help(self) -> None:
        result = call()
        assert (result.status, result.out) == (2, "")
        assert "Commands:" in result.err

    @pytest.mark.parametrize("args", [["--help"], ["check", "-h"], ["card", "--help"]])
    def test_help_is_no_mistake(self, args: list[str]) -> None:
        result = call(*args)
        assert (result.status, result.err) == (0, "")
        assert result.out.startswith("Usage: beltpath")

    def test_the_version_is_told(self) -> None:
        result = call("--version")
        assert (result.status, result.err) == (0, "")
        assert re.fullmatch(r"beltpath \d+\.\d+\.\d+\S*\n", result.out)


def ring_of(count: int, smooth: int) -> str:
    """A layout of many pulleys in a ring, so many of them smooth with no side declared."""
    lines = ['belt = { section = "PK", length = LENGTH, tolerance = 8 }', "[pulleys]"]
    names = [f"p{i}" for i in range(count)]
    for i, name in enumerate(names):
        back = i % 2 == 1 and i // 2 < smooth
        angle, out = TAU * i / count, (23.0 * count + 100.0) * (0.93 if back else 1.0)
        face, role = ("smooth", "idler") if back else ("grooved", "other" if i else "crank")
        at = f"[{out * cos(angle):.2f}, {out * sin(angle):.2f}]"
        lines.append(f'{name} = {{ at = {at}, diameter = 80, face = "{face}", role = "{role}" }}')
    head = [
        'title = "many pulleys"',
        'crank_turns = "counterclockwise"',
        f"route = {names}".replace("'", '"'),
    ]
    text = "\n".join([*head, *lines]) + "\n"
    length = beltpath.study(beltpath.parse(text.replace("length = LENGTH, ", ""))).path.length
    return text.replace("LENGTH", f"{length:.1f}")


class TestManyPulleys:
    """A drive whose look-alikes are too many to search is checked, and does not stop a batch."""

    def test_it_is_checked(self, tmp_path: Path) -> None:
        file = written(tmp_path, "many.toml", ring_of(60, 30))
        result = call("check", file)
        assert (result.status, result.err) == (0, "")
        assert "look-alike: Other ways that this belt fits were not searched to the end" in (
            result.out
        )

    def test_a_batch_of_cards_goes_on(self, tmp_path: Path) -> None:
        many = written(tmp_path, "many.toml", ring_of(48, 24))
        sound = written(tmp_path, "sound.toml", SOUND)
        out = tmp_path / "cards.pdf"
        assert call("card", many, sound, "--out", out, "--paper", "a4").status == 0
        assert out.exists()
