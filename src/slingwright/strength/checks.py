"""Will it hold: every check of a machine in every load case, the worst first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import form, text
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, whole
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, made, run, unknown
from slingwright.strength.ledger import LoadPath, not_checked
from slingwright.strength.loads.brief import brief_loads
from slingwright.strength.loads.cases import (
    MISHAPS,
    Governing,
    LoadCase,
    cases_and_failures,
    governing,
)
from slingwright.strength.parts.arm import arm_checks
from slingwright.strength.parts.axle import axle_checks
from slingwright.strength.parts.box import box_checks, rail_checks
from slingwright.strength.parts.fatigue import fatigue_checks
from slingwright.strength.parts.frame import frame_checks
from slingwright.strength.parts.hanger import hanger_checks
from slingwright.strength.parts.joints import joint_checks
from slingwright.strength.parts.sideways import sideways_checks
from slingwright.strength.parts.sill import sill_checks
from slingwright.strength.parts.sling import sling_checks
from slingwright.strength.parts.trough import trough_checks
from slingwright.strength.worked import Given

__all__ = ["Check", "Holding", "checks", "holding"]

CAUTIONS = (
    "These results are aids to judgement and approve nothing: local codes and a licensed engineer "
    "decide. Nobody near, under, in front of or behind a loaded machine."
)
NOT_MODELLED = (
    "faults in the wood (knots, shakes, slope of grain)",
    "wear, rot, drying, weather and rust",
    "the box striking the frame or the ground, and what that does",
    "welds",
    "jerk of a winding rope that went slack",
    "what the arm's bending adds to the push on the ground",
    "sideways forces beyond the share of the axle's load that a dial sets, wind while it throws, "
    "ground that sinks as it is shot on",
    "joints other than the bolted foot, head and brace ends of the legs: tenons, pegs, cross sills",
    "stress that gathers at holes and steps, beyond the section they leave",
)
"""What the checks leave out, for the page and for print."""
SMALLEST: tuple[tuple[tuple[str, ...], float, str], ...] = (
    (
        ("arm.depth_at_axle", "arm.width_at_axle"),
        0.02,
        "the timber: a class such as C24 is for graded beams (EN 338), and one knot is a stick",
    ),
    (
        ("frame.leg_depth", "frame.leg_width"),
        0.02,
        "the joints: the rules are for bolts, and sticks are glued or tied",
    ),
    (("sling.rope_diameter",), 0.001, "the cords: a rope table has no thread"),
    (("axle.diameter",), 0.006, "axle and bearing: a needle in a hole is no turned axle"),
    (("axle.height",), 0.5, "gusts, ground and stakes: it stands on a desk or a floor, indoors"),
)
"""Dials, the size [m] below which a kind of check says nothing, and why (common practice)."""


def too_small(machine: Machine) -> str:
    """Say which kinds of check do not apply to parts as small as this machine's; "" where none."""
    number = machine.number
    found = [why for paths, least, why in SMALLEST if min(map(number, paths)) < least]
    return f"At this size the checks do not apply to {'; to '.join(found)}." if found else ""


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Holding(Answer):
    """A machine's load cases, what governs each part, and the checks, the worst first."""

    machine: Machine
    cases: tuple[LoadCase, ...]
    governing: tuple[Governing, ...]
    checks: tuple[Check, ...]

    @property
    def holds(self) -> bool | None:
        """Whether every check is known and passes; None where none fails and some are not known."""
        return {HOLDS: True, FAILS: False, NOT_KNOWN: None}[self.verdict]

    @property
    def verdict(self) -> str:
        """`holds`, `fails` or `not known` of all checks together."""
        return whole(check.verdict for check in self.checks)

    @property
    def as_planned(self) -> Holding:
        """The same with the mishaps left out."""
        cases = tuple(case for case in self.cases if case.kind not in MISHAPS)
        return Holding(
            machine=self.machine,
            cases=cases,
            governing=governing(cases),
            checks=_worst_first(one.as_planned for one in self.checks if not one.of_mishap),
        )

    @property
    def path(self) -> LoadPath:
        """The load path from projectile to ground: each part, what it takes, and its checks."""
        return LoadPath(machine=self.machine, cases=self.cases, checks=self.checks)

    @property
    def final(self) -> bool:
        """Whether every motion was followed as far as it should be."""
        return all(case.final for case in self.cases)

    def __getitem__(self, key: str) -> Check:
        """Give a check by its key.

        Raises: KeyError: this machine has no such check; its keys are named.
        """
        found = {check.key: check for check in self.checks}
        if key not in found:
            raise KeyError(f"this machine has no check {key!r}; it has {', '.join(found)}")
        return found[key]

    def _ipython_key_completions_(self) -> list[str]:
        return [check.key for check in self.checks]

    def rows(self) -> Iterator[Row]:
        """Give every check, the worst first: how much of it is used, and in which case."""
        for check in self.checks:
            spared = text("; as planned ", check.planned.used) if check.planned else ""
            note = text(f"{check.verdict}; ", check.against, f"; {check.case}", spared)
            yield Row(check.key, check.name, check.used, note)

    @property
    def sentence(self) -> str:
        """What breaks first and by how much: as planned, and where a mishap is worse."""
        said = self._told()
        if any(check.planned for check in self.checks):
            said = f"Throws as planned: {self.as_planned._told()} With mishaps: {said}"
        return f"{said} {too_small(self.machine)}".strip()

    def _told(self) -> str:
        if not self.checks:
            return "Nothing was checked."
        worst = max(self.checks, key=lambda check: (not check.passes, check.utilisation))
        count = len(self.checks)
        failing = sum(check.known and not check.passes for check in self.checks)
        unknown = sum(not check.known for check in self.checks)
        if worst.known or worst.at_least is not None:
            first = f"First: {worst.name}, {worst.used} used, in {worst.case}."
        else:
            first = f"Not known: {worst.name}."
        first += "" if self.final else " A first look: not final."
        if failing == unknown == 0:
            left = f"; {len(not_checked(self.machine))} parts have no check"
            return f"Each of {count} checks holds{left}. {first}"
        if failing == 0:
            return f"Not known: {unknown} of {count} checks; no other fails. {first}"
        more = f", {unknown} more are not known" if unknown else ""
        return f"{failing} of {count} checks fail{more}. {first}"


