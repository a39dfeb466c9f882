"""Drives for the tests of the checks: sound ones, and what is put wrong in them.

Every check that is registered must have a `Seed` here: a fault or caution that only it finds.
"""

from __future__ import annotations

from dataclasses import dataclass

from beltpath import checks
from beltpath.checks.findings import Finding, Level
from beltpath.layout.reader import parse
from beltpath.solve.drive import Drive, solve
from tests.forces.scenes import LATHE

#: A serpentine drive with an arm tensioner and a belt in hand; nothing is wrong with it.
SPRUNG = """
title = "Sound drive with an arm"
crank_turns = "clockwise"
route = ["crank", "tensioner", "alternator", "pump", "idler", "compressor"]
[belt]
section = "PK"
ribs = 6
length = 1880
tolerance = 5
[pulleys]
crank      = { at = [0, 0], diameter = 160, face = "grooved", role = "crank" }
tensioner  = { at = [-70, 165], diameter = 100, face = "smooth", role = "tensioner" }
alternator = { at = [-180, 220], diameter = 60, face = "grooved", role = "alternator" }
pump       = { at = [-20, 300], diameter = 130, face = "grooved", role = "pump" }
idler      = { at = [80, 150], diameter = 100, face = "smooth", role = "idler" }
compressor = { at = [210, 210], diameter = 130, face = "grooved", role = "compressor" }
[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = [-160, 160]
free = 20
load = -35
window = [-20, 18]
release = "clockwise"
"""

#: A drive on fixed centres, seen as a wide triangle with an idler pressed into its lower run.
FIXED = """
title = "Sound drive on fixed centres"
crank_turns = "counterclockwise"
route = ["crank", "fan", "pump", "idler"]
[belt]
section = "PK"
ribs = 5
[pulleys]
crank = { at = [0, 0], diameter = 150, face = "grooved", role = "crank" }
fan   = { at = [300, 20], diameter = 120, face = "grooved", role = "fan" }
pump  = { at = [150, 220], diameter = 110, face = "grooved", role = "pump" }
idler = { at = [20, 150], diameter = 100, face = "smooth", role = "idler", side = "back" }
"""

#: A slide under a belt of three pulleys, measured in the middle of its travel.
SLIDE = """
title = "Sound drive with a slide"
route = ["crank", "tensioner", "pump"]
[belt]
section = "PK"
ribs = 4
[pulleys]
crank     = { at = [0, 0], diameter = 160, face = "grooved", role = "crank" }
tensioner = { at = [-60, 170], diameter = 100, face = "smooth", role = "tensioner" }
pump      = { at = [0, 400], diameter = 160, face = "grooved", role = "pump" }
[tensioner]
pulley = "tensioner"
kind = "slide"
along = 0
free = 40
load = -30
window = [-25, 35]
"""

#: An accessory that slides and is bolted, under a belt of two pulleys.
PAIR = """
title = "Sound drive with a sliding accessory"
route = ["crank", "pump"]
[belt]
section = "PK"
ribs = 4
[pulleys]
crank = { at = [0, 0], diameter = 120, face = "grooved", role = "crank", min_wrap = 140 }
pump  = { at = [400, 0], diameter = 120, face = "grooved", role = "pump" }
[tensioner]
pulley = "pump"
kind = "slide"
along = 0
free = 20
load = -20
"""

SOUND = {"sprung": SPRUNG, "fixed": FIXED, "slide": SLIDE, "pair": PAIR}


@dataclass(frozen=True, slots=True, kw_only=True)
class Seed:
    """One thing put wrong in a sound drive: only `check` must find it, at `level`, about `pulleys`.

    `says` is what the finding's sentence must hold.
    """

    check: str
    level: Level
    drive: str
    changes: tuple[tuple[str, str], ...]
    pulleys: tuple[str, ...]
    says: str


def with_post(at: str, diameter: float, more: str = "") -> tuple[str, str]:
    """A change that adds a pulley that the route leaves out."""
    post = f'post = {{ at = {at}, diameter = {diameter}, face = "smooth", role = "other"{more} }}'
    return ("[pulleys]", f"[pulleys]\n{post}")


