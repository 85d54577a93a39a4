"""Where everything is: points of the machine as functions of the coordinates."""

from dataclasses import dataclass

import sympy as sp

from slingwright.derivation.notation import COORDINATE, RATE, Kind, Named, letter

Vector = tuple[sp.Expr, sp.Expr]


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A rigid body, or a point mass where `inertia` is 0.

    `at` is its centre of mass, `turn` the angle it turns by (either sense: only its square counts).
    A cord has a `span` instead, from one of its ends to the other: it is straight, its mass is
    spread evenly, and its span may stretch.
    """

    name: str
    mass: sp.Expr
    at: Vector
    inertia: sp.Expr = sp.Integer(0)
    turn: sp.Expr = sp.Integer(0)
    span: Vector | None = None


def _along(start: Vector, length: sp.Expr, direction: Vector) -> Vector:
    return (start[0] + length * direction[0], start[1] + length * direction[1])


def axle(kind: Kind) -> Vector:
    """Axle centre: above the origin, moved by X where the base rolls."""
    return (COORDINATE["X"] if kind.wheels else sp.Integer(0), letter("axle.height"))


def arm_direction() -> Vector:
    """Unit vector from the axle to the tip of the long arm: the tip is to the rear at e = 0."""
    e = COORDINATE["e"]
    return (-sp.cos(e), sp.sin(e))


def sling_direction() -> Vector:
    """Unit vector from the tip to the projectile; equal to the arm's when the lag e - s is 0."""
    s = COORDINATE["s"]
    return (-sp.cos(s), sp.sin(s))


def hanger_direction() -> Vector:
    """Unit vector from the hanger pin to the hinged weight's centre of mass."""
    h = COORDINATE["h"]
    return (sp.sin(h), -sp.cos(h))


def points(kind: Kind) -> dict[str, Vector]:
    """Named points: axle, tip, pin, weight, projectile, arm and cord (their centres)."""
    centre = axle(kind)
    along_arm, along_sling = arm_direction(), sling_direction()
    tip = _along(centre, letter("arm.long"), along_arm)
    pin = _along(centre, -letter("arm.short"), along_arm)
    hanger = letter("counterweight.hanger")
    held = _along(tip, letter("sling.length"), along_sling)
    ball = (COORDINATE["x_b"], COORDINATE["y_b"]) if kind.loose else held
    return {
        "axle": centre,
        "tip": tip,
        "pin": pin,
        "weight": _along(pin, hanger, hanger_direction()) if kind.hung else pin,
        "ball": ball,
        "arm": _along(centre, letter("arm.balance"), along_arm),
        "cord": ((tip[0] + ball[0]) / 2, (tip[1] + ball[1]) / 2),
    }


def bodies(kind: Kind) -> tuple[Body, ...]:
    """All that moves: arm, weight, sling cords, pouch with projectile, and the base on wheels."""
    at = points(kind)
    e, h = COORDINATE["e"], COORDINATE["h"]
    tip, ball = at["tip"], at["ball"]
    moving = [
        Body(
            name="arm",
            mass=letter("arm.mass"),
            inertia=letter("arm.inertia"),
            at=at["arm"],
            turn=e,
        ),
        Body(
            name="weight",
            mass=letter("counterweight.mass"),
            inertia=letter("counterweight.inertia"),
            at=at["weight"],
            turn=h if kind.hung else e,
        ),
        Body(
            name="cord",
            mass=letter("sling.mass"),
            at=at["cord"],
            span=(ball[0] - tip[0], ball[1] - tip[1]),
        ),
        Body(
            name="ball",
            mass=letter("projectile.mass") + letter("sling.pouch"),
            at=ball,
        ),
    ]
    if kind.wheels:
        moving.append(
            Body(
                name="base",
                mass=letter("base.mass"),
                at=(COORDINATE["X"], sp.Integer(0)),
            )
        )
    return tuple(moving)


def rate(expression: sp.Expr, kind: Named) -> sp.Expr:
    """Time derivative of a function of the coordinates, by the chain rule."""
    return sp.Add(*(sp.diff(expression, COORDINATE[n]) * RATE[n] for n in kind.names))


def velocity(at: Vector, kind: Named) -> Vector:
    """Velocity of a point."""
    return (rate(at[0], kind), rate(at[1], kind))
