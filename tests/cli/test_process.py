"""The installed program as a process of its own: exit statuses, streams, and what it loads."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tomllib
from contextlib import suppress
from pathlib import Path
from time import sleep

import pytest

import beltpath
from tests.cli.calling import CAUTIOUS, FAULTY, SOUND, UNUSABLE, program, written

BELTPATH = Path(sys.executable).with_name("beltpath")
#: An environment in which the package of this very checkout is found.
HERE = {**os.environ, "PYTHONPATH": str(Path(beltpath.__file__).parents[1])}
#: What only other commands need, and is slow to load.
HEAVY = ("networkx", "scipy", "fontTools", "cairocffi", "pypdf", "svgwrite", "rich", "PIL")


def test_a_new_layout_can_be_checked_and_drawn_at_once(tmp_path: Path) -> None:
    made = program("new", "drive.toml", cwd=tmp_path)
    assert (made.status, made.err) == (0, "")
    checked = program("check", "drive.toml", cwd=tmp_path)
    assert (checked.status, checked.err) == (0, "")
    drawn = program("card", "drive.toml", "--out", "card.pdf", cwd=tmp_path)
    assert (drawn.status, drawn.err) == (0, "")
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF-")
    assert {path.name for path in tmp_path.iterdir()} == {"drive.toml", "card.pdf"}


@pytest.mark.parametrize(
    ("text", "status"), [(SOUND, 0), (CAUTIOUS, 0), (FAULTY, 1), (UNUSABLE, 2), ("[[", 2)]
)
def test_the_exit_status_tells_the_verdict(tmp_path: Path, text: str, status: int) -> None:
    result = program("check", "-", cwd=tmp_path, stdin=text.encode())
    assert result.status == status
    assert bool(result.err) == (status == 2)
    assert "Traceback" not in result.err


def test_many_files_give_one_list_of_json(tmp_path: Path) -> None:
    written(tmp_path, "a.toml", SOUND)
    written(tmp_path, "b.toml", FAULTY)
    result = program("check", "a.toml", "b.toml", "none.toml", "--json", cwd=tmp_path)
    assert result.status == 2
    assert [entry.get("verdict") for entry in result.json] == ["pass", "fail", None]
    assert result.err == "none.toml: cannot be read: no such file or directory\n"


def test_a_terminal_without_utf_8_is_served(tmp_path: Path) -> None:
    result = program(
        "check", "-", cwd=tmp_path, stdin=FAULTY.encode(), env={"PYTHONIOENCODING": "ascii"}
    )
    assert (result.status, result.err) == (1, "")
    assert "+/-" in result.out


def test_check_loads_nothing_that_only_other_commands_need(tmp_path: Path) -> None:
    file = written(tmp_path, "drive.toml", SOUND)
    code = (
        "import sys\n"
        "from beltpath.cli.app import run\n"
        f"assert run(['check', {str(file)!r}]) == 0\n"
        f"loaded = sorted({{name.partition('.')[0] for name in sys.modules}} & set({HEAVY!r}))\n"
        "assert 'shapely' in sys.modules\n"
        "sys.exit(f'loaded: {loaded}' if loaded else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_a_reader_that_goes_away_is_no_crash(tmp_path: Path) -> None:
    written(tmp_path, "drive.toml", SOUND)
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [BELTPATH, "check", "drive.toml"],
        cwd=tmp_path,
        stdout=write,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        timeout=60,
    )
    os.close(write)
    assert (done.returncode, done.stderr) == (141, "")


def test_a_full_disk_is_told(tmp_path: Path) -> None:
    written(tmp_path, "drive.toml", SOUND)
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [BELTPATH, "check", "drive.toml"],
            cwd=tmp_path,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr == "standard output: cannot be written: no space left on device\n"


def test_an_interrupt_ends_it_quietly(tmp_path: Path) -> None:
    """The program waits for a named pipe to speak when the interrupt comes."""
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    with subprocess.Popen(
        [BELTPATH, "check", pipe],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # A suite that a shell runs in the background ignores interrupts, and so would its children.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    ) as running:
        writer = _opened_once_read(pipe)
        out, err = _interrupted(running)
        os.close(writer)
    assert (running.returncode, out, err) == (130, "", "")


def _interrupted(running: subprocess.Popen[str]) -> tuple[str, str]:
    """What it says to Ctrl-C; pressed again where Python lost it between two of its own steps."""
    for _ in range(5):
        running.send_signal(signal.SIGINT)
        with suppress(subprocess.TimeoutExpired):
            return running.communicate(timeout=3)
    running.kill()
    raise AssertionError("the program does not end when it is interrupted")


def _opened_once_read(pipe: Path) -> int:
    """Open a named pipe to write as soon as somebody reads it; until then there is no such end."""
    for _ in range(3000):
        with suppress(OSError):
            return os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
        sleep(0.01)
    raise AssertionError("nobody came to read the pipe")


ENTRY = "import beltpath_program; beltpath_program.main()"


def test_the_program_that_is_installed_is_the_one_that_is_tested_here() -> None:
    with Path("pyproject.toml").open("rb") as stream:
        project = tomllib.load(stream)
    assert project["project"]["scripts"] == {"beltpath": "beltpath_program:main"}
    assert "beltpath_program" in project["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]


@pytest.mark.parametrize("module", ["beltpath", "shapely", "beltpath.cli.app"])
def test_an_interrupt_while_it_loads_ends_it_quietly(tmp_path: Path, module: str) -> None:
    code = (
        "import os, signal, sys\n"
        "class Finder:\n"
        "    def find_spec(self, name, *_):\n"
        f"        if name == {module!r}:\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Finder())\n"
        f"{ENTRY}\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "new", "-"],
        cwd=tmp_path,
        env=HERE,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGINT, "", "")


def test_interrupts_that_the_caller_ignores_stay_ignored(tmp_path: Path) -> None:
    code = (
        "import os, signal, sys\n"
        "class Finder:\n"
        "    def find_spec(self, name, *_):\n"
        "        os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Finder())\n"
        f"{ENTRY}\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "new", "-"],
        cwd=tmp_path,
        env=HERE,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN),
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, SOUND, "")


@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)]
)
def test_a_signal_while_it_writes_leaves_nothing_behind(
    tmp_path: Path, number: signal.Signals, status: int
) -> None:
    """The signal comes when the temporary file is open and half of it is written."""
    code = (
        "import os, sys\n"
        "import beltpath.files.writing as writing\n"
        "from beltpath.cli.app import main\n"
        "from pathlib import Path\n"
        "opened = Path.open\n"
        "def half(self, mode='r', *more, **named):\n"
        "    stream = opened(self, mode, *more, **named)\n"
        "    if mode == 'xb':\n"
        "        stream.write(b'half'); stream.flush()\n"
        f"        os.kill(os.getpid(), {int(number)})\n"
        "    return stream\n"
        "Path.open = half\n"
        "main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "new", "drive.toml"],
        cwd=tmp_path,
        env=HERE,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert (done.returncode, done.stdout, done.stderr) == (status, "", "")
    assert list(tmp_path.iterdir()) == []


def test_a_closed_output_stops_it_before_anything_is_written(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", ENTRY, "new", "drive.toml"],
        cwd=tmp_path,
        env=HERE,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        timeout=60,
        preexec_fn=lambda: os.close(1),
    )
    assert done.returncode == 2
    assert done.stderr == "standard output is closed, so nothing can be told; nothing is done\n"
    assert list(tmp_path.iterdir()) == []


def test_a_full_output_leaves_the_file_written_and_says_so_by_its_status(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-c", ENTRY, "new", "drive.toml"],
            cwd=tmp_path,
            env=HERE,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr == "standard output: cannot be written: no space left on device\n"
    assert (tmp_path / "drive.toml").read_text(encoding="utf-8") == SOUND
