"""One machine looked at as a whole: how it throws, what it asks of axle, parts and crew.

Results are aids to judgement: they approve nothing. Local codes and a competent person decide.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from slingwright.amounts.text import form, text
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.motion.throwing import throw
from slingwright.standing.places import winding_checks
from slingwright.standing.zone import zone
from slingwright.strength.check import Subject, unknown
from slingwright.strength.checks import GROUPS
from slingwright.strength.clearance import clearance
from slingwright.strength.loads.cases import cases_and_failures
from slingwright.winch.cycle import Winding, follow
from slingwright.winch.rig import rig_of, winch_numbers
from slingwright.winch.rigging import CREW

WINDING_STEPS = 61
WORSE = 1.05  # times the use of a check that failed before: it fails by clearly more
WORSE_IN_MISHAP = 1.25
"""The same of what a mishap breaks: loads after a slack sling's catch scatter by as much between
machines that differ by a hair (seen on the Otter Ford machine)."""
MISHAP = ", in a mishap"
CLEARANCE = "clearance"
CASE_DIALS = tuple(
    row.path
    for row in dials.TABLE
    if row.moves
    or row.path.split(".")[0] in ("arm", "crew", "hook", "rig", "rope", "winch")
    or row.path in ("base.mass", "trough.width", "axle.span")
)
"""What load cases are made of: the motion, the arm's own lines, what holds it and winds it."""


Checks = Callable[[Machine], Sequence[Any]]


class _Read(dict[str, Value]):
    """Values that note which of them are read."""

    def __init__(self, values: Mapping[str, Value]) -> None:
        super().__init__(values)
        self.read: set[str] = set()

    def __getitem__(self, path: str) -> Value:
        self.read.add(path)
        return super().__getitem__(path)


class Memory:
    """What was worked out of machines, and is given again where nothing differs that it read.

    `rests` holds, by the name of a check, the dials that its last answer was made of.
    """

    def __init__(self) -> None:
        self._known: dict[object, list[tuple[dict[str, Value], Any]]] = {}
        self.rests: dict[str, frozenset[str]] = {}

    def __call__(self, key: object, machine: Machine, work: Callable[[Machine], Any]) -> Any:
        """Give `work(machine)`, or the same of a machine alike in all that it read."""
        return self._told(key, machine, work)[1]

    def _told(
        self, key: object, machine: Machine, work: Callable[[Machine], Any]
    ) -> tuple[dict[str, Value], Any]:
        known = self._known.setdefault((key, machine.brief, frozenset(machine.derived)), [])
        for one in known:
            if all(machine.values[path] == value for path, value in one[0].items()):
                return one
        values = _Read(machine.values)
        found = work(replace(machine, values=values))
        known.append(({path: machine.values[path] for path in values.read}, found))
        return known[-1]

    def checks(self, machine: Machine, *, quick: bool = False) -> list[Any]:
        """Give every strength check of a machine; a load case is thrown once for like motions.

        A `quick` look follows each motion for a while and none of its near copies: its uses are
        never more than those of a whole look.
        """
        motion = (quick, *(machine[path] for path in CASE_DIALS))
        cases, failures = self(motion, machine, lambda _: cases_and_failures(machine, quick=quick))
        about = ("projectile.mass", "projectile.diameter")
        rows = [unknown(f"load case: {name}", about, why) for name, why in failures.items()]
        for group in GROUPS:
            look = lambda one, of=group: [*of(Subject(machine=one, every_case=cases))]  # noqa: E731
            read, found = self._told((group, motion), machine, look)
            rests = frozenset(read).union(CASE_DIALS)
            self.rests.update(dict.fromkeys((row.name for row in found), rests))
            rows += found
        return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """The machine with some changes made; what cannot be had is None.

    `failings` says what is wrong and `unknown` what is not known, each under a key that is the same
    in every state.
    """

    names: tuple[str, ...]
    machine: Machine | None
    outcome: str
    range: float | None = None  # m
    axle_load: float | None = None  # N
    axle_use: float | None = None  # of the axle's worst check, 1 is all of it
    worst_check: str = ""
    worst_use: float | None = None
    crank_force: float | None = None  # N, of one person
    reload_time: float | None = None  # s, from loosing to loosing
    cost: float
    hours: float
    failings: Mapping[str, str]
    uses: Mapping[str, float]  # of the checks that fail
    unknown: Mapping[str, str] = field(default_factory=dict)
    checked: Mapping[str, float] = field(default_factory=dict)  # uses of all checks
    hangs_on: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # dials by check
    rests: Mapping[str, frozenset[str]] = field(default_factory=dict)  # every dial a check read

    @property
    def verdict(self) -> str:
        """`fails`, `not known` or `holds`."""
        return FAILS if self.failings else NOT_KNOWN if self.unknown else HOLDS

    @property
    def label(self) -> str:
        """Name of the state for a reader."""
        return " + ".join(self.names) if self.names else "present machine"


