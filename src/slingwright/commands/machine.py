"""The commands on one machine: throw, sweep, dials, winch, check and zone."""

import contextlib
import difflib
import math
import os
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, plain
from slingwright.amounts.text import form
from slingwright.amounts.verdict import exit_code, whole
from slingwright.commands import typed
from slingwright.commands.typed import Options, Refusal, command, flag, many, option
from slingwright.machine.table import dials

MOST_THROWS = 5_000_000  # throws that one sweep may ask for; each keeps some 300 bytes


@command(
    "throw",
    "Throw a machine once and report what happens.",
    *(typed.FILE, typed.SET, typed.JSON, typed.US),
    option(
        "--tolerance", type=typed.number, default=1e-9, metavar="SHARE",
        help="relative error allowed in a step, 1e-13 to 1e-3 (1e-9)",
    ),
    option(
        "--swing-through", type=typed.number, default=5.0, metavar="SECONDS",
        help="how long the machine is followed after release, 0 to 60 s (5)",
    ),
)  # fmt: skip
def throw(options: Options) -> int:
    """Throw once; FAILED where it is not released, or lands behind or past the clear ground."""
    _within("--tolerance", options.tolerance, 1e-13, 1e-3)
    _within("--swing-through", options.swing_through, 0.0, 60.0)
    machine = typed.machine_of(options)
    from slingwright.motion.ends.mending import mended
    from slingwright.motion.shown.text import throw_record, throw_text
    from slingwright.motion.throwing import throw as loose

    done = loose(machine, tolerance=options.tolerance, swing_through=options.swing_through)

    if options.json:
        typed.print_json(throw_record(machine, done))
    else:
        shown = done if done.forward else replace(done, sentence=mended(machine, done.sentence))
        print(throw_text(machine, shown, typed.system_of(options)))
    limit = machine.number("site.limit")
    if done.range is not None and done.range > limit:
        words = form("it lands {:3m} ahead, past the end of the clear ground at {:3m} (site.limit)")
        typed.complain(words(done.range, limit).told(typed.system_of(options)))
        return typed.FAILED
    ahead = done.outcome == "released" and done.range is not None and done.range >= 0.0
    return typed.FINE if ahead else typed.FAILED


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise Refusal(f"{name} {value:g}: outside its limits; give {low:g} to {high:g}")


@command(
    "sweep",
    "Throw a machine at every value of some dials.",
    *(typed.FILE, typed.SET, typed.US),
    many(
        "--vary", required=True, metavar="PATH=VALUES",
        help="a dial and its values: from:to:count or a,b,c, bare numbers in the dial's unit or "
        'texts with units, such as sling.length=3:5:40 or "sling.length=10 ft:16 ft:7"; may be '
        "repeated, and every combination is thrown",
    ),
    flag("--paired", "take the values of several --vary side by side, not in every combination"),
    flag("--csv", "print comma-separated values in SI"),
    option("--out", metavar="FILE", help="write the comma-separated values to a file instead"),
    flag("--no-loads", "leave out axle loads: faster"),
)  # fmt: skip
def sweep(options: Options) -> int:
    """Throw at every value; FAILED unless each is released and lands on the clear ground ahead."""
    from slingwright.motion.shown.sweep_text import csv_lines, sweep_text
    from slingwright.motion.sweeping import sweep as throw_all

    machine = typed.machine_of(options)
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
    columns = throw_all(machine, varied, grid=not options.paired, loads=not options.no_loads)

    if options.out:
        _write_whole(Path(options.out), csv_lines(columns))
    if options.csv and not options.out:
        for line in csv_lines(columns):
            sys.stdout.write(line)
    else:
        print(sweep_text(columns, list(varied), typed.system_of(options)))
    clear = columns["range"] <= columns.get("site.limit", machine.number("site.limit"))
    return typed.FINE if (clear & (columns["range"] >= 0.0)).all() else typed.FAILED


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
        value = typed.setting(row, text)
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
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".sweep-", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.writelines(lines)
        os.replace(temporary, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise


@command(
    "dials",
    "List the dials a machine file can set.",
    option(
        "group", nargs="?", metavar="GROUP", help=f"one of {', '.join(dials.GROUPS)}, or a path"
    ),
    flag("--markdown", "print the page of all dials"),
    typed.US,
)
def list_dials(options: Options) -> int:
    """Print the rows of the table, those of one group, or one row."""
    from slingwright.machine.text import dials_reference, dials_text

    if options.markdown:
        print(dials_reference(), end="")
        return typed.FINE

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
    print(dials_text(rows, typed.system_of(options)))
    return typed.FINE


@command(
    "winch",
    "Wind a machine down: crew, rope, drum, hook and time.",
    *(typed.FILE, typed.SET, typed.JSON, typed.US),
    many(
        "--rig", metavar="PATH=VALUE", dest="changes",
        help="the same as --set, such as --rig rope.rope_length=25m or "
        '--rig "mark.hook_rating=3 kN"; may be repeated',
    ),
    flag("--ways", "also other ways to rig it: force, time, frame bending"),
)  # fmt: skip
def winch(options: Options) -> int:
    """Follow one winding; FAILED where a check fails or is not known, or it cannot be wound."""
    import numpy as np

    from slingwright.motion.throwing import throw as loose
    from slingwright.standing.places import placed, winding_checks
    from slingwright.winch.cycle import winding
    from slingwright.winch.drums import drum_choice
    from slingwright.winch.hook import hook_of, loosing
    from slingwright.winch.rigging import swaps
    from slingwright.winch.text import winding_record, winding_text
    from slingwright.winch.ways import riggings

    machine = typed.machine_of(options)
    try:
        wound = winding(machine)
        loosed = loosing(wound.hook_load, *placed(machine, hook_of(machine)))
        choice = drum_choice(machine, np.linspace(0.5, 2.0, 17) * wound.numbers.drum)
        ways = riggings(machine) if options.ways else None
    except ValueError as error:
        typed.complain(f"this winch cannot wind this machine: {error}")
        return typed.FAILED
    checks = winding_checks(machine, wound, loose(machine))
    if options.json:
        found: dict[str, Any] = {"choice": choice, "ropes": swaps(wound), "loosed": loosed}
        more = {} if ways is None else {"ways": ways.record()}
        typed.print_json(more | winding_record(machine.name, wound, checks, **found))
    else:
        print(winding_text(machine.name, wound, checks, typed.system_of(options), loosed))
        if ways is not None:
            print(f"\n{ways.table(typed.system_of(options))}")
    return exit_code(whole(check.verdict for check in checks))


@command(
    "check",
    "Check every part of a machine in every load case.",
    *(typed.FILE, typed.SET, typed.JSON, typed.US),
    flag("--working", "show the working and the source of every check"),
    flag("--no-clearance", "leave out what swings past what: faster"),
    flag("--doubt", "also how sure each use is, and what would narrow it"),
    flag("--buy", "also what to buy or cut where a check fails: minutes"),
)
def check(options: Options) -> int:
    """Check a machine; FAILED where anything fails or is not known, winding and ground included."""
    from slingwright.standing.ready import ready
    from slingwright.strength import text as check_report
    from slingwright.strength.checks import holding
    from slingwright.strength.clearance import clearance
    from slingwright.strength.doubt import doubt
    from slingwright.strength.mending.bought import bought

    machine, system = typed.machine_of(options), typed.system_of(options)
    found = holding(machine)
    clear = None if options.no_clearance else clearance(machine)
    told = ready(machine, found=found, gaps=clear, look=False)
    more: dict[str, Answer] = {"doubt": doubt(machine)} if options.doubt else {}
    if options.buy:
        more["buy"] = bought(machine)
    if options.json:
        extra = {name: one.record() for name, one in more.items()}
        typed.print_json({**check_report.as_data(found, clear), "ready": told.record(), **extra})
    else:
        print(told.sentence.told(system), end="\n\n")
        print(check_report.as_text(found, clear, system, options.working))
        for one in more.values():
            print(f"\n{one.sentence}\n{one.table(system)}")
    return exit_code(told.verdict)


@command(
    "zone",
    "Find the ground to keep clear, whenever the projectile leaves the sling.",
    *(typed.FILE, typed.SET, typed.JSON, typed.US),
    option(
        "--lanyard", metavar="LENGTH", type=typed.length,
        help="the lanyard that there is, as '15 m'; any if left out",
    ),
    flag("--chances", "also where 100,000 near copies of each lie"),
)  # fmt: skip
def zone(options: Options) -> int:
    """Find the ground to keep clear; FAILED where it does not hold or is not known."""
    from slingwright.standing.chances import chances
    from slingwright.standing.zone import zone as find_zone

    machine = typed.machine_of(options)
    try:
        found = find_zone(machine, lanyard=options.lanyard)
        likely = chances(machine) if options.chances else None
    except ValueError as error:
        raise Refusal(str(error)) from error
    if options.json:
        more = {} if likely is None else {"chances": likely.record()}
        typed.print_json(plain(found.record() | more))
    else:
        print(found.report().told(typed.system_of(options)))
        if likely is not None:
            print("\n" + str(likely.table(typed.system_of(options))))
    return exit_code(found.verdict)
