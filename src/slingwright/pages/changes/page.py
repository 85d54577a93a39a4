"""The page `changes`: what a little more does, what proposed changes do, the next trial, search."""

from __future__ import annotations

import html
import math
from typing import Any

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.changing.file import stock_of_words
from slingwright.changing.next_trial import Advice, next_trial
from slingwright.changing.plan import Plan, plan
from slingwright.changing.search import GOALS, Optimum, search, trade_off
from slingwright.changing.sensitivity import Sensitivity, sensitivity
from slingwright.changing.sets import WORTH
from slingwright.changing.tables import draw_trade_off, sensitivity_table
from slingwright.changing.trials import Bound, Limits
from slingwright.learning.belief import before_any_shot
from slingwright.machine.table import dials
from slingwright.motion.shown.drawings import sheet
from slingwright.pages.changes.weighing import FORM, ChangeWeigher
from slingwright.pages.log.part import Drawn, LogPage, LogPart
from slingwright.pages.log.records import story_of
from slingwright.pages.parts.beside import Report
from slingwright.pages.parts.fields import BY_HAND, FIT, amount, typed_amount
from slingwright.pages.parts.parts import row
from slingwright.pages.parts.workbench import Workbench

CAUTION = (
    "Results are aids to judgement and approve nothing. Look at the page 'will it hold' before "
    "anything changed is loosed; local codes and a competent person decide."
)
VARIED: tuple[str, ...] = ("sling.length", "release.angle", "arm.short", "counterweight.mass")
"""Dials that advice and search may vary, where they are ticked."""
SPAN = 0.25  # share by which a ticked dial may move either way; an angle moves by 20 degrees


def bounds_around(bench: Workbench, paths: tuple[str, ...]) -> tuple[Bound, ...]:
    """Give bounds around the bench's present values, within the dials' own limits."""
    found = []
    for path in paths:
        one, value = dials.dial(path), bench.machine.number(path)
        reach = math.radians(20.0) if one.si_unit == "rad" else SPAN * abs(value)
        low = max(value - reach, one.lowest)
        high = min(value + reach, one.highest)
        found.append(Bound(path=path, low=low, high=high))
    return tuple(found)


class Limited(LogPart):
    """A part with ticks for what may be varied, and fields for what has to be kept to."""

    LIMITS: tuple[tuple[str, str, str, str], ...] = (
        ("axle", "Axle at most", "N", "empty: no limit"),
        ("crank", "Crank at most", BY_HAND, "empty: no limit"),
        ("height", "Height at most", "m", "empty: no limit"),
        ("nearest", "Range at least", "m", "empty: any"),
        ("stock", "Timber in stock", "m", "such as 6.0 7.5"),
    )
    named = (*(one[:3] for one in LIMITS), ("target", "Target", "m"))

    def fields(self) -> dict[str, ipywidgets.Widget]:
        """Make the ticks and the fields of the limits."""
        self.ticks = {
            path: FIT.tick(
                f"vary {dials.dial(path).label.lower()}",
                value=path in ("sling.length", "release.angle"),
            )
            for path in VARIED
        }
        self.kept_to = {name: FORM.text(hint=hint) for name, _, _, hint in self.LIMITS}
        return {f"vary {path}": tick for path, tick in self.ticks.items()} | self.kept_to

    def bounds(self) -> tuple[Bound, ...]:
        """Give bounds of the dials that may be varied."""
        return bounds_around(self.bench, tuple(p for p, tick in self.ticks.items() if tick.value))

    def limits(self) -> Limits:
        """Read the limits off the fields.

        Raises:
            ValueError: a field that holds no number; the words name it.
        """
        system = self.bench.system
        numbers = {
            name: amount(self.kept_to[name], unit, system)
            for name, _, unit, _ in self.LIMITS
            if name != "stock"
        }
        field = self.kept_to["stock"]
        stock = [typed_amount(one, "Timber in stock", "m", system) for one in field.value.split()]
        return Limits(
            axle_load=numbers["axle"], crank_force=numbers["crank"], height=numbers["height"],
            nearest=numbers["nearest"], stock=tuple(one or 0.0 for one in stock),
        )  # fmt: skip


