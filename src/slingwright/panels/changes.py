"""The page `changes`: what a little more does, what proposed changes do, the next trial, search."""

from __future__ import annotations

import html
import math
from pathlib import Path

import ipywidgets

from slingwright import dials
from slingwright.answers.belief import Belief, before_any_shot
from slingwright.answers.search import GOALS, Optimum, search, trade_off
from slingwright.answers.sensitivity import sensitivity
from slingwright.answers.trials import Bound, Limits
from slingwright.answers.tuning import Advice, next_trial
from slingwright.answers.whatif import Change, WhatIf, what_if
from slingwright.logbook import Logbook
from slingwright.machine import Machine
from slingwright.panels.diary import LogPart, open_log
from slingwright.panels.parts import Part, button
from slingwright.panels.workbench import Workbench
from slingwright.report.change_tables import (
    Table,
    change_table,
    draw_trade_off,
    draw_what_if,
    sensitivity_table,
)
from slingwright.report.drawings import sheet
from slingwright.report.field_records import keep_change, story_of

WIDE = ipywidgets.Layout(width="min(100%, 40em)")
STYLE = {"description_width": "9em"}
CAUTION = (
    "Results are aids to judgement and approve nothing. Look at the page 'will it hold' before "
    "anything changed is loosed; local codes and a competent person decide."
)
VARIED: tuple[str, ...] = ("sling.length", "release.angle", "arm.short", "counterweight.mass")
"""Dials that advice and search may vary, where they are ticked."""
SPAN = 0.25
"""Share by which a ticked dial may move either way; an angle moves by 20 degrees."""


def bounds_around(bench: Workbench, paths: tuple[str, ...]) -> tuple[Bound, ...]:
    """Give bounds around the bench's present values, within the dials' own limits."""
    found = []
    for path in paths:
        row, value = dials.dial(path), bench.machine.number(path)
        reach = math.radians(20.0) if row.si_unit == "rad" else SPAN * abs(value)
        low = max(value - reach, row.low * row.factor)
        high = min(value + reach, row.high * row.factor)
        found.append(Bound(path=path, low=low, high=high))
    return tuple(found)


class ChangeWeigher(LogPart):
    """Proposed changes, a line each, weighed alone, together and left out; one may be kept."""

    def _make(self) -> ipywidgets.Box:
        self.found: WhatIf | None = None
        self.answer = ipywidgets.HTML()
        self.picture = ipywidgets.Image(format="png", layout=ipywidgets.Layout(max_width="100%"))
        self.controls = {
            "changes": ipywidgets.Textarea(
                value="heavier fill: counterweight.mass=720 kg\nlighter sling: sling.mass=0.5 kg\n"
                "smaller drum: winch.drum=0.15 m",
                description="Changes",
                layout=ipywidgets.Layout(width="min(100%, 40em)", height="8em"),
                style=STYLE,
            ),
            "weigh": button(
                "Weigh", "Look at the changes alone, together and left out", self.weigh, self.bench
            ),
            "which": ipywidgets.Dropdown(
                options=["-"], description="Keep", layout=WIDE, style=STYLE
            ),
            "reason": ipywidgets.Text(description="Why", layout=WIDE, style=STYLE),
            "keep": button(
                "Keep change", "Make it, as a revision in the log", self.keep, self.bench
            ),
        }
        hint = "One change a line: NAME: PATH=VALUE; PATH=VALUE"
        return ipywidgets.VBox(
            [
                ipywidgets.HTML(f"<p>{hint}</p>"),
                self.controls["changes"],
                self.controls["weigh"],
                self.answer,
                self.picture,
                *(self.controls[name] for name in ("which", "reason", "keep")),
                self.status,
            ]
        )

    def proposed(self) -> list[Change]:
        """Read the changes off their lines.

        Raises:
            ValueError: a line that is no change; WhatIfError is one too.
        """
        found = []
        for line in self.controls["changes"].value.splitlines():
            if not line.strip():
                continue
            name, colon, rest = line.partition(":")
            pairs = [word.partition("=") for word in rest.split(";") if word.strip()]
            if not colon or not all(equals for _, equals, _ in pairs):
                raise ValueError(f"{line.strip()[:60]!r}: write NAME: PATH=VALUE; PATH=VALUE")
            found.append(
                Change(name=name.strip(), dials={p.strip(): v.strip() for p, _, v in pairs})
            )
        return found

    def weigh(self) -> None:
        """Weigh the proposed changes."""
        self.say("weighing the changes \N{HORIZONTAL ELLIPSIS}")
        found = what_if(self.bench.machine, self.proposed())
        self.found = found
        system = self.bench.system
        lines = "".join(f"<p>{html.escape(line)}</p>" for line in found.advice(system).splitlines())
        self.answer.value = change_table(found, system)._repr_html_() + lines
        figure, axes = sheet(height=0.5 + 0.38 * len(found.states))
        draw_what_if(axes, found, system)
        self.picture.value = figure._repr_png_()
        self.controls["which"].options = [change.name for change in found.changes]
        self.say(f"weighed {len(found.changes)} changes")

    def keep(self) -> None:
        """Make the chosen change: a revision in the log, and the bench's machine."""
        chosen = next(
            (
                c
                for c in (self.found.changes if self.found else ())
                if c.name == self.controls["which"].value
            ),
            None,
        )
        if chosen is None:
            raise ValueError("nothing was weighed yet: press Weigh, then choose what to keep")
        kept = Change(name=chosen.name, dials=chosen.dials, reason=self.controls["reason"].value)
        entry = keep_change(self.log, self.bench.machine, kept)
        self.bench.change(chosen.dials)
        self.say(f"{chosen.name}: kept as entry {entry.number}")


