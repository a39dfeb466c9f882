"""Reading and writing files whole."""

from __future__ import annotations

import io
import os
import stat
import sys
from pathlib import Path

import pytest

from beltpath.errors import LayoutError, UsageError
from beltpath.files import LARGEST_CARD, read, read_text, write_whole
from beltpath.layout_file import LARGEST_TEXT
from tests.core.test_problems import BASE


class _Stdin:
    def __init__(self, data: bytes) -> None:
        self.buffer = io.BytesIO(data)


class TestRead:
    """A path or standard input becomes a layout that knows its name."""

    def test_file(self, tmp_path: Path) -> None:
        path = tmp_path / "orchard.v2.toml"
        path.write_text(BASE, encoding="utf-8")
        for given in (path, str(path)):
            layout = read(given)
            assert layout.name == "orchard.v2"
            assert layout.title == "Bench"

    def test_standard_input(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(sys, "stdin", _Stdin(BASE.encode()))
        assert read("-").name == "standard input"

    def test_closed_standard_input(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(sys, "stdin", None)
        with pytest.raises(UsageError, match=r"^standard input is closed; name a file to read$"):
            read("-")

    def test_standard_input_that_fails(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(sys, "stdin", _Stdin(b""))
        sys.stdin.buffer.close()
        with pytest.raises(UsageError, match=r"^standard input: cannot be read: "):
            read("-")

    def test_endless_standard_input(self, monkeypatch: pytest.MonkeyPatch) -> None:
        data = io.BytesIO(b"x" * (LARGEST_CARD + 1000))
        stdin = _Stdin(b"")
        stdin.buffer = data
        monkeypatch.setattr(sys, "stdin", stdin)
        with pytest.raises(LayoutError, match="too large"):
            read("-")
        assert data.tell() == LARGEST_CARD + 1

    def test_a_name_that_does_not_print_is_made_harmless(self, tmp_path: Path) -> None:
        path = tmp_path / "a\x1b[2Jb\udcff.toml"
        path.write_text(BASE, encoding="utf-8")
        assert read(path).name == "a?[2Jb?"

    def test_text_keeps_its_line_ends(self, tmp_path: Path) -> None:
        path = tmp_path / "x.toml"
        path.write_bytes(b"a = 1\r\nb = 2\r\n")
        assert read_text(path) == "a = 1\r\nb = 2\r\n"

    def test_largest_text(self, tmp_path: Path) -> None:
        path = tmp_path / "x.toml"
        path.write_bytes(b"#" * LARGEST_TEXT)
        assert len(read_text(path)) == LARGEST_TEXT

    @pytest.mark.parametrize("name", ["none.toml", "folder", "with\0nul", "x" * 300])
    def test_what_cannot_be_read(self, name: str, tmp_path: Path) -> None:
        (tmp_path / "folder").mkdir()
        with pytest.raises(UsageError) as caught:
            read(tmp_path / name)
        assert str(caught.value).isprintable()
        assert ": cannot be read: " in str(caught.value)

    def test_device_without_end(self) -> None:
        with pytest.raises(LayoutError, match="too large"):
            read("/dev/zero")


class TestWriteWhole:
    """A file is written whole or not at all, and nothing is left beside it."""

    def test_new_file_has_the_usual_mode(self, tmp_path: Path) -> None:
        path = tmp_path / "card.svg"
        before = os.umask(0o027)
        try:
            write_whole(path, b"<svg/>")
            assert os.umask(0o027) == 0o027
        finally:
            os.umask(before)
        assert path.read_bytes() == b"<svg/>"
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
        assert list(tmp_path.iterdir()) == [path]

    def test_existing_file_is_replaced(self, tmp_path: Path) -> None:
        path = tmp_path / "card.svg"
        path.write_bytes(b"a much longer text than the new one")
        write_whole(path, b"new")
        assert path.read_bytes() == b"new"
        assert list(tmp_path.iterdir()) == [path]

    def test_a_name_as_long_as_names_may_be(self, tmp_path: Path) -> None:
        path = tmp_path / ("x" * 255)
        write_whole(path, b"new")
        assert path.read_bytes() == b"new"

    @pytest.mark.parametrize("name", ["nowhere/card.svg", "folder", "x" * 256, "with\0nul/card"])
    def test_what_cannot_be_written(self, name: str, tmp_path: Path) -> None:
        (tmp_path / "folder").mkdir()
        with pytest.raises(UsageError) as caught:
            write_whole(tmp_path / name, b"new")
        assert ": cannot be written: " in str(caught.value)
        assert str(caught.value).isprintable()
        assert [p.name for p in tmp_path.iterdir()] == ["folder"]

    @pytest.mark.parametrize(
        "failing", [OSError(28, "No space left on device"), KeyboardInterrupt()]
    )
    def test_old_file_stays_when_writing_fails(
        self, failing: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        path = tmp_path / "card.svg"
        path.write_bytes(b"old")

        def fail(self: Path, mode: int) -> None:
            raise failing

        monkeypatch.setattr(Path, "chmod", fail)
        with pytest.raises((UsageError, KeyboardInterrupt)) as caught:
            write_whole(path, b"new")
        if isinstance(failing, OSError):
            assert str(caught.value).endswith(
                "card.svg: cannot be written: no space left on device"
            )
        assert path.read_bytes() == b"old"
        assert list(tmp_path.iterdir()) == [path]