class Adviser(Limited):
    """The next trial, from the shots of the log or, where there are none, from the tables."""

    def _make(self) -> ipywidgets.Box:
        of = self.controls = {
            **self.fields(),
            "target": FORM.text(hint="empty: farthest"),
            "advise": self.button("Advise", "Find the next trial", self.advise, main=True),
            "stop": self.work.stop_button,
        }
        return self.laid(
            ipywidgets.HTML("<p>Which settings may the next trial change?</p>"),
            *(row(*self.ticks.values()), of["target"], *self.kept_to.values()),
            row(of["advise"], of["stop"], self.status),
            self.answer,
        )

    def advise(self) -> None:
        """Find the next trial."""
        bench, limits = self.bench, self.limits()
        target = amount(self.controls["target"], "m", bench.system)
        bounds, story = self.bounds(), story_of(self.log, bench.machine)
        self.say("looking for the next trial \N{HORIZONTAL ELLIPSIS}")

        def work(report: Report) -> Advice:
            if any(shot.tells for shot in story.shots):
                belief = story.learn(progress=report).belief
            else:
                belief = before_any_shot(bench.machine)
            return next_trial(
                belief, bounds, target=target, limits=limits, checks=True, progress=report
            )

        self.work.start(work, self._show, self.say)

    def _show(self, advice: Advice) -> None:
        self.found, system = advice, self.bench.system
        lines = "".join(f"<li>{html.escape(told(one, system))}</li>" for one in advice.watch)
        said = html.escape(told(advice.sentence, system))
        look = f"<p>What to look for:</p><ul>{lines}</ul>" if lines else ""
        self.answer.value = f"<p><strong>{said}</strong></p>{look}"
        self.say("advised")


class Searcher(Limited):
    """The best machine within bounds and limits, and the trade-off, point by point."""

    traced: tuple[Optimum, ...] = ()

    def _make(self) -> ipywidgets.Box:
        self.picture = Drawn()
        words = {key: words for key, (words, _) in GOALS.items()}
        against = [(f"range against {words[key]}", key) for key in words if key != "range"]
        of = self.controls = {
            **self.fields(),
            "goal": FORM.choice("Goal", [(words[key].capitalize(), key) for key in words]),
            "against": FORM.choice("Trade-off", against, "axle load"),
            "search": self.button("Search", "Find the best machine", self.search, main=True),
            "take": self.button("Put on the bench", "A step that Undo takes back", self.take),
            "trade": self.button("Trace the trade-off", "Point by point, drawn live", self.trade),
            "stop": self.work.stop_button,
        }
        return self.laid(
            ipywidgets.HTML("<p>Which dials may the search vary?</p>"),
            *(row(*self.ticks.values()), of["goal"], *self.kept_to.values(), of["against"]),
            row(of["search"], of["take"], of["trade"], of["stop"], self.status),
            *(self.answer, self.picture),
        )

    def search(self) -> None:
        """Find the best machine."""
        machine, limits, goal = self.bench.machine, self.limits(), self.controls["goal"].value
        bounds, system = self.bounds(), self.bench.system
        self.say("searching \N{HORIZONTAL ELLIPSIS}")

        def words(turn: int, best: float | None) -> None:
            unit = GOALS[goal][1]
            told = None if best is None else units.text(float(f"{best:.4g}"), unit, system)
            far = f", best so far {told}" if told else ""
            self.say(f"generation {turn} of at most 30{far}")

        self.work.start(
            lambda report: search(machine, bounds, goal, limits, generations=30, progress=report),
            self._show,
            words,
        )

    def _show(self, optimum: Optimum) -> None:
        self.found = optimum
        self.answer.value = f"<p>{html.escape(told(optimum.sentence, self.bench.system))}</p>"
        self.say("search done")

    def take(self) -> None:
        """Put the best machine on the bench."""
        if self.found is None:
            raise ValueError("nothing was found yet: press Search first")
        self.bench.change(dict(self.found.values))
        self.say("the machine found is on the bench; Undo takes it back")

    def trade(self) -> None:
        """Trace range against another goal, the picture growing point by point."""
        machine, limits = self.bench.machine, self.limits()
        bounds, against = self.bounds(), self.controls["against"].value
        self.say("tracing the trade-off \N{HORIZONTAL ELLIPSIS}")

        def work(report: Report) -> tuple[Optimum, ...]:
            return trade_off(
                machine, bounds, against, limits, points=7, generations=15,
                progress=lambda found: report(found, against, always=True),
                step=lambda words: report(words, against),
            )  # fmt: skip

        self.work.start(work, lambda found: self._draw(found, against), self._draw)

    def _draw(self, found: tuple[Optimum, ...] | str, against: str) -> None:
        if isinstance(found, str):
            self.say(found)
            return
        self.traced = found
        figure, axes = sheet(height=3.2)
        draw_trade_off(axes, found, against, self.bench.system)
        words = f"{len(found)} points of the trade-off"
        self.picture.show(figure, f"Range against {GOALS[against][0]}: {words}")
        self.say(words)


