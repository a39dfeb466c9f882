"""Standard streams that are narrow, closed, full or broken, and the bar for long work."""

from __future__ import annotations

import errno
import sys
from pathlib import Path
from unittest.mock import patch

import pytest

from beltpath.cli import terminal
from beltpath.cli.app import main, run
from beltpath.cli.terminal import Reply, complain, fold_width, settle_streams, tell, watched
from beltpath.errors import UsageError
from beltpath.layout.characters import inert
from tests.cli.calling import SOUND, Stream, call, written


class Gone(Stream):
    """A pipe whose reader went away."""

    def write(self, text: str) -> int:
        raise BrokenPipeError(errno.EPIPE, "Broken pipe")


class TestPlainOutput:
    def test_an_ascii_terminal_gets_plain_spellings(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND)
        plain, rich = call("check", file, encoding="ascii"), call("check", file)
        assert plain.status == rich.status == 0
        assert plain.out.isascii()
        assert plain.out == rich.out.replace("±", "+/-").replace("°", " deg")

    def test_other_characters_are_escaped_and_not_lost(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND.replace("A workshop", "Мастерская"))
        assert r"\u041c\u0430" in call("check", file, encoding="ascii").out

    def test_a_stream_that_cannot_be_reset_is_left_alone(self) -> None:
        with patch.object(sys, "stdout", object()):
            settle_streams()

    def test_only_encoding_is_spelt_out(self) -> None:
        settle_streams()
        with pytest.raises(UnicodeDecodeError):
            b"\xff".decode("utf-8", "beltpath.plain")

    @pytest.mark.parametrize("evil", ["\x1b[2J", "a\rb", "\x9b31m", "\u202egnp.exe", "\u2066x\n"])
    def test_nothing_steers_the_terminal(self, evil: str) -> None:
        kept = inert(f"pump{evil}")
        assert kept.startswith("pump")
        assert kept.replace("\ufffd", "").isprintable()


class TestBrokenStreams:
    def test_a_closed_output_is_told(self) -> None:
        with patch.object(sys, "stdout", None), pytest.raises(UsageError, match="closed"):
            tell(Reply(text="x"))

    def test_nothing_to_say_needs_no_output(self) -> None:
        with patch.object(sys, "stdout", None):
            assert tell(Reply(status=2)) == 2

    def test_a_full_output_is_told(self) -> None:
        with (
            Path("/dev/full").open("w", encoding="utf-8") as full,
            patch.object(sys, "stdout", full),
            pytest.raises(UsageError, match="standard output: cannot be written: no space left"),
        ):
            tell(Reply(text="x"))

    def test_a_reader_that_went_away_only_changes_the_status(self) -> None:
        with patch.object(sys, "stdout", Gone()):
            assert tell(Reply(text="x", status=1)) == terminal.PIPE_CLOSED
        with patch.multiple(sys, stdout=Gone(), stderr=Stream()):
            assert run(["--help"]) == terminal.PIPE_CLOSED

    @pytest.mark.parametrize(
        ("trouble", "status", "told"),
        [
            (KeyboardInterrupt(), 130, ""),
            (OSError(5, "Input/output error", "disk"), 2, "disk: Input/output error\n"),
            (OSError("no more"), 2, "input or output: no more\n"),
        ],
    )
    def test_trouble_anywhere_gets_its_sentence_and_status(
        self, trouble: BaseException, status: int, told: str
    ) -> None:
        err = Stream()
        with (
            patch("beltpath.cli.app.tell", side_effect=trouble),
            patch.multiple(sys, stdout=Stream(), stderr=err),
        ):
            assert run(["new", "-"]) == status
        assert err.text() == told

    def test_the_program_leaves_with_the_status(self) -> None:
        with (
            patch.multiple(sys, argv=["beltpath", "chek"], stdout=Stream(), stderr=Stream()),
            pytest.raises(SystemExit) as left,
        ):
            main()
        assert left.value.code == 2

    def test_complaints_that_nobody_hears_do_not_matter(self) -> None:
        with patch.object(sys, "stderr", None):
            complain(["x"])
        with (
            Path("/dev/full").open("w", encoding="utf-8") as full,
            patch.object(sys, "stderr", full),
        ):
            complain(["x"])

    def test_a_closed_input_is_told(self) -> None:
        out, err = Stream(), Stream()
        with patch.multiple(sys, stdin=None, stdout=out, stderr=err):
            assert run(["check", "-"]) == 2
        assert err.text() == "standard input is closed; name a file to read\n"


class TestWidth:
    @pytest.mark.parametrize(("columns", "width"), [("20", 60), ("84", 84), ("300", 110)])
    def test_sentences_fold_to_the_terminal_within_limits(
        self, columns: str, width: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setenv("COLUMNS", columns)
        with patch.object(sys, "stdout", Stream(terminal=True)):
            assert fold_width() == width

    def test_pipes_and_files_are_not_folded(self) -> None:
        with patch.object(sys, "stdout", Stream()):
            assert fold_width() is None
        with patch.object(sys, "stdout", None):
            assert fold_width() is None


class TestBar:
    def test_short_work_shows_none(self) -> None:
        err = Stream(terminal=True)
        with patch.object(sys, "stderr", err):
            assert list(watched([1, 2, 3], "counting")) == [1, 2, 3]
        assert err.text() == ""

    def test_long_work_shows_one_on_a_terminal(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(terminal, "PATIENCE", -1.0)
        err, out = Stream(terminal=True), Stream(terminal=True)
        with patch.multiple(sys, stderr=err, stdout=out):
            assert list(watched([1, 2, 3], "counting")) == [1, 2, 3]
        assert "counting" in err.text()
        assert out.text() == ""

    def test_long_work_shows_none_into_a_file(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(terminal, "PATIENCE", -1.0)
        err = Stream()
        with patch.object(sys, "stderr", err):
            assert list(watched([1, 2, 3], "counting")) == [1, 2, 3]
        assert err.text() == ""

    def test_it_starts_in_the_middle_of_the_work(self, monkeypatch: pytest.MonkeyPatch) -> None:
        times = iter([0.0, 0.1, 0.2, 9.0, 9.1])
        monkeypatch.setattr(terminal, "monotonic", lambda: next(times))
        err = Stream(terminal=True)
        with patch.object(sys, "stderr", err):
            assert list(watched(list("abcd"), "counting")) == list("abcd")
        assert "counting" in err.text()
