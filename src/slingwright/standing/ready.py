"""May it be loosed, as far as is known: strength, winding, clearance and ground in one verdict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, Finding, whole
from slingwright.machine.machine import Machine
from slingwright.motion.throwing import throw
from slingwright.standing.places import winding_checks
from slingwright.standing.zone import zone
from slingwright.strength.checks import Holding, holding
from slingwright.strength.clearance import Clearance, clearance
from slingwright.strength.ledger import not_checked
from slingwright.winch.cycle import winding

LIST = 6  # findings named in a sentence


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Ready(Answer):
    """What fails, what is not known, and what nobody looked at, over everything that was asked.

    Args:
        machine: the machine.
        findings: one a check, a piece of rigging, the clearance and the ground; the worst first.
        unchecked: parts that have no check.
    """

    machine: Machine
    findings: tuple[Finding, ...]
    unchecked: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """`holds`, `fails` or `not known` of the whole machine."""
        return whole(one.verdict for one in self.findings)

    def of(self, verdict: str) -> tuple[Finding, ...]:
        """Give the findings of one verdict."""
        return tuple(one for one in self.findings if one.verdict == verdict)

    @property
    def sentence(self) -> str:
        """What fails first, then what is not known, then what has no check."""
        fails, unknown = self.of(FAILS), self.of(NOT_KNOWN)
        parts = []
        if fails:
            parts.append(f"Fails: {_named(fails)}.")
        if unknown:
            parts.append(f"Not known: {_named(unknown)}.")
        if not fails and not unknown:
            parts.append(f"Each of the {len(self.findings)} things asked holds.")
        if self.unchecked:
            parts.append(f"Not checked: {'; '.join(self.unchecked)}.")
        return " ".join(parts)

    def rows(self) -> Iterator[Row]:
        """Give what fails, what is not known, what was not checked, and how many hold."""
        for verdict in (FAILS, NOT_KNOWN):
            for one in self.of(verdict):
                yield Row(f"{verdict}: {one.name}", one.name, verdict, one.words)
        for name in self.unchecked:
            yield Row(f"not checked: {name}", name, "not checked", "the kit has no check for it")
        yield Row("holding", "of all that was asked", f"{len(self.of(HOLDS))} hold", "")


def ready(
    machine: Machine,
    *,
    found: Holding | None = None,
    gaps: Clearance | None = None,
    look: bool = True,
) -> Ready:
    """Ask everything of a machine that the kit can ask before it is loosed.

    Args:
        machine: the machine as it is to be loosed.
        found: its checks, where they were worked out.
        gaps: its clearance, where it was worked out.
        look: whether the clearance is worked out where it was not; what is left out is not known.
    """
    found = holding(machine) if found is None else found
    if gaps is None and look:
        gaps = clearance(machine)
    findings = [
        Finding(check.name, check.verdict, check.mishap or check.unknown or f"in {check.case}")
        for check in found.checks
    ]
    if gaps is None:
        findings.append(Finding("clearance", NOT_KNOWN, "it was not looked at"))
    else:
        findings.append(Finding("clearance", gaps.verdict, gaps.sentence))
    findings.extend(_rigging(machine))
    findings.append(_ground(machine))
    order = {FAILS: 0, NOT_KNOWN: 1, HOLDS: 2}
    findings.sort(key=lambda one: order[one.verdict])
    return Ready(machine=machine, findings=tuple(findings), unchecked=not_checked(machine))


def _rigging(machine: Machine) -> Iterator[Finding]:
    try:
        checks = winding_checks(machine, winding(machine), throw(machine))
    except ValueError as error:
        yield Finding("winding", FAILS, f"this winch cannot wind this machine: {error}")
        return
    for check in checks:
        words = "" if check.verdict == HOLDS else check.advice
        yield Finding(check.name, check.verdict, words)


def _ground(machine: Machine) -> Finding:
    try:
        found = zone(machine)
    except ValueError as error:
        return Finding("ground to keep clear", NOT_KNOWN, str(error))
    return Finding("ground to keep clear", found.verdict, found.sentence)


def _named(findings: tuple[Finding, ...]) -> str:
    names = [one.name for one in findings[:LIST]]
    more = f" and {len(findings) - LIST} more" if len(findings) > LIST else ""
    return ", ".join(names) + more
