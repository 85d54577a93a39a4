"""Refusing numbers that make no sense, by name, value and limit."""

import math


def above_zero(**values: float) -> None:
    """Raise ValueError for the first value that is not a finite number above zero."""
    for name, value in values.items():
        if not (value > 0.0 and math.isfinite(value)):
            raise ValueError(f"{_words(name)} is {value:g}; it must be a number above zero")


def not_below_zero(**values: float) -> None:
    """Raise ValueError for the first value that is not a finite number of zero or more."""
    for name, value in values.items():
        if not (value >= 0.0 and math.isfinite(value)):
            raise ValueError(f"{_words(name)} is {value:g}; it must be zero or more")


def finite(**values: float) -> None:
    """Raise ValueError for the first value that is not a finite number."""
    for name, value in values.items():
        if not math.isfinite(value):
            raise ValueError(f"{_words(name)} is {value:g}; it must be a finite number")


def at_most(limit: float, why: str, **values: float) -> None:
    """Raise ValueError for the first value beyond the limit; `why` says what sets the limit."""
    for name, value in values.items():
        if not value <= limit:
            raise ValueError(f"{_words(name)} is {value:g}, but at most {limit:g} goes: {why}")


def one_of(known: tuple[object, ...], **values: object) -> None:
    """Raise ValueError for the first value that is not among those known."""
    for name, value in values.items():
        if value not in known:
            listed = ", ".join(repr(word) for word in known)
            raise ValueError(f"{_words(name)} is {value!r}; known: {listed}")


def _words(name: str) -> str:
    """Give an argument's name as words."""
    return name.replace("_", " ")
