"""What every part of a page is made of: a widget, its controls, and a way to show anew.

A guard stands around every panel: keys stay in it, and stale answers are seen to be stale.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets

from slingwright.pages.parts.workbench import Workbench

SCRIPTS = Path(__file__).parent
STYLE = (SCRIPTS / "panels.css").read_text(encoding="utf-8")


def script(*names: str | Path) -> str:
    """Give the text of one or more browser scripts, in order, as one module.

    A name is looked for beside this file; a page gives the whole path of its own.
    """
    return "".join((SCRIPTS / name).read_text(encoding="utf-8") for name in names)


class Part:
    """One part of a page: `widget` is what is shown, `controls` what a person can move.

    A part watches its bench, which may come in a page's controller; `refresh` shows it as it is.
    """

    watches_status = False
    parts: Sequence[Part] = ()  # parts that this one is made of
    ends: Sequence[Any] = ()  # what else is closed with it
    _asleep = _missed = False

    def __init__(self, source: Any) -> None:
        self.controller: Any = source
        self.bench: Workbench = source if isinstance(source, Workbench) else source.bench
        self.controls: Mapping[str, Any] = {}
        self.widget: ipywidgets.DOMWidget = self._make()
        self._leave = self.bench.watch(self._hear_bench, status=self.watches_status)
        self.refresh()

    def _hear_bench(self) -> None:
        if self._asleep:
            self._missed = True
        else:
            self.refresh()

    def sleep(self, asleep: bool) -> None:
        """Work nothing out while nobody looks; what was missed is shown on waking."""
        for part in self.parts:
            part.sleep(asleep)
        self._asleep = asleep
        if self._missed and not asleep:
            self._missed = False
            self.bench.attempt(self.refresh)

    def _make(self) -> ipywidgets.DOMWidget:
        raise TypeError(f"{type(self).__name__} makes no widget; use one of the parts")

    def refresh(self) -> None:
        """Show the bench as it is now."""

    def close(self) -> None:
        """Stop watching and take the widget off the page, with its parts and its work."""
        for one in (*self.parts, *self.ends):
            one.close()
        self._leave()
        self.widget.close()

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)


class Told(Part):
    """Words that follow the bench: `tell` gives them as HTML, for the bench as it is now."""

    def __init__(self, bench: Workbench, tell: Callable[[], str]) -> None:
        self.tell = tell
        super().__init__(bench)

    def _make(self) -> ipywidgets.HTML:
        return ipywidgets.HTML()

    def refresh(self) -> None:
        """Say the words for the bench as it is now."""
        self.widget.value = self.tell()


def button(
    words: str, hint: str, action: Callable[[], object], bench: Workbench, *, icon: str = ""
) -> ipywidgets.Button:
    """Make a button that does one thing; what goes wrong is said in the bench's status line."""
    made = ipywidgets.Button(
        description=words, tooltip=hint, icon=icon, layout=ipywidgets.Layout(width="auto")
    )
    made.add_class("sw-tool")
    made.on_click(lambda _: bench.attempt(action))
    return made


def box(
    classes: str, *parts: Part | ipywidgets.Widget, kind: type[ipywidgets.Box] = ipywidgets.Box
) -> ipywidgets.Box:
    """Put parts (or any widgets) into a box that the style sheet knows by these classes."""
    made = kind([part.widget if isinstance(part, Part) else part for part in parts])
    for name in classes.split():
        made.add_class(name)
    return made


def column(*parts: Part | ipywidgets.Widget) -> ipywidgets.Box:
    """Put parts (or any widgets) below one another: a page of your own."""
    return box("sw-column", *parts)


def row(*parts: Part | ipywidgets.Widget) -> ipywidgets.Box:
    """Put parts (or any widgets) beside one another; they wrap where the page is narrow."""
    return box("sw-row", *parts)


class Guard(anywidget.AnyWidget):
    """Echoes what the browser asks, after all that the kernel was told before it.

    The browser counts what it asks at each touch of a control; since the kernel takes messages in
    turn, the echo comes once the change is worked out and shown.
    """

    _esm = script("guard.js")
    _css = STYLE

    def __init__(self) -> None:
        super().__init__()
        self.on_msg(self._hear)

    def _hear(self, _: object, content: object, buffers: object) -> None:
        if isinstance(content, dict) and isinstance(content.get("asked"), int):
            self.send({"answered": content["asked"]})


def panel(
    *parts: Part | ipywidgets.Widget, answers: Iterable[Part | ipywidgets.Widget] = ()
) -> ipywidgets.Box:
    """Put parts (or any widgets) below one another with a guard around them: a panel of its own.

    Args:
        parts: what the panel shows.
        answers: those that show what follows of the controls, and are grey until it has come.
    """
    for one in answers:
        (one.widget if isinstance(one, Part) else one).add_class("sw-answer")
    return box("sw-guarded", Guard(), *parts)
