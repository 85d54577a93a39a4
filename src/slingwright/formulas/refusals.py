"""Refusing sizes and loads that no formula can answer for, in words that say what to mend."""

import math


def above_zero(value: float, name: str, unit: str = "") -> float:
    """Give a value back if it is finite and above zero.

    Args:
        value: the value, in its unit [any].
        name: what it is, for the message [text].
        unit: its unit, for the message [text].

    Returns: The same value [any].
    Raises: ValueError if it is zero, negative, infinite or not a number.
    Source: common practice.

    >>> above_zero(2.0, "span", "m")
    2.0
    """
    if not (value > 0.0 and math.isfinite(value)):
        raise ValueError(_said(value, name, unit, "be above zero. Give its true value"))
    return value


def not_negative(value: float, name: str, unit: str = "") -> float:
    """Give a value back if it is finite and zero or more.

    Args:
        value: the value, in its unit [any].
        name: what it is, for the message [text].
        unit: its unit, for the message [text].

    Returns: The same value [any].
    Raises: ValueError if it is negative, infinite or not a number.
    Source: common practice.

    >>> not_negative(0.0, "hole", "m")
    0.0
    """
    if not (value >= 0.0 and math.isfinite(value)):
        raise ValueError(_said(value, name, unit, "be zero or more. Give its true value"))
    return value


def between(value: float, low: float, high: float, name: str, unit: str = "") -> float:
    """Give a value back if it lies between two limits, both allowed.

    Args:
        value: the value, in its unit [any].
        low: lower limit [any].
        high: upper limit [any].
        name: what it is, for the message [text].
        unit: its unit, for the message [text].

    Returns: The same value [any].
    Raises: ValueError if it lies outside, or is not a number.
    Source: common practice.

    >>> between(0.5, 0.0, 1.0, "bond")
    0.5
    """
    if not low <= value <= high:
        what = f"lie between {low:g} and {high:g}. Give a value inside"
        raise ValueError(_said(value, name, unit, what))
    return value


def _said(value: float, name: str, unit: str, what: str) -> str:
    return f"{name} is {value:g} {unit}".rstrip() + f"; it must {what}."
