"""The command line: `python -m slingwright throw|sweep|dials|winch|check|zone|report ...`.

A command is one function with the decorator `command`; it takes the parsed options, prints its
answer and returns how it went: FINE, FAILED (the throw did not come off, a check fails) or, by
raising Refusal, MachineError or UnknownDial, REFUSED (a path, a file or an option is no good).
What is refused is said on standard error in a sentence; there is never a traceback.
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import json
import math
import os
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import slingwright as sw
from slingwright.amounts import units
from slingwright.amounts.text import form
from slingwright.amounts.verdict import exit_code, whole
from slingwright.commands import changes as change_commands
from slingwright.commands import field as field_commands
from slingwright.commands import lessons, paper
from slingwright.commands import log as log_commands
from slingwright.commands import winding as winding_commands
from slingwright.commands.typed import length, number, setting
from slingwright.machine.table import dials

if TYPE_CHECKING:
    from slingwright.amounts.units import System
    from slingwright.machine.machine import Machine

FINE, FAILED, REFUSED, STOPPED = 0, 1, 2, 130

MOST_THROWS = 5_000_000
"""Throws that one sweep may ask for; each keeps some 300 bytes."""

PATIENT = 2.0
"""Seconds after which a reader at a terminal is told that the equations are being compiled."""

PROGRAM = "python -m slingwright"
Options = argparse.Namespace


class Refusal(ValueError):
    """An option that cannot be followed: says what, the value, the limit and the next step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command: its name, one line of help, what adds its options, and what runs it."""

    name: str
    help: str
    options: Callable[[argparse.ArgumentParser], None]
    run: Callable[[Options], int]


COMMANDS: dict[str, Command] = {}


def command(
    name: str, help: str, options: Callable[[argparse.ArgumentParser], None]
) -> Callable[[Callable[[Options], int]], Callable[[Options], int]]:
    """Decorator that makes a function a command."""

    def kept(run: Callable[[Options], int]) -> Callable[[Options], int]:
        COMMANDS[name] = Command(name=name, help=help, options=options, run=run)
        return run

    return kept


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code.

    0: fine.  1: the throw failed or is past the clear ground; a check fails, is not known or was
    not made.  2: an unknown path, a bad file or a bad
    option.  130: stopped by Ctrl-C.
    """
    for stream in (sys.stdout, sys.stderr):
        # File names and machine names may hold what a terminal's own encoding cannot write.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    try:
        options = _parser().parse_args(arguments)
        code: int = COMMANDS[options.command].run(options)
        sys.stdout.flush()
        return code
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else REFUSED
    except KeyboardInterrupt:
        _complain("stopped by Ctrl-C; nothing was written")
        return STOPPED
    except BrokenPipeError:
        # Whoever read the output has had enough; nothing may be written at the end either.
        _silence()
        return FINE
    except (Refusal, sw.MachineError, dials.UnknownDial) as error:
        _complain(str(error))
        return REFUSED
    except MemoryError:
        _complain("not enough memory for this; ask for fewer throws or a shorter swing-through")
        return REFUSED
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        _complain(f"{where}{error.strerror or error}; check the name, the folder and its rights")
        return REFUSED
    except Exception as error:  # the last resort: a fault of ours, told without a traceback
        _complain(
            f"a fault of this program, not of the machine: {type(error).__name__}: {error}; "
            "please report it with the command and the machine file"
        )
        return REFUSED


def _complain(text: str) -> None:
    with contextlib.suppress(OSError):
        print(f"slingwright: {text}", file=sys.stderr, flush=True)


def _silence() -> None:
    """Send what is still to be written to standard output nowhere."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


class _Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line with a hint, like all others here."""

    def error(self, message: str) -> NoReturn:
        """Complain and end with REFUSED."""
        _complain(f"{_with_hint(message)}; see `{self.prog} --help`")
        self.exit(REFUSED)


def _with_hint(message: str) -> str:
    """Add the nearest command to the complaint about one that is not known."""
    if "invalid choice: '" not in message:
        return message
    given = message.split("invalid choice: '", 1)[1].split("'", 1)[0]
    near = difflib.get_close_matches(given, COMMANDS, n=1)
    ask = f"did you mean {near[0]}?" if near else f"there are {', '.join(COMMANDS)}"
    return f"{given!r}: no such command; {ask}"


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog=PROGRAM,
        description="Throw, sweep and wind counterweight machines from their files.",
        epilog="Exit codes: 0 all that was asked is known to hold; 1 something fails, is "
        "not known or was not looked at; 2 an unknown path, a bad "
        "file or a bad option; 130 stopped by Ctrl-C.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"slingwright {sw.__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for one in COMMANDS.values():
        sub = commands.add_parser(one.name, help=one.help, description=one.help, allow_abbrev=False)
        one.options(sub)
    return parser


# ---- what several commands share


def add_file(parser: argparse.ArgumentParser) -> None:
    """Add the machine file, and changes to it."""
    parser.add_argument("file", metavar="FILE", help="machine file")
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="PATH=VALUE",
        dest="changes",
        help='change a dial for this run, such as --set "sling.length=4.9 m"; may be repeated',
    )


