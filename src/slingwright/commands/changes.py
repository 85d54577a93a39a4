"""The commands on what to change: prove, whatif, plan, next, search and sensitivity.

With a log they start from its last machine, and look at it as its shots say it really is.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.amounts.verdict import exit_code
from slingwright.commands import typed
from slingwright.commands.typed import Options, Refusal, command, many, option
from slingwright.logbook import Logbook
from slingwright.machine.file import read_machine

if TYPE_CHECKING:
    from slingwright.amounts.answer import Answer
    from slingwright.changing.trials import Bound, Limits
    from slingwright.learning.belief import Belief
    from slingwright.machine.machine import Machine
    from slingwright.pages.log.records import FieldStory

LIMITS = (
    ("target", "m", "next: distance to land at; the farthest if left out"),
    ("axle-load", "N", "peak load on the axle, at most"),
    ("crank-force", "N", "crank force of one person, at most"),
    ("height", "m", "height of the tip when the arm stands upright, at most"),
    ("farthest", "m", "range, at most; the clear ground if left out"),
    ("nearest", "m", "range, at least"),
)


SHOWN = (typed.US, typed.JSON)
BASE = (typed.FILE, option("--log", help="a build log: start from its last machine, as learned"))
CHANGES = (
    many(
        "--change",
        metavar="NAME:PATH=VALUE[,PATH=VALUE][,cost=40][,hours=3]",
        help='a change, such as --change "heavier fill:counterweight.mass=800 kg,cost=40"; may be '
        "repeated",
    ),
    option("--changes", metavar="FILE", help="a file of changes, one [[change]] each"),
)
TRIAL = (
    *BASE,
    many(
        "--vary",
        metavar="PATH=LOW..HIGH",
        help='a dial that may be changed, such as --vary "sling.length=4.2 m..5.4 m"; may be '
        "repeated",
    ),
    *(option(f"--{name}", metavar=unit.upper(), help=words) for name, unit, words in LIMITS),
    option("--goal", default="range", help="search: range, accuracy or axle load (range)"),
    typed.SEED,
    *SHOWN,
)


def base_of(options: Options) -> tuple[Machine, Belief | None]:
    """Give the machine to start from, and what is held true of it where a log was named."""
    from slingwright.learning.belief import before_any_shot

    machine = read_machine(options.file)
    story = _story(options, machine)
    if story is None:
        return machine, None
    if not any(shot.tells for shot in story.shots):
        return story.machine, before_any_shot(story.machine)
    return story.machine, story.learn(seed=getattr(options, "seed", 1)).belief


def _story(options: Options, machine: Machine) -> FieldStory | None:
    from slingwright.pages.log.records import story_of

    if options.log is None:
        return None
    with Logbook.open(options.log, reading_only=True) as log:
        return story_of(log, machine)


def asked_of(options: Options) -> tuple[list[Bound], Limits, float | None]:
    """Read what may be varied, the limits and the target off the options."""
    from slingwright.changing.trials import Bound, Limits

    bounds = []
    for word in options.vary:
        path, _, span = word.partition("=")
        low, dots, high = span.partition("..")
        if not dots:
            raise Refusal(f"--vary {word}: give PATH=LOW..HIGH, such as sling.length=4.2 m..5.4 m")
        bounds.append(
            Bound(path=path, low=typed.dial_value(path, low), high=typed.dial_value(path, high))
        )
    numbers: dict[str, float | None] = {}
    for name, unit, _ in LIMITS:
        key = name.replace("-", "_")
        given = getattr(options, key)
        try:
            numbers[key] = None if given is None else units.quantity(given, unit)
        except units.UnitError as error:
            raise Refusal(f"--{name} {given}: {error}") from None
    target = numbers.pop("target")
    return bounds, Limits(**numbers), target  # type: ignore[arg-type]


@command("next", "Advise the next trial shot.", *TRIAL)
def run_next(options: Options) -> int:
    """Advise the next trial; 0 only where one keeps to the limits and all that is asked holds."""
    from slingwright.changing.next_trial import next_trial
    from slingwright.learning.belief import before_any_shot

    bounds, limits, target = asked_of(options)
    machine, belief = base_of(options)
    held = belief or before_any_shot(machine, seed=options.seed)
    advice = next_trial(held, bounds, target=target, limits=limits, checks=True)
    _tell(advice, options, held.basis)
    return 1 if advice.best is None else _asked(machine.change(advice.best.settings), options)


@command("search", "Find the best machine within bounds and limits.", *TRIAL)
def run_search(options: Options) -> int:
    """Find the best machine within bounds and limits; 0 only where all that is asked holds."""
    from slingwright.changing.search import search

    bounds, limits, _ = asked_of(options)
    machine, belief = base_of(options)
    found = search(machine, bounds, options.goal, limits, seed=options.seed, belief=belief)
    _tell(found, options, "as drawn" if belief is None else belief.basis)
    return _asked(found.machine, options)


@command(
    "sensitivity",
    "Tell what a little more of each dial does.",
    *BASE,
    option("path", nargs="*", metavar="PATH", help="dials; every one if left out"),
    *SHOWN,
)
def run_sensitivity(options: Options) -> int:
    """Tell what a little more of each dial does; 1 where a slope is not known."""
    from slingwright.changing.sensitivity import sensitivity
    from slingwright.changing.tables import sensitivity_table

    machine, belief = base_of(options)
    if belief is not None and belief.doubt:
        raise Refusal(belief.doubt)
    try:
        found = sensitivity(machine if belief is None else belief.now(), options.path or None)
    except (KeyError, ValueError) as error:
        raise Refusal(f"sensitivity: {error.args[0]}") from None
    basis = "as drawn" if belief is None else belief.basis
    if options.json:
        slopes = {one.path: {k: s and s.value for k, s in one.on.items()} for one in found}
        typed.print_json({"machine_taken": basis, "slopes": slopes})
    else:
        table = sensitivity_table(found, typed.system_of(options))
        print(typed.table_text([table.head, *table.cells()]))
        print(f"The machine is taken {basis}.\n{typed.CAUTION}")
    return 1 if any(slope is None for one in found for slope in one.on.values()) else 0


def _asked(machine: Machine, options: Options) -> int:
    from slingwright.standing.ready import ready

    found = ready(machine)
    told = found.sentence.told(typed.system_of(options))
    print(f"Set so: {told}", file=sys.stderr if options.json else sys.stdout)
    return exit_code(found.verdict)


def _tell(answer: Answer, options: Options, basis: str) -> None:
    if options.json:
        typed.print_json({"machine_taken": basis, **answer.record()})
        return
    system = typed.system_of(options)
    print(typed.table_text([("", ""), *((one[0], one[1]) for one in answer.table(system).cells())]))
    print(f"\n{told(answer.sentence, system)}\nThe machine is taken {basis}.\n{typed.CAUTION}")


@command("whatif", "Weigh changes alone, together and each left out.", *BASE, *CHANGES, *SHOWN)
def run_whatif(options: Options) -> int:
    """Weigh changes alone, together and each left out; 1 where the machine fails with all made."""
    from slingwright.changing.tables import change_table, order_table
    from slingwright.changing.what_if import what_if

    machine, belief = base_of(options)
    found = what_if(machine, _proposed(options), belief=belief)
    if options.json:
        record = {
            "machine_taken": found.basis, "states": [_state(state) for state in found.states],
            "order": list(found.order), "steps": [_state(state) for state in found.steps],
            "every_order_tried": found.every_set,
            "only_after": [str(one) for one in found.only_after], "holds": found.holds,
        }  # fmt: skip
        typed.print_json(record)
        return exit_code(found.together.verdict)
    system = typed.system_of(options)
    for table in (change_table(found, system), order_table(found, system)):
        print(f"{typed.table_text([table.head, *table.cells()])}\n")
    print(f"{found.advice(system)}\n{typed.CAUTION}")
    return exit_code(found.together.verdict)


def _proposed(options: Options) -> list[Any]:
    from slingwright.changing.file import change_of_line, read_changes

    found = [] if options.changes is None else read_changes(options.changes)
    for one in (change_of_line(text, ",") for text in options.change):
        # with their units; a bare number is in the dial's own unit
        read = {path: typed.dial_value(path, str(value)) for path, value in one.dials.items()}
        found.append(replace(one, dials=read))
    if not found:
        raise Refusal("nothing is proposed; give --change or --changes FILE")
    return found


@command(
    "plan",
    "Choose the changes of a day and their order.",
    *BASE,
    *CHANGES,
    option("--people", type=typed.whole, default=1, help="who work (1)"),
    option("--hours", type=typed.number, default=math.inf, help="hours that each of them has"),
    option("--money", type=typed.number, default=math.inf, help="money to spend"),
    option(
        "--seconds", type=typed.number, help="time to search; the best found by then is given (10)"
    ),
    many("--stock", help='what is there, such as --stock "3 sack of sand"; may be repeated'),
    many("--must", help="name of a change that has to be in it; may be repeated"),
    many(
        "--worth",
        help="what counts, such as --worth range=1; all of range, load, doubt if left out",
    ),
    *SHOWN,
)
def run_plan(options: Options) -> int:
    """Choose the changes of a day and their order; 0 only where the machine then holds."""
    from slingwright.changing.file import stock_of_words
    from slingwright.changing.plan import SECONDS, plan

    machine, belief = base_of(options)
    try:
        worth = {key: float(value) for key, value in (one.split("=", 1) for one in options.worth)}
    except ValueError:
        raise Refusal(f"--worth {options.worth}: give such as range=1") from None
    found = plan(
        belief or machine, _proposed(options), people=options.people, hours=options.hours,
        money=options.money, stock=dict(stock_of_words(words) for words in options.stock),
        must=options.must, worth=worth or None,
        seconds=SECONDS if options.seconds is None else options.seconds,
    )  # fmt: skip
    _tell(found, options, found.basis)
    return exit_code(found.steps[-1].state.verdict) if found.steps else 1


def _state(state: Any) -> dict[str, Any]:
    return {
        "changes": list(state.names), "range_m": state.range, "axle_load_N": state.axle_load,
        "axle_use": state.axle_use, "worst_check": state.worst_check,
        "worst_use": state.worst_use, "crank_force_N": state.crank_force,
        "reload_time_s": state.reload_time, "cost": state.cost, "hours": state.hours,
        "failings": list(state.failings.values()), "unknown": list(state.unknown.values()),
        "verdict": state.verdict,
    }  # fmt: skip


@command(
    "prove",
    "Lay out how it is proved from a light counterweight to the full one.",
    option("file", metavar="FILE", help="machine file, with the full counterweight"),
    option("--log", metavar="LOG", help="a build log, whose shots stand beside"),
    *SHOWN,
)
def run_prove(options: Options) -> int:
    """Lay out the steps to the full counterweight; 0 only where each was measured as expected."""
    from slingwright.changing.proving import proving

    machine = read_machine(options.file)
    story = _story(options, machine)
    found = proving(machine, *(() if story is None else (story.shots, story.noted)))
    system = typed.system_of(options)
    if options.json:
        typed.print_json(found.record())
    else:
        sheet = replace(found.sheet(), system=system)
        print(f"{found.report().told(system)}\n\n{sheet}")
    return exit_code(found.verdict)
