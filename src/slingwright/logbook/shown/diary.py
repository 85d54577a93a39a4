"""The log read as a build diary, day by day, as plain text or as a page."""

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from urllib.parse import quote

from slingwright.logbook.entries import Cost, Entry, Hours, Photo, Revision, Shot, followed
from slingwright.logbook.photos import photo_folder
from slingwright.logbook.shown.escaping import for_html, for_html_paragraph
from slingwright.logbook.shown.telling import Show, Told, plain_value, tell
from slingwright.logbook.store import Logbook

MOST_OPEN = 10  # rows of a table that stand open on the page
Place = Callable[[Photo], str]

_LOOK = """
body { font-family: sans-serif; color: #111; background: #fff; max-width: 48rem;
  margin: 1rem auto; padding: 0 1rem; line-height: 1.45; }
article { border-left: 4px solid #0072b2; padding-left: 0.8rem; margin: 1rem 0; }
article.old { border-color: #999; color: #555; }
article.incident { border-color: #d55e00; }
table { border-collapse: collapse; margin: 0.4rem 0; }
th, td { border-bottom: 1px solid #bbb; padding: 0.15rem 0.8rem 0.15rem 0; text-align: left; }
img { max-width: 100%; height: auto; }
.small { color: #555; font-size: 0.85rem; }
"""


def _days(entries: Iterable[Entry]) -> list[tuple[str, list[Entry]]]:
    ordered = sorted(entries, key=lambda entry: (entry.at[:10], entry.number))
    return [(day, list(rows)) for day, rows in groupby(ordered, key=lambda entry: entry.at[:10])]


def totals(entries: Iterable[Entry]) -> str:
    """Return hours, money and shots of some entries as one sentence.

    >>> totals([])
    'No hours, costs or shots yet.'
    """
    hours = 0.0
    money: dict[str, float] = {}
    ranges: list[float] = []
    shots = 0
    for entry in entries:
        record = entry.record
        if isinstance(record, Hours):
            hours += record.hours
        elif isinstance(record, Cost):
            money[record.currency] = money.get(record.currency, 0.0) + record.amount
        elif isinstance(record, Shot):
            shots += 1
            if record.range is not None:
                ranges.append(record.range)
    said = []
    if hours:
        said.append(f"{hours:g} hours of work")
    said.extend(f"{amount:.2f} {currency}" for currency, amount in sorted(money.items()))
    if shots:
        count = "1 shot" if shots == 1 else f"{shots} shots"
        said.append(count + (f", the longest {max(ranges):g} m" if ranges else ""))
    return "; ".join(said) + " so far." if said else "No hours, costs or shots yet."


def diary_text(log: Logbook, *, show: Show = plain_value) -> str:
    """Return the diary as plain text; corrected entries are left out, their corrections stand.

    Arguments:
        log: the log.
        show: turns a dial path and its SI value into words.
    """
    counting = log.current()
    lines = [f"Build diary of {log.machine}", totals(counting)]
    for day, entries in _days(counting):
        lines += ["", day, "-" * len(day)]
        for entry in entries:
            told = tell(entry, show)
            by = f" ({entry.author})" if entry.author.strip() else ""
            mark = f", corrected from {entry.corrects}" if entry.corrects is not None else ""
            lines.append(f"{entry.at[11:16]}  [{entry.number}{mark}] {told.sentence}{by}")
            if entry.note.strip():
                lines += [f"       {line}" for line in entry.note.splitlines()]
            lines += [f"       {path}: {old} -> {new}" for path, old, new in told.changes]
            lines += [f"       {name} = {value}" for name, value in told.numbers]
    return "\n".join(lines) + "\n"


def diary_html(
    log: Logbook,
    *,
    show: Show = plain_value,
    whole_page: bool = True,
    place: Place | None = None,
) -> str:
    """Return the diary as HTML in which every text stands as it was typed and does nothing.

    Arguments:
        log: the log.
        show: turns a dial path and its SI value into words.
        whole_page: a page of its own, or only the part to set into another page.
        place: gives the address of a photo; that of the copy beside the log if left out.

    The page runs no script and loads nothing but the photos beside the log. Corrected and
    withdrawn entries stay to be read, greyed, with the number of what corrects them.
    """
    everything = log.entries()

    def beside(photo: Photo) -> str:
        return f"{quote(photo_folder(log.path).name, safe='')}/{photo.file_name}"

    where = place or beside
    after = followed(everything)
    parts = [
        f"<h1>Build diary of {for_html(log.machine)}</h1>",
        f"<p>{for_html(totals(log.current()))}</p>",
    ]
    for day, entries in _days(everything):
        parts.append(f"<h2>{for_html(day)}</h2>")
        parts += [_article(entry, after.get(entry.number), show, where) for entry in entries]
    body = "\n".join(parts)
    if not whole_page:
        return body + "\n"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta http-equiv="Content-Security-Policy" '
        "content=\"default-src 'none'; img-src 'self' file:; style-src 'unsafe-inline'\">\n"
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Build diary of {for_html(log.machine)}</title>\n<style>{_LOOK}</style>\n"
        f"</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _article(entry: Entry, after: str | None, show: Show, where: Place) -> str:
    told = tell(entry, show)
    looks = [entry.kind.replace(" ", "-")] + (["old"] if after is not None else [])
    by = f", {for_html(entry.author)}" if entry.author.strip() else ""
    head = f"Entry {entry.number}, {entry.kind}, {for_html(entry.at[11:16])}{by}"
    if entry.corrects is not None:
        head += f", corrects entry {entry.corrects}"
    if after is not None:
        head += f", {after}"
    parts = [
        f'<article id="entry-{entry.number}" class="{" ".join(looks)}">',
        f'<p class="small">{head}</p>',
        f"<p>{for_html_paragraph(told.sentence)}</p>",
    ]
    if entry.note.strip():
        parts.append(f"<p>{for_html_paragraph(entry.note)}</p>")
    if isinstance(entry.record, Photo):
        said = for_html(entry.record.caption or entry.record.name)
        parts.append(f'<img src="{for_html(where(entry.record))}" alt="{said}">')
    parts.append(_tables(entry, told))
    parts.append("</article>")
    return "\n".join(part for part in parts if part)


def _tables(entry: Entry, told: Told) -> str:
    parts = []
    if told.changes:
        parts.append(_table(("Dial", "Before", "After"), told.changes))
    if told.numbers:
        title = "Calculated" if isinstance(entry.record, Revision) else "Setting"
        parts.append(_table((title, "Value"), told.numbers))
    return "\n".join(parts)


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    top = "".join(f'<th scope="col">{title}</th>' for title in head)
    body = "\n".join(
        "<tr>" + "".join(f"<td>{for_html(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    whole = f"<table>\n<tr>{top}</tr>\n{body}\n</table>"
    if len(rows) <= MOST_OPEN:
        return whole
    return f"<details><summary>{len(rows)} dials</summary>\n{whole}\n</details>"