def add_us(parser: argparse.ArgumentParser) -> None:
    """Add the choice of US customary units."""
    parser.add_argument("--us", action="store_true", help="show US customary units")


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add the choice of JSON."""
    parser.add_argument(
        "--json", action="store_true", help="print JSON: SI numbers, with a map of their units"
    )


def system_of(options: Options) -> System:
    """Units that are shown."""
    return "US" if options.us else "metric"


def machine_of(options: Options) -> Machine:
    """Read the machine file and make the changes asked for."""
    machine = sw.read_machine(options.file)
    changes = {}
    for change in [*options.changes, *getattr(options, "rig", ())]:
        path, equals, value = change.partition("=")
        if not equals:
            raise Refusal(f"--set {change}: there is no value; write --set PATH=VALUE")
        try:
            changes[path.strip()] = setting(dials.dial(path.strip()), value.strip())
        except ValueError as error:
            raise Refusal(f"--set {error}") from None
    return machine.change(changes) if changes else machine


def print_json(record: Any) -> None:
    """Print a record as strict JSON."""
    print(json.dumps(record, indent=2, allow_nan=False, ensure_ascii=False))


@contextlib.contextmanager
def patience() -> Iterator[None]:
    """Tell a reader at a terminal why a first throw takes long."""
    if not sys.stderr.isatty():
        yield
        return
    text = "compiling the equations of this kind of machine, once on this computer ..."
    timer = threading.Timer(PATIENT, print, [text], {"file": sys.stderr, "flush": True})
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


# ---- throw


def _throw_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_json(parser)
    add_us(parser)
    parser.add_argument(
        "--tolerance",
        type=number,
        default=1e-9,
        metavar="SHARE",
        help="relative error allowed in a step, 1e-13 to 1e-3 (1e-9)",
    )
    parser.add_argument(
        "--swing-through",
        type=number,
        default=5.0,
        metavar="SECONDS",
        help="how long the machine is followed after release, 0 to 60 s (5)",
    )


@command("throw", "Throw a machine once and report what happens.", _throw_options)
def throw(options: Options) -> int:
    """Throw once; FAILED where it is not released, or lands behind or past the clear ground."""
    _within("--tolerance", options.tolerance, 1e-13, 1e-3)
    _within("--swing-through", options.swing_through, 0.0, 60.0)
    machine = machine_of(options)
    with patience():
        done = sw.throw(machine, tolerance=options.tolerance, swing_through=options.swing_through)
    from slingwright.motion.text import throw_record, throw_text

    if options.json:
        print_json(throw_record(machine, done))
    else:
        print(throw_text(machine, done, system_of(options)))
    limit = machine.number("site.limit")
    if done.range is not None and done.range > limit:
        words = form("it lands {:3m} ahead, past the end of the clear ground at {:3m} (site.limit)")
        _complain(words(done.range, limit).told(system_of(options)))
        return FAILED
    ahead = done.outcome == "released" and done.range is not None and done.range >= 0.0
    return FINE if ahead else FAILED


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise Refusal(f"{name} {value:g}: outside its limits; give {low:g} to {high:g}")


# ---- sweep


def _sweep_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_us(parser)
    parser.add_argument(
        "--vary",
        action="append",
        required=True,
        metavar="PATH=VALUES",
        help="a dial and its values: from:to:count or a,b,c, bare numbers in the dial's unit or "
        'texts with units, such as sling.length=3:5:40 or "sling.length=10 ft:16 ft:7"; may be '
        "repeated, and every combination is thrown",
    )
    parser.add_argument(
        "--paired",
        action="store_true",
        help="take the values of several --vary side by side, not in every combination",
    )
    parser.add_argument("--csv", action="store_true", help="print comma-separated values in SI")
    parser.add_argument(
        "--out", metavar="FILE", help="write the comma-separated values to a file instead"
    )
    parser.add_argument("--no-loads", action="store_true", help="leave out axle loads: faster")


@command("sweep", "Throw a machine at every value of some dials.", _sweep_options)
def sweep(options: Options) -> int:
    """Throw at every value; FAILED unless each is released and lands on the clear ground ahead."""
    machine = machine_of(options)
    varied: dict[str, list[Any]] = {}
    for text in options.vary:
        path, values = read_vary(text)
        if path in varied:
            raise Refusal(f"--vary {path}: given twice; put all its values into one --vary")
        varied[path] = values
    sizes = {path: len(values) for path, values in varied.items()}
    if options.paired and len(set(sizes.values())) > 1:
        told = ", ".join(f"{path} {size}" for path, size in sizes.items())
        raise Refusal(f"--paired: lists of different length ({told}); give equally many values")
    count = next(iter(sizes.values())) if options.paired else math.prod(sizes.values())
    if count > MOST_THROWS:
        raise Refusal(
            f"--vary: {count:,} throws are too many; ask for at most {MOST_THROWS:,}, or take "
            "fewer values"
        )
    with patience():
        columns = sw.sweep(machine, varied, grid=not options.paired, loads=not options.no_loads)
    from slingwright.motion.sweep_text import csv_lines, sweep_text

    if options.out:
        _write_whole(Path(options.out), csv_lines(columns))
    if options.csv and not options.out:
        for line in csv_lines(columns):
            sys.stdout.write(line)
    else:
        print(sweep_text(columns, list(varied), system_of(options)))
    clear = columns["range"] <= columns.get("site.limit", machine.number("site.limit"))
    return FINE if (clear & (columns["range"] >= 0.0)).all() else FAILED


def read_vary(text: str) -> tuple[str, list[Any]]:
    """Read one --vary: a dial's path and its values, numbers in SI.

    >>> read_vary("sling.length=3:5:3")
    ('sling.length', [3.0, 4.0, 5.0])
    >>> read_vary("projectile.mass=4 kg,15 lb")
    ('projectile.mass', [4.0, 6.80388555])

    Raises:
        Refusal: no values, or values that cannot be read.
        UnknownDial: a path that is no dial.
    """
    path, equals, right = text.partition("=")
    path = path.strip()
    row = dials.dial(path)
    if not equals or not right.strip():
        raise Refusal(
            f"--vary {text}: there are no values; write {path}=from:to:count or {path}=a,b,c"
        )
    if ":" in right and row.kind == "number":
        return path, _evenly(row, right)
    return path, [_vary_value(row, part.strip()) for part in right.split(",")]


def _evenly(row: dials.Dial, text: str) -> list[float]:
    parts = text.split(":")
    if len(parts) != 3:
        raise Refusal(f"--vary {row.path}={text}: three parts are needed; write from:to:count")
    low, high = (_vary_value(row, part.strip()) for part in parts[:2])
    try:
        count = units.whole_number(parts[2])
    except units.UnitError:
        count = 0
    if not 1 <= count <= MOST_THROWS:
        raise Refusal(
            f"--vary {row.path}={text}: the count is {parts[2].strip()!r}; give a whole number "
            f"from 1 to {MOST_THROWS:,}"
        )
    if count == 1:
        return [low]
    step = (high - low) / (count - 1)
    return [low + i * step for i in range(count - 1)] + [high]


def _vary_value(row: dials.Dial, text: str) -> Any:
    try:
        value = setting(row, text)
    except ValueError as error:
        raise Refusal(f"--vary {error}") from None
    if row.kind != "number" or value is None:
        return math.nan if value is None else value
    if isinstance(value, str):
        try:
            return units.quantity(value, row.unit)
        except units.UnitError as error:
            raise Refusal(f"--vary {row.path}={text}: {error}") from None
    if not math.isfinite(float(value)):
        raise Refusal(f"--vary {row.path}={text}: not a finite number; give one")
    return value


def _write_whole(path: Path, lines: Iterator[str]) -> None:
    """Write a file whole or not at all."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".sweep-", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.writelines(lines)
        os.replace(temporary, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise


# ---- dials


def _dials_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "group", nargs="?", metavar="GROUP", help=f"one of {', '.join(dials.GROUPS)}, or a path"
    )
    parser.add_argument("--markdown", action="store_true", help="print the page of all dials")
    add_us(parser)