def look_at(
    machine: Machine,
    names: Sequence[str] = (),
    *,
    checks: Checks | None = None,
    cost: float = 0.0,
    hours: float = 0.0,
    swept: bool = True,
    memory: Memory | None = None,
) -> State:
    """Look at one machine as a whole: throw, winding, rigging, strength, clearance, ground.

    Args:
        machine: the machine.
        names: of the changes made to it.
        checks: gives a list of checks with name, part and utilisation, and nothing else is asked
            but throw, ground and crew; all of the kit's own if left out.
        swept: whether what swings is held against what stands, which takes longest.
        cost: spent to come here.
        hours: worked to come here [h].
        memory: of machines looked at before.
    """
    memory = memory or Memory()
    thrown = throw(machine)
    failings: dict[str, str] = {}
    unknown: dict[str, str] = {}
    if thrown.outcome != "released":
        failings["throw"] = thrown.outcome
    elif thrown.range is not None and thrown.range > machine.number("site.limit"):
        past = form("it lands {:3m} away, past the clear ground of {:3m}")
        failings["clear ground"] = past(thrown.range, machine.number("site.limit"))
    wound: Winding | None = None
    try:
        wound = follow(winch_numbers(machine), rig_of(machine), WINDING_STEPS)
    except ValueError as error:
        failings["winding"] = f"it cannot be wound ({error})"
    if wound is not None and wound.force_per_person > wound.force_allowed:
        asks = form("winding asks {:3N} per person, {:3N} is sustainable")
        failings["crew"] = asks(wound.force_per_person, wound.force_allowed)
    rows = checks(machine) if checks else memory.checks(machine)
    worst, worst_use, axle_use, uses = _checked(rows, failings, unknown)
    if checks is None:
        _ask_the_rest(machine, wound, thrown, swept, failings, unknown, uses, memory)
    return State(
        names=tuple(names),
        machine=machine,
        outcome=thrown.outcome,
        range=thrown.range,
        axle_load=thrown.peak_axle_load if thrown.outcome == "released" else None,
        axle_use=axle_use,
        worst_check=worst,
        worst_use=worst_use,
        crank_force=None if wound is None else wound.force_per_person,
        reload_time=None if wound is None else 3600.0 / wound.loosings_an_hour,
        cost=cost,
        hours=hours,
        failings=failings,
        uses=uses,
        unknown=unknown,
        checked={f"{row.name}{also}": float(row.utilisation) for row, also in _apart(rows)},
        hangs_on={f"{row.name}{also}": getattr(row, "dials", ()) for row, also in _apart(rows)},
        rests={
            f"{row.name}{also}": memory.rests[row.name]
            for row, also in _apart(rows)
            if row.name in memory.rests
        },
    )


