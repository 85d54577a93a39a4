"""One row of the table of dials, and how to make one of each kind."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal

Value = float | str | bool | None
Kind = Literal["number", "flag", "name"]

SI_FACTOR: Mapping[str, float] = MappingProxyType({"deg": math.pi / 180.0})
"""What one of a dial's unit is in SI, where that is not 1: the table uses SI units and degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """One row of the table.

    `low`, `high`, `step` and `default` are in `unit`.  A default of None means "derived from the
    rest" where `derived.py` has a rule for the path, "not given" elsewhere.  `whole` asks for a
    whole number.  `moves` says that the motion depends on the dial: those dials, in the order of
    the table, are the arguments of the compiled functions.  A name is a row of the table of
    materials `table`, or one of `choices`.
    """

    path: str
    symbol: str
    unit: str
    label: str
    help: str
    low: float = -math.inf
    high: float = math.inf
    step: float = 1.0
    default: Value = None
    kind: Kind = "number"
    required: bool = False
    whole: bool = False
    moves: bool = False
    front: bool = False
    table: str = ""
    choices: tuple[str, ...] = ()
    factor: float = field(init=False, repr=False)
    """SI value of one of the dial's unit: 1 for all but degrees."""
    lowest: float = field(init=False, repr=False)
    highest: float = field(init=False, repr=False)
    """The limits in SI."""

    def __post_init__(self) -> None:
        """Work out once what every machine that is made asks for."""
        factor = SI_FACTOR.get(self.unit, 1.0)
        sizes = (("factor", factor), ("lowest", self.low * factor), ("highest", self.high * factor))
        for name, value in sizes:
            object.__setattr__(self, name, value)

    @property
    def group(self) -> str:
        """First part of the path: `sling` of `sling.length`."""
        return self.path.partition(".")[0]

    @property
    def key(self) -> str:
        """Last part of the path: `length` of `sling.length`."""
        return self.path.partition(".")[2]

    @property
    def si_unit(self) -> str:
        """Unit of the values past the reader: `unit` for all but degrees, which become radians."""
        return "rad" if self.unit == "deg" else self.unit

    @property
    def named(self) -> str:
        """The label that people see, with the path in brackets."""
        return f"{self.label} ({self.path})"

    @property
    def at_first(self) -> Value:
        """The default in SI."""
        if isinstance(self.default, float) and not isinstance(self.default, bool):
            return self.default * self.factor
        return self.default


def number_dial(
    path: str,
    symbol: str,
    unit: str,
    label: str,
    limits: tuple[float, float],
    step: float,
    help: str,
    **more: Any,
) -> Dial:
    """Make a row of a number; `more` are fields of `Dial`."""
    low, high = limits
    return Dial(
        path=path, symbol=symbol, unit=unit, label=label, low=low, high=high, step=step, help=help,
        **more,
    )  # fmt: skip


def flag_dial(path: str, label: str, default: bool, help: str, *, moves: bool = False) -> Dial:
    """Make a row of a truth."""
    return Dial(
        path=path, symbol="", unit="-", label=label, default=default, help=help, kind="flag",
        moves=moves,
    )  # fmt: skip


def name_dial(path: str, label: str, default: str, help: str, **more: Any) -> Dial:
    """Make a row of a name: a row of a table of materials, or one of a few choices."""
    return Dial(
        path=path, symbol="", unit="-", label=label, default=default, help=help, kind="name", **more
    )
