"""Reading files whole."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from beltpath.errors import LayoutError, UsageError
from beltpath.files.reading import LARGEST_CARD, read, read_text
from beltpath.layout.reader import LARGEST_TEXT
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