def _worst_first(checks: Iterable[Check]) -> tuple[Check, ...]:
    """Give what does not hold as planned, then what a mishap breaks, and what holds, in order."""

    def order(check: Check) -> tuple[float, ...]:
        planned = check.as_planned
        spared = planned.passes or check.of_mishap
        return spared, check.passes, -planned.utilisation, -check.utilisation

    return tuple(sorted(checks, key=order))


def checks(machine: Machine) -> list[Check]:
    """Check every part of a machine in every load case, the worst first."""
    return list(holding(machine).checks)


def holding(machine: Machine, *, quick: bool = False) -> Holding:
    """Work out load cases, what governs, and every check of a machine.

    Args:
        quick: whether motions are followed for a first look alone, while dials move; what such a
            look finds is not final.
    """
    cases, failures = cases_and_failures(machine, quick=quick)
    subject = Subject(machine=machine, every_case=cases)
    found = [*all_checks(subject)]
    found += [
        unknown(f"load case: {name}", ("projectile.mass", "projectile.diameter"), why)
        for name, why in failures.items()
    ]
    return Holding(
        machine=machine, cases=cases, governing=governing(cases), checks=_worst_first(found)
    )


def all_checks(subject: Subject) -> Iterator[Check]:
    """Give every check, part by part."""
    for group in GROUPS:
        yield from group(subject)


def width_checks(subject: Subject) -> Iterator[Check]:
    """Check that the loads and the counterweight box pass."""
    for key, dials, maker in (
        ("width.trough", ("trough.width",), _trough),
        ("width.box", ("axle.span", "counterweight.breadth"), _box),
        ("width.supports", ("axle.span", "axle.support", "axle.hub"), _supports),
    ):
        yield from run(subject, key, dials, maker)


def _trough(subject: Subject) -> Check:
    widest = max(brief_loads(subject.machine), key=lambda load: load.diameter, default=None)
    if widest is None:
        raise ValueError("there is no load to lay into the trough; give a [[brief]]")
    across = Given(widest.diameter, f"diameter of {widest.name}")
    wide = Given(subject.machine.number("trough.width"), "width of the trough")
    return made("width.trough", widest.name, (across, wide), "m", ("trough.width",))


def _box(subject: Subject) -> Check:
    n = subject.machine.number
    breadth = Given(n("counterweight.breadth"), "box along the axle")
    span = Given(n("axle.span"), "between the legs")
    volume = breadth * n("counterweight.width") * n("counterweight.height")
    note = form(
        "The box's mass over its outer volume is {:kg/m^3}: damp sand gives about {:kg/m^3}, more "
        "asks for iron or lead."
    )(n("counterweight.mass") / volume, 1800.0)
    return made(
        "width.box", "all", (breadth, span), "m", ("axle.span", "counterweight.breadth"), note
    )


def _supports(subject: Subject) -> Check:
    n = subject.machine.number
    wide, reach = max(n("axle.hub"), n("arm.width_at_axle")), n("axle.support")
    words = "arm and hub, {:m} wide at the axle, with support pieces {:m} in from each side"
    taken = Given(wide + 2.0 * reach, words, wide, reach)
    span = Given(n("axle.span"), "between the legs")
    dials = ("axle.span", "axle.support", "axle.hub", "arm.width_at_axle")
    return made("width.supports", "all", (taken, span), "m", dials)


GROUPS: tuple[Callable[[Subject], Iterator[Check]], ...] = (
    axle_checks, arm_checks, hanger_checks, box_checks, sling_checks, trough_checks,
    fatigue_checks, frame_checks, sill_checks, joint_checks, sideways_checks, width_checks,
    rail_checks,
)  # fmt: skip
"""What gives the checks of each part."""
