"""What becomes of surveys with something wrong in them, by simulation.

    python -m tests.measure.trouble [draws]

Each draw takes the invented drive with new noise and puts one thing wrong. The outcome tells
whether that thing was named, whether a layout could be written, and whether a centre was then
farther off than its ± allows: "silently wrong" is a layout with such a centre and nothing named.
"""

from __future__ import annotations

import math
import sys
from collections import Counter
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from beltpath.errors import LayoutError
from beltpath.survey import parse, solve
from tests.measure.scenes import LEVEL, PAIRS, SEVEN, clicked, head, miss, photo, tapes, tilted

#: A centre counts as wrong when it is off by more than this, mm, and than so many sigmas.
WRONG, WRONG_SIGMAS = 5.0, 4.5
ABOVE = LEVEL + ', above = "pump"'


class Trouble(NamedTuple):
    """A survey with something wrong: its text, and the pulleys that are to be named."""

    text: str
    pulleys: tuple[str, ...]


Make = Callable[[np.random.Generator], Trouble]


def one_slip(draw: np.random.Generator, size: float | None = None) -> Trouble:
    """One tape reading wrong by 10 to 200 mm."""
    pair = PAIRS[int(draw.integers(len(PAIRS)))]
    slip = float(draw.choice([-100.0, -50.0, -20.0, -10.0, 10.0, 20.0, 50.0, 100.0, 200.0]))
    if size is not None:
        slip = math.copysign(size, slip)
    return Trouble(head(draw, level=ABOVE) + tapes(draw, slips={pair: slip}), pair)


def small_slip(draw: np.random.Generator) -> Trouble:
    """One tape reading wrong by 10 mm."""
    return one_slip(draw, 10.0)


def large_slip(draw: np.random.Generator) -> Trouble:
    """One tape reading wrong by 30 mm."""
    return one_slip(draw, 30.0)


def two_slips(draw: np.random.Generator) -> Trouble:
    """Two tape readings wrong by 20 to 100 mm."""
    one, other = (PAIRS[int(i)] for i in draw.choice(len(PAIRS), 2, replace=False))
    sizes = draw.choice([-100.0, -50.0, -20.0, 20.0, 50.0, 100.0], 2).tolist()
    text = head(draw, level=ABOVE) + tapes(draw, slips=dict(zip((one, other), sizes, strict=True)))
    return Trouble(text, one + other)


def wrong_size(draw: np.random.Generator) -> Trouble:
    """One rim's size wrong by 5 to 60 %: another edge clicked, or a slip of the calliper."""
    name = str(draw.choice(list(SEVEN)))
    factor = float(draw.choice([0.4, 0.7, 0.9, 0.95, 1.05, 1.1, 1.3]))
    wrong = {**SEVEN, name: SEVEN[name]._replace(size=SEVEN[name].size * factor)}
    return Trouble(head(draw, truths=wrong) + photo(clicked(draw, tilted(draw))), (name,))


def swapped_names(draw: np.random.Generator) -> Trouble:
    """Two rims clicked under each other's names."""
    one, other = (str(name) for name in draw.choice(list(SEVEN), 2, replace=False))
    points = clicked(draw, tilted(draw))
    points[one], points[other] = points[other], points[one]
    return Trouble(head(draw) + photo(points), (one, other))


def wrong_click(draw: np.random.Generator) -> Trouble:
    """One point of eight off by 15 to 200 px in any direction, also along the rim."""
    points = clicked(draw, tilted(draw))
    name, size = str(draw.choice(list(SEVEN))), float(draw.choice([15.0, 30.0, 60.0, 200.0]))
    way = draw.uniform(0.0, 2.0 * math.pi)
    x, y = points[name][2]
    points[name][2] = [
        min(max(x + size * math.cos(way), 0.0), 4000.0),
        min(max(y + size * math.sin(way), 0.0), 3000.0),
    ]
    return Trouble(head(draw) + photo(points), (name,))


def deep_front(depth: float) -> Make:
    """One front edge nearer or farther than the others by so many mm, and not said so."""

    def make(draw: np.random.Generator) -> Trouble:
        name = str(draw.choice(list(SEVEN)))
        depths = {name: float(draw.choice([-depth, depth]))}
        points = clicked(draw, tilted(draw), clicks=12, depths=depths)
        return Trouble(head(draw) + photo(points), (name,))

    return make


def chamfer(draw: np.random.Generator) -> Trouble:
    """All points 0.5 mm inside the measured rims, with `above` given."""
    inner = {name: truth._replace(radius=truth.radius - 0.5) for name, truth in SEVEN.items()}
    points = clicked(draw, tilted(draw), clicks=12, truths=inner)
    return Trouble(head(draw, level=ABOVE) + photo(points), tuple(SEVEN))


def cut_picture(draw: np.random.Generator) -> Trouble:
    """A picture cut by 600 px on the left, with depths told."""
    depths = {"pump": 30.0, "compressor": -20.0}
    points = clicked(draw, tilted(draw), clicks=12, depths=depths)
    cut = {name: [[x - 600.0, y] for x, y in seen] for name, seen in points.items()}
    keys = {name: f", depth = {depth}" for name, depth in depths.items()}
    text = head(draw, level=ABOVE, keys=keys) + photo(cut)
    return Trouble(text.replace("size = [4000,", "size = [3400,"), tuple(SEVEN))


def outcome(trouble: Trouble) -> str:
    """What became of it, in words."""
    try:
        found = solve(parse(trouble.text))
    except LayoutError:
        return "refused"
    named = any({*trouble.pulleys} & {*suspect.pulleys} for suspect in found.suspects)
    if not found.usable:
        return "named, no layout" if named else "others named, no layout"
    wrong = any(
        miss(name, centre.at) > max(WRONG, WRONG_SIGMAS * centre.sigma)
        for name, centre in found.centres.items()
    )
    said = "named and left out" if named else "not named"
    return f"{said}, yet wrong" if wrong else said


def outcomes(make: Make, draws: int) -> Counter[str]:
    """How often each outcome came."""
    return Counter(outcome(make(np.random.default_rng((99, number)))) for number in range(draws))


KINDS: tuple[Make, ...] = (
    small_slip,
    large_slip,
    two_slips,
    wrong_size,
    swapped_names,
    wrong_click,
    chamfer,
    cut_picture,
)


def main(draws: int) -> None:
    """Print the outcomes of every kind of trouble."""
    for make in KINDS:
        found = outcomes(make, draws)
        print(f"{make.__name__}: {_listed(found)}")
    for depth in (5.0, 10.0, 15.0, 20.0, 30.0):
        print(f"front {depth:.0f} mm off: {_listed(outcomes(deep_front(depth), draws))}")


def _listed(found: Counter[str]) -> str:
    return ", ".join(f"{count} {what}" for what, count in found.most_common())


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
