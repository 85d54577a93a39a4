"""From the Lagrangian to equations that run: notation, geometry, energy, motion, source."""

import importlib
from types import ModuleType


def __getattr__(name: str) -> ModuleType:
    """Give a module of this room where it is first asked for; sympy takes long to load."""
    try:
        return importlib.import_module(f"{__name__}.{name}")
    except ModuleNotFoundError as error:
        raise AttributeError(f"the room of derivation has no {name!r}") from error
