"""The commands on what to change: prove, whatif, plan, next, search and sensitivity.

With a log they start from its last machine, and look at it as its shots say it really is.
"""

from __future__ import annotations

import argparse
import math
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from slingwright.amounts.verdict import exit_code
from slingwright.commands.log import CAUTION, Declined, Options, dial_value, print_json, table_text
from slingwright.commands.typed import number, whole

if TYPE_CHECKING:
    from slingwright.amounts.answer import Answer
    from slingwright.changing.trials import Bound, Limits
    from slingwright.learning.belief import Belief
    from slingwright.machine.machine import Machine

LIMITS = (
    ("target", "m", "next: distance to land at; the farthest if left out"),
    ("axle-load", "N", "peak load on the axle, at most"),
    ("crank-force", "N", "crank force of one person, at most"),
    ("height", "m", "height of the tip when the arm stands upright, at most"),
    ("farthest", "m", "range, at most; the clear ground if left out"),
    ("nearest", "m", "range, at least"),
)


def _file_and_log(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="machine file")
    parser.add_argument(
        "--log", default=None, help="a build log: start from its last machine, as learned"
    )


def _shown(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--us", action="store_true", help="show US customary units")
    parser.add_argument("--json", action="store_true", help="print JSON, SI numbers")


def _changes_options(parser: argparse.ArgumentParser) -> None:
    _file_and_log(parser)
    parser.add_argument(
        "--change",
        action="append",
        default=[],
        metavar="NAME:PATH=VALUE[,PATH=VALUE][,cost=40][,hours=3]",
        help='a change, such as --change "heavier fill:counterweight.mass=800 kg,cost=40"; may be '
        "repeated",
    )
    parser.add_argument(
        "--changes", default=None, metavar="FILE", help="a file of changes, one [[change]] each"
    )


def whatif_options(parser: argparse.ArgumentParser) -> None:
    """Add what `whatif` takes."""
    _changes_options(parser)
    _shown(parser)


def plan_options(parser: argparse.ArgumentParser) -> None:
    """Add what `plan` takes."""
    _changes_options(parser)
    parser.add_argument("--people", type=whole, default=1, help="who work (1)")
    for name, words in (
        ("hours", "hours that each of them has"),
        ("money", "money to spend"),
        ("seconds", "time to search; the best found by then is given (10)"),
    ):
        parser.add_argument(f"--{name}", type=number, default=None, help=words)
    for name, words in (
        ("stock", 'what is there, such as --stock "3 sack of sand"; may be repeated'),
        ("must", "name of a change that has to be in it; may be repeated"),
        ("worth", "what counts, such as --worth range=1; all of range, load, doubt if left out"),
    ):
        parser.add_argument(f"--{name}", action="append", default=[], help=words)
    _shown(parser)


def trial_options(parser: argparse.ArgumentParser) -> None:
    """Add what `next` and `search` take."""
    _file_and_log(parser)
    parser.add_argument(
        "--vary",
        action="append",
        default=[],
        metavar="PATH=LOW..HIGH",
        help='a dial that may be changed, such as --vary "sling.length=4.2 m..5.4 m"; may be '
        "repeated",
    )
    for name, unit, words in LIMITS:
        parser.add_argument(f"--{name}", default=None, metavar=unit.upper(), help=words)
    parser.add_argument(
        "--goal", default="range", help="search: range, accuracy or axle load (range)"
    )
    parser.add_argument("--seed", type=whole, default=1, help="the same seed gives the same answer")
    _shown(parser)


def sensitivity_options(parser: argparse.ArgumentParser) -> None:
    """Add what `sensitivity` takes."""
    _file_and_log(parser)
    parser.add_argument("path", nargs="*", metavar="PATH", help="dials; every one if left out")
    _shown(parser)


def base_of(options: Options) -> tuple[Machine, Belief | None]:
    """Give the machine to start from, and what is held true of it where a log was named."""
    from slingwright.learning.belief import before_any_shot
    from slingwright.learning.shots import LearnError
    from slingwright.logbook import Logbook, LogbookError
    from slingwright.machine.file import read_machine
    from slingwright.pages.log.records import story_of

    machine = read_machine(options.file)
    if options.log is None:
        return machine, None
    try:
        with Logbook.open(options.log, reading_only=True) as log:
            story = story_of(log, machine)
        if not any(shot.tells for shot in story.shots):
            return story.machine, before_any_shot(story.machine)
        return story.machine, story.learn(seed=getattr(options, "seed", 1)).belief
    except (LogbookError, LearnError) as error:
        raise Declined(str(error)) from error


def asked_of(options: Options) -> tuple[list[Bound], Limits, float | None]:
    """Read what may be varied, the limits and the target off the options."""
    from slingwright.amounts import units
    from slingwright.changing.trials import Bound, Limits

    bounds = []
    for word in options.vary:
        path, _, span = word.partition("=")
        low, dots, high = span.partition("..")
        if not dots:
            raise Declined(f"--vary {word}: give PATH=LOW..HIGH, such as sling.length=4.2 m..5.4 m")
        bounds.append(Bound(path=path, low=dial_value(path, low), high=dial_value(path, high)))
    numbers: dict[str, float | None] = {}
    for name, unit, _ in LIMITS:
        typed = getattr(options, name.replace("-", "_"))
        try:
            numbers[name.replace("-", "_")] = None if typed is None else units.quantity(typed, unit)
        except units.UnitError as error:
            raise Declined(f"--{name} {typed}: {error}") from None
    target = numbers.pop("target")
    return bounds, Limits(**numbers), target  # type: ignore[arg-type]


def run_next(options: Options) -> int:
    """Advise the next trial; 0 only where one keeps to the limits and all that is asked holds."""
    from slingwright.changing.next_trial import next_trial
    from slingwright.changing.trials import TrialError
    from slingwright.learning.belief import before_any_shot

    try:
        bounds, limits, target = asked_of(options)
        machine, belief = base_of(options)
        held = belief or before_any_shot(machine, seed=options.seed)
        advice = next_trial(held, bounds, target=target, limits=limits, checks=True)
    except TrialError as error:
        raise Declined(str(error)) from error
    _tell(advice, options, held.basis)
    return 1 if advice.best is None else _asked(machine.change(advice.best.settings), options)


def run_search(options: Options) -> int:
    """Find the best machine within bounds and limits; 0 only where all that is asked holds."""
    from slingwright.changing.search import search
    from slingwright.changing.trials import TrialError

    try:
        bounds, limits, _ = asked_of(options)
        machine, belief = base_of(options)
        found = search(machine, bounds, options.goal, limits, seed=options.seed, belief=belief)
    except TrialError as error:
        raise Declined(str(error)) from error
    _tell(found, options, "as drawn" if belief is None else belief.basis)
    return _asked(found.machine, options)


def run_sensitivity(options: Options) -> int:
    """Tell what a little more of each dial does; 1 where a slope is not known."""
    from slingwright.changing.sensitivity import sensitivity
    from slingwright.changing.tables import sensitivity_table

    machine, belief = base_of(options)
    if belief is not None and belief.doubt:
        raise Declined(belief.doubt)
    try:
        found = sensitivity(machine if belief is None else belief.now(), options.path or None)
    except (KeyError, ValueError) as error:
        raise Declined(f"sensitivity: {error.args[0]}") from None
    basis = "as drawn" if belief is None else belief.basis
    if options.json:
        slopes = {
            one.path: {key: None if s is None else s.value for key, s in one.on.items()}
            for one in found
        }
        print_json({"machine_taken": basis, "slopes": slopes})
    else:
        table = sensitivity_table(found, "US" if options.us else "metric")
        print(table_text([table.head, *table.cells()]))
        print(f"The machine is taken {basis}.\n{CAUTION}")
    return 1 if any(slope is None for one in found for slope in one.on.values()) else 0


def _asked(machine: Machine, options: Options) -> int:
    """Ask of a machine all that the kit can, say what it finds, and give the exit code."""
    from slingwright.standing.ready import ready

    found = ready(machine)
    told = found.sentence.told("US" if options.us else "metric")
    print(f"Set so: {told}", file=sys.stderr if options.json else sys.stdout)
    return exit_code(found.verdict)


def _tell(answer: Answer, options: Options, basis: str) -> None:
    from slingwright.amounts.text import told

    if options.json:
        print_json({"machine_taken": basis, **answer.record()})
        return
    system: Any = "US" if options.us else "metric"
    print(table_text([("", ""), *((one[0], one[1]) for one in answer.table(system).cells())]))
    print(f"\n{told(answer.sentence, system)}\nThe machine is taken {basis}.\n{CAUTION}")


def run_whatif(options: Options) -> int:
    """Weigh changes alone, together and each left out; 1 where the machine fails with all made."""
    from slingwright.amounts import units
    from slingwright.changing.tables import change_rows, order_rows
    from slingwright.changing.what_if import WhatIfError, what_if

    machine, belief = base_of(options)
    try:
        found = what_if(machine, _proposed(options), belief=belief)
    except WhatIfError as error:
        raise Declined(str(error)) from error
    if options.json:
        print_json(
            {
                "machine_taken": found.basis,
                "states": [_state(state) for state in found.states],
                "order": list(found.order),
                "steps": [_state(state) for state in found.steps],
                "every_order_tried": found.every_set,
                "only_after": [str(one) for one in found.only_after],
                "holds": found.holds,
            }
        )
        return exit_code(found.together.verdict)
    system: units.System = "US" if options.us else "metric"
    print(table_text(change_rows(found, system)))
    print(f"\n{table_text(order_rows(found, system))}")
    print(f"\n{found.advice(system)}\n{CAUTION}")
    return exit_code(found.together.verdict)


def _proposed(options: Options) -> list[Any]:
    from slingwright.changing.file import change_of_line, read_changes

    found = [] if options.changes is None else read_changes(options.changes)
    found += [_with_units(change_of_line(text, ",")) for text in options.change]
    if not found:
        raise Declined("nothing is proposed; give --change or --changes FILE")
    return found


def run_plan(options: Options) -> int:
    """Choose the changes of a day and their order; 0 only where the machine then holds."""
    from slingwright.changing.file import stock_of_words
    from slingwright.changing.plan import SECONDS, plan
    from slingwright.changing.what_if import WhatIfError

    machine, belief = base_of(options)
    try:
        worth = dict(word.split("=", 1) for word in options.worth)
        found = plan(
            belief or machine,
            _proposed(options),
            people=options.people,
            hours=math.inf if options.hours is None else options.hours,
            money=math.inf if options.money is None else options.money,
            stock=dict(stock_of_words(words) for words in options.stock),
            must=options.must,
            worth={key: float(value) for key, value in worth.items()} or None,
            seconds=SECONDS if options.seconds is None else options.seconds,
        )
    except WhatIfError as error:
        raise Declined(str(error)) from error
    except ValueError:
        raise Declined(f"--worth {options.worth}: give such as range=1") from None
    _tell(found, options, found.basis)
    return exit_code(found.steps[-1].state.verdict) if found.steps else 1


def _state(state: Any) -> dict[str, Any]:
    return {
        "changes": list(state.names),
        "range_m": state.range,
        "axle_load_N": state.axle_load,
        "axle_use": state.axle_use,
        "worst_check": state.worst_check,
        "worst_use": state.worst_use,
        "crank_force_N": state.crank_force,
        "reload_time_s": state.reload_time,
        "cost": state.cost,
        "hours": state.hours,
        "failings": list(state.failings.values()),
        "unknown": list(state.unknown.values()),
        "verdict": state.verdict,
    }


def _with_units(change: Any) -> Any:
    """Read a change's values with their units; a bare number is in the dial's own unit."""
    import dataclasses

    read = {path: dial_value(path, str(value)) for path, value in change.dials.items()}
    return dataclasses.replace(change, dials=read)


def prove_options(parser: argparse.ArgumentParser) -> None:
    """Add what `prove` takes."""
    parser.add_argument("file", metavar="FILE", help="machine file, with the full counterweight")
    parser.add_argument("--log", metavar="LOG", help="a build log, whose shots stand beside")
    parser.add_argument("--us", action="store_true", help="show US customary units")
    parser.add_argument("--json", action="store_true", help="print JSON, SI numbers")


def run_prove(options: Options) -> int:
    """Lay out the steps to the full counterweight; 0 only where each was measured as expected."""
    from slingwright.changing.proving import proving
    from slingwright.learning.shots import LearnError
    from slingwright.logbook import Logbook, LogbookError
    from slingwright.machine.file import read_machine
    from slingwright.pages.log.records import story_of

    machine = read_machine(options.file)
    seen: Any = ()
    try:
        if options.log is not None:
            with Logbook.open(options.log, reading_only=True) as log:
                story = story_of(log, machine)
                seen = story.shots, story.noted
    except (LogbookError, LearnError) as error:
        raise Declined(str(error)) from error
    found = proving(machine, *seen)
    system: Any = "US" if options.us else "metric"
    if options.json:
        print_json(found.record())
    else:
        sheet = replace(found.sheet(), system=system)
        print(f"{found.report().told(system)}\n\n{sheet}")
    return exit_code(found.verdict)


COMMANDS = (
    (
        "prove",
        "Lay out how it is proved from a light counterweight to the full one.",
        prove_options,
        run_prove,
    ),
    ("whatif", "Weigh changes alone, together and each left out.", whatif_options, run_whatif),
    ("plan", "Choose the changes of a day and their order.", plan_options, run_plan),
    ("next", "Advise the next trial shot.", trial_options, run_next),
    ("search", "Find the best machine within bounds and limits.", trial_options, run_search),
    (
        "sensitivity",
        "Tell what a little more of each dial does.",
        sensitivity_options,
        run_sensitivity,
    ),
)
"""Name, help, options and what is run."""