class MoreOf(LogPart):
    """What a little more of each dial does, on demand."""

    def _make(self) -> ipywidgets.Box:
        look = self.button("A little more of each", "Work the slopes out", self.look, main=True)
        self.controls = {"look": look, "stop": self.work.stop_button}
        return self.laid(row(*self.controls.values(), self.status), self.answer)

    def look(self) -> None:
        """Work the slopes out and show them."""
        machine = self.bench.machine
        self.say("working the slopes out \N{HORIZONTAL ELLIPSIS}")
        self.work.start(
            lambda report: sensitivity(machine, progress=report),
            self._show,
            lambda done, many: self.say(f"{done} of {many} dials"),
        )

    def _show(self, found: tuple[Sensitivity, ...]) -> None:
        self.found = found
        self.say("slopes worked out")

    def draw(self) -> None:
        """Show the slopes, in the units that are on."""
        if self.found:
            told = sensitivity_table(self.found, self.bench.system)
            self.answer.value = told._repr_html_()


class Planner(LogPart):
    """The changes of a day, of those in the rows of `what if`: which, in what order, and why."""

    weigher: ChangeWeigher
    FIELDS = (
        ("people", "People", "1"),
        ("hours", "Hours of each", "empty: any"),
        ("money", "Money", "empty: any"),
        ("stock", "In stock", "such as 3 sack of sand; 2 oak plank"),
        ("must", "Must have", "names of changes, ; between"),
    )

    def _make(self) -> ipywidgets.Box:
        counts = [("range, load and doubt alike", ""), *((word, word) for word in WORTH)]
        fields = {name: FORM.text(words, hint) for name, words, hint in self.FIELDS}
        fields["what"] = FORM.choice("What counts", counts)
        start = self.button("Plan", "Choose changes and their order", self.plan, main=True)
        self.controls = {**fields, "plan": start}
        head = ipywidgets.HTML(
            "<p>Which of the changes under <em>What if</em> are made today, and in which order? "
            "At most ten seconds; the tick <em>as learned</em> there counts here too.</p>"
        )
        last = row(start, self.work.stop_button, self.status)
        return self.laid(head, *fields.values(), last, self.answer)

    def plan(self) -> None:
        """Plan the day.

        Raises:
            ValueError: a field that cannot be read, or changes that cannot be.
        """
        typed = {name: self.controls[name].value.strip() for name, *_ in self.FIELDS}
        numbers = {key: units.number(typed[key]) for key in ("hours", "money") if typed[key]}
        parts = {key: [w.strip() for w in typed[key].split(";") if w.strip()] for key in typed}
        people = units.whole_number(typed["people"] or "1")
        stock = dict(stock_of_words(words) for words in parts["stock"])
        what, changes = self.controls["what"].value, self.weigher.proposed()
        machine = self.bench.machine
        learned = self.weigher.controls["learned"].value
        story = story_of(self.log, machine) if learned else None
        self.say("planning \N{HORIZONTAL ELLIPSIS}")

        def work(report: Report) -> Plan:
            return plan(
                machine if story is None else story.learn().belief, changes, people=people,
                stock=stock, must=parts["must"], worth={what: 1.0} if what else None,
                hours=numbers.get("hours", math.inf), money=numbers.get("money", math.inf),
                progress=report,
            )  # fmt: skip

        self.work.start(work, self._show, self.say)

    def _show(self, found: Plan) -> None:
        self.found = found
        self.say("planned")

    def draw(self) -> None:
        """Show the plan, in the units that are on."""
        if self.found is not None:
            self.answer.value = self.found.table(self.bench.system)._repr_html_()


class Changes(LogPage):
    """What proposed changes do, on one bench and one log; arguments as for `LogPage`."""

    def _body(self) -> list[ipywidgets.Widget]:
        kinds = (ChangeWeigher, Planner, Adviser, Searcher, MoreOf)
        parts: list[Any] = [kind(self.bench, self.log) for kind in kinds]
        self.weigher, self.planner, self.adviser, self.searcher, self.more = parts
        self.planner.weigher = self.weigher
        self._lay(**dict(zip(("weigh", "plan", "advise", "search", "more"), parts, strict=True)))
        self.answers = tuple(part.answer for part in parts)
        tabs = ipywidgets.Tab(
            children=[part.widget for part in parts],
            titles=["What if", "Day plan", "Next trial", "Search", "A little more"],
        )
        caution = ipywidgets.HTML(f"<p><strong>Caution.</strong> {html.escape(CAUTION)}</p>")
        return [caution, tabs]
