"""Compare beltpath with an independent solver on random drives: ``python -m tests.nightly N``.

Prints the largest difference of every quantity and every drive that differs by more than its bound.
Exit status 0: all agree; 1: some do not.
"""

from __future__ import annotations

import argparse
import sys

from tests.nightly.compare import BOUNDS, UNITS, Difference, differences


def main(args: list[str]) -> int:
    """Compare so many drives, and tell."""
    parser = argparse.ArgumentParser(prog="python -m tests.nightly", description=__doc__)
    parser.add_argument("drives", type=int, nargs="?", default=1000, help="how many (1000)")
    parser.add_argument("--seed", type=int, default=0, help="the number of the first (0)")
    call = parser.parse_args(args)
    if call.drives < 1:
        parser.error("drives start at 1")
    worst: dict[str, Difference] = {}
    bad = 0
    for seed in range(call.seed, call.seed + call.drives):
        for one in differences(seed):
            if not one.sound:
                bad += 1
                print(f"drive {seed}: {one.what} differs by {one.apart:.3g} {UNITS[one.what]}")
            if one.what not in worst or not one.apart <= worst[one.what].apart:
                worst[one.what] = one
    for what, one in worst.items():
        bound = f"bound {BOUNDS[what]:.0e}"
        print(f"{what:9} at most {one.apart:.2e} {UNITS[what]} (drive {one.seed}; {bound})")
    print(f"{call.drives} drives, {bad} differences beyond their bound")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
