"""On which line of a TOML text each key stands: the parsers give values, not places.

A light scan, made for messages: it follows table heads, keys with full stops, and texts over
several lines.  A key inside a table or list written on one line is placed at that line.
"""

import re
from dataclasses import dataclass, field

_PART = r"""(?:[A-Za-z0-9_-]+|"[^"\\\n]*"|'[^'\n]*')"""
_KEY = rf"{_PART}(?:[ \t]*\.[ \t]*{_PART})*"
_HEAD = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_KEY})[ \t]*\]\]?[ \t]*(?:#.*)?")
_SETTING = re.compile(rf"[ \t]*({_KEY})[ \t]*=[ \t]*(.*)")
_PARTS = re.compile(_PART)
_TOKEN = re.compile(r"\"\"\"|'''|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'|#.*|[\[\]{}]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeated:
    """A key that stands a second time: its line and the first one's."""

    key: str
    line: int
    first: int


@dataclass(slots=True)
class Lines:
    """Lines of the keys of a text; a projectile of the brief counts as `brief[1]`, `brief[2]`."""

    by_key: dict[str, int] = field(default_factory=dict)
    by_line: dict[int, str] = field(default_factory=dict)
    repeated: list[Repeated] = field(default_factory=list)

    def of(self, key: str) -> int | None:
        """Give the line of a key, or of the nearest table it stands in."""
        while key:
            if key in self.by_key:
                return self.by_key[key]
            key = key.rpartition("[" if key.endswith("]") else ".")[0]
        return None

    def at(self, line: int) -> str | None:
        """Give the key that is set on a line."""
        return self.by_line.get(line)


def lines_of(text: str) -> Lines:
    """Scan a text for its keys.

    >>> lines = lines_of('name = "a"\\n[sling]\\nlength = "4 m"\\nmass = "1 kg"\\nlength = "5 m"')
    >>> lines.of("sling.length"), lines.of("sling.pouch"), lines.repeated[0].line
    (3, 2, 5)
    """
    found = Lines()
    table, open_text, depth = "", "", 0
    counts: dict[str, int] = {}
    for number, line in enumerate(text.split("\n"), 1):
        if open_text or depth:
            open_text, depth = _after(line, open_text, depth)
            continue
        head = _HEAD.fullmatch(line)
        if head is not None:
            table = ".".join(_parts(head[2]))
            if head[1] == "[[":
                counts[table] = counts.get(table, 0) + 1
                found.by_key.setdefault(table, number)
                table = f"{table}[{counts[table]}]"
                found.by_key[table] = number
            else:
                _note(found, table, number)
            continue
        setting = _SETTING.match(line)
        if setting is not None:
            own = ".".join(_parts(setting[1]))
            key = f"{table}.{own}" if table else own
            first = found.by_key.get(key)
            _note(found, key, number)
            open_text, depth = _after(setting[2], "", 0)
            if (open_text or depth) and first is not None:
                # What goes on over several lines cannot be passed over alone.
                found.repeated.pop()
    return found


def _note(found: Lines, key: str, line: int) -> None:
    first = found.by_key.get(key)
    if first is None:
        found.by_key[key] = line
    else:
        found.repeated.append(Repeated(key=key, line=line, first=first))
    found.by_line[line] = key


def _parts(key: str) -> list[str]:
    return [part.strip("\"'") for part in _PARTS.findall(key)]


def _after(line: str, open_text: str, depth: int) -> tuple[str, int]:
    """Tell what is still open after a line: the mark of a long text, and brackets."""
    place = 0
    while True:
        if open_text:
            end = line.find(open_text, place)
            if end < 0:
                return open_text, depth
            place, open_text = end + 3, ""
        match = _TOKEN.search(line, place)
        if match is None:
            return open_text, max(depth, 0)
        token, place = match[0], match.end()
        if token in ('"""', "'''"):
            open_text = token
        elif token in "[{":
            depth += 1
        elif token in "]}":
            depth -= 1
