"""Where logs lie: in a folder that is shown and can be chosen, from the first write on."""

from __future__ import annotations

import html
import secrets
from collections.abc import Callable
from pathlib import Path

import ipywidgets

from slingwright.logbook import Logbook, LogbookError
from slingwright.logbook.job import logs_folder
from slingwright.logbook.opening import place_file
from slingwright.logbook.shown.export import from_json_lines
from slingwright.places import data_folder

SUFFIX = ".log"
WIDE = ipywidgets.Layout(width="min(100%, 34em)")


def open_log(
    log: Logbook | Path | str, machine: str = "", *, folder: Path | str | None = None
) -> Logbook:
    """Open a log by its file, or by a name in the folder of logs.

    The name of a build diary that comes with the kit, `otter_fair`, is a copy of it, made at first
    and written from then on.

    Args:
        log: an open log, a file, or a plain name.
        machine: name of the machine for a log that is not there yet.
        folder: where a plain name is sought, in place of the folder of logs.

    Raises:
        LogbookError: it is no log, cannot be opened, or is not there and no machine was named.
    """
    if isinstance(log, Logbook):
        return log
    plain = isinstance(log, str) and not Path(log).suffix and len(Path(log).parts) == 1
    path = Path(log).expanduser()
    if plain:
        path = (logs_folder() if folder is None else Path(folder)) / f"{log}{SUFFIX}"
    supplied = data_folder() / f"{log}_log.jsonl"
    try:
        if not path.exists():
            if plain and supplied.is_file():
                _copy(supplied, path)
            elif machine:
                return Logbook.create(path, machine=machine)
    except LogbookError:
        if not path.exists():
            raise
        # Another page was first: what it began is the log, and nothing of it is replaced.
    return Logbook.open(path)


def typed_log(words: str) -> Path:
    """Give the file that a person means who types a name, or a file with its folder.

    A name without a folder lies in the folder of logs, with the ending of logs where it has none.
    """
    path = Path(words).expanduser()
    if len(path.parts) > 1 or path.is_absolute():
        return path.absolute()
    return logs_folder() / (path.name if path.suffix else f"{path.name}{SUFFIX}")


def _copy(supplied: Path, path: Path) -> None:
    """Make a log of a supplied diary, whole or not at all.

    Raises LogbookError where another page was first.
    """
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        from_json_lines(supplied.read_text(encoding="utf-8"), draft).close()
        place_file(draft, path)
    finally:
        draft.unlink(missing_ok=True)


class LogPlace:
    """The line that tells where the log lies, opens another, and reads it again.

    Args:
        log: gives the open log.
        open_other: takes the path of another log.
        again: reads the log again.
        attempt: does something and says what went wrong.
    """

    def __init__(
        self,
        log: Callable[[], Logbook],
        open_other: Callable[[str], object],
        again: Callable[[], object],
        attempt: Callable[[Callable[[], object]], str],
    ) -> None:
        self._log = log
        self.words = ipywidgets.HTML()
        self.path = ipywidgets.Text(
            description="Other log",
            placeholder="a name, or a file such as /home/wren/fair.log",
            layout=WIDE,
        )
        self.open = ipywidgets.Button(description="Open", tooltip="Open that log, or make it new")
        self.again = ipywidgets.Button(
            description="Refresh", tooltip="Read the log again: others may have written into it"
        )
        self.open.on_click(lambda _: attempt(lambda: open_other(self.path.value.strip())))
        self.again.on_click(lambda _: attempt(again))
        line = ipywidgets.HBox([self.path, self.open, self.again])
        line.layout.flex_flow = "row wrap"
        self.widget = ipywidgets.VBox([self.words, line])
        self.widget.add_class("sw-log-place")
        self.refresh()

    def refresh(self) -> None:
        """Tell where the log lies and how long it is."""
        log = self._log()
        count, path = len(log), log.path.absolute()
        told = (
            f"<p>Log of {html.escape(log.machine)}: <code>{html.escape(str(path))}</code>, "
            f"{count} entr{'y' if count == 1 else 'ies'}. Each is on the disk once it is "
            "written.</p>"
        )
        if self.words.value != told:
            self.words.value = told

    def close(self) -> None:
        """Take the line off the page."""
        self.widget.close()
