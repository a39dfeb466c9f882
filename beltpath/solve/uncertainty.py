"""How sure the computed length is: propagation of uncertainty by the exact gradient.

JCGM 100:2008 (GUM), clause 5.1.2: σ_L² = Σ|u_in − u_out|²σ_c² + Σ wrap²·σ_r² + (∂L/∂t)²σ_t².
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import hypot, pi, sqrt
from typing import Literal

from beltpath.data.tables import read_table
from beltpath.layout.keys import HowMeasured
from beltpath.layout.layout import Layout
from beltpath.layout.records import Measured
from beltpath.solve.path import BeltPath

#: Half-width of a 95 % interval of a normal distribution, in standard deviations.
COVERAGE = 1.96

Quantity = Literal["centre", "diameter", "back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One measurement's part in the length's uncertainty: its own sigma and what it adds, mm."""

    pulley: str | None
    quantity: Quantity
    sigma: float
    adds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertainty:
    """1 sigma of the computed effective length in mm, and the shares in it, largest first."""

    sigma: float
    budget: tuple[Share, ...]

    @property
    def expanded(self) -> float:
        """Half-width of the 95 % interval, mm."""
        return COVERAGE * self.sigma


def length_uncertainty(layout: Layout, path: BeltPath) -> Uncertainty:
    """The uncertainty of the path's length from centres, diameters and the belt's thickness."""
    shares = [
        share
        for i, contact in enumerate(path.contacts)
        for share in _shares(layout, path, i, contact.pulley)
    ]
    slope = thickness_slope(layout, path)
    sigma_t = layout.belt.section.back_sigma
    shares.append(Share(pulley=None, quantity="back", sigma=sigma_t, adds=abs(slope) * sigma_t))
    shares.sort(key=lambda share: -share.adds)
    return Uncertainty(sigma=sqrt(sum(share.adds**2 for share in shares)), budget=tuple(shares))


def thickness_slope(layout: Layout, path: BeltPath) -> float:
    """∂L/∂t: how the length follows the distance from effective line to back (rad).

    On a smooth face the radius grows by t under the back and shrinks by it under the ribs.
    """
    slope = 0.0
    for contact, side in zip(path.contacts, path.sides, strict=True):
        grooved = layout.pulleys[contact.pulley].face == "grooved"
        if side == "back" and not (grooved and layout.belt.double_sided):
            slope += contact.wrap
        elif side == "ribs" and not grooved:
            slope -= contact.wrap
    return slope


def diameter_sigma(measured: Measured) -> float:
    """1 sigma of the diameter in mm, by the way it was measured (a guide value)."""
    sigma = _measuring()[measured.how]
    return sigma / pi if measured.how == "around" else sigma


def centre_sigma(layout: Layout, pulley: str) -> float:
    """1 sigma of each coordinate of a pulley's centre, mm.

    All places are measured from the crank's, which is therefore exact unless its own `accuracy`
    says otherwise.
    """
    found = layout.pulleys[pulley]
    if found.accuracy is not None:
        return found.accuracy
    return 0.0 if found.role == "crank" else layout.accuracy


def _shares(layout: Layout, path: BeltPath, i: int, pulley: str) -> tuple[Share, Share]:
    sigma_c = centre_sigma(layout, pulley)
    sigma_d = diameter_sigma(layout.pulleys[pulley].measured)
    return (
        Share(
            pulley=pulley,
            quantity="centre",
            sigma=sigma_c,
            adds=hypot(*path.centre_gradient(i)) * sigma_c,
        ),
        Share(
            pulley=pulley,
            quantity="diameter",
            sigma=sigma_d,
            adds=path.contacts[i].wrap * sigma_d / 2.0,
        ),
    )


@cache
def _measuring() -> dict[HowMeasured, float]:
    rows = read_table("measuring.csv")
    return {row["how"]: float(row["sigma"]) for row in rows}  # type: ignore[misc]