class Adviser(LogPart):
    """The next trial, from the shots of the log or, where there are none, from the tables."""

    def _make(self) -> ipywidgets.Box:
        self.advice: Advice | None = None
        self.answer = ipywidgets.HTML()
        self.controls = {
            **_ticks(("sling.length", "release.angle")),
            "target": ipywidgets.Text(
                description="Target [m]", placeholder="empty: farthest", layout=WIDE, style=STYLE
            ),
            "axle": ipywidgets.Text(
                description="Axle limit [kN]", placeholder="empty: none", layout=WIDE, style=STYLE
            ),
            "advise": button("Advise", "Find the next trial", self.advise, self.bench),
        }
        return ipywidgets.VBox([*self.controls.values(), self.answer, self.status])

    def advise(self) -> None:
        """Find the next trial."""
        belief = self._belief()
        load = _number(self.controls["axle"], 1e3)
        self.advice = next_trial(
            belief,
            bounds_around(self.bench, _ticked(self.controls)),
            target=_number(self.controls["target"]),
            limits=Limits(axle_load=load),
            system=self.bench.system,
        )
        lines = [self.advice.sentence, *self.advice.watch]
        self.answer.value = "".join(f"<p>{html.escape(line)}</p>" for line in lines)
        self.say("advised")

    def _belief(self) -> Belief:
        story = story_of(self.log, self.bench.machine)
        if not any(shot.tells for shot in story.shots):
            return before_any_shot(self.bench.machine)
        return story.learn().belief


class Searcher(LogPart):
    """The best machine within bounds and limits, and the trade-off, point by point."""

    def _make(self) -> ipywidgets.Box:
        self.optimum: Optimum | None = None
        self.answer = ipywidgets.HTML()
        self.picture = ipywidgets.Image(format="png", layout=ipywidgets.Layout(max_width="100%"))
        self.controls = {
            **_ticks(("sling.length", "release.angle")),
            "goal": ipywidgets.Dropdown(
                options=list(GOALS), description="Goal", layout=WIDE, style=STYLE
            ),
            "axle": ipywidgets.Text(
                description="Axle limit [kN]", placeholder="empty: none", layout=WIDE, style=STYLE
            ),
            "stock": ipywidgets.Text(
                description="Timber [m]", placeholder="6.0 7.5", layout=WIDE, style=STYLE
            ),
            "search": button("Search", "Find the best machine", self.search, self.bench),
            "take": button(
                "Put on the bench", "A step that Undo takes back", self.take, self.bench
            ),
            "trade": button("Trade-off", "Range against axle load", self.trade, self.bench),
        }
        return ipywidgets.VBox([*self.controls.values(), self.answer, self.picture, self.status])

    def limits(self) -> Limits:
        """Read the limits off the controls."""
        words = self.controls["stock"].value.replace(",", " ").split()
        try:
            stock = tuple(float(word) for word in words)
        except ValueError:
            raise ValueError(
                f"Timber: {self.controls['stock'].value[:40]!r}; write lengths in metres, such as "
                "6.0 7.5"
            ) from None
        return Limits(axle_load=_number(self.controls["axle"], 1e3), stock=stock)

    def search(self) -> None:
        """Find the best machine."""
        self.optimum = search(
            self.bench.machine,
            bounds_around(self.bench, _ticked(self.controls)),
            self.controls["goal"].value,
            self.limits(),
            generations=30,
            progress=lambda turn, best: self.say(
                f"generation {turn}" + (f": {best:.4g}" if best is not None else "")
            ),
        )
        self.answer.value = f"<p>{html.escape(self.optimum.sentence(self.bench.system))}</p>"
        self.say("search done")

    def take(self) -> None:
        """Put the best machine on the bench."""
        if self.optimum is None:
            raise ValueError("nothing was found yet: press Search first")
        self.bench.change(dict(self.optimum.values))

    def trade(self) -> None:
        """Trace range against axle load, the picture growing point by point."""
        trade_off(
            self.bench.machine,
            bounds_around(self.bench, _ticked(self.controls)),
            limits=self.limits(),
            points=5,
            generations=15,
            progress=self._draw,
        )
        self.say("trade-off traced")

    def _draw(self, found: tuple[Optimum, ...]) -> None:
        figure, axes = sheet(height=3.2)
        draw_trade_off(axes, found, system=self.bench.system)
        self.picture.value = figure._repr_png_()
        self.say(f"{len(found)} points of the trade-off")


