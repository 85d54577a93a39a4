"""Machine files: TOML with units, read with every fault at once, written back with its comments.

A machine file is data: nothing in it is evaluated.  A file is a table for each group of dials,
a `name`, `notes`, and a `[[brief]]` table for each load the machine is asked to throw.
"""

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from slingwright.machine.faults import Fault, MachineError, printable, unknown_dial, written_as
from slingwright.machine.lines import Lines, lines_of
from slingwright.machine.machine import BriefLoad, Machine, build, read_value
from slingwright.machine.table import derived, dials
from slingwright.places import data_folder

LARGEST_FILE = 1_000_000
"""Largest machine file that is read, in bytes."""
LONGEST_LINE = 4_000
MOST_DOTS = 40
"""Most full stops in a line outside quotes: a real key has one or two."""
PASSED_OVER = "passed-over-"
MOST_REPAIRS = 20
"""Lines that are passed over so that the faults after them are reported as well."""
BRIEF_KEYS = {"name": None, "mass": "projectile.mass", "diameter": "projectile.diameter",
              "drag": "projectile.drag"}  # fmt: skip
TOP_KEYS = ("name", "notes", "brief", *dials.GROUPS)


def supplied_machines() -> dict[str, Path]:
    """Name the machine files that come with the kit.

    >>> list(supplied_machines())[0]
    'desk'
    """
    return {path.stem: path for path in sorted(data_folder().glob("*.toml"))}


def read_machine(path: str | os.PathLike[str]) -> Machine:
    """Read a machine file; a supplied machine may be named without folder and ending.

    Raises:
        MachineError: the file cannot be read, or every fault in it, each with its line.

    >>> read_machine("garden").name
    'Garden'
    """
    file = Path(path)
    supplied = supplied_machines()
    if str(path) in supplied and not file.exists():
        file = supplied[str(path)]
    try:
        data = _bytes_of(file)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refusal(
            f"the file {printable(str(file))} cannot be read ({printable(reason)})",
            next_step="check the name and the folder, or name a supplied machine: "
            + ", ".join(supplied),
        ) from error
    return _parse(_text_of(data), file.stem, str(file))


def parse_machine(text: str | bytes, name: str = "") -> Machine:
    """Read the text of a machine file; `name` is used where the text gives none.

    Raises:
        MachineError: with every fault in the text, each with its line.
    """
    return _parse(_text_of(text), name, None)


def write_machine(
    machine: Machine,
    path: str | os.PathLike[str],
    *,
    like: str | None = None,
    overwrite: bool = False,
) -> str:
    """Write a machine to a file, and give the text that was written.

    Comments, order and units are those of `like`, or else of the text the machine was read from;
    what did not change stays as it was written, and a changed value keeps its unit.  The file is
    replaced whole or not at all.

    Args:
        machine: what to write: its name, notes, brief and the values that were given.
        path: the file.
        like: text to keep the layout of, such as what the last call gave.
        overwrite: write even where the file holds something that is neither `like` nor what the
            machine was read from.

    Raises:
        MachineError: the file was changed by another hand, or cannot be written.
    """
    file = Path(path)
    pattern = machine.source if like is None else _text_of(like)
    text = machine_text(machine, like=pattern)
    data = b""
    try:
        data = _bytes_of(file) if file.exists() else b""
        there = _text_of(data) if file.exists() else None
    except (OSError, MachineError) as error:
        if not overwrite:
            raise _refusal(
                f"{printable(str(file))} is there already and is no file this program wrote "
                f"({printable(str(error))})",
                next_step="choose another name, or write with overwrite=True",
            ) from error
        there = None
    if there is not None and not overwrite and there not in (pattern, machine.source, text):
        raise _refusal(
            f"{printable(str(file))} holds something else than was read from it",
            limit="a file that nobody changed meanwhile",
            next_step="read it again, choose another name, or write with overwrite=True",
        )
    try:
        _replace(file, text.replace("\n", "\r\n") if b"\r\n" in data else text)
    except OSError as error:
        raise _refusal(
            f"{printable(str(file))} cannot be written ({error.strerror})",
            next_step="choose a folder you may write to",
        ) from error
    return text


