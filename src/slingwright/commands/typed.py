"""What is typed on the command line made into values: one reader of numbers and of dials."""

from __future__ import annotations

import argparse

from slingwright.amounts import units
from slingwright.machine.table import dials


def number(text: str) -> float:
    """Read an option's number; argparse tells what is wrong with it."""
    try:
        return units.number(text)
    except units.UnitError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def whole(text: str) -> int:
    """Read an option's whole number; argparse tells what is wrong with it."""
    try:
        return units.whole_number(text)
    except units.UnitError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def length(text: str) -> float:
    """Read an option's length with its unit [m]; argparse tells what is wrong with it."""
    try:
        return units.quantity(text, "m")
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text[:40]!r}: {error}") from None


def setting(dial: dials.Dial, text: str) -> dials.Value:
    """Read one value of a dial: a bare number is in the dial's unit, "none" takes it back.

    Raises:
        ValueError: a flag that is neither, or a number with a comma; the words name the dial.
    """
    if dial.kind == "flag":
        if text not in ("true", "false"):
            raise ValueError(f"{dial.path} = {text}: this is neither true nor false; write one")
        return text == "true"
    if dial.kind == "name":
        return text
    if text == "none" and dial.default is None and not dial.required:
        return None
    try:
        found = units.number_or_none(text)
    except units.UnitError as error:
        raise ValueError(f"{dial.path} = {text[:40]}: {error}") from None
    return text if found is None else found * dial.factor
