"""The look of the pages on a log; it has nothing to show of its own."""

from __future__ import annotations

from pathlib import Path

import anywidget

from slingwright.pages.parts.parts import STYLE


class LogStyle(anywidget.AnyWidget):
    """Brings the pages' style sheet to the browser; one stands on each page."""

    _esm = "export default { render({ el }) { el.style.display = 'none'; } };"
    _css = STYLE + (Path(__file__).parent / "log.css").read_text(encoding="utf-8")
