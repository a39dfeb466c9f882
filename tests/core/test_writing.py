"""Writing files whole: several as one, never over a file without leave, nothing left beside."""

from __future__ import annotations

import errno
import os
import signal
import stat
import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from beltpath.errors import UsageError
from beltpath.files import writing
from beltpath.files.writing import ENDING, undisturbed, vacant, write_set, write_whole

FULL = OSError(errno.ENOSPC, "No space left on device")


def refused(act: Callable[[], object]) -> str:
    with pytest.raises(UsageError) as caught:
        act()
    assert str(caught.value).isprintable()
    return str(caught.value)


def pages(folder: Path, count: int, text: bytes) -> list[tuple[Path, bytes]]:
    return [(folder / f"card-{i}.svg", text + b"%d" % i) for i in range(1, count + 1)]


def standing(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


class TestOneFile:
    @pytest.mark.parametrize("force", [False, True])
    def test_new_file_has_the_usual_mode(self, tmp_path: Path, force: bool) -> None:
        path = tmp_path / "card.svg"
        before = os.umask(0o027)
        try:
            write_whole(path, b"<svg/>", force=force)
            assert os.umask(0o027) == 0o027
        finally:
            os.umask(before)
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
        assert standing(tmp_path) == {"card.svg": b"<svg/>"}

    def test_a_name_as_long_as_names_may_be(self, tmp_path: Path) -> None:
        path = tmp_path / ("x" * 255)
        write_whole(path, b"new")
        assert path.read_bytes() == b"new"

    @pytest.mark.parametrize("force", [False, True])
    @pytest.mark.parametrize("name", ["nowhere/card.svg", "x" * 256, "with\0nul/card"])
    def test_what_cannot_be_written(self, name: str, force: bool, tmp_path: Path) -> None:
        told = refused(lambda: write_whole(tmp_path / name, b"new", force=force))
        assert ": cannot be written: " in told
        assert standing(tmp_path) == {}


class TestWithoutForce:
    def test_a_file_in_the_way_is_told_and_stays(self, tmp_path: Path) -> None:
        path = tmp_path / "card.svg"
        path.write_bytes(b"mine")
        told = refused(lambda: write_whole(path, b"new"))
        assert told == f"{path}: exists already; say --force to write over it"
        told = refused(lambda: write_whole(path, b"new", otherwise="choose another name"))
        assert told == f"{path}: exists already; choose another name"
        assert standing(tmp_path) == {"card.svg": b"mine"}

    def test_a_link_that_leads_nowhere_is_in_the_way_too(self, tmp_path: Path) -> None:
        link = tmp_path / "card.svg"
        link.symlink_to("elsewhere.svg")
        assert "exists already" in refused(lambda: write_whole(link, b"new"))
        assert "exists already" in refused(lambda: vacant(link, force=False))
        assert vacant(link, force=True) == link

    @pytest.mark.parametrize("linked", [True, False])
    def test_a_file_that_another_process_makes_meanwhile_stays(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, linked: bool
    ) -> None:
        """Both saw that nothing stood there; the second must not write over the first."""
        path = tmp_path / "card.svg"

        def meanwhile(number: int) -> str:
            path.write_bytes(b"theirs")
            return "0" * number

        monkeypatch.setattr(writing, "token_hex", meanwhile)
        if not linked:
            monkeypatch.setattr(os, "link", _no_links)
        told = refused(lambda: write_whole(path, b"mine"))
        assert told == f"{path}: exists already; say --force to write over it"
        assert standing(tmp_path) == {"card.svg": b"theirs"}

    def test_of_many_that_write_one_file_one_does(self, tmp_path: Path) -> None:
        path, done, told = tmp_path / "card.svg", [], []
        gate = threading.Barrier(8)

        def write(text: bytes) -> None:
            gate.wait()
            try:
                write_whole(path, text)
                done.append(text)
            except UsageError as error:
                told.append(str(error))

        crowd = [threading.Thread(target=write, args=(b"%d" % i,)) for i in range(8)]
        for one in crowd:
            one.start()
        for one in crowd:
            one.join()
        assert (len(done), len(told)) == (1, 7)
        assert standing(tmp_path) == {"card.svg": done[0]}

    def test_a_file_system_without_second_names(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(os, "link", _no_links)
        write_set(pages(tmp_path, 2, b"new"))
        assert standing(tmp_path) == {"card-1.svg": b"new1", "card-2.svg": b"new2"}


class TestWithForce:
    def test_the_mode_stays(self, tmp_path: Path) -> None:
        path = tmp_path / "card.svg"
        path.write_bytes(b"a much longer text than the new one")
        path.chmod(0o604)
        write_whole(path, b"new", force=True)
        assert standing(tmp_path) == {"card.svg": b"new"}
        assert stat.S_IMODE(path.stat().st_mode) == 0o604

    @pytest.mark.parametrize("there", [True, False])
    def test_a_link_is_followed_and_stays_a_link(self, tmp_path: Path, there: bool) -> None:
        (tmp_path / "cards").mkdir()
        target, link = tmp_path / "cards" / "drive.svg", tmp_path / "card.svg"
        if there:
            target.write_bytes(b"old")
        link.symlink_to("cards/drive.svg")
        write_whole(link, b"new", force=True)
        assert link.is_symlink()
        assert standing(tmp_path / "cards") == {"drive.svg": b"new"}

    def test_a_pipe_a_device_and_a_folder_are_left_alone(self, tmp_path: Path) -> None:
        pipe, device, folder = tmp_path / "pipe.svg", tmp_path / "null.svg", tmp_path / "a.svg"
        os.mkfifo(pipe)
        device.symlink_to(os.devnull)
        folder.mkdir()
        for path in (pipe, device):
            told = refused(partial(write_whole, path, b"new", force=True))
            assert told.startswith(f"{path}: cannot be written: it is no ordinary file")
        told = refused(lambda: write_whole(folder, b"new", force=True))
        assert told == f"{folder}: cannot be written: is a folder"
        assert stat.S_ISFIFO(pipe.stat().st_mode)
        assert sorted(path.name for path in tmp_path.iterdir()) == ["a.svg", "null.svg", "pipe.svg"]


class TestASet:
    """Several files are one: a reader never finds new pages among old ones."""

    @pytest.mark.parametrize("second_names", [True, False])
    def test_new_pages_take_the_place_of_old_ones(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, second_names: bool
    ) -> None:
        if not second_names:
            monkeypatch.setattr(os, "link", _no_links)
        write_set(pages(tmp_path, 2, b"old"))
        write_set(pages(tmp_path, 3, b"new"), force=True)
        assert standing(tmp_path) == {f"card-{i}.svg": b"new%d" % i for i in (1, 2, 3)}

    @pytest.mark.parametrize("second_names", [True, False])
    @pytest.mark.parametrize("old", [0, 1, 3])
    @pytest.mark.parametrize("failing", [1, 2, 3, 4, 5, 6])
    def test_whatever_fails_the_old_set_stays_whole(
        self,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        failing: int,
        old: int,
        second_names: bool,
    ) -> None:
        write_set(pages(tmp_path, old, b"old"))
        before, calls = standing(tmp_path), 0
        replace, opened = Path.replace, Path.open

        def step() -> None:
            nonlocal calls
            calls += 1
            if calls == failing:
                raise FULL

        def open_or_fail(self: Path, mode: str) -> object:
            step()
            return opened(self, mode)

        def replace_or_fail(self: Path, target: Path) -> Path:
            step()
            return replace(self, target)

        monkeypatch.setattr(Path, "open", open_or_fail)
        monkeypatch.setattr(Path, "replace", replace_or_fail)
        if not second_names:
            monkeypatch.setattr(os, "link", _no_links)
        told = refused(lambda: write_set(pages(tmp_path, 3, b"new"), force=True))
        assert told.endswith(": cannot be written: no space left on device")
        monkeypatch.undo()
        assert standing(tmp_path) == before

    def test_a_blocked_page_stops_the_others(self, tmp_path: Path) -> None:
        write_set(pages(tmp_path, 3, b"old"))
        (tmp_path / "card-3.svg").unlink()
        (tmp_path / "card-3.svg").mkdir()
        assert "is a folder" in refused(lambda: write_set(pages(tmp_path, 3, b"new"), force=True))
        (tmp_path / "card-3.svg").rmdir()
        assert standing(tmp_path) == {"card-1.svg": b"old1", "card-2.svg": b"old2"}

    @pytest.mark.parametrize("second_names", [True, False])
    def test_a_page_that_stands_in_the_way_takes_the_others_back(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, second_names: bool
    ) -> None:
        last = tmp_path / "card-3.svg"
        monkeypatch.setattr(writing, "vacant", lambda path, **_: path)
        if not second_names:
            monkeypatch.setattr(os, "link", _no_links)
        last.write_bytes(b"mine")
        assert "card-3.svg: exists already" in refused(lambda: write_set(pages(tmp_path, 3, b"n")))
        assert standing(tmp_path) == {"card-3.svg": b"mine"}

    @pytest.mark.parametrize("number", ENDING)
    @pytest.mark.parametrize("when", ["laid ready", "put in place", "swept"])
    def test_a_signal_leaves_the_old_set_or_the_new_one(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: signal.Signals, when: str
    ) -> None:
        write_set(pages(tmp_path, 2, b"old"))
        step = {"laid ready": "_laid_ready", "put in place": "_replace", "swept": "_sweep"}[when]
        real = getattr(writing, step)

        def disturbed(*args: object, **more: object) -> object:
            result = real(*args, **more)
            signal.raise_signal(number)
            return result

        monkeypatch.setattr(writing, step, disturbed)
        before = signal.signal(number, _end)
        try:
            with pytest.raises(KeyboardInterrupt):
                write_set(pages(tmp_path, 2, b"new"), force=True)
        finally:
            signal.signal(number, before)
        text = b"old" if when == "laid ready" else b"new"
        assert standing(tmp_path) == {f"card-{i}.svg": text + b"%d" % i for i in (1, 2)}


class TestUndisturbed:
    def test_what_is_ignored_stays_ignored(self) -> None:
        before = signal.signal(ENDING[0], signal.SIG_IGN)
        try:
            with undisturbed():
                assert signal.getsignal(ENDING[0]) is signal.SIG_IGN
        finally:
            signal.signal(ENDING[0], before)

    def test_another_thread_leaves_signals_alone(self) -> None:
        seen = []

        def look() -> None:
            with undisturbed():
                seen.append(signal.getsignal(ENDING[0]))

        other = threading.Thread(target=look)
        other.start()
        other.join()
        assert seen == [signal.getsignal(ENDING[0])]


def _no_links(*_: object, **__: object) -> None:
    raise PermissionError(errno.EPERM, "Operation not permitted")


def _end(number: int, _: object) -> None:
    raise KeyboardInterrupt
