"""A slider that turns over pictures, and large type for a whole page: what a lesson opens on."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

import ipywidgets

from slingwright.motion.shown.drawings import Sheet
from slingwright.pages.parts.fields import Fields
from slingwright.pages.parts.parts import panel

LARGE = (
    ".jp-Notebook{--jp-content-font-size1:22px;--jp-code-font-size:20px;"
    "--jp-widgets-font-size:20px;--jp-widgets-inline-height:40px}"
)
DARK = "[data-jp-theme-light='false'] .sw-flip img{filter:invert(.92) hue-rotate(180deg)}"
"""Pictures are drawn on white; in the dark theme they are turned over, hues kept."""


def large_type() -> ipywidgets.Box:
    """Give a button that sets the whole page in large type, for a projector."""
    style = ipywidgets.HTML()
    switch = ipywidgets.ToggleButton(description="Large type", tooltip="Large type on this page")

    def hear(change: Any) -> None:
        style.value = f"<style>{LARGE}</style>" if change["new"] else ""

    switch.observe(hear, names="value")
    return ipywidgets.HBox([switch, style])


class Flip:
    """Pictures of one thing at several values, turned over by a slider.

    Args:
        label: what is changed, with its unit.
        values, pictures: those it has, in order, and one for each.
        words: what each shows, in a sentence, for those who do not see it.
        at: which one stands first.

    Raises:
        ValueError: values, pictures and words are not as many.
    """

    def __init__(
        self,
        label: str,
        values: Sequence[float | str],
        pictures: Sequence[Sheet],
        words: Sequence[str],
        at: int = 0,
    ) -> None:
        if not len(values) == len(pictures) == len(words) > 0:
            raise ValueError(
                f"{len(values)} values, {len(pictures)} pictures, {len(words)} sentences: "
                "a slider needs one of each for each"
            )
        self.words = tuple(words)
        self.drawn = [one._repr_png_() for one in pictures]
        shown = [one if isinstance(one, str) else f"{one:g}" for one in values]
        options = [(name, i) for i, name in enumerate(shown)]
        made = Fields("95%", "initial").made
        self.slider = made(ipywidgets.SelectionSlider, label, options=options, value=at)
        self.picture, self.told = ipywidgets.Image(), ipywidgets.HTML()
        self.picture.layout.max_width = "100%"
        self.slider.observe(lambda change: self._show(change["new"]), names="value")
        self._show(at)
        answers = (self.picture, self.told)
        dark = ipywidgets.HTML(f"<style>{DARK}</style>")
        self.widget = panel(self.slider, *answers, large_type(), dark, answers=answers)
        self.widget.add_class("sw-flip")

    def _show(self, at: int) -> None:
        self.picture.value = self.drawn[at]
        self.picture.alt = self.words[at]
        self.told.value = f"<p role='status'>{html.escape(self.words[at])}</p>"

    def _repr_mimebundle_(self, **options: Any) -> Any:
        drawn = self.drawn[self.slider.value]
        return {**self.widget._repr_mimebundle_(**options), "image/png": drawn}
