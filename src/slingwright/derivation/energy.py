"""Kinetic and potential energy, body by body, and their difference: the Lagrangian."""

from __future__ import annotations

import sympy as sp

from slingwright.derivation.geometry import Body, bodies, rate, velocity
from slingwright.derivation.notation import Kind, letter


def kinetic(body: Body, kind: Kind) -> sp.Expr:
    """Half mass times speed squared, and half inertia times turning rate squared."""
    v_x, v_y = velocity(body.at, kind)
    turning = rate(body.turn, kind)
    return body.mass * (v_x**2 + v_y**2) / 2 + body.inertia * turning**2 / 2


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
