"""Whole processes: the commands against the imports or the renderer they cannot do without."""

from __future__ import annotations

import importlib.util
import resource
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from tests.bench.eight import EIGHT
from tests.bench.registry import Result, SkipError, benchmark
from tests.bench.timing import interleaved

ROOT = Path(__file__).parents[2]
#: Importing what `check` stands on, and rendering what `card` has drawn.
IMPORTS = "import typer, shapely, pydantic"
#: A card's outlines of letters are taken out and its text shown: cairosvg is to draw words.
RENDER = r"""
import pathlib, re, sys, cairosvg
for page in sys.argv[1:]:
    text = pathlib.Path(page).read_text("utf-8").replace(' fill-opacity="0"', "")
    text = re.sub(r"<g [^>]*>(?:<use [^>]*/>)+</g>", "", text)
    cairosvg.svg2pdf(bytestring=text.encode(), write_to=page + ".pdf")
"""
#: What the installed command does, line for line.
RUN = "from beltpath.cli.app import main; main()"
#: Peak memory of the process itself, told on stderr (Linux).
PEAK = """
import sys
from beltpath.cli.app import run
run(sys.argv[1:])
with open("/proc/self/status") as status:
    print(next(line for line in status if line.startswith("VmHWM")).split()[1], file=sys.stderr)
"""
MEGABYTE = 1024.0
#: A drive whose belt is known, so that ways which it fits too are searched.
IN_HAND = ROOT / "layouts" / "orchard-sprayer.toml"


@benchmark("check")
def bench_check(rounds: int) -> Iterator[Result]:
    """`beltpath check` on an eight-pulley drive: the whole process, and its memory."""
    with tempfile.TemporaryDirectory() as folder:
        layout = _layout(folder)
        timing = interleaved(
            lambda: python(RUN, "check", layout),
            lambda: python(IMPORTS),
            rounds=rounds,
            clock=_children,
        )
        yield Result(
            what="check, whole process",
            reference=f'python -c "{IMPORTS}"',
            unit="ms",
            **timing._asdict(),
            limit=1.5,
        )
        if not Path("/proc/self/status").exists():
            raise SkipError("peak memory is read from /proc, which is not here")
        peaks = [int(python(PEAK, "check", layout).split()[-1]) for _ in range(3)]
        yield Result(
            what="check, peak memory",
            reference="at most 120 MB",
            unit="MB",
            ours=median(peaks) / MEGABYTE,
            limit=120.0,
        )


@benchmark("card")
def bench_card(rounds: int) -> Iterator[Result]:
    """`beltpath card` to PDF against cairosvg on the SVG of the same pages, each a process."""
    with tempfile.TemporaryDirectory() as folder:
        yield _card_result("card to PDF, whole process", _layout(folder), folder, rounds)
    with tempfile.TemporaryDirectory() as folder:
        what = "card to PDF, belt in hand (look-alikes searched)"
        yield _card_result(what, str(IN_HAND), folder, rounds)


def _card_result(what: str, layout: str, folder: str, rounds: int) -> Result:
    python(RUN, "card", layout, "--out", str(Path(folder, "card.svg")))
    # Every page: the command draws them all, so the reference has to.
    pages = sorted(map(str, Path(folder).glob("card*.svg")))
    timing = interleaved(
        lambda: python(RUN, "card", layout, "--out", str(Path(folder, "card.pdf")), "--force"),
        lambda: python(RENDER, *pages),
        rounds=rounds,
        clock=_children,
    )
    return Result(
        what=what,
        reference=f"cairosvg alone on the SVG of the same {len(pages)} pages",
        unit="ms",
        **timing._asdict(),
        limit=1.6,
    )


def python(code: str, *args: str) -> str:
    """Run a line of Python in the project's folder and give what it told on stderr.

    Exit status 0 and 1 are answers (1: the drive has faults) unless a traceback is told;
    anything else skips the benchmark.
    """
    done = subprocess.run(
        [sys.executable, "-c", code, *args],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    if done.returncode not in (0, 1) or "Traceback" in done.stderr:
        told = " ".join(done.stderr.split())[-200:]
        raise SkipError(f"a process ended with status {done.returncode}: {told}")
    return done.stderr


def _children() -> float:
    """Processor time of all processes that this one has waited for, s."""
    usage = resource.getrusage(resource.RUSAGE_CHILDREN)
    return usage.ru_utime + usage.ru_stime


def _layout(folder: str) -> str:
    """The eight-pulley drive as a file. SkipError where there is no command line yet."""
    if importlib.util.find_spec("beltpath.cli.app") is None:
        raise SkipError("there is no command line yet")
    path = Path(folder, "eight.toml")
    path.write_text(EIGHT, encoding="utf-8")
    return str(path)
