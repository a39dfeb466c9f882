"""Formulas of a belt under tension: friction round a pulley, hub load, plucked span.

Forces in N, angles of wrap in radians, lengths in mm, mass of belt in kg per metre of its length.
The *grip tension* of a span is T − m·v²: the part of its tension T that presses the belt on its
pulleys; the rest, m·v², only bends the moving belt round them.
"""

from __future__ import annotations

from math import exp, expm1, inf, log, pi, radians, sin, sqrt

from beltpath.geometry import Point

MM_PER_M = 1000.0


def wedge_factor(groove_angle: float) -> float:
    """How many times over a groove of that angle (deg) makes friction count: 1/sin(angle/2).

    Equilibrium of a wedge on its two flanks; 180° is a flat face, 1.
    """
    return 1.0 / sin(radians(groove_angle) / 2.0)


def capstan_ratio(friction: float, wrap: float, groove_angle: float = 180.0) -> float:
    """Greatest ratio of grip tensions that friction holds over a wrap: exp(μ·wrap/sin(angle/2)).

    Euler's and Eytelwein's relation. `groove_angle` in degrees; leave it out where `friction` is an
    effective one that holds the wedge already, as the guide values of this project do.
    """
    return exp(friction * wrap * wedge_factor(groove_angle))


def slip_reserve(friction: float, wrap: float, entering: float, leaving: float) -> float:
    """Grip available over grip needed on one pulley: μ·wrap / |ln(leaving/entering)|.

    The tensions are grip tensions, `friction` the effective one. 1 is on the point of slipping: the
    reserve says by how much friction (or wrap) may fall short. Infinite where both sides carry the
    same (nothing to grip); 0 where either side is slack.
    """
    if min(entering, leaving) <= 0.0:
        return 0.0
    needed = abs(log(leaving / entering))
    return inf if needed == 0.0 else friction * wrap / needed


def slack_side_needed(friction: float, wrap: float, pull: float, reserve: float) -> float:
    """Grip tension in N wanted on a pulley's slack side to carry `pull` (N) with that reserve.

    From the capstan relation with friction/reserve: pull / (exp(μ·wrap/reserve) − 1). Infinite
    without wrap.
    """
    grip = expm1(friction * wrap / reserve)
    return abs(pull) / grip if grip > 0.0 else inf


def hub_load(entering: float, leaving: float, u_in: Point, u_out: Point) -> Point:
    """The force of the belt on a pulley's hub in N: vector sum of its two spans' grip tensions.

    `u_in` and `u_out` are the spans' directions of travel. Each span pulls the pulley along itself,
    away from the contact. m·v² falls out: it is what it takes to turn the moving belt round.
    """
    return (
        leaving * u_out[0] - entering * u_in[0],
        leaving * u_out[1] - entering * u_in[1],
    )


def span_frequency(tension: float, mass: float, length: float) -> float:
    """First frequency in Hz of a plucked span that stands still: sqrt(T/m)/(2·length).

    A taut string without bending stiffness; a real belt sounds a little higher on a short span.
    """
    return sqrt(tension / mass) / (2.0 * length / MM_PER_M)


def span_tension(frequency: float, mass: float, length: float) -> float:
    """Tension in N of a span that, plucked, sounds at that frequency (Hz): m·(2·length·f)²."""
    return mass * (2.0 * length / MM_PER_M * frequency) ** 2


def belt_speed(pitch_radius: float, rpm: float) -> float:
    """Speed in m/s of a belt whose pitch line runs on that radius (mm) at that speed of turning."""
    return 2.0 * pi * pitch_radius / MM_PER_M * rpm / 60.0