@command("dials", "List the dials a machine file can set.", _dials_options)
def list_dials(options: Options) -> int:
    """Print the rows of the table, those of one group, or one row."""
    from slingwright.machine.text import dials_reference, dials_text

    if options.markdown:
        print(dials_reference(), end="")
        return FINE

    named = options.group
    if named is None:
        rows = dials.TABLE
    elif named in dials.GROUPS:
        rows = dials.group(named)
    elif "." in named:
        rows = (dials.dial(named),)
    else:
        near = difflib.get_close_matches(named, dials.GROUPS, n=1)
        ask = f"did you mean {near[0]}?" if near else f"there are {', '.join(dials.GROUPS)}"
        raise Refusal(f"{named}: no such group of dials; {ask}")
    print(dials_text(rows, system_of(options)))
    return FINE


# ---- winch


def _winch_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_json(parser)
    add_us(parser)
    winding_commands.winch_options(parser)


@command("winch", "Wind a machine down: crew, rope, drum, hook and time.", _winch_options)
def winch(options: Options) -> int:
    """Follow one winding; FAILED where a check fails or is not known, or it cannot be wound."""
    machine = machine_of(options)
    try:
        verdicts, told = winding_commands.run_winch(machine, system_of(options), options, patience)
    except ValueError as error:
        _complain(f"this winch cannot wind this machine: {error}")
        return FAILED
    if options.json:
        print_json(told)
    else:
        print(told)
    return exit_code(whole(verdicts))


