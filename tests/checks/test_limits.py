"""Every limit of the table has a source, and parts what is found from what is not, on both sides.

A limit counts as passed when a value is exactly on it; the cases stand a hair to either side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, log, pi, radians, sin

import pytest

from beltpath import checks
from beltpath.checks.findings import Finding, Level
from beltpath.data.sections import SECTION_NAMES, SectionName, section
from beltpath.data.tables import Sourced, cite, limits, read_table
from beltpath.solve.drive import NEAR_ITSELF
from beltpath.solve.path import MISSED_WRAP
from tests.checks.drives import FIXED, SLIDE, SPRUNG, findings_of, layout, pair, pulley, with_post
from tests.forces.scenes import LATHE

STATUSES = {"published", "computed", "common practice", "from memory"}  # "given" is no row's


def wrapped(role: str, degrees: float) -> str:
    """Three equal pulleys, of which the one in the middle has exactly that wrap.

    Round equal pulleys the spans run parallel to the lines between centres, so that the wrap is
    180° less the triangle's angle.
    """
    turn = radians(degrees)
    lines = [
        pulley("before", (-300.0, 0.0), 100.0, 'role = "crank", min_wrap = 0'),
        pulley("middle", (0.0, 0.0), 100.0, f'role = "{role}"'),
        pulley("after", (300.0 * cos(turn), 300.0 * sin(turn)), 100.0),
    ]
    if role == "crank":
        lines[0] = lines[0].replace('"crank"', '"other"')
    return layout("\n".join(lines), route="before middle after")


def obstacle_under_a_span(gap: float) -> str:
    """A belt along y = −50 − 2.2 (its back), and a smooth obstacle of 20 mm below it."""
    lines = [
        pair(400.0),
        pulley("post", (200.0, -50.0 - 2.2 - 10.0 - gap), 20.0, 'face = "smooth"'),
    ]
    return layout("\n".join(lines), route="crank far")


def obstacle_beside_a_pulley(gap: float) -> str:
    """A belt round the left end of a drive, and a smooth obstacle of 20 mm to its left."""
    lines = [
        pair(400.0),
        pulley("post", (-50.0 - 2.2 - 10.0 - gap, 0.0), 20.0, 'face = "smooth"'),
    ]
    return layout("\n".join(lines), route="crank far")


def missed_by(degrees: float) -> str:
    """A pulley with a wrap of 360° less some: outside a straight run and held on its far side.

    Equal pulleys again; the one in the middle stands off the line so that the belt turns back by
    `degrees` there, which comes out as a wrap of 360° less that.
    """
    return wrapped("idler", -degrees)


@dataclass(frozen=True, slots=True)
class Boundary:
    """A layout by the value that a limit is compared with; `inside` is +1 when more is better."""

    check: str
    text: Callable[[float], str]
    inside: int
    hair: float = 1e-3
    level: Level | None = None


def wrap_of(role: str) -> Boundary:
    return Boundary("wrap", lambda value: wrapped(role, value), +1)


def gripping(value: float) -> str:
    """LATHE's friction for that slip reserve: grip tensions of 300 and 500 N less m·v² (4 ribs)."""
    inertia = 4 * 0.0235 * (2.0 * pi * 0.052 * 20.0) ** 2
    friction = value * log((500.0 - inertia) / (300.0 - inertia)) / pi
    return LATHE.replace("[running]", f"[running]\nfriction_ribs = {friction!r}")


def running_at(value: float) -> str:
    """LATHE with its belt running at that speed, m/s: pitch radius 52 mm; no load, and taut."""
    rpm = value / (2.0 * pi * 0.052) * 60.0
    fast = LATHE.replace("crank_rpm = [1200]", f"crank_rpm = [{rpm!r}]").replace("10.4", "0")
    return fast.replace("tension = 400", "tension = 4000")


