"""Equations of motion set for reading: dots over letters, and a legend of every symbol."""

import html
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import sympy as sp
from sympy.simplify.fu import TR10i

from slingwright.amounts.answer import Answer, Row
from slingwright.derivation import energy, motion
from slingwright.derivation.notation import (
    ACCELERATION,
    CONTACT,
    COORDINATE,
    LETTER,
    RATE,
    RUBBING,
    Kind,
    Phase,
)
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials

NAMES: Mapping[str, str] = {
    "e": "arm elevation, the long arm above the horizontal",
    "h": "hanger angle, from straight down, forward positive",
    "s": "sling elevation; the sling lag is e - s",
    "X": "distance that the base has rolled",
    "x_b": "distance of the pouch along the throw where the sling is loose",
    "y_b": "height of the pouch where the sling is loose",
}
FORCES: Mapping[sp.Symbol, str] = {
    CONTACT: "force of the trough on the projectile, up",
    RUBBING: "friction of the trough on the projectile, along the throw",
}
LAGRANGIAN = sp.Symbol(r"\mathcal{L}")
"""Not L, which is the long arm."""
MOVING, RESTING = sp.symbols("T V", real=True)
ENERGIES: Mapping[sp.Symbol, str] = {
    LAGRANGIAN: "Lagrangian: kinetic energy less potential energy",
    MOVING: "kinetic energy",
    RESTING: "potential energy, from the ground up",
}
WIDEST = 84
"""Letters of a line as sympy writes it as text, at which a sum is broken between its terms."""
DOTTED: Mapping[sp.Symbol, str] = {
    **{symbol: rf"\dot{{{name}}}" for name, symbol in RATE.items()},
    **{symbol: rf"\ddot{{{name}}}" for name, symbol in ACCELERATION.items()},
}


def latex(expression: sp.Basic) -> str:
    """Write an expression in LaTeX, rates and accelerations with dots.

    >>> from slingwright.derivation.notation import RATE
    >>> latex(RATE["e"] ** 2)
    '\\\\dot{e}^{2}'
    """
    return str(sp.latex(expression, symbol_names=dict(DOTTED)))


def tidy(one: sp.Expr) -> sp.Expr:
    """Put sines and cosines of sums together, and what is with one acceleration or squared rate."""
    plain = TR10i(sp.expand(one))
    for x in COORDINATE.values():
        plain = plain.subs(sp.sin(x) ** 2, 1 - sp.cos(x) ** 2)
    rates = [*ACCELERATION.values(), *(rate**2 for rate in RATE.values())]
    return sp.collect(sp.expand(plain), rates)