def _ask_the_rest(
    machine: Machine,
    wound: Winding | None,
    thrown: Any,
    swept: bool,
    failings: dict[str, str],
    unknown: dict[str, str],
    uses: dict[str, float],
    memory: Memory,
) -> None:
    """Add what rigging, clearance and the ground to keep clear say."""

    def note(name: str, verdict: str, words: str, use: float = math.inf) -> None:
        if verdict == FAILS:
            failings[name], uses[name] = words, use
        elif verdict == NOT_KNOWN:
            unknown[name] = words

    for row in winding_checks(machine, wound, thrown) if wound is not None else ():
        if row.name != CREW:  # what the crew is asked is told above
            note(row.name, row.verdict, text(row.name, ": ", row.advice), row.utilisation)
    if swept:
        gaps = memory(CLEARANCE, machine, clearance)
        note(CLEARANCE, gaps.verdict, gaps.sentence)
    try:
        ground = zone(machine)
    except ValueError as error:
        note("ground to keep clear", NOT_KNOWN, str(error))
        return
    share = ground.clear_ahead / max(ground.limit, 1e-9)
    words = form("the ground to keep clear reaches {:0m} ahead")(ground.clear_ahead)
    note("ground to keep clear", ground.verdict, words, share)


def unswept(state: State) -> State:
    """Give a state as it is seen where what swings is not held against what stands."""
    kept: dict[str, Any] = {
        key: {name: said for name, said in getattr(state, key).items() if name != CLEARANCE}
        for key in ("failings", "uses", "unknown")
    }
    return replace(state, **kept)


def _checked(
    rows: Sequence[Any], failings: dict[str, str], unknown: dict[str, str]
) -> tuple[str, float | None, float | None, dict[str, float]]:
    """Give the worst known check, its use, the axle's worst and the uses of what fails."""
    worst, worst_use, axle_use = "", None, None
    uses: dict[str, float] = {}
    for row, mishap in _apart(rows):
        name, use = f"{row.name}{mishap}", float(row.utilisation)
        known = getattr(row, "known", math.isfinite(use))
        if not known:
            unknown[name] = f"{name} is not known to hold"
        elif not use <= 1.0:
            uses[name] = use
            failings[name] = (
                f"{name} is at {100.0 * use:.0f} % of its capacity"
                if math.isfinite(use)
                else f"{name} fails beyond all capacity"
            )
        if mishap or not math.isfinite(use):
            continue
        if worst_use is None or use > worst_use:
            worst, worst_use = name, use
        if str(row.part).lower().startswith("axle") and (axle_use is None or use > axle_use):
            axle_use = use
    return worst, worst_use, axle_use, uses


def _apart(rows: Sequence[Any]) -> Iterator[tuple[Any, str]]:
    """Give every check as planned, and once more where a mishap makes it worse."""
    for row in rows:
        planned, alone = getattr(row, "planned", None), getattr(row, "of_mishap", False)
        yield planned or row, MISHAP if alone else ""
        if planned and row.mishap:
            yield row, MISHAP


def new_failings(state: State, before: State) -> list[str]:
    """Give what fails in a state and did not before, or fails by clearly more than before.

    What held before and is not known any more counts as well.
    """
    return [state.failings.get(key) or state.unknown[key] for key in worsened(state, before)]


def worsened(state: State, before: State) -> list[str]:
    """Give the keys of what `new_failings` tells."""
    found = []
    for key in (*state.failings, *state.unknown):
        was = key if key in before.checked else key.removesuffix(MISHAP)
        if key in state.unknown:
            if was not in before.unknown and was not in before.failings:
                found.append(key)
        elif was not in before.failings or state.uses.get(key, 0.0) > worse_from(key) * (
            before.uses.get(was, math.inf)
        ):
            found.append(key)
    return found


def worse_from(key: str) -> float:
    """Give times which use a check that failed before fails by clearly more."""
    return WORSE_IN_MISHAP if key.endswith(MISHAP) else WORSE