BOUNDARIES = {
    "slip.reserve": Boundary("slip", gripping, +1, hair=1e-6),
    "slip.limit": Boundary("slip", gripping, +1, hair=1e-6, level="fault"),
    "speed.belt": Boundary("speed", running_at, -1, hair=1e-6),
    "missed.wrap": Boundary("missed", lambda value: missed_by(360.0 - value), -1),
    "clearance.free_span": Boundary("clearance", obstacle_under_a_span, +1),
    "clearance.on_pulley": Boundary("clearance", obstacle_beside_a_pulley, +1),
    "wrap.any": wrap_of("other"),
    "wrap.crank": wrap_of("crank"),
    "wrap.alternator": wrap_of("alternator"),
    "wrap.compressor": wrap_of("compressor"),
    "wrap.steering-pump": wrap_of("steering-pump"),
    "wrap.water-pump": wrap_of("water-pump"),
    "wrap.vacuum-pump": wrap_of("vacuum-pump"),
    "wrap.fan": wrap_of("fan"),
    "wrap.blower": wrap_of("blower"),
    "wrap.pump": wrap_of("pump"),
    "wrap.tensioner": wrap_of("tensioner"),
    "diameter.back_bend": Boundary(
        "diameter", lambda value: FIXED.replace("diameter = 100", f"diameter = {value}"), +1
    ),
    "alignment.slope": Boundary(
        "alignment",
        lambda value: layout(pair(500.0, f"offset = {5.0 * value}"), route="crank far"),
        -1,
    ),
    # The path of two equal pulleys is their circumference and twice their distance.
    "length.elastic_least": Boundary(
        "length", lambda value: stretched_by(value), +1, hair=1e-6, level="fault"
    ),
    "length.elastic_most": Boundary(
        "length", lambda value: stretched_by(value), -1, hair=1e-6, level="fault"
    ),
    "length.fixed": Boundary(
        "length", lambda value: fixed_off_by(value), -1, hair=1e-6, level="fault"
    ),
    "travel.stretch": Boundary("travel", lambda value: stretch_left(value), +1, hair=1e-4),
}


#: What a text is made of for a limit of `plausibility`: LATHE with one value so far out.
ABSURD: dict[str, tuple[str, str]] = {
    "power": ("torque_nm = 10.4", "power_kw = {}"),
    "torque": ("torque_nm = 10.4", "torque_nm = {}"),
    "crank_rpm": ("crank_rpm = [1200]", "crank_rpm = [{}]"),
    "diameter": ("at = [0, 300], diameter = 100", "at = [0, 4000], diameter = {}"),
    "distance": ("at = [0, 300]", "at = [0, {}]"),
    "offset": ('role = "other"', 'role = "other", offset = {}'),
    "ribs": ("ribs = 4", "ribs = {:.0f}"),
    "accuracy": ('title = "Pattern shop lathe"', 'title = "t"\naccuracy = {}'),
    "friction": ("[running]", "[running]\nfriction_back = {}"),
    "mass_per_rib": ("[running]", "[running]\nmass_per_rib = {}"),
    "stiffness_per_rib": ("[running]", "[running]\nstiffness_per_rib = {}"),
}


def absurd(key: str) -> Boundary:
    """A value of the layout by how large it is."""
    old, new = ABSURD[key]
    hair = 1.0 if key == "ribs" else 1e-3
    return Boundary(
        "plausibility",
        lambda value: LATHE.replace(old, new.format(value)),
        -1,
        hair=hair,
        level="caution",
    )


def sprung(kind: str, effort: str) -> Boundary:
    """A tensioner's spring by its effort."""
    place = 'kind = "slide"\nalong = 0' if kind == "slide" else 'kind = "arm"\npivot = [300, 0]'
    ends = "free = 20\nload = -20" if kind == "slide" else "free = 70\nload = 110"
    at = 0 if kind == "slide" else 90

    def text(value: float) -> str:
        tensioner = (
            f'pulley = "far"\n{place}\n{ends}\nspring = {{ {effort} = {value!r}, at = {at} }}'
        )
        apart = pulley("far", (300.0, 200.0), 100.0)
        crank = pulley("crank", (0.0, 0.0), 100.0, 'role = "crank"')
        return f"{layout(f'{crank}{chr(10)}{apart}', route='crank far')}[tensioner]\n{tensioner}\n"

    return Boundary("plausibility", text, -1, level="caution")


def hand_set(name: SectionName, value: float, pull: float) -> str:
    """LATHE with a belt of that section: `value` N a rib on its tight side, `pull` of it pulled."""
    ribs = 4 if name.startswith("P") else 1
    torque = ribs * pull * (50.0 + section(name).b_e) / 1000.0
    text = LATHE.replace('"PK"', f'"{name}"').replace("ribs = 4", f"ribs = {ribs}")
    text = text.replace("tension = 400", f"tension = {ribs * (value - pull / 2.0)!r}")
    return text.replace("torque_nm = 10.4", f"torque_nm = {torque!r}")


def loaded(kind: str, name: SectionName) -> Boundary:
    """The belt at rest, its tight side, and that far above the guide."""
    # Half the tight side's tension pulled: at rest the belt is well within its own guide.
    part = 0.0 if kind == "installed" else 1.0

    def text(value: float) -> str:
        return hand_set(name, value, part * value)

    return Boundary("load", text, -1, level="fault" if kind == "most" else "caution")


