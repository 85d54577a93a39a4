"""Compile what all tests use, before their workers start: `compiling.py hung|fixed ...`.

Workers that need the same machine kind at the same time would each compile it.
"""

import sys

import numpy as np
from outside.machines import otter_ford

import slingwright as sw
from slingwright.strength.checks import holding


def compile_kind(hung: bool, wheels: bool) -> None:
    """Call everything compiled of one kind of machine: throw, sweep, throws in step, ring held."""
    machine = otter_ford(hung=hung, wheels=wheels)
    sw.throw_held_ring(sw.throw(machine).machine)
    sw.reach_curve(machine)
    sw.sweep(machine, {"sling.length": [5.0]})
    sw.sweep(machine, {"sling.length": np.linspace(4.5, 5.5, 80)}, loads=False)


def main(kinds: list[str]) -> None:
    """Compile the kinds named, staked and on wheels."""
    for kind in kinds:
        for wheels in (False, True):
            compile_kind(kind == "hung", wheels)
    if "hung" in kinds:
        holding(sw.read_machine("otter_ford"))


if __name__ == "__main__":
    main(sys.argv[1:])
