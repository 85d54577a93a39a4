"""A ladder of machines, each with one thing more than the one below, each from its own Lagrangian.

    lever   two masses on a lever without mass
    beam    the lever has a mass of its own
    box     the counterweight, fixed to the lever, is a body and no point
    hinge   the counterweight hangs on a pin
    sling   the projectile swings on a sling, with nothing under it

The last one is the machine of `motion.derive` while its sling swings free.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import sympy as sp

from slingwright.derivation import geometry
from slingwright.derivation.energy import kinetic, potential
from slingwright.derivation.geometry import Body, Vector
from slingwright.derivation.motion import lagrange
from slingwright.derivation.notation import ACCELERATION, COORDINATE, LETTER, RATE, Kind
from slingwright.derivation.typeset import LAGRANGIAN, MOVING, RESTING, Equations

MACHINE = Kind(hung=True, wheels=False)
RUNGS: Mapping[str, str] = {
    "lever": "Two masses on a lever",
    "beam": "The lever has a mass of its own",
    "box": "The counterweight is a body",
    "hinge": "The counterweight hangs on a pin",
    "sling": "The projectile swings on a sling",
}
"""Each rung and what it adds to the one below."""
CALLED: Mapping[str, str] = {
    "arm": "arm",
    "weight": "counterweight",
    "cord": "sling",
    "ball": "projectile",
}
"""Each body as it is read."""


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
        moving, resting = zip(*_each(self), strict=True)
        return sp.Add(*moving), sp.Add(*resting)

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
            sp.Eq(sp.collect(sp.expand(left), list(rates)), sp.expand(right))
            for left, right in zip(mass * rates, force, strict=True)
        )
        return Equations(title=f"{RUNGS[self.key]}, motion", shown=shown, kind=self.kind)

    def derivation(self) -> Equations:
        """Give the way from the places of the bodies to the equations, a line of algebra a step."""
        words, shown = list[str](), list[sp.Eq]()

        def step(told: str, left: sp.Expr | str, right: sp.Expr) -> None:
            words.append(told)
            name = sp.Symbol(left) if isinstance(left, str) else left
            shown.append(sp.Eq(name, right, evaluate=False))

        rates = [RATE[name] for name in self.names]
        for body, (moving, resting) in zip(self.bodies, _each(self), strict=True):
            called = CALLED[body.name]
            at = rf"_\text{{{called}}}"
            step(f"**The {called}** is so far forward and so high:", f"x{at}", body.at[0])
            step("", f"y{at}", body.at[1])
            step("It moves, and has a height:", f"T{at}", sp.factor_terms(moving))
            step("", f"V{at}", resting)
        moving, resting = self.energies()
        moving = sp.collect(sp.expand(moving), [rate**2 for rate in rates])
        step("**All together**, after simplifying:", MOVING, moving)
        step("", RESTING, sp.expand(resting))
        step("**The Lagrangian** is the one less the other:", LAGRANGIAN, MOVING - RESTING)
        for name in self.names:
            q, dot = COORDINATE[name], rf"\dot{{{name}}}"
            pushed = sp.collect(sp.expand(sp.diff(moving, RATE[name])), rates)
            part = r"\partial \mathcal{L} / \partial"
            step(f"**For ${name}$**: by its rate, by itself:", rf"{part} {dot}", pushed)
            pull = sp.diff(moving, q) - sp.diff(resting, q)
            step("", rf"{part} {name}", sp.factor_terms(pull))
        words += ["**The first changes with time as the second says**, which moves the machine:"]
        words += [""] * (len(self.names) - 1)
        shown += self.equations().shown
        title = f"{RUNGS[self.key]}, from the bodies to the motion"
        return Equations(title=title, shown=tuple(shown), kind=self.kind, words=tuple(words))

    def compiled(self, dials: Mapping[str, float]) -> tuple[Callable[..., np.ndarray], ...]:
        """Give functions of coordinates and rates, for these dials (path to SI value).

        Returns:
            Accelerations (n,), place and velocity of the projectile (4,), energies T and V of each
            body (bodies, 2).
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

        return accelerations, made(sp.Array(place)), made(sp.Array(_each(self)))


@cache
def _each(step: Rung) -> list[tuple[sp.Expr, sp.Expr]]:
    """Kinetic and potential energy of each body, simplified."""
    return [(sp.trigsimp(sp.expand(kinetic(body, step))), potential(body)) for body in step.bodies]


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