def set_out(one: sp.Basic) -> str:
    """Write an equation in LaTeX over as many lines as it needs, broken between terms."""
    if not isinstance(one, sp.Eq):
        return latex(one)
    rows, width = [""], 0
    for before, side in (("", one.lhs), (" = ", one.rhs)):
        if any(len(str(term)) > WIDEST for term in sp.Add.make_args(side)):
            side = sp.expand(side)
        for at, term in enumerate(sp.Add.make_args(side)):
            text, long = latex(term), len(str(term))
            if rows[-1] and width + long > WIDEST:
                rows.append("")
                width = 0
            sign = before if not at else " " if text.startswith("-") else " + "
            rows[-1], width = rows[-1] + sign + text, width + long
    return r"\begin{aligned}&" + r"\\ &\quad ".join(rows) + r"\end{aligned}"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Equations(Answer):
    """Expressions or equations under a title, typeset by a notebook with a legend below.

    Args:
        title: what they are.
        shown: the sympy expressions, which may be worked on further.
        kind: the kind of machine they hold for.
        words: what stands before each, where it needs words.
    """

    title: str
    shown: tuple[sp.Basic, ...]
    kind: Kind
    words: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """What is set here, and for which kind of machine."""
        weight = "hinged" if self.kind.hung else "fixed"
        base = "on wheels" if self.kind.wheels else "staked"
        return f"{self.title}: {weight} counterweight, base {base}."

    def symbols(self) -> list[sp.Symbol]:
        """Give every symbol that occurs, coordinates first, dots left off."""
        used = set[sp.Symbol]().union(*(one.free_symbols for one in self.shown))
        known = {
            **{symbol: COORDINATE[name] for name, symbol in RATE.items()},
            **{symbol: COORDINATE[name] for name, symbol in ACCELERATION.items()},
        }
        plain = {known.get(symbol, symbol) for symbol in used}
        order = (*COORDINATE.values(), *ENERGIES, *FORCES, *LETTER.values())
        return [one for one in order if one in plain]

    def rows(self) -> list[Row]:
        """Give the legend: each symbol, its name and its unit."""
        path_of = {symbol: path for path, symbol in LETTER.items()}
        rows = []
        for symbol in self.symbols():
            if symbol in path_of:
                row = dials.BY_PATH[path_of[symbol]]
                rows.append(Row(row.path, str(symbol), row.label, f"{row.path} [{row.si_unit}]"))
            else:
                name = FORCES.get(symbol) or ENERGIES.get(symbol) or NAMES[str(symbol)]
                unit = "N" if symbol in FORCES else "J" if symbol in ENERGIES else "rad"
                unit = "m" if str(symbol) in ("X", "x_b", "y_b") else unit
                rows.append(Row(str(symbol), str(symbol), name, f"[{unit}]"))
        return rows

    def _repr_html_(self) -> str:
        """Give words, formulas for a notebook to set, and the legend."""
        words = self.words or ("",) * len(self.shown)
        steps = zip(
            words, (f"$$\\displaystyle {set_out(one)}$$" for one in self.shown), strict=True
        )
        lines = html.escape("\n".join(part for step in steps for part in step if part))
        told = re.sub(r"\*\*(.+?)\*\*", r"<b>\1</b>", lines).replace("\n", "</p><p>")
        legend = "".join(
            f"<tr><td>${sp.latex(sp.Symbol(row.label))}$</td><td>{html.escape(str(row.value))}</td>"
            f"<td>{html.escape(str(row.note))}</td></tr>"
            for row in self.rows()
        )
        head = "<tr><th>symbol</th><th>is</th><th>dial</th></tr>"
        return f"<p><b>{self.sentence}</b></p><p>{told}</p><table>{head}{legend}</table>"


def kind_of(machine: Machine) -> Kind:
    """Give which equations hold for a machine."""
    return Kind(hung=machine.flag("counterweight.hung"), wheels=machine.flag("base.wheels"))


def lagrangian(machine: Machine) -> Equations:
    """Give the Lagrangian of a machine: kinetic energy less potential energy, in joules."""
    kind = kind_of(machine)
    kinetic, potential = energy.lagrangian(kind)
    whole = sp.Eq(LAGRANGIAN, tidy(kinetic - potential), evaluate=False)
    return Equations(title="The Lagrangian", shown=(whole,), kind=kind)


def equations(machine: Machine, phase: Literal["trough", "free", "empty"] = "free") -> Equations:
    """Give the equations of motion of one phase of a machine's throw.

    Args:
        machine: the machine.
        phase: "trough", "free" (swinging free) or "empty" (the sling empty, after release).

    Raises:
        ValueError: another phase.
    """
    named: Mapping[str, Phase] = {"trough": "trough", "free": "free", "empty": "empty"}
    if phase not in named:
        raise ValueError(f"phase is {phase!r}; give one of {', '.join(named)}")
    kind = kind_of(machine)
    title = {
        "trough": "The projectile in the trough",
        "free": "The sling swinging free",
        "empty": "The sling empty",
    }[phase]
    found = motion.equations(kind, named[phase])
    shown = tuple(sp.Eq(tidy(one.lhs), tidy(one.rhs), evaluate=False) for one in found)
    return Equations(title=title, shown=shown, kind=kind)
