"""The invented build diary of Otter Ford as a log of one test's own."""

from pathlib import Path

import slingwright as sw
from slingwright.logbook import Logbook
from slingwright.logbook.shown.export import from_json_lines


def demo_log(path: Path | str) -> Logbook:
    """Make a new log at `path` with the diary in it, and open it."""
    return from_json_lines((sw.data_folder() / "otter_ford_log.jsonl").read_text("utf-8"), path)