BOUNDARIES |= {f"plausibility.{key}": absurd(key) for key in ABSURD}
BOUNDARIES |= {
    "plausibility.spring_force": sprung("slide", "force"),
    "plausibility.spring_torque": sprung("arm", "torque"),
    "plausibility.tolerance": Boundary(
        "plausibility",
        lambda value: layout(
            pair(400.0), route="crank far", belt=f"length = 1100\ntolerance = {11.0 * value!r}"
        ),
        -1,
    ),
}
BOUNDARIES |= {
    f"load.{kind}.{name}": loaded(kind, name)
    for kind in ("installed", "tight", "most")
    for name in SECTION_NAMES
}


def fixed_off_by(percent: float) -> str:
    """A belt in hand round two pulleys whose path is 1000 mm, longer by so many per cent of it."""
    return layout(
        pair((1000.0 - 100.0 * pi) / 2.0),
        route="crank far",
        belt=f"ribs = 1\nlength = {1000.0 + 10.0 * percent!r}",
    )


def stretched_by(percent: float) -> str:
    """A stretch-fit belt round two pulleys whose path is 1000 mm."""
    return layout(
        pair((1000.0 - 100.0 * pi) / 2.0),
        route="crank far",
        belt=f"ribs = 1\nelastic = true\nlength = {1000.0 / (1.0 + percent / 100.0)!r}",
    )


def stretch_left(percent: float) -> str:
    """A slide whose free stop is where the belt of two pulleys is so many per cent longer.

    Both runs grow by what the pulley moves outwards, so that the length grows by twice that.
    """
    free = (1000.0 + 100.0 * pi) * percent / 200.0
    tensioner = f'pulley = "far"\nkind = "slide"\nalong = 0\nfree = {free!r}\nload = -20'
    return f"{layout(pair(500.0), route='crank far')}[tensioner]\n{tensioner}\n"


def found_by(check: str, text: str, level: Level | None = None) -> list[Finding]:
    """What one check finds (at a level); on the pulley in the middle, where there is one."""
    return [
        finding
        for finding in findings_of(text)
        if finding.check == check
        and finding.level == (level or finding.level)
        and ("middle" in finding.pulleys or "middle" not in text)
    ]


@pytest.mark.parametrize("key", BOUNDARIES)
def test_a_limit_parts_what_is_found_from_what_is_not(key: str) -> None:
    case, limit = BOUNDARIES[key], limits()[key]
    good, bad = limit.value + case.inside * case.hair, limit.value - case.inside * case.hair
    assert found_by(case.check, case.text(good), case.level) == []
    found = found_by(case.check, case.text(bad), case.level)
    assert found
    assert all(finding.source.startswith(cite(limit)) for finding in found)


def test_every_limit_of_a_registered_check_has_a_boundary_case() -> None:
    """A limit that is added without a case in `BOUNDARIES` fails here."""
    ours = {key for key in limits() if key.split(".")[0] in checks.names()}
    assert ours == set(BOUNDARIES)


def test_every_row_of_the_table_is_sourced_and_read_once() -> None:
    rows = read_table("limits.csv")
    assert len({row["key"] for row in rows}) == len(rows)
    for row in rows:
        assert float(row["value"]) > 0.0
        assert row["unit"]
        assert row["status"] in STATUSES
        assert len(row["source"]) > 10


@pytest.mark.parametrize(
    ("status", "says"),
    [
        ("published", "a standard"),
        ("given", "a standard"),
        ("from memory", "from memory: a standard"),
    ],
)
def test_a_finding_cites_the_status_of_what_is_not_published(status: str, says: str) -> None:
    limit = Sourced(value=1.0, unit="mm", status=status, source="a standard")
    assert cite(limit) == says


def test_the_limit_of_a_missed_pulley_is_the_one_that_the_path_is_judged_by() -> None:
    assert radians(limits()["missed.wrap"].value) == MISSED_WRAP


def test_near_stretches_are_kept_as_far_as_any_limit_asks() -> None:
    wanted = (limits()["clearance.free_span"].value, limits()["clearance.on_pulley"].value)
    assert max(wanted) < NEAR_ITSELF


def test_a_value_on_its_limit_passes() -> None:
    assert findings_of(obstacle_under_a_span(5.0 + 1e-9)) == ()
    assert findings_of(SPRUNG, ('role = "alternator"', 'role = "alternator", grooves = 6')) == ()
    assert findings_of(FIXED, ("diameter = 100", "diameter = 90")) == ()
    assert findings_of(FIXED, with_post("[600, 600]", 20)) == ()
    assert findings_of(SLIDE, ("load = -30", "load = -25")) == ()
