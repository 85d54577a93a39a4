"""From the Lagrangian to the equations of motion, the trough's constraint and the forces.

    M(q) a = f(q, v) + N dy/dq + F_t dx/dq + friction torques

A derivation is a pure function from a machine kind to a frozen record of sympy expressions; nothing
is simplified and no matrix is inverted here.  The phases share it: in the trough the projectile's
height is held by the contact force N; swinging free N is 0; empty, the projectile's mass is 0.
"""

from dataclasses import dataclass

import sympy as sp

from slingwright.derivation import geometry
from slingwright.derivation.energy import kinetic, lagrangian, potential
from slingwright.derivation.geometry import Vector, rate
from slingwright.derivation.notation import (
    ACCELERATION,
    CONTACT,
    COORDINATE,
    RATE,
    RUBBING,
    Kind,
    Named,
    Phase,
    letter,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A quantity that is linear in the accelerations: `per_acceleration . a + rest`."""

    per_acceleration: tuple[sp.Expr, ...]
    rest: sp.Expr


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """What the derivation yields for one machine kind; n coordinates in `kind.names` order.

    `mass` (n, n) and `force` (n) are M and f.  `ball_height` and `ball_travel` are the second
    derivatives of the projectile's height and of its way along the trough (relative to the base).
    `axle_load_x`, `axle_load_y` are the axle's force on the arm by Newton's law on all that
    hangs on it (before N and F_t); `pin_load_x`, `pin_load_y` the pin's force on the weight.
    """

    kind: Kind
    kinetic: sp.Expr
    potential: sp.Expr
    mass: sp.Matrix
    force: sp.Matrix
    ball_height: Rows
    ball_travel: Rows
    axle_load_x: Rows
    axle_load_y: Rows
    pin_load_x: Rows
    pin_load_y: Rows


def _twice(expression: sp.Expr, kind: Kind) -> Rows:
    """Second time derivative of a function of the coordinates."""
    speed = rate(expression, kind)
    per_acceleration = tuple(sp.diff(speed, RATE[n]) for n in kind.names)
    return Rows(per_acceleration=per_acceleration, rest=rate(speed, kind))


def _newton(parts: tuple[geometry.Body, ...], axis: int, kind: Kind) -> Rows:
    """Force that moves `parts`: sum of mass times (acceleration plus gravity upward)."""
    way = sp.Add(*(part.mass * part.at[axis] for part in parts))
    rows = _twice(way, kind)
    weight = sp.Add(*(part.mass for part in parts)) * letter("site.gravity") if axis == 1 else 0
    return Rows(per_acceleration=rows.per_acceleration, rest=rows.rest + weight)


def lagrange(kinetic: sp.Expr, potential: sp.Expr, kind: Named) -> tuple[sp.Matrix, sp.Matrix]:
    """Lagrange's equations M(q) a = f(q, v) of two energies: M (n, n) and f (n, 1)."""
    q = [COORDINATE[n] for n in kind.names]
    v = [RATE[n] for n in kind.names]
    momentum = [sp.diff(kinetic, rate_) for rate_ in v]
    mass = sp.Matrix([[sp.diff(p, rate_) for rate_ in v] for p in momentum])
    force = sp.Matrix(
        [
            sp.diff(kinetic, place) - sp.diff(potential, place) - rate(p, kind)
            for p, place in zip(momentum, q, strict=True)
        ]
    )
    return mass, force


def derive(kind: Kind) -> Motion:
    """Derive the equations of motion of one machine kind from its Lagrangian."""
    kinetic_all, potential_all = lagrangian(kind)
    mass, force = lagrange(kinetic_all, potential_all, kind)
    at = geometry.points(kind)
    on_axle = tuple(b for b in geometry.bodies(kind) if b.name != "base")
    weight = tuple(b for b in on_axle if b.name == "weight")
    return Motion(
        kind=kind,
        kinetic=kinetic_all,
        potential=potential_all,
        mass=mass,
        force=force,
        ball_height=_twice(at["ball"][1], kind),
        ball_travel=_twice(at["ball"][0] - at["axle"][0], kind),
        axle_load_x=_newton(on_axle, 0, kind),
        axle_load_y=_newton(on_axle, 1, kind),
        pin_load_x=_newton(weight, 0, kind),
        pin_load_y=_newton(weight, 1, kind),
    )


def equations(kind: Kind, phase: Phase) -> tuple[sp.Eq, ...]:
    """The equations of motion of one phase written out, one for each coordinate, for reading.

    In the trough the last equation is the constraint on the projectile's height.
    """
    motion = derive(kind)
    a = sp.Matrix([ACCELERATION[n] for n in kind.names])
    right = motion.force
    if phase == "trough":
        up = sp.Matrix(motion.ball_height.per_acceleration)
        along = sp.Matrix(motion.ball_travel.per_acceleration)
        right = right + CONTACT * up + RUBBING * along
    found = [sp.Eq(left, r) for left, r in zip(motion.mass * a, right, strict=True)]
    if phase == "trough":
        row = motion.ball_height
        held = sp.Add(*(c * x for c, x in zip(row.per_acceleration, a, strict=True)), row.rest)
        found.append(sp.Eq(held, 0))
    if phase == "empty":
        found = [eq.subs(letter("projectile.mass"), 0) for eq in found]
    return tuple(found)


def acceleration(at: Vector, kind: Kind) -> Vector:
    """Acceleration of a point, with the accelerations of the coordinates as symbols."""

    def of(part: sp.Expr) -> sp.Expr:
        rows = _twice(part, kind)
        terms = zip(rows.per_acceleration, kind.names, strict=True)
        return sp.Add(*(c * ACCELERATION[n] for c, n in terms), rows.rest)

    return (of(at[0]), of(at[1]))


def part_forces(kind: Kind) -> dict[str, sp.Expr]:
    """Forces found body by body from the outside in: sling, pin, then the axle as their sum.

    `tip_*` is the arm's force on the sling, `pouch_*` the sling's force on the loaded pouch,
    `pin_*` the arm's force on the weight, `axle_*` the axle's force on the arm.
    """
    up = (sp.Integer(0), letter("site.gravity"))
    by_name = {body.name: body for body in geometry.bodies(kind)}

    def needed(name: str, axis: int) -> sp.Expr:
        body = by_name[name]
        return body.mass * (acceleration(body.at, kind)[axis] + up[axis])

    trough = (RUBBING, CONTACT)
    forces: dict[str, sp.Expr] = {}
    for axis, letter_ in enumerate("xy"):
        pouch = needed("ball", axis) - trough[axis]
        tip = pouch + needed("cord", axis)
        pin = needed("weight", axis)
        forces[f"pouch_{letter_}"] = pouch
        forces[f"tip_{letter_}"] = tip
        forces[f"pin_{letter_}"] = pin
        forces[f"axle_{letter_}"] = needed("arm", axis) + tip + pin
    return forces


def part_energies(kind: Kind) -> dict[str, sp.Expr]:
    """Kinetic plus potential energy of arm, weight, cords, pouch with projectile, and base."""
    return {b.name: kinetic(b, kind) + potential(b) for b in geometry.bodies(kind)}
