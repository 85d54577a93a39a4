"""Where logs lie: in a folder that can be chosen, from the first write on."""

from __future__ import annotations

import secrets
from pathlib import Path

from slingwright.logbook import Logbook, LogbookError
from slingwright.logbook.job import logs_folder
from slingwright.logbook.opening import place_file
from slingwright.logbook.shown.export import from_json_lines
from slingwright.places import data_folder

SUFFIX = ".log"


def open_log(
    log: Logbook | Path | str, machine: str = "", *, folder: Path | str | None = None
) -> Logbook:
    """Open a log by its file, or by a name in the folder of logs, or in `folder`.

    The name of a build diary that comes with the kit, `otter_fair`, is a copy of it, made at first
    and written from then on. A log that is not there yet is made where a machine is named.

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
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        from_json_lines(supplied.read_text(encoding="utf-8"), draft).close()
        place_file(draft, path)
    finally:
        draft.unlink(missing_ok=True)
