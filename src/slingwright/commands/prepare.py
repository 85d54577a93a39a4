"""Compile the usual kinds of machine, with a bar: `python -m slingwright.commands.prepare`.

Each kind is compiled once on a computer, which takes a minute or two; after that it is read back.
"""

from __future__ import annotations

import sys
from typing import TextIO

from slingwright.machine.file import read_machine, supplied_machines
from slingwright.motion.throwing import reach_curve, throw
from slingwright.standing.zone import zone
from slingwright.strength.checks import holding
from slingwright.winch.cycle import winding

USUAL = ("otter_fair", "on_wheels", "garden")
"""Supplied machines that need between them what others need: staked, on wheels, light."""
STEPS = (
    ("throw", throw),
    ("range against release", reach_curve),
    ("checks", holding),
    ("winding", winding),
    ("ground to keep clear", zone),
)
WIDE = 24


def prepare(out: TextIO) -> None:
    """Throw, sweep and check a machine of each usual kind, and tell how far it is."""
    steps = [(name, words, work) for name in USUAL for words, work in STEPS]
    for done, (name, words, work) in enumerate(steps):
        _tell(out, done / len(steps), f"{name}: {words}")
        work(read_machine(supplied_machines()[name]))
    _tell(out, 1.0, "ready")
    out.write("\n")


def _tell(out: TextIO, share: float, words: str) -> None:
    full = round(WIDE * share)
    bar = "#" * full + "." * (WIDE - full)
    lead, end = ("\r", "") if out.isatty() else ("", "\n")
    out.write(f"{lead}  [{bar}] {100.0 * share:3.0f} %  {words:<40}{end}")
    out.flush()


if __name__ == "__main__":
    prepare(sys.stdout)
