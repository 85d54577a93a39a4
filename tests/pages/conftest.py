"""Pages without a browser: what a test shows is closed after it."""

from collections.abc import Iterator

import pytest
from ipywidgets.widgets import widget


@pytest.fixture(autouse=True)
def widgets_closed() -> Iterator[None]:
    """Close the widgets of a test: all of them are kept otherwise, with their pages' machines.

    A whole run would fill gigabytes, and Python's garbage collector would take seconds over them.
    """
    before = set(widget._instances)
    yield
    for name in set(widget._instances) - before:
        # One that is closed closes others along.
        if name in widget._instances:
            widget._instances[name].close()
