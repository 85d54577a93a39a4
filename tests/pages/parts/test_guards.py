"""Every panel has its guard, and says which of its parts show answers.

Truth: the widgets of each panel, walked from its root.
"""

import ipywidgets
import pytest

import slingwright as sw

PANELS = {
    "bench": lambda: sw.panels.Bench("garden"),
    "holding": lambda: sw.panels.HoldingBench("garden"),
    "winding": lambda: sw.panels.WindingBench("garden"),
    "standing": lambda: sw.panels.ZoneBench("garden"),
    "log": lambda: sw.panels.BuildLog("otter_ford", "otter_ford"),
    "field": lambda: sw.panels.FieldDay("otter_ford", "otter_ford"),
    "changes": lambda: sw.panels.Changes("otter_ford", "otter_ford"),
    "exercise": lambda: sw.panels.Exercise("How far?", 3.0, "m", ()),
    "sheet": lambda: sw.panels.Sheet("otter"),
}


def walk(widget):
    """Give a widget and all that it holds."""
    yield widget
    for child in getattr(widget, "children", ()):
        yield from walk(child)


@pytest.mark.parametrize("name", PANELS)
def test_a_panel_is_guarded(name: str) -> None:
    """Truth: see above; the guard's echo is the number that was asked."""
    root = PANELS[name]().widget
    assert "sw-guarded" in root._dom_classes
    (guard,) = [one for one in walk(root) if isinstance(one, sw.panels.Guard)]
    assert any(
        "sw-answer" in one._dom_classes
        for one in walk(root)
        if isinstance(one, ipywidgets.DOMWidget)
    )
    sent = []
    guard.send = sent.append
    guard._hear(guard, {"asked": 7}, [])
    guard._hear(guard, "nonsense", [])
    assert sent == [{"answered": 7}]