class MoreOf(LogPart):
    """What a little more of each dial does, on demand."""

    def _make(self) -> ipywidgets.Box:
        self.answer = ipywidgets.HTML()
        self.controls = {
            "look": button("A little more of each", "Work the slopes out", self.look, self.bench)
        }
        return ipywidgets.VBox([self.controls["look"], self.answer, self.status])

    def look(self) -> Table:
        """Work the slopes out and show them."""
        found = sensitivity_table(sensitivity(self.bench.machine), self.bench.system)
        self.answer.value = found._repr_html_()
        self.say("slopes worked out")
        return found


def _ticks(on: tuple[str, ...]) -> dict[str, ipywidgets.Checkbox]:
    return {
        f"vary {path}": ipywidgets.Checkbox(
            value=path in on, description=f"vary {dials.dial(path).label.lower()}", indent=False
        )
        for path in VARIED
    }


def _ticked(controls: object) -> tuple[str, ...]:
    of: dict[str, ipywidgets.Checkbox] = controls  # type: ignore[assignment]
    return tuple(path for path in VARIED if of[f"vary {path}"].value)


def _number(control: ipywidgets.Text, factor: float = 1.0) -> float | None:
    text = control.value.strip().replace(",", ".")
    if not text:
        return None
    try:
        return float(text) * factor
    except ValueError:
        raise ValueError(
            f"{control.description}: {text[:40]!r} is not a number; write it as 85, or leave it "
            "empty"
        ) from None


class Changes(Part):
    """The whole page on one bench and one log.

    Args:
        machine: a Machine, the name or path of a machine file, or a Workbench.
        log: an open log, or its file.
    """

    def __init__(
        self, machine: Machine | Workbench | str | Path, log: Logbook | Path | str
    ) -> None:
        bench = machine if isinstance(machine, Workbench) else Workbench(machine)
        self.log = open_log(log, bench.machine.name)
        super().__init__(bench)

    def _make(self) -> ipywidgets.Box:
        self.weigher = ChangeWeigher(self.bench, self.log)
        self.adviser = Adviser(self.bench, self.log)
        self.searcher = Searcher(self.bench, self.log)
        self.more = MoreOf(self.bench, self.log)
        self.parts = (self.weigher, self.adviser, self.searcher, self.more)
        self.controls = {
            f"{name}.{key}": control
            for name, part in (
                ("weigh", self.weigher),
                ("advise", self.adviser),
                ("search", self.searcher),
                ("more", self.more),
            )
            for key, control in part.controls.items()
        }
        tabs = ipywidgets.Tab(
            children=[part.widget for part in self.parts],
            titles=["What if", "Next trial", "Search", "A little more"],
        )
        caution = ipywidgets.HTML(f"<p><strong>Caution.</strong> {html.escape(CAUTION)}</p>")
        box = ipywidgets.VBox([caution, tabs])
        box.add_class("sw-column")
        return box

    def close(self) -> None:
        """Stop watching and take every widget off the page; the log stays open."""
        for part in self.parts:
            part.close()
        super().close()
