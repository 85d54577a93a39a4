"""The letters of the derivation: one symbol for each dial of the table, one for each coordinate.

Coordinates (contract axes: x forward, y up, origin on the ground under the axle at rest):

    e   arm elevation, long arm above the horizontal, its tip to the rear
    h   hanger angle, the hinged weight's swing from straight down, forward positive
    s   sling elevation; the sling lag that people read is g = e - s
    X   how far the base has rolled
    x_b, y_b   place of the pouch, where the sling is loose: they stand for s there

With s instead of the lag, every body turns by its own angle and the mass matrix is sparse.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, Protocol

import sympy as sp

from slingwright.machine.table.dials import MOVING

LETTER: Mapping[str, sp.Symbol] = MappingProxyType(
    {dial.path: sp.Symbol(dial.symbol or dial.key, real=True) for dial in MOVING}
)
"""Symbol of each dial the motion depends on, by path."""

COORDINATE: Mapping[str, sp.Symbol] = MappingProxyType(
    {name: sp.Symbol(name, real=True) for name in ("e", "h", "s", "X", "x_b", "y_b")}
)
RATE: Mapping[str, sp.Symbol] = MappingProxyType(
    {name: sp.Symbol(f"{name}_dot", real=True) for name in COORDINATE}
)
ACCELERATION: Mapping[str, sp.Symbol] = MappingProxyType(
    {name: sp.Symbol(f"{name}_ddot", real=True) for name in COORDINATE}
)

CONTACT = sp.Symbol("N", real=True)
"""Force of the trough on the projectile, up."""
RUBBING = sp.Symbol("F_t", real=True)
"""Force of the trough on the projectile along the throw, from friction."""

Phase = Literal["trough", "free", "empty"]


class Named(Protocol):
    """What has coordinates: their names in order."""

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the coordinates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """Which machine is derived: weight hinged or fixed to the arm, base staked or on wheels.

    Where the sling is `loose`, the pouch moves by itself: no rod holds it at the sling's length,
    and what the cords do to it is a force of its own.
    """

    hung: bool
    wheels: bool
    loose: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the coordinates in the order of the compiled state."""
        pouch = ("x_b", "y_b") if self.loose else ()
        sling = () if self.loose else ("s",)
        hanger, base = ("h",) if self.hung else (), ("X",) if self.wheels else ()
        return ("e", *hanger, *sling, *base, *pouch)

    @property
    def title(self) -> str:
        """Short name, used in file names and messages.

        >>> Kind(hung=True, wheels=False).title
        'hinged_staked'
        """
        weight, base = "hinged" if self.hung else "fixed", "wheeled" if self.wheels else "staked"
        return f"{weight}_{base}{'_loose' if self.loose else ''}"


KINDS: tuple[Kind, ...] = tuple(
    Kind(hung=hung, wheels=wheels) for hung in (True, False) for wheels in (False, True)
)


def letter(path: str) -> sp.Symbol:
    """Symbol of the dial at `path`.

    >>> letter("sling.length")
    l
    """
    return LETTER[path]
