"""Which names a dial may hold: rows of a table of materials, or a few choices."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from slingwright.machine.table.dial import Dial
from slingwright.tables import materials
from slingwright.tables import ropes as ropes_table

_TABLES: Mapping[str, Callable[[], Iterable[str]]] = MappingProxyType(
    {
        "timber": materials.timber_names,
        "steel": materials.steel_names,
        "bolt_sizes": materials.bolt_size_names,
        "bolt_grades": materials.bolt_grade_names,
        "bushings": materials.bushing_names,
        "ropes": ropes_table.rope_names,
        "knots": ropes_table.knot_names,
        "rope_uses": ropes_table.rope_use_names,
        "sheave_ratios": ropes_table.sheave_ratio_names,
    }
)


def known_names(dial: Dial) -> tuple[str, ...]:
    """Give the names a dial may hold, the user's own rows of the tables included.

    Raises:
        ValueError: a dial that holds no name.
    """
    if dial.choices:
        return dial.choices
    if dial.table not in _TABLES:
        raise ValueError(f"{dial.path} holds no name of a table; it is a {dial.kind}")
    return tuple(_TABLES[dial.table]())
