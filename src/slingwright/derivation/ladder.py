"""A ladder of machines, each with one thing more than the one below, each from its own Lagrangian.

    lever   two masses on a lever without mass
    beam    the lever has a mass of its own
    box     the counterweight, fixed to the lever, is a body and no point
    hinge   the counterweight hangs on a pin
    sling   the projectile swings on a sling, with nothing under it

The last one is the machine of `motion.derive` while its sling swings free.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import sympy as sp

from slingwright.derivation import geometry
from slingwright.derivation.energy import kinetic, potential
from slingwright.derivation.geometry import Body, Vector
from slingwright.derivation.motion import lagrange
from slingwright.derivation.notation import ACCELERATION, COORDINATE, LETTER, RATE, Kind
from slingwright.derivation.typeset import LAGRANGIAN, Equations

MACHINE = Kind(hung=True, wheels=False)
RUNGS: Mapping[str, str] = {
    "lever": "Two masses on a lever",
    "beam": "The lever has a mass of its own",
    "box": "The counterweight is a body",
    "hinge": "The counterweight hangs on a pin",
    "sling": "The projectile swings on a sling",
}
"""Each rung and what it adds to the one below."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """A machine of the ladder: its coordinates, its bodies, and where its projectile is."""

    key: str
    kind: Kind
    names: tuple[str, ...]
    bodies: tuple[Body, ...]
    ball: Vector

    def energies(self) -> tuple[sp.Expr, sp.Expr]:
        """Give kinetic and potential energy."""
        return (
            sp.Add(*(kinetic(body, self) for body in self.bodies)),
            sp.Add(*(potential(body) for body in self.bodies)),
        )

    def lagrangian(self) -> Equations:
        """Give the Lagrangian, typeset with its legend."""
        moving, resting = self.energies()
        whole = sp.Eq(LAGRANGIAN, moving - resting, evaluate=False)
        return Equations(title=f"{RUNGS[self.key]}, Lagrangian", shown=(whole,), kind=self.kind)

    def equations(self) -> Equations:
        """Give the equations of motion, typeset with their legend."""
        mass, force = lagrange(*self.energies(), self)
        rates = sp.Matrix([ACCELERATION[name] for name in self.names])
        shown = tuple(
            sp.Eq(sp.collect(sp.trigsimp(sp.expand(left)), list(rates)), sp.trigsimp(right))
            for left, right in zip(mass * rates, force, strict=True)
        )
        return Equations(title=f"{RUNGS[self.key]}, motion", shown=shown, kind=self.kind)

    def compiled(self, dials: Mapping[str, float]) -> tuple[Callable[..., np.ndarray], ...]:
        """Give functions of coordinates and rates, for these dials (path to SI value).

        Returns:
            Accelerations (n,), place and velocity of the projectile (4,), energies T and V (2,).
        """
        values = {LETTER[path]: value for path, value in dials.items() if path in LETTER}
        state = [COORDINATE[name] for name in self.names] + [RATE[name] for name in self.names]
        mass, force = lagrange(*self.energies(), self)
        place = [*self.ball, *geometry.velocity(self.ball, self)]

        def made(expressions: sp.Basic | list[sp.Expr]) -> Callable[..., np.ndarray]:
            return sp.lambdify(state, sp.sympify(expressions).subs(values), "numpy")

        of_mass, of_force = made(mass), made(force)

        def accelerations(*at: float) -> np.ndarray:
            solved: np.ndarray = np.linalg.solve(of_mass(*at), of_force(*at))[:, 0]
            return solved

        return accelerations, made(sp.Array(place)), made(sp.Array(self.energies()))


def rung(key: str) -> Rung:
    """Give one machine of the ladder.

    Raises:
        ValueError: there is no rung of that name.
    """
    if key not in RUNGS:
        raise ValueError(f"there is no rung {key!r}; the ladder has {', '.join(RUNGS)}")
    at = geometry.points(MACHINE)
    whole = {body.name: body for body in geometry.bodies(MACHINE)}
    e = COORDINATE["e"]
    fixed = Kind(hung=False, wheels=False)
    if key == "sling":
        return Rung(
            key=key,
            kind=MACHINE,
            names=MACHINE.names,
            bodies=tuple(whole.values()),
            ball=at["ball"],
        )
    ball = replace(whole["ball"], mass=LETTER["projectile.mass"], at=at["tip"])
    point = Body(name="weight", mass=whole["weight"].mass, at=at["pin"])
    box = replace(whole["weight"], at=at["pin"], turn=e)
    arm, hung = whole["arm"], whole["weight"]
    bodies = {
        "lever": (point, ball),
        "beam": (arm, point, ball),
        "box": (arm, box, ball),
        "hinge": (arm, hung, ball),
    }[key]
    hinge = key == "hinge"
    return Rung(
        key=key,
        kind=MACHINE if hinge else fixed,
        names=("e", "h") if hinge else ("e",),
        bodies=bodies,
        ball=at["tip"],
    )
