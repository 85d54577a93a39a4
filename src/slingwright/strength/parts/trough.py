"""The trough: its boards and the bearers under them, by the projectile lying and dragged there."""

from collections.abc import Iterator

from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.beams.spans import patch_load_moment
from slingwright.formulas.loads import drag
from slingwright.formulas.steel.strength import bending_stress
from slingwright.formulas.timber.strength import two_way_stress
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads.brief import brief_loads
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.worked import Step

BOARDS = ("trough.board", "trough.bearers", "trough.width", "frame.timber")
BEARERS = ("trough.bearer", "axle.span", "trough.friction", "frame.timber")
LIES = "projectile on the trough"


def trough_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the trough."""
    yield from run(subject, "trough.boards", BOARDS, _boards)
    yield from run(subject, "trough.bearers", BEARERS, _bearers)


def _pressed(subject: Subject, case: LoadCase) -> Step:
    """Push of this projectile as it is dragged or falls back, or of the heaviest at rest [N]."""
    if case.throw is not None:
        return subject.design(float(case.throw.trough_force.max(initial=0.0)), LIES)
    heaviest = max(load.mass for load in brief_loads(subject.machine))
    weight = heaviest * subject.machine.number("site.gravity")
    return subject.design(weight, f"heaviest {LIES}, at rest")


def _boards(subject: Subject) -> Check:
    n = subject.machine.number
    timber = subject.timber("frame.timber")
    section = rectangle(n("trough.width"), n("trough.board"))

    def use(case: LoadCase) -> tuple[Step, Step]:
        moment = Step(patch_load_moment, _pressed(subject, case), n("trough.bearers"), 0.0)
        bent = Step(bending_stress, moment, section.elastic_modulus)
        return bent, subject.timber_strength(timber, "bending_strength", case)

    note = "One board as wide as the trough, half way between two bearers; no shear."
    return made("trough.boards", *subject.governing(use), "Pa", BOARDS, note)


def _bearers(subject: Subject) -> Check:
    n = subject.machine.number
    timber = subject.timber("frame.timber")
    modulus = rectangle(n("trough.bearer"), n("trough.bearer")).elastic_modulus

    def use(case: LoadCase) -> tuple[Step, Step]:
        push = _pressed(subject, case)
        pull = Step(drag, push, n("trough.friction"))
        down, along = (
            Step(bending_stress, Step(patch_load_moment, force, n("axle.span"), 0.0), modulus)
            for force in (push, pull)
        )
        both = Step(two_way_stress, down, along)
        return both, subject.timber_strength(timber, "bending_strength", case)

    note = (
        "Square, from sill to sill across the way between the frames, all of the load on one; the "
        "drag on the boards bends it along the throw. What it lies on is not checked."
    )
    return made("trough.bearers", *subject.governing(use), "Pa", BEARERS, note)
