"""The vectorised solver against plain C loops, and against the scalar solver a drive at a time."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import cast

import numpy as np

from beltpath.solve.many import Array, columns, rings
from beltpath.solve.path import ring, trace
from tests.bench.eight import eight
from tests.bench.registry import Result, SkipError, benchmark
from tests.bench.timing import interleaved

ROWS = 100_000
SOURCE = Path(__file__).with_name("rings.c")
FLAGS = ("-O3", "-march=native", "-shared", "-fPIC")

Drives = tuple[Array, Array, Array, Array]

#: What is compared, with what it is compiled with; the last has no target (see docs).
LOOPS: tuple[tuple[str, tuple[str, ...], float | None], ...] = (
    ("plain C loop, the same arrays", (), 1.0),
    ("plain C loop, arrays drive by drive", ("-DDRIVE_MAJOR",), 1.0),
    ("the same, turns by a quarter angle", ("-DDRIVE_MAJOR", "-DQUARTER_ANGLE"), None),
)


def drives() -> Drives:
    """The eight-pulley drive, every number of every row moved by a millimetre or so."""
    random = np.random.default_rng(1)
    x, y, radius, sign = columns(trace(eight()).discs)
    dx, dy, wider = random.standard_normal((3, len(x), ROWS))
    return x + dx, y + dy, radius + 0.5 * wider, sign


@benchmark("rings")
def bench_rings(rounds: int) -> Iterator[Result]:
    """`sweep.rings`, 100 000 drives of eight pulleys on one core."""
    arrays = drives()
    yield _against_scalar(arrays, rounds)
    with tempfile.TemporaryDirectory() as folder:
        for name, flags, limit in LOOPS:
            loop = compiled(Path(folder, f"{len(flags)}.so"), flags)
            given = _for_c(arrays, turned="-DDRIVE_MAJOR" in flags)
            np.testing.assert_allclose(call(loop, given), rings(*arrays).lengths, rtol=1e-9)
            timing = interleaved(lambda: rings(*arrays), partial(call, loop, given), rounds=rounds)
            yield Result(
                what="rings, 100 000 eight-pulley drives",
                reference=name,
                unit="ms",
                **timing._asdict(),
                limit=limit,
            )


def compiled(library: Path, flags: tuple[str, ...]) -> Callable[..., None]:
    """The C loop, built here and now. SkipError without a compiler."""
    compiler = shutil.which("cc") or shutil.which("gcc") or shutil.which("clang")
    if compiler is None:
        raise SkipError("there is no C compiler here (cc, gcc or clang)")
    command = [compiler, *FLAGS, *flags, str(SOURCE), "-o", str(library), "-lm"]
    built = subprocess.run(command, capture_output=True, text=True, check=False)
    if built.returncode:
        raise SkipError(f"the C loop does not compile: {built.stderr.strip()[:200]}")
    function = ctypes.CDLL(str(library)).rings
    function.restype = None
    return cast("Callable[..., None]", function)


def call(loop: Callable[..., None], given: list[Array]) -> Array:
    """Run the C loop and give the lengths; it allocates all its results, as `rings` does."""
    shape, (lengths, turning) = given[0].shape, np.empty((2, ROWS))
    wraps, spans, ok = np.empty(shape), np.empty(shape), np.empty(ROWS, np.bool_)
    arrays = (*given, lengths, turning, wraps, spans, ok)
    pointers = [ctypes.c_void_p(array.ctypes.data) for array in arrays]
    loop(ctypes.c_long(wraps.size // ROWS), ctypes.c_long(ROWS), *pointers)
    return lengths


def _for_c(arrays: Drives, *, turned: bool) -> list[Array]:
    """x, y and q = sign·radius; `turned` with the pulleys of a drive side by side."""
    x, y, radius, sign = arrays
    return [np.ascontiguousarray(a.T if turned else a) for a in (x, y, sign * radius)]


def _against_scalar(arrays: Drives, rounds: int) -> Result:
    discs, many = trace(eight()).discs, 200
    timing = interleaved(
        lambda: rings(*arrays), lambda: [ring(discs) for _ in range(many)], rounds=rounds
    )
    per_drive = timing.ours / ROWS
    return Result(
        what="rings, a drive",
        reference="ring, the scalar solver, a drive (times faster)",
        unit="µs",
        ours=per_drive,
        theirs=timing.theirs / many,
        ratio=1.0 / timing.ratio / many * ROWS,
        limit=50.0,
        at_least=True,
    )
