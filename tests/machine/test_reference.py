"""The pages on machine files: the table of dials as it is, and an example that reads.

Truth: the table itself; the reader of machine files.
"""

import re
from pathlib import Path

import slingwright as sw
from slingwright.machine.table import dials
from slingwright.machine.text import dials_reference

DOCS = Path(__file__).parents[2] / "docs"


def test_the_page_of_dials_is_the_table() -> None:
    """Truth: the text that `python -m slingwright dials --markdown` prints, and every path."""
    page = (DOCS / "dials.md").read_text("utf-8")
    assert page == dials_reference()
    rows = [line.split("|")[1].strip(" `") for line in page.splitlines() if line.startswith("| `")]
    assert rows == [row.key for row in dials.TABLE]


def test_the_guides_example_throws() -> None:
    """Truth: the throw of the file in the guide."""
    text = re.search(r"```toml\n(.*?)```", (DOCS / "machine_files.md").read_text("utf-8"), re.S)[1]
    machine = sw.parse_machine(text)
    assert machine["arm.long"] == 4 * 0.3048 and machine["arm.short"] == 0.3
    assert machine.throw().outcome == "released"
