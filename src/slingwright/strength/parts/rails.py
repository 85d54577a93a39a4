"""The counterweight box between guide rails: whether they keep it off the legs."""

from collections.abc import Iterator

from slingwright.amounts.text import form
from slingwright.formulas.loads import give_of_stop
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.parts.sideways import SHARE
from slingwright.strength.worked import Given, Step

DIALS = ("rails.gap", "rails.stiffness", "axle.span", "counterweight.breadth", "frame.side_share")


def rail_checks(subject: Subject) -> Iterator[Check]:
    """Give the check of the rails, where a machine has any."""
    if subject.machine["rails.gap"] is not None:
        yield from run(subject, "rails.box", DIALS, _box)


def _box(subject: Subject) -> Check:
    m = subject.machine
    n, stiffness = m.number, m["rails.stiffness"]
    if stiffness is None:
        raise ValueError(
            "rails.stiffness is not given: how far a rail gives is not known; push it with a load "
            "cell, measure its give, and write the force over the give"
        )
    gap, share = n("rails.gap"), n("frame.side_share")
    behind = 0.5 * (n("axle.span") - n("counterweight.breadth")) - gap
    load, case = subject.worst(lambda one: one.pin_load)
    force = subject.design(share * load, f"sideways, {share:g} of the hanger pin's load")
    give = Step(
        give_of_stop, force, Given(2.0 * gap, "from the far rail to this one"), float(stiffness)
    )
    room = Given(behind, "from a rail to the leg behind it, less the box's way to it")
    note = SHARE.replace("axle's", "hanger pin's") + form(
        "The box is pushed from rail to rail and meets it with {:N}: hold rails and their bolts to "
        "that."
    )(float(stiffness) * give)
    return made("rails.box", case, held_against(give, room), "m", DIALS, note)