#: Changes to sound drives, each of which exactly one check must find.
SEEDS = (
    Seed(
        check="thickness",
        level="caution",
        drive=FIXED,
        changes=(("ribs = 5", "ribs = 5\ndouble_sided = true"),),
        pulleys=(),
        says="not given and is reckoned as 8.8 mm",
    ),
    Seed(
        check="side",
        level="fault",
        drive=SPRUNG,
        changes=(
            (
                '[80, 150], diameter = 100, face = "smooth"',
                '[80, 150], diameter = 100, face = "grooved", side = "back"',
            ),
        ),
        pulleys=("idler",),
        says="smooth back runs on it",
    ),
    Seed(
        check="side",
        level="caution",
        drive=FIXED,
        changes=(('diameter = 110, face = "grooved"', 'diameter = 110, face = "smooth"'),),
        pulleys=("pump",),
        says='say side = "ribs"',
    ),
    Seed(
        check="rotation",
        level="fault",
        drive=SPRUNG,
        changes=(('role = "pump"', 'role = "pump", turns = "counterclockwise"'),),
        pulleys=("pump",),
        says="must turn counterclockwise, but this routing turns it clockwise",
    ),
    Seed(
        check="missed",
        level="fault",
        drive=FIXED,
        changes=(("[20, 150]", "[-60, 180]"),),
        pulleys=("idler",),
        says="does not really touch idler",
    ),
    Seed(
        check="crossing",
        level="fault",
        drive=FIXED,
        changes=(("[20, 150]", "[150, -3]"),),
        pulleys=("crank", "fan", "idler"),
        says="rubs on itself: the span from crank to fan and the belt on idler",
    ),
    Seed(
        check="overlap",
        level="fault",
        drive=SPRUNG,
        changes=(with_post("[165, 215]", 20),),
        pulleys=("post", "compressor"),
        says="overlap by 29.3 mm",
    ),
    Seed(
        check="clearance",
        level="fault",
        drive=SPRUNG,
        changes=(with_post("[190, 95]", 30),),
        pulleys=("compressor", "crank", "post"),
        says="14.7 mm deep through the rim of post",
    ),
    Seed(
        check="clearance",
        level="caution",
        drive=SPRUNG,
        changes=(with_post("[165, 95]", 30),),
        pulleys=("compressor", "crank", "post"),
        says="5 mm is wanted",
    ),
    Seed(
        check="wrap",
        level="caution",
        drive=SPRUNG,
        changes=(('role = "alternator"', 'role = "alternator", min_wrap = 160'),),
        pulleys=("alternator",),
        says="by 155° only; 160° is wanted",
    ),
    Seed(
        check="grooves",
        level="fault",
        drive=SPRUNG,
        changes=(('role = "alternator"', 'role = "alternator", grooves = 5'),),
        pulleys=("alternator",),
        says="5 grooves for a belt of 6 ribs",
    ),
    Seed(
        check="diameter",
        level="caution",
        drive=FIXED,
        changes=(("diameter = 100", "diameter = 80"),),
        pulleys=("idler",),
        says="backwards over 80 mm; guidance is 90 mm",
    ),
    Seed(
        check="diameter",
        level="caution",
        drive=FIXED,
        changes=(("diameter = 110", "diameter = 44"),),
        pulleys=("pump",),
        says="effective diameter of 44 mm; the smallest for PK is 45 mm",
    ),
    Seed(
        check="length",
        level="fault",
        drive=FIXED,
        changes=(("ribs = 5", "ribs = 5\nlength = 1220"),),
        pulleys=(),
        says="19.2 mm too short",
    ),
    Seed(
        check="length",
        level="fault",
        drive=SPRUNG,
        changes=(
            ("length = 1880", "length = 1892"),
            ("free = 20", "free = 4"),
            ("window = [-20, 18]\n", ""),
        ),
        pulleys=(),
        says="belts of 1812.3 mm (shortest) to 1886.8 mm (longest)",
    ),
    Seed(
        check="stops",
        level="fault",
        drive=SLIDE,
        changes=(
            ("free = 40", "free = 110"),
            ("load = -30", "load = 40"),
            ("[-25, 35]", "[45, 105]"),
        ),
        pulleys=("tensioner",),
        says="measured at 0 mm, which does not lie between its stops, 110 mm (free) and 40",
    ),
    Seed(
        check="stops",
        level="caution",
        drive=SLIDE,
        changes=(("window = [-25, 35]", "spring = { force = 300, at = 55, rate = -2 }"),),
        pulleys=("tensioner",),
        says="The spring's place, 55 mm, does not lie between the stops, -30 to 40 mm",
    ),
    Seed(
        check="agreement",
        level="caution",
        drive=SPRUNG,
        changes=(("diameter = 60", "diameter = 72"),),
        pulleys=("tensioner",),
        says="Either it was measured with another belt on, or a measurement is wrong.",
    ),
    Seed(
        check="travel",
        level="caution",
        drive=SPRUNG,
        changes=(("window = [-20, 18]", "window = [5, 18]"),),
        pulleys=("tensioner",),
        says="stands at 0.1°, outside its window (5 to 18°) towards the load stop",
    ),
    Seed(
        check="travel",
        level="fault",
        drive=SPRUNG,
        changes=(("free = 20", "free = -35"), ("load = -35", "load = 20")),
        pulleys=("tensioner",),
        says="stops look exchanged",
    ),
    Seed(
        check="over-centre",
        level="fault",
        drive=SLIDE,
        changes=(("along = 0", "along = 90"),),
        pulleys=("tensioner",),
        says="goes over centre at 30 mm, between its stops (-30 to 40 mm)",
    ),
    Seed(
        check="slack-side",
        level="caution",
        drive=SPRUNG,
        changes=(
            (
                '"tensioner", "alternator", "pump", "idler", "compressor"',
                '"compressor", "idler", "pump", "alternator", "tensioner"',
            ),
            ('crank_turns = "clockwise"', 'crank_turns = "counterclockwise"'),
        ),
        pulleys=("tensioner",),
        says="on the tight side, where the belt runs to the crank",
    ),
    Seed(
        check="release",
        level="fault",
        drive=SPRUNG,
        changes=(('release = "clockwise"', 'release = "counterclockwise"'),),
        pulleys=("tensioner",),
        says="it must go clockwise",
    ),
    Seed(
        check="fit-on",
        level="fault",
        drive=PAIR,
        changes=(("load = -20", "load = -2"),),
        pulleys=("crank",),
        says="4.0 mm of slack, but the easiest way on, over crank, needs 6.",
    ),
    Seed(
        check="fit-on",
        level="caution",
        drive=SPRUNG,
        changes=(
            ("load = -35", "load = -17"),
            ("window = [-20, 18]", "window = [-17, 18]"),
            ('role = "pump" }', 'role = "pump", reach = "easy" }'),
        ),
        pulleys=("pump",),
        says="may be hard to get on",
    ),
    Seed(
        check="alignment",
        level="caution",
        drive=FIXED,
        changes=(('role = "idler"', 'role = "idler", offset = 1.5'),),
        pulleys=("idler", "crank"),
        says="guidance is 0.58 mm in 100 mm",
    ),
    Seed(
        check="slip",
        level="fault",
        drive=LATHE,
        changes=(("torque_nm = 10.4", "torque_nm = 38"),),
        pulleys=("spindle",),
        says="slips when the crank turns at 1200 rpm",
    ),
    Seed(
        check="slip",
        level="caution",
        drive=LATHE,
        changes=(("[running]", "[running]\nfriction_ribs = 0.2"),),
        pulleys=("crank",),
        says="has little grip to spare",
    ),
    Seed(
        check="load",
        level="caution",
        drive=LATHE,
        changes=(("tension = 400", "tension = 640"),),
        pulleys=("spindle",),
        says="Each of its 4 ribs carries 160 N at rest; 156 N is the guide for PK. Fit a belt of 5",
    ),
    Seed(
        check="load",
        level="fault",
        drive=LATHE,
        changes=(("tension = 400", "tension = 2400"),),
        pulleys=("spindle", "crank"),
        says="carries 625 N between spindle and crank when the crank turns at 1200 rpm; 600 N is",
    ),
    Seed(
        check="plausibility",
        level="caution",
        drive=LATHE,
        changes=(("[running]", "[running]\nmass_per_rib = 1.2"), ("[1200]", "[60]")),
        pulleys=(),
        says="running.mass_per_rib, 1.2 kg/m (over 1 kg/m). Look for a slip of the unit",
    ),
    Seed(
        check="speed",
        level="fault",
        drive=LATHE,
        changes=(('role = "other"', 'role = "other", max_rpm = 1199'),),
        pulleys=("spindle",),
        says="1199",
    ),
)


