"""Run benchmarks and print a Markdown table: ``python -m tests.bench [--rounds N] [NAME ...]``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from tests.bench import process, scalar, vector  # noqa: F401 - they register themselves
from tests.bench.registry import BENCHMARKS, SCALE, Result, SkipError

HEADER = (
    "| what | takes | against | takes | ratio | target | met |",
    "| --- | ---: | --- | ---: | ---: | ---: | --- |",
)


def main(args: list[str]) -> int:
    """Run the named benchmarks, or all."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--rounds", type=int, default=15, help="timed rounds each (15)")
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    call = parser.parse_args(args)
    unknown = [name for name in call.names if name not in BENCHMARKS]
    if unknown or call.rounds < 1:
        parser.error(f"no benchmark is called {unknown[0]}" if unknown else "rounds start at 1")
    print(*HEADER, sep="\n", flush=True)
    for name in call.names or BENCHMARKS:
        for line in _lines(name, call.rounds):
            print(line, flush=True)
    return 0


def _lines(name: str, rounds: int) -> Iterator[str]:
    try:
        for result in BENCHMARKS[name](rounds):
            yield _line(result)
    except SkipError as reason:
        yield f"| {name} | skipped: {reason} | | | | | |"


def _line(result: Result) -> str:
    target = ""
    if result.limit is not None:
        target = f"{'≥' if result.at_least else '≤'} {result.limit:g}"
    cells = (
        result.what,
        _amount(result.ours, result),
        result.reference,
        "" if result.theirs is None else _amount(result.theirs, result),
        "" if result.ratio is None else f"{result.ratio:.3g}",
        target,
        {True: "yes", False: "no", None: ""}[result.met],
    )
    return f"| {' | '.join(cells)} |"


def _amount(value: float, result: Result) -> str:
    return f"{value / SCALE[result.unit]:.3g} {result.unit}"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