# ---- check


def _check_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_json(parser)
    add_us(parser)
    parser.add_argument(
        "--working", action="store_true", help="show the working and the source of every check"
    )
    parser.add_argument(
        "--no-clearance", action="store_true", help="leave out what swings past what: faster"
    )
    parser.add_argument(
        "--doubt", action="store_true", help="also how sure each use is, and what would narrow it"
    )
    parser.add_argument(
        "--buy", action="store_true", help="also what to buy or cut where a check fails: minutes"
    )


@command("check", "Check every part of a machine in every load case.", _check_options)
def check(options: Options) -> int:
    """Check a machine; FAILED where anything fails or is not known, winding and ground included."""
    from slingwright.standing.ready import ready
    from slingwright.strength import text as check_report
    from slingwright.strength.checks import holding
    from slingwright.strength.clearance import clearance

    machine, system = machine_of(options), system_of(options)
    with patience():
        found = holding(machine)
        clear = None if options.no_clearance else clearance(machine)
        told = ready(machine, found=found, gaps=clear, look=False)
        more = {name: getattr(sw, call)(machine) for name, call in (("doubt", "doubt"),
                ("buy", "bought")) if getattr(options, name)}  # fmt: skip
    if options.json:
        extra = {name: one.record() for name, one in more.items()}
        print_json({**check_report.as_data(found, clear), "ready": told.record(), **extra})
    else:
        print(told.sentence.told(system), end="\n\n")
        print(check_report.as_text(found, clear, system, options.working))
        for one in more.values():
            print(f"\n{one.sentence}\n{one.table(system)}")
    return exit_code(told.verdict)


# ---- zone


def _zone_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_json(parser)
    add_us(parser)
    parser.add_argument(
        "--lanyard",
        metavar="LENGTH",
        type=length,
        help="the lanyard that there is, as '15 m'; any if left out",
    )
    parser.add_argument(
        "--chances",
        action="store_true",
        help="also where 100,000 near copies of each lie",
    )


@command(
    "zone",
    "Find the ground to keep clear, whenever the projectile leaves the sling.",
    _zone_options,
)
def zone(options: Options) -> int:
    """Find the ground to keep clear; FAILED where it does not hold or is not known."""
    from slingwright.motion.text import strict
    from slingwright.standing.chances import chances
    from slingwright.standing.zone import zone as find_zone

    machine = machine_of(options)
    with patience():
        try:
            found = find_zone(machine, lanyard=options.lanyard)
            likely = chances(machine) if options.chances else None
        except ValueError as error:
            raise Refusal(str(error)) from error
    if options.json:
        more = {} if likely is None else {"chances": likely.record()}
        print_json(strict(found.record() | more))
    else:
        print(found.report().told(system_of(options)))
        if likely is not None:
            print("\n" + str(likely.table(system_of(options))))
    return exit_code(found.verdict)


# ---- draw


def _draw_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_us(parser)
    paper.draw_options(parser)


@command("draw", "List the pieces of a machine, cut them from stock, draw it.", _draw_options)
def draw(options: Options) -> int:
    """List the pieces, cut and draw them; refused where a piece is longer than all stock."""
    try:
        paper.run_draw(machine_of(options), system_of(options), options)
    except (ValueError, OSError) as error:
        raise Refusal(str(error)) from error
    return 0


# ---- report


def _report_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_us(parser)
    paper.report_options(parser)


@command("report", "Print a report of a machine as a PDF.", _report_options)
def report(options: Options) -> int:
    """Make the report; FAILED where what it says of the machine is not that all holds."""
    from slingwright.pages.print.report import ReportError

    try:
        with patience():
            verdict = paper.run_report(machine_of(options), system_of(options), options)
    except ReportError as error:
        raise Refusal(str(error)) from error
    return exit_code(verdict)


# ---- the others


def _declining(run: Callable[[Options], int]) -> Callable[[Options], int]:
    """Let what a log's command declines be told as every refusal is."""

    def told(options: Options) -> int:
        try:
            with patience():
                return run(options)
        except log_commands.Declined as error:
            raise Refusal(str(error)) from error

    return told


for _name, _help, _options, _run in (
    *log_commands.COMMANDS,
    *change_commands.COMMANDS,
    *field_commands.COMMANDS,
    *lessons.COMMANDS,
):
    command(_name, _help, _options)(_declining(_run))
