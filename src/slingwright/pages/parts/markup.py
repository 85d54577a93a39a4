"""Words as HTML for a page: what a person typed, or a file says, is shown and does nothing."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence


def items(lines: Iterable[str]) -> str:
    """Give lines as the items of a list."""
    return "".join(f"<li>{html.escape(line)}</li>" for line in lines)


def fold(title: str, inside: str, *, look: str = "", shown: bool = False) -> str:
    """Give HTML behind a line that unfolds it; `look` is more of the line's style."""
    return (
        f"<details{' open' if shown else ''}><summary style='cursor:pointer{look}'>"
        f"{html.escape(title)}</summary>{inside}</details>"
    )


def caution(words: str, title: str, left_out: Iterable[str]) -> str:
    """Give the caution of a page, with what it leaves out behind a line."""
    return (
        f"<p><strong>Caution.</strong> {html.escape(words)}</p>"
        f"{fold(title, f'<ul>{items(left_out)}</ul>')}"
    )


def table(
    columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]], *,
    look: str = "border-collapse:collapse;font-size:13px", caption: str = "", weight: int = 600,
    hints: Sequence[str] = (),
) -> str:  # fmt: skip
    """Give a table that scrolls where it is wide: `columns` are names and styles, cells HTML."""
    broken = [(name, style.replace(";white-space:nowrap", "")) for name, style in columns]
    heads = "".join(f"<th scope='col' style='{style}'>{name}</th>" for name, style in broken)
    body = []
    for place, (head, *cells) in enumerate(rows):
        hint = f" title='{html.escape(hints[place], quote=True)}'" if hints else ""
        told = "".join(
            f"<td style='{style}'>{cell}</td>"
            for cell, (_, style) in zip(cells, columns[1:], strict=True)
        )
        body.append(f"<tr{hint}><th scope='row' style='{columns[0][1]}'>{head}</th>{told}</tr>")
    style = f"text-align:left;font-weight:{weight}"
    above = f"<caption style='{style}'>{html.escape(caption)}</caption>" if caption else ""
    return (
        f"<div style='overflow-x:auto'><table style='{look}'>{above}"
        f"<thead><tr>{heads}</tr></thead><tbody>{''.join(body)}</tbody></table></div>"
    )
