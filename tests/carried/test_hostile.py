"""A file from outside that is no card of beltpath's is refused in a sentence, at little cost."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

import beltpath
from beltpath.errors import LayoutError
from beltpath.files import carried as embedded
from beltpath.files import carried_pdf as embedded_pdf
from beltpath.files.carried import is_card, layout_text
from beltpath.files.reading import read_text
from tests.carried.hostile import attached, mangled, pdfs, svgs
from tests.cli.calling import SOUND, call, written
from tests.strategies import law

#: Bytes that one file may cost, the loaded program included.
MEMORY = 300_000_000
#: One of every kind of trouble.
BAD = "attribute-defaults elements attributes encoding-hex unpacks-twice steering no-references"
#: A batch in a process of its own, which tells what it and its readers cost at most. The system's
#: own record of the first (ru_maxrss) begins with the size of whoever started it.
BATCH = """
import re, resource, sys
from pathlib import Path
from beltpath.cli.app import run
status = run(["check", *sys.argv[1:]])
own = re.search("VmHWM:\\s*(\\d+) kB", Path("/proc/self/status").read_text())[1]
for kilobytes in (own, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss):
    print("cost", int(kilobytes) * 1024)
sys.exit(status)
"""


def refused(data: bytes) -> str:
    assert is_card(data)
    with pytest.raises(LayoutError) as caught:
        layout_text(data)
    (problem,) = caught.value.problems
    assert str(problem).isprintable()
    assert len(str(problem)) < 400
    return str(problem)


@pytest.mark.parametrize(("data", "words"), [pytest.param(*c[1:], id=c[0]) for c in svgs()])
def test_a_hostile_svg_is_refused(data: bytes, words: str) -> None:
    assert words in refused(data)


@pytest.mark.parametrize("data", [pytest.param(data, id=name) for name, data in pdfs()])
def test_a_hostile_pdf_is_refused(data: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    told = refused(data)
    assert told.startswith(("this PDF cannot be read", "this picture carries no layout"))
    assert capfd.readouterr() == ("", "")


def test_a_batch_of_them_costs_little_and_every_file_is_answered(tmp_path: Path) -> None:
    files = [written(tmp_path, "first.toml", SOUND)]
    for kind, cases in (("svg", [c[:2] for c in svgs()]), ("pdf", pdfs())):
        for name, data in cases:
            if name in BAD.split():
                files.append(tmp_path / f"{name}.{kind}")
                files[-1].write_bytes(data)
    assert len(files) == len(BAD.split()) + 1
    files.append(written(tmp_path, "last.toml", SOUND))
    done = subprocess.run(
        [sys.executable, "-c", BATCH, *files], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "\x1b" not in done.stdout + done.stderr
    *rows, own, reader = done.stdout.splitlines()
    assert [file for file in files if not any(file.name in row for row in rows)] == []
    assert len(done.stderr.splitlines()) == len(files) - 2
    for cost in (own, reader):
        assert int(cost.removeprefix("cost ")) < MEMORY


@pytest.fixture(scope="module")
def card() -> tuple[bytes, bytes]:
    """A sound card, as SVG and as PDF."""
    made = beltpath.card(beltpath.study(beltpath.parse(SOUND)))
    return made.svg_pages[0].encode(), made.pdf()


def test_a_damaged_svg_gives_the_layout_or_a_sentence(card: tuple[bytes, bytes]) -> None:
    for seed in range(20 * law.max_examples):
        _gives_something(mangled(card[0], seed))


def test_a_damaged_pdf_gives_the_layout_or_a_sentence(card: tuple[bytes, bytes]) -> None:
    """In this process, for its own takes a third of a second to start."""
    for seed in range(2 * law.max_examples):
        try:
            found = list(embedded_pdf.texts(mangled(card[1], seed), 200_000))
        except Exception as error:
            assert not isinstance(error, SystemExit)
        else:
            assert all(isinstance(text, str) for text in found)


def _gives_something(data: bytes) -> None:
    if not is_card(data):
        return
    try:
        text = layout_text(data)
    except LayoutError as error:
        assert str(error).isprintable()
    else:
        assert len(text) < 2 * len(SOUND)


@pytest.mark.parametrize(
    ("mark", "kind"),
    [
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 300_000, "a PNG picture"),
        (b"\xff\xd8\xff\xe0", "a JPEG picture"),
        (b"GIF89a", "a GIF picture"),
    ],
)
def test_a_picture_of_dots_is_called_what_it_is(tmp_path: Path, mark: bytes, kind: str) -> None:
    file = tmp_path / "card.png"
    file.write_bytes(mark)
    result = call("check", file)
    assert (result.status, result.out) == (2, "")
    assert result.err == (
        f"{file}: this is {kind}, which carries no layout; name the layout file, or the card as "
        f"SVG or PDF\n"
    )


def test_a_pdf_larger_than_any_card_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "card.pdf"
    file.write_bytes(b"%PDF-1.7\n" + b"\0" * embedded.LARGEST_PDF)
    with pytest.raises(LayoutError, match="larger than 32 MB"):
        read_text(file)


def test_a_reader_that_is_given_up_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(embedded, "PATIENCE", 0.0)
    assert refused(attached([(b"a = 1", "")])) == "this PDF cannot be read: it takes too long"


def test_a_reader_that_cannot_be_started_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/no/such/python")
    assert "cannot be read" in refused(attached([(b"a = 1", "")]))


class TestTheReader:
    """What runs in a process of its own, here in this one."""

    def answer(self, data: bytes, monkeypatch: pytest.MonkeyPatch) -> dict[str, object]:
        bounds: list[tuple[int, tuple[int, int]]] = []
        out = io.StringIO()
        monkeypatch.setattr("resource.setrlimit", lambda *bound: bounds.append(bound))
        monkeypatch.setattr(sys, "argv", ["reader", "1000"])
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))
        monkeypatch.setattr(sys, "stdout", out)
        embedded_pdf.main()
        assert [bound for _, bound in bounds] == [(200_000_000,) * 2, (4, 4)]
        read: dict[str, object] = json.loads(out.getvalue())
        return read

    def test_it_gives_the_texts(self, monkeypatch: pytest.MonkeyPatch) -> None:
        data = attached([(b"a = 1", ""), (b"b = 2", "")])
        assert self.answer(data, monkeypatch) == {"texts": ["a = 1", "b = 2"]}

    @pytest.mark.parametrize("files", [[(b"x" * 1001, "")], [(b"x", "")] * 101])
    def test_it_refuses_what_is_too_much(
        self, monkeypatch: pytest.MonkeyPatch, files: list[tuple[bytes, str]]
    ) -> None:
        told = {"error": "it holds more than a card can hold"}
        assert self.answer(attached(files), monkeypatch) == told

    def test_it_tells_that_memory_ran_out(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def texts(data: bytes, largest: int) -> list[str]:
            raise MemoryError

        monkeypatch.setattr(embedded_pdf, "texts", texts)
        assert "unpacks to more" in str(self.answer(b"", monkeypatch))
