"""The report as one HTML page that holds its pictures and style, and asks no other host."""

from __future__ import annotations

import base64
import html
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

STYLE = Path(__file__).with_name("report.css")
_text = html.escape
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def page(files: Mapping[str, bytes]) -> bytes:
    """Set a page from the files of a report: its data and its pictures."""
    data = json.loads(files["data.json"])
    title, sections = _text(data["title"]), data["sections"]
    links = "".join(
        f"<li><a href='#s{i}'>{_text(one['title'])}</a></li>" for i, one in enumerate(sections)
    )
    front = "".join(
        f"<tr><th scope='row'>{_text(name)}</th><td>{_text(words)}</td></tr>"
        for name, words in data["front"]
    )
    parts = [
        "<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'>",
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        "<meta name='viewport' content='width=device-width, initial-scale=1'>",
        f"<title>{title}: {_text(data['subtitle'])}</title>",
        f"<style>{STYLE.read_text(encoding='utf-8')}</style></head><body>",
        f"<header><h1>{title}</h1><p>{_text(data['subtitle'])}</p>",
        f"<table class='front'><tbody>{front}</tbody></table>",
        f"<aside><strong>Caution.</strong> {_text(' '.join(data['cautions']))}</aside></header>",
        f"<nav aria-label='Contents'><ol>{links}</ol></nav><main>",
        *(words for i, one in enumerate(sections) for words in _section(i, one, files)),
        f"</main><footer><p>{_text(data['foot'])}</p></footer></body></html>",
    ]
    return "\n".join(parts).encode()


def _section(number: int, one: Mapping[str, Any], files: Mapping[str, bytes]) -> Iterator[str]:
    yield f"<section aria-labelledby='s{number}'><h2 id='s{number}'>{_text(one['title'])}</h2>"
    for words in one["words"]:
        yield f"<p>{_text(words)}</p>"
    if one["ticks"]:
        lines = (
            f"<li><label><input type='checkbox'><span>{_text(words)}</span></label></li>"
            for words in one["ticks"]
        )
        yield f"<ul class='ticks'>{''.join(lines)}</ul>"
    for picture in one["pictures"]:
        drawn, words = base64.b64encode(files[picture["file"]]).decode(), _text(picture["words"])
        yield (
            f"<figure><img alt='{words}' src='data:image/svg+xml;base64,{drawn}'>"
            f"<figcaption>{words}</figcaption></figure>"
        )
    for sheet in one["sheets"]:
        yield _table(sheet, _text(one["title"]))
    if one["listing"]:
        yield f"<pre>{_text(one['listing'])}</pre>"
    yield "</section>"


def _table(sheet: Mapping[str, Any], label: str) -> str:
    sides = ["" if side == "l" else " class='r'" for side in sheet["align"]]
    head = "".join(
        f"<th scope='col'{side}>{_text(words)}</th>"
        for words, side in zip(sheet["heads"], sides, strict=True)
    )
    body = "".join(
        "<tr>"
        + "".join(
            f"<th scope='row'{side}>{_text(cell)}</th>"
            if place == 0
            else f"<td{side}>{_text(cell)}</td>"
            for place, (cell, side) in enumerate(zip(row, sides, strict=True))
        )
        + "</tr>"
        for row in sheet["rows"]
    )
    return (
        f"<div class='wide' role='region' tabindex='0' aria-label='{label}'><table>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )
