"""The command `winch`: one winding with its checks, and other ways to rig the machine."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

from slingwright.amounts import units
from slingwright.machine.machine import Machine


def winch_options(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "--rig",
        action="append",
        default=[],
        metavar="PATH=VALUE",
        help="the same as --set, such as --rig rope.rope_length=25m or "
        '--rig "mark.hook_rating=3 kN"; may be repeated',
    )
    parser.add_argument(
        "--ways", action="store_true", help="also other ways to rig it: force, time, frame bending"
    )


def run_winch(
    machine: Machine,
    system: units.System,
    options: argparse.Namespace,
    patience: Callable[[], AbstractContextManager[None]],
) -> tuple[list[str], Any]:
    """Wind a machine: the verdicts of its checks, and the record for JSON or the text to print.

    Raises:
        ValueError: it cannot be wound.
    """
    import numpy as np

    from slingwright.motion.throwing import throw
    from slingwright.standing.places import placed, winding_checks
    from slingwright.winch.cycle import winding
    from slingwright.winch.drums import drum_choice
    from slingwright.winch.hook import hook_of, loosing
    from slingwright.winch.rigging import swaps
    from slingwright.winch.text import winding_record, winding_text
    from slingwright.winch.ways import riggings

    wound = winding(machine)
    loosed = loosing(wound.hook_load, *placed(machine, hook_of(machine)))
    choice = drum_choice(machine, np.linspace(0.5, 2.0, 17) * wound.numbers.drum)
    with patience():
        checks = winding_checks(machine, wound, throw(machine))
    ways = riggings(machine) if options.ways else None
    verdicts = [check.verdict for check in checks]
    if options.json:
        more = {} if ways is None else {"ways": ways.record()}
        kinds = swaps(wound)
        return verdicts, more | winding_record(
            machine.name, wound, checks, choice=choice, ropes=kinds, loosed=loosed
        )
    text = winding_text(machine.name, wound, checks, system, loosed)
    return verdicts, text if ways is None else f"{text}\n\n{ways.table(system)}"
