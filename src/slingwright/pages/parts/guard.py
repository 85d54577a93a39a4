"""What stands around every panel: keys stay in it, and stale answers are seen to be stale."""

from __future__ import annotations

from collections.abc import Iterable

import anywidget
import ipywidgets

from slingwright.pages.parts.parts import STYLE, Part, box, script


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