def machine_text(machine: Machine, *, like: str | None = None) -> str:
    """Give a machine as the text of a machine file, with the layout of `like` where given.

    Raises:
        MachineError: `like` is not a sound machine file itself.
    """
    from slingwright.machine import layout as machinelayout

    if like is None:
        return machinelayout.fresh(machine)
    like = _text_of(like)
    # A file without a name of its own is named by the file it is.
    unnamed = Path(machine.file).stem if machine.file else ""
    kept = machinelayout.kept(machine, parse_machine(like, unnamed), like)
    if parse_machine(kept, unnamed) != machine:
        raise _refusal(
            "the layout of the old file cannot hold the changed machine",
            next_step="write it to a new file without like=",
        )
    return kept


# ---- reading


@dataclass(slots=True)
class _Found:
    """What a text gave so far."""

    lines: Lines
    settings: dict[str, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    excused: set[str] = field(default_factory=set)

    @property
    def may_hint(self) -> bool:
        """Whether to look for the nearest key: that is slow, and 50 hints are enough."""
        return len(self.faults) < 50

    def add(
        self,
        key: str,
        message: str,
        limit: str,
        next_step: str,
        value: str = "",
        line: int | None = None,
    ) -> None:
        where, key = line or self.lines.of(key), printable(key)
        more = {"limit": limit, "next_step": next_step, "value": value}
        self.faults.append(Fault(key=key, line=where, message=message, **more))


def _parse(text: str, name: str, file: str | None) -> Machine:
    _refuse_monsters(text)
    found = _Found(lines=lines_of(text))
    tree = _tree(text, found)
    title = _words(tree, "name", found) or name
    notes = _words(tree, "notes", found)
    _take_groups(tree, found)
    brief = _take_brief(tree.get("brief", []), found)
    for row in dials.TABLE:
        if row.group in found.excused:
            found.excused.add(row.path)
    return build(
        found.settings,
        name=title,
        notes=notes,
        brief=brief,
        file=file,
        source=text,
        lines={path: line for path in found.settings if (line := found.lines.of(path))},
        faults=found.faults,
        excused=found.excused,
    )


def _bytes_of(file: Path) -> bytes:
    """Read a file, one byte past the limit at most."""
    if file.exists() and not file.is_file():
        raise OSError(0, "this is not a file")
    with file.open("rb") as stream:
        return stream.read(LARGEST_FILE + 1)


def _text_of(data: str | bytes) -> str:
    """Give the text of a file's bytes, or say what keeps it from being read."""
    limit = f"at most {LARGEST_FILE:,} bytes of UTF-8 text"
    if len(data) > LARGEST_FILE:
        raise _refusal("the text is too long for a machine file", limit, "cut it short")
    if isinstance(data, str):
        text = data
    else:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")) or data[1:2] == b"\0" or data[:1] == b"\0":
            raise _refusal("the text is saved as UTF-16", limit, "save it again as UTF-8")
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError as error:
            raise _refusal(
                f"byte {error.start + 1} is not UTF-8 text",
                limit,
                "save it again as UTF-8",
                line=data.count(b"\n", 0, error.start) + 1,
            ) from None
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    for place, sign in enumerate(text):
        if "\ud800" <= sign <= "\udfff" or sign == "\0":
            raise _refusal(
                f"character {sign.encode('unicode_escape').decode()} is no text",
                limit,
                "take it out",
                line=text.count("\n", 0, place) + 1,
            )
    return text


def _refuse_monsters(text: str) -> None:
    """Refuse lines that no hand writes and that take a parser long."""
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            raise _refusal(
                f"the line is {len(line):,} characters long",
                f"at most {LONGEST_LINE:,} characters",
                "break it into several lines",
                line=number,
            )
        if line.count(".") <= MOST_DOTS or line.lstrip().startswith("#"):
            continue
        bare = re.sub(r"\"[^\"]*\"|'[^']*'", "", line)
        if bare.count(".") > MOST_DOTS:
            raise _refusal(
                f"the line has {bare.count('.')} full stops outside quotes",
                f"at most {MOST_DOTS}: a key is one group, one full stop and one name",
                "break it into several lines",
                line=number,
            )


def _tree(text: str, found: _Found) -> dict[str, Any]:
    """Parse TOML; a line at fault is noted and passed over, so that the rest is read too."""
    rows = text.split("\n")
    for again in found.lines.repeated:
        said = f"given twice, first in line {again.first}"
        step = "take one of the two out"
        found.add(again.key, said, "one value for each key", step, line=again.line)
        _pass_over(again.line, rows, found)
    for _ in range(MOST_REPAIRS):
        try:
            tree = tomllib.loads("\n".join(rows))
            return {key: value for key, value in tree.items() if not key.startswith(PASSED_OVER)}
        except RecursionError:
            raise _refusal(
                "lists or tables are nested too deeply",
                "a group, a dial and its value",
                "write each value under its group",
            ) from None
        except ValueError as error:
            line = _line_in(str(error), rows)
            _note_broken(str(error), line, rows, found)
            if not rows[line - 1] or rows[line - 1].startswith(f"[{PASSED_OVER}"):
                break
            _pass_over(line, rows, found)
    raise MachineError(found.faults)


def _pass_over(line: int, rows: list[str], found: _Found) -> None:
    """Take a line out; a table's head becomes that of a table which nobody reads."""
    head = re.match(r"\s*\[+\s*([A-Za-z_][\w-]{0,60})?", rows[line - 1])
    if head is None:
        rows[line - 1] = ""
        return
    rows[line - 1] = f"[{PASSED_OVER}{line}]"
    found.excused.add(head[1] or "")


def _line_in(message: str, rows: list[str]) -> int:
    match = re.search(r"\(at line (\d+)", message)
    if match is not None and 1 <= int(match[1]) <= len(rows):
        return int(match[1])
    return max((i for i, row in enumerate(rows, 1) if row.strip()), default=1)


def _note_broken(message: str, line: int, rows: list[str], found: _Found) -> None:
    """Note a line that is not TOML, and excuse the key that it would have given."""
    what = re.sub(r" *\(at [^)]*\)", "", message)
    key = found.lines.at(line)
    head = re.match(r"\s*([A-Za-z_][\w.-]{0,60})", rows[line - 1])
    if key is None and head is not None:
        key = head[1]
    if key is not None:
        found.excused.add(key)
    found.add(
        key or "file",
        f"this line cannot be read as TOML ({printable(what, 120)})",
        'lines like length = "4.2 m" under a [group], with text in quotes',
        "correct the line",
        written_as(rows[line - 1].strip()),
        line,
    )


def _words(tree: Mapping[str, Any], key: str, found: _Found) -> str:
    value = tree.get(key, "")
    if isinstance(value, str):
        return value
    found.add(key, "this is not text", "text in quotes", f'write {key} = "..."', written_as(value))
    return ""


def _take_groups(tree: Mapping[str, Any], found: _Found) -> None:
    """Take the settings out of the groups' tables; what has no place is a fault."""
    for group, content in tree.items():
        if group in ("name", "notes", "brief"):
            continue
        if group not in dials.GROUPS:
            hint = found.may_hint
            _stray(group, content, found)
            if isinstance(content, dict) and hint:
                # A misspelt group is one fault: what stands in it is not missing as well.
                meant = dials.nearest(group, TOP_KEYS)
                found.excused.update(f"{meant}.{key}" for key in content)
        elif not isinstance(content, dict):
            found.add(
                group,
                "this is a group of dials, not a value",
                "a table of dials",
                f"write [{group}] on a line of its own and the dials below it",
                written_as(content),
            )
            found.excused.add(group)
        else:
            for key, raw in content.items():
                _take(f"{group}.{key}", raw, found)


def _stray(group: str, content: Any, found: _Found) -> None:
    """Note a key at the top that is no group."""
    near = None
    if found.may_hint:
        by_key = [row.path for row in dials.TABLE if row.key == group]
        alone = bool(by_key) and not isinstance(content, dict)
        near = by_key[0] if alone else dials.nearest(group, TOP_KEYS)
    said = "no such group" if isinstance(content, dict) else "no such key at the top"
    step = f"did you mean {near}?" if near else "correct the key or take it out"
    found.add(group, said, ", ".join(TOP_KEYS), step)


def _take(path: str, raw: Any, found: _Found) -> None:
    """Take one setting; its limits are checked when the machine is built."""
    row = dials.BY_PATH.get(path)
    if row is None:
        found.faults.append(unknown_dial(path, found.lines.of(path), hint=found.may_hint))
        near = dials.nearest(path) if found.may_hint else None
        if near is not None:
            found.excused.add(near)
        return
    _, fault = read_value(row, raw, line=found.lines.of(path), bare=False)
    if fault is None:
        found.settings[path] = raw
    else:
        found.faults.append(fault)
        found.excused.add(path)


def _take_brief(content: Any, found: _Found) -> tuple[BriefLoad, ...]:
    """Take the projectiles of the brief."""
    if not isinstance(content, list) or not all(isinstance(one, dict) for one in content):
        found.add(
            "brief",
            "the brief is a list of projectiles",
            "a [[brief]] table for each projectile",
            'write [[brief]] and below it name = "..." and mass = "..."',
            written_as(content),
        )
        return ()
    loads = []
    for number, one in enumerate(content[:100], 1):
        before = len(found.faults)
        here = f"brief[{number}]"
        for key in one:
            if key not in BRIEF_KEYS:
                near = dials.nearest(key, tuple(BRIEF_KEYS))
                found.add(
                    f"{here}.{key}",
                    "no such key in a projectile of the brief",
                    ", ".join(BRIEF_KEYS),
                    f"did you mean {near}?" if near else "correct the key or take it out",
                )
        name = one.get("name", f"projectile {number}")
        if not isinstance(name, str):
            found.add(
                f"{here}.name", "this is not text", "text in quotes", 'write name = "..."',
                written_as(name),
            )  # fmt: skip
        if "mass" not in one:
            found.add(
                here, "the projectile has no mass", "a mass", 'write mass = "12 kg" below [[brief]]'
            )
        sizes = _sizes(one, here, found)
        if len(found.faults) == before:
            mass = sizes["mass"]
            across = sizes.get("diameter")
            if across is None:
                across = float(derived.derive({"projectile.mass": mass}, _ALL_BUT_DIAMETER)[
                    "projectile.diameter"
                ])  # fmt: skip
            loads.append(BriefLoad(name=name, mass=mass, diameter=across, drag=sizes.get("drag")))
    if len(content) > 100:
        found.add(
            "brief", f"{len(content)} projectiles", "at most 100 projectiles", "take some out"
        )
    return tuple(loads)


_ALL_BUT_DIAMETER = derived.PATHS - {"projectile.diameter"}


def _sizes(one: Mapping[str, Any], here: str, found: _Found) -> dict[str, float]:
    """Read the numbers of one projectile, each like the projectile's own dial."""
    sizes = {}
    for key, path in BRIEF_KEYS.items():
        if path is None or key not in one:
            continue
        line = found.lines.of(f"{here}.{key}")
        value, fault = read_value(dials.BY_PATH[path], one[key], line=line, bare=False)
        if fault is not None:
            found.faults.append(replace(fault, key=f"{here}.{key}"))
        elif isinstance(value, float):
            sizes[key] = value
    return sizes


def _refusal(message: str, limit: str = "", next_step: str = "", line: int | None = None) -> (
    MachineError
):  # fmt: skip
    return MachineError(
        [Fault(key="file", line=line, message=message, limit=limit, next_step=next_step)]
    )


def _replace(file: Path, text: str) -> None:
    """Write beside the file, then put it in its place in one step."""
    place = Path(os.path.realpath(file))
    temporary = place.with_name(f".{place.name[:80]}.{os.getpid()}.new")
    try:
        with temporary.open("w", encoding="utf-8", newline="") as stream:
            stream.write(text)
        if place.exists():
            temporary.chmod(place.stat().st_mode & 0o777)
        temporary.replace(place)
    except OSError:
        temporary.unlink(missing_ok=True)
        raise