def layout(pulleys: str, *, route: str, belt: str = "ribs = 1") -> str:
    """A layout text of PK belt round `pulleys`, counterclockwise."""
    names = ", ".join(f'"{name}"' for name in route.split())
    return (
        f'title = "t"\ncrank_turns = "counterclockwise"\nroute = [{names}]\n'
        f'[belt]\nsection = "PK"\n{belt}\n[pulleys]\n{pulleys}\n'
    )


def pulley(name: str, at: tuple[float, float], diameter: float, more: str = "") -> str:
    """One line of a layout's pulleys."""
    role = "" if "role" in more else ', role = "other"'
    face = "" if "face" in more else ', face = "grooved"'
    return (
        f"{name} = {{ at = [{at[0]!r}, {at[1]!r}], diameter = {diameter!r}{face}{role}"
        f"{', ' if more else ''}{more} }}"
    )


def pair(apart: float, more: str = "") -> str:
    """The lines of two equal pulleys, the crank at the origin and `far` to its right."""
    crank = pulley("crank", (0.0, 0.0), 100.0, 'role = "crank"')
    return f"{crank}\n{pulley('far', (apart, 0.0), 100.0, more)}"


def changed(text: str, *changes: tuple[str, str]) -> str:
    """A layout text with replacements made, each of which must apply exactly once."""
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the text"
        text = text.replace(old, new)
    return text


def drive_of(text: str, *changes: tuple[str, str]) -> Drive:
    """The solved drive of a layout text, some of it replaced."""
    return solve(parse(changed(text, *changes)))


def run(drive: Drive) -> tuple[Finding, ...]:
    """What all checks find but look-alike, which speaks of other ways and not of this one.

    Its own seeds are in tests/routes/test_look_alike.py.
    """
    return checks.run(drive, without=("look-alike",))


def findings_of(text: str, *changes: tuple[str, str]) -> tuple[Finding, ...]:
    """What the checks find in a layout text, some of it replaced."""
    return run(drive_of(text, *changes))


def found(text: str, *changes: tuple[str, str]) -> set[tuple[str, Level]]:
    """The checks that find something, each with its level."""
    return {(finding.check, finding.level) for finding in findings_of(text, *changes)}


def only(text: str, *changes: tuple[str, str]) -> Finding:
    """The one finding that there must be."""
    findings = findings_of(text, *changes)
    assert len(findings) == 1, [f"{f.check}: {f.message}" for f in findings]
    return findings[0]
