"""Kinetic and potential energy, body by body, and their difference: the Lagrangian."""

import sympy as sp

from slingwright.derivation.geometry import Body, bodies, rate, velocity
from slingwright.derivation.notation import Kind, Named, letter


def kinetic(body: Body, kind: Named) -> sp.Expr:
    """Half mass times speed squared, and half inertia times turning rate squared.

    A straight even cord has m (u^2 + u w + w^2) / 6 with the velocities u and w of its ends: half
    its mass times its middle's speed squared, and m / 24 times the square of what they differ by.
    """
    v_x, v_y = velocity(body.at, kind)
    turning = rate(body.turn, kind)
    moving = body.mass * (v_x**2 + v_y**2) / 2 + body.inertia * turning**2 / 2
    if body.span is None:
        return moving
    apart_x, apart_y = velocity(body.span, kind)
    return moving + body.mass * (apart_x**2 + apart_y**2) / 24


def potential(body: Body) -> sp.Expr:
    """Weight times height above the machine's ground."""
    return body.mass * letter("site.gravity") * body.at[1]


def lagrangian(kind: Kind) -> tuple[sp.Expr, sp.Expr]:
    """Return (kinetic, potential) of the whole machine; the Lagrangian is their difference."""
    parts = bodies(kind)
    return (
        sp.Add(*(kinetic(part, kind) for part in parts)),
        sp.Add(*(potential(part) for part in parts)),
    )
