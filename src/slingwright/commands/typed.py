"""What all commands share: how one is declared, what is typed made into values, what is printed.

A command is one function with the decorator `command`; it takes the parsed options, prints its
answer and returns how it went: FINE, FAILED (the throw did not come off, a check fails) or, by
raising an error that the kit names, REFUSED (a path, a file or an option is no good). What takes
long to load is loaded by the command that needs it.
"""

import argparse
import contextlib
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from slingwright.amounts import units
from slingwright.machine.file import read_machine
from slingwright.machine.machine import Machine, read_value
from slingwright.machine.table import dials

FINE, FAILED, REFUSED, STOPPED = 0, 1, 2, 130
CAUTION = "An aid to judgement that approves nothing: local codes and a competent person decide."
Options = argparse.Namespace
Option = tuple[tuple[str, ...], dict[str, Any]]


class Refusal(ValueError):
    """An option that cannot be followed: says what, the value, the limit and the next step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command: its name, one line of help, its options, and what runs it."""

    name: str
    help: str
    options: tuple[Option, ...]
    run: Callable[[Options], int]


COMMANDS: dict[str, Command] = {}


def command(
    name: str, help: str, *options: Option
) -> Callable[[Callable[[Options], int]], Callable[[Options], int]]:
    """Decorator that makes a function a command."""

    def kept(run: Callable[[Options], int]) -> Callable[[Options], int]:
        COMMANDS[name] = Command(name=name, help=help, options=options, run=run)
        return run

    return kept


def option(*names: str, **how: Any) -> Option:
    """Declare what a command takes, as `ArgumentParser.add_argument` does."""
    return names, how


def many(*names: str, **how: Any) -> Option:
    """Declare an option that may be repeated; its values make a list."""
    return names, {"action": "append", "default": [], **how}


def flag(name: str, help: str) -> Option:
    """Declare an option that is there or not."""
    return (name,), {"action": "store_true", "help": help}


def number(text: str) -> float:
    """Read an option's number; argparse tells what is wrong with it."""
    return _typed(units.number, text)


def whole(text: str) -> int:
    """Read an option's whole number; argparse tells what is wrong with it."""
    return int(_typed(units.whole_number, text))


def length(text: str) -> float:
    """Read an option's length with its unit [m]; argparse tells what is wrong with it."""
    return _typed(lambda words: units.quantity(words, "m"), text, f"{text[:40]!r}: ")


def _typed(read: Callable[[str], float], text: str, named: str = "") -> float:
    try:
        return read(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{named}{error}") from None


FILE = option("file", metavar="FILE", help="machine file")
SET = many(
    "--set", metavar="PATH=VALUE", dest="changes",
    help='change a dial for this run, such as --set "sling.length=4.9 m"; may be repeated',
)  # fmt: skip
LOG = option("log", metavar="LOG", help="the build log, a file")
US = flag("--us", "show US customary units")
JSON = flag("--json", "print JSON: SI numbers, with a map of their units")
SEED = option("--seed", type=whole, default=1, help="the same seed gives the same answer")


def system_of(options: Options) -> units.System:
    """Units that are shown."""
    return "US" if options.us else "metric"


def machine_of(options: Options) -> Machine:
    """Read the machine file and make the changes asked for."""
    machine = read_machine(options.file)
    changes = {}
    for change in options.changes:
        path, equals, value = change.partition("=")
        if not equals:
            raise Refusal(f"--set {change}: there is no value; write --set PATH=VALUE")
        try:
            changes[path.strip()] = setting(dials.dial(path.strip()), value.strip())
        except ValueError as error:
            raise Refusal(f"--set {error}") from None
    return machine.change(changes) if changes else machine


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


def dial_value(path: str, text: str) -> Any:
    """Read a dial's value with its unit, in SI; a bare number is in the dial's own unit.

    Raises:
        Refusal: no such dial, or no value of it; the words say which.
    """
    if path not in dials.BY_PATH:
        near = dials.nearest(path)
        raise Refusal(
            f"{path}: no such dial; " + (f"did you mean {near}?" if near else "see `dials`")
        )
    row = dials.dial(path)
    try:
        value, fault = read_value(row, setting(row, text))
    except ValueError as error:
        raise Refusal(str(error)) from None
    if fault is not None:
        raise Refusal(str(fault))
    return value


def complain(text: str) -> None:
    """Say on standard error what cannot be done."""
    with contextlib.suppress(OSError):
        print(f"slingwright: {text}", file=sys.stderr, flush=True)


def print_json(record: Any) -> None:
    """Print a record as strict JSON."""
    print(json.dumps(record, indent=2, allow_nan=False, ensure_ascii=False))


def table_text(lines: list[tuple[str, ...]]) -> str:
    """Write lines of cells in columns, the first to the left and the others to the right.

    >>> print(table_text([("a", "b"), ("cc", "1")]))
    a   b
    cc  1
    """
    wide = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return "\n".join(
        "  ".join(
            cell.rjust(w) if i else cell.ljust(w)
            for i, (cell, w) in enumerate(zip(line, wide, strict=True))
        ).rstrip()
        for line in lines
    )
