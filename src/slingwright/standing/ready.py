"""May it be loosed, as far as is known: strength, winding, clearance and ground in one verdict."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Text, joined, text
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, Finding, whole
from slingwright.machine.machine import Machine
from slingwright.motion.throwing import throw
from slingwright.standing.places import winding_checks
from slingwright.standing.zone import zone
from slingwright.strength.check import Check
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
        broken: checks that fail in a mishap and not as planned, the worst first.
    """

    machine: Machine
    findings: tuple[Finding, ...]
    unchecked: tuple[str, ...]
    broken: tuple[Check, ...] = ()

    @property
    def verdict(self) -> str:
        """`holds`, `fails` or `not known` of the whole machine."""
        return whole(one.verdict for one in self.findings)

    def of(self, verdict: str) -> tuple[Finding, ...]:
        """Give the findings of one verdict."""
        return tuple(one for one in self.findings if one.verdict == verdict)

    @property
    def planned(self) -> tuple[Finding, ...]:
        """What fails where all goes as planned."""
        return tuple(one for one in self.of(FAILS) if one.planned in ("", FAILS))

    @property
    def unknown(self) -> tuple[Finding, ...]:
        """What is not known, as planned or in a mishap."""
        return tuple(one for one in self.findings if NOT_KNOWN in (one.verdict, one.planned))

    @property
    def mishap(self) -> Text:
        """How many parts a mishap breaks, and the worst of them; nothing where it breaks none."""
        if not self.broken:
            return text()
        worst, count = self.broken[0], len(self.broken)
        finite = math.isfinite(worst.utilisation)
        used = text(worst.used, " of its capacity" if finite else " capacity")
        more = "one more check fails" if count == 1 else f"{count} more checks fail"
        return text(f"In a mishap {more}, the worst: {worst.name}, ", used, f", in {worst.case}")

    @property
    def sentence(self) -> Text:
        """What fails as planned first, what a mishap breaks, what is not known, has no check."""
        fails, unknown = self.planned, self.unknown
        parts: list[str] = []
        if fails:
            parts.append(f"Fails as planned: {_named(fails)}.")
        elif unknown or self.broken:
            parts.append("Nothing that is known fails as planned.")
        else:
            parts.append(f"Each of the {len(self.findings)} things asked holds.")
        if self.broken:
            parts.append(text(self.mishap, "."))
        if unknown:
            parts.append(f"Not known: {_named(unknown)}.")
        if self.unchecked:
            parts.append(f"Not checked: {'; '.join(self.unchecked)}.")
        return joined(parts, " ")

    def rows(self) -> Iterator[Row]:
        """Give what fails as planned and in a mishap, is not known, has no check, and what holds.

        What has one verdict for one reason shares a row.
        """
        alike: dict[tuple[str, str], list[str]] = {}
        for verdict, found in ((FAILS, self.planned), (NOT_KNOWN, self.unknown)):
            for one in found:
                alike.setdefault((verdict, one.words), []).append(one.name)
            if verdict == FAILS and self.broken:
                names = [f"{one.name}" for one in self.broken[:LIST]]
                alike[f"{FAILS} in a mishap", self.mishap] = [*names, *_more(self.broken)]
        for (verdict, words), names in alike.items():
            yield Row(f"{verdict}: {names[0]}", "; ".join(names), verdict, words)
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
    findings = [_thrown(machine), *map(_checked, found.checks)]
    if gaps is None:
        findings.append(Finding("clearance", NOT_KNOWN, "it was not looked at"))
    else:
        findings.append(Finding("clearance", gaps.verdict, gaps.sentence))
    findings.extend(_rigging(machine))
    findings.append(_ground(machine))
    order = {FAILS: 0, NOT_KNOWN: 1, HOLDS: 2}
    findings.sort(key=lambda one: order[one.verdict])
    broken = [
        check for check in found.checks if check.verdict == FAILS and _as_planned(check) != FAILS
    ]
    broken.sort(key=lambda check: -check.utilisation)
    return Ready(
        machine=machine,
        findings=tuple(findings),
        unchecked=not_checked(machine),
        broken=tuple(broken),
    )


def _thrown(machine: Machine) -> Finding:
    done = throw(machine)
    came_off = done.outcome == "released" and done.range is not None
    return Finding("throw", HOLDS if came_off else FAILS, "" if came_off else done.sentence)


def _as_planned(check: Check) -> str:
    return HOLDS if check.of_mishap else check.as_planned.verdict


def _checked(check: Check) -> Finding:
    planned, spared = _as_planned(check), check.as_planned
    words: str = check.mishap or check.unknown or f"in {check.case}"
    if planned == FAILS:
        words = text(spared.used, " used, ", spared.against, f"; {spared.case}")
    return Finding(check.name, check.verdict, words, planned)


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
    return ", ".join([one.name for one in findings[:LIST]] + _more(findings))


def _more(found: Sequence[object]) -> list[str]:
    return [f"{len(found) - LIST} more"] if len(found) > LIST else []
