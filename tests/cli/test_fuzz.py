"""The law of the command line: whatever it is given, it answers in sentences and a status.

Status 2 always comes with a sentence on standard error that begins with the file's name, 0 and 1
never do; no exception leaves the program.
"""

from __future__ import annotations

import json
import random
from contextlib import chdir
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import example, given, settings
from hypothesis import strategies as st

import beltpath
from tests.carried.hostile import mangled as mangled_bytes
from tests.cli.calling import SOUND, Result, call
from tests.strategies import law

LINES = SOUND.splitlines()
#: Values that are none, too many, too large, of another kind, or made to break a reader.
SHORT_EVILS = r"""
    nan inf -inf 0 -1 1e308 -1e308 1e-308 1e999 0x10 true [] {} [[]] [nan,nan] [1e308,-1e308]
    "" "\u001b[2J" "\u202e" "pump" "crank" {at=[0,0]} 1979-05-27 07:32:00 = # [ ] } [x] ' '''
    9223372036854775808 [0,0] [155,205] 45 105 -360 360 12 0.1 20000 5000
"""
EVILS = [
    *SHORT_EVILS.split(),
    "9" * 400,
    "9" * 5000,
    "[" * 90 + "]" * 90,
    '"' + "x" * 300 + '"',
]


def judged(result: Result) -> None:
    """What every answer has in common."""
    assert result.status in (0, 1, 2)
    if result.status == 2:
        assert result.out == ""
        assert result.err.strip()
        assert all(line.startswith("standard input: ") for line in result.err.splitlines())
    else:
        assert result.err == ""
        assert result.out.splitlines()[-1].startswith("verdict  ")
    assert "\x1b" not in result.out + result.err


@st.composite
def mangled(draw: st.DrawFn) -> str:
    """The starter with some of its values replaced, lines dropped, doubled or exchanged."""
    chosen = random.Random(draw(st.integers(0, 2**32)))
    lines = list(LINES)
    for _ in range(chosen.randint(1, 4)):
        at = chosen.randrange(len(lines))
        line, evil = lines[at], chosen.choice(EVILS)
        match chosen.randrange(6):
            case 0:
                del lines[at]
            case 1:
                lines.insert(at, chosen.choice(lines))
            case 2:
                lines[at] = line.removeprefix("# ")
            case _:
                words = line.split(" ")
                words[chosen.randrange(len(words))] = evil
                lines[at] = " ".join(words)
    return "\n".join(lines)


@st.composite
def rearranged(draw: st.DrawFn) -> str:
    """A well-formed layout of four pulleys anywhere, on any side, with any tensioner."""
    chosen = random.Random(draw(st.integers(0, 2**32)))
    route = ["a", "b", "c", "d"]
    chosen.shuffle(route)
    section = chosen.choice(["PJ", "PK", "AV13"])
    kind = chosen.choice(["arm", "slide", "swing"])
    lines = [
        'title = "anything"',
        f"route = {json.dumps(route)}",
        "[belt]",
        f'section = "{section}"',
        chosen.choice(["", f"length = {chosen.randint(300, 2500)}"]),
        "[pulleys]",
        *(_pulley(chosen, name) for name in "abcd"),
        chosen.choice(["[tensioner]", ""]),
    ]
    if lines[-1]:
        free, load = chosen.sample(range(-180, 180, 15), 2)
        place = "along = 30" if kind == "slide" else f"pivot = [{chosen.randint(-300, 300)}, 20]"
        lines += ['pulley = "b"', f'kind = "{kind}"', place, f"free = {free}", f"load = {load}"]
        effort = {"arm": "torque", "slide": "force"}.get(kind)
        if effort is not None:
            lines.append(f"spring = {{ {effort} = 20, at = {free}, rate = {chosen.random()} }}")
    return "\n".join(lines)


def _pulley(chosen: random.Random, name: str) -> str:
    at = [chosen.randrange(-300, 301, 25), chosen.randrange(-300, 301, 25)]
    size = chosen.choice([40, 90, 150])
    face = chosen.choice(["grooved", "smooth"])
    side = chosen.choice(["", "", ', side = "ribs"', ', side = "back"'])
    role = "crank" if name == "a" else chosen.choice(["fan", "idler", "other"])
    return f'{name} = {{ at = {at}, diameter = {size}, face = "{face}", role = "{role}"{side} }}'


class TestAnyInput:
    @settings(law, max_examples=4 * law.max_examples)
    @given(text=rearranged())
    def test_rearranged_drives(self, text: str) -> None:
        judged(call("check", "-", stdin=text.encode()))

    @settings(law, max_examples=4 * law.max_examples)
    @given(text=mangled())
    def test_mangled_layouts(self, text: str) -> None:
        judged(call("check", "-", stdin=text.encode()))

    @settings(law, max_examples=2 * law.max_examples)
    @given(data=st.binary(max_size=200))
    @example(data=b"\x00")
    @example(data=b"\xef\xbb\xbf")
    @example(data=b"a = " + b"[" * 5000)
    def test_any_bytes(self, data: bytes) -> None:
        result = call("check", "-", stdin=data)
        assert result.status == 2
        judged(result)

    @settings(law, max_examples=2 * law.max_examples)
    @given(text=mangled() | rearranged())
    def test_json_stays_json(self, text: str) -> None:
        result = call("check", "--json", "-", stdin=text.encode())
        answer = json.loads(result.out, parse_constant=_refuse)
        assert ("error" in answer) == (result.status == 2)


class TestOtherFiles:
    """Cards, catalogues and files of measurements, damaged anyhow."""

    @law
    @given(seed=st.integers(0, 2**32))
    def test_damaged_cards(self, seed: int) -> None:
        judged(call("check", "-", stdin=mangled_bytes(_card(), seed)))

    @law
    @given(seed=st.integers(0, 2**32))
    def test_damaged_catalogues(self, seed: int) -> None:
        shelf = mangled_bytes(Path("layouts/shelf.csv").read_bytes(), seed)
        result = call("size", "layouts/orchard-sprayer.toml", "--catalogue", "-", stdin=shelf)
        told(result)

    @law
    @given(seed=st.integers(0, 2**32))
    def test_damaged_measurements(self, seed: int) -> None:
        readings = mangled_bytes(Path("layouts/measure/sprayer-tape.toml").read_bytes(), seed)
        told(call("measure", "-", stdin=readings))


def told(result: Result) -> None:
    """An answer of another command than check."""
    assert result.status in (0, 1, 2)
    assert (result.status == 2) == bool(result.err)
    assert "\x1b" not in result.out + result.err
    assert all(line.startswith("standard input: ") for line in result.err.splitlines())


@cache
def _card() -> bytes:
    return beltpath.card(beltpath.study(beltpath.parse(SOUND))).svg_pages[0].encode()


class TestAnyCall:
    @settings(law, max_examples=2 * law.max_examples)
    @given(
        command=st.sampled_from(["check", "card", "new", "", "--version", "chek"]),
        rest=st.lists(
            st.sampled_from(
                ["--json", "--out", "card.svg", "--force", "--paper", "--view", "-", "--"]
            )
            | st.text(st.characters(exclude_characters="\x00/"), max_size=5),
            max_size=4,
        ),
    )
    def test_any_words(self, command: str, rest: list[str]) -> None:
        with TemporaryDirectory() as folder, chdir(folder):
            result = call(command, *rest, stdin=b"title = 1")
        assert result.status in (0, 2)
        assert (result.status == 2) == bool(result.err)


def _refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON")
