"""What stands around every panel: keys stay in it, and stale answers are seen to be stale."""

from __future__ import annotations

from collections.abc import Iterable

import anywidget
import ipywidgets
import traitlets

from slingwright.pages.parts.parts import STYLE, Part, script


class Guard(anywidget.AnyWidget):
    """Echoes what the browser asks, after all that the kernel was told before it.

    The browser counts `asked` up at each touch of a control; since the kernel takes messages in
    turn, `answered` comes once the change is worked out and shown.
    """

    _esm = script("guard.js")
    _css = STYLE
    asked = traitlets.Int(0).tag(sync=True)
    answered = traitlets.Int(0).tag(sync=True)

    @traitlets.observe("asked")
    def _answer(self, change: object) -> None:
        self.answered = self.asked


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
    shown = [part.widget if isinstance(part, Part) else part for part in parts]
    box = ipywidgets.Box([Guard(), *shown])
    box.add_class("sw-guarded")
    return box
