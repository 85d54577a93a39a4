"""Loops over numbers that are compiled when they are first called."""

import functools
from collections.abc import Callable
from typing import Any


def compiled(loop: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a loop over numbers and arrays when it is first called, and keep it on disk.

    It lets go of the interpreter while it runs, so that threads may share the cores.
    """

    @functools.cache
    def code() -> Callable[..., Any]:
        from numba import njit

        made: Callable[..., Any] = njit(nogil=True, error_model="numpy", cache=True)(loop)
        return made

    @functools.wraps(loop)
    def called(*given: Any) -> Any:
        return code()(*given)

    return called
