"""The button that prints the report of the machine at hand."""

from __future__ import annotations

import base64
import contextlib
import html
import json
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

import ipywidgets

from slingwright.pages.parts.beside import LongWork
from slingwright.pages.parts.fields import Fields
from slingwright.pages.parts.parts import Part, box, button
from slingwright.pages.print.report import TEMPLATE, report_files, typeset
from slingwright.pages.print.web import page

SAID = "dossier.json"  # in the job: whom its last report was for, and who made it
KINDS = {"pdf": "application/pdf", "html": "text/html"}


class ReportButton(Part):
    """Prints the report as PDF and HTML to take along; it is kept in the job, where there is one.

    Once pressed it also asks whom it is for and who made it, which stays with the job.
    """

    def _make(self) -> ipywidgets.Box:
        self.work = LongWork(self.bench.attempt, self._say)
        self.link = ipywidgets.HTML()
        said = _said(self._kept)
        asked = Fields("19em", display="none")
        names = {
            key: asked.text(label, hint, said.get(key, ""))
            for key, label, hint in (
                ("client", "Report for", "whom it is for"),
                ("author", "Made by", "who made it"),
            )
        }
        self.controls = {
            **names,
            "report": button(
                "Report", "Print the report of this machine", self.start, self.bench, icon="print"
            ),
        }
        self.ends = (self.work,)
        return box("sw-strip", self.controls["report"], *names.values(), self.link)

    @property
    def _kept(self) -> Path | None:
        keeping = self.bench.keeping
        return None if keeping is None else Path(keeping.job.folder) / SAID

    def _say(self, words: str) -> None:
        self.link.value = f"<p role='status'>{html.escape(words)}</p>"

    def start(self) -> None:
        """Print the report; the page goes on answering meanwhile."""
        bench, day = self.bench, date.today().isoformat()
        machine, system, keeping = bench.machine, bench.system, bench.keeping
        job = keeping.job if keeping is not None and keeping.job.begun else None
        asked = {key: self.controls[key] for key in ("client", "author")}
        said = {key: field.value.strip() for key, field in asked.items()}
        for field in asked.values():
            field.layout.display = ""

        def work(report: Callable[..., None]) -> dict[str, bytes]:
            with contextlib.nullcontext() if job is None else job.log() as log:
                files = report_files(machine, day=day, system=system, log=log, **said)
            return {"pdf": typeset(TEMPLATE.name, lambda: files), "html": page(files)}

        def done(made: dict[str, bytes]) -> None:
            name = f"{machine.name or 'machine'} {day}"
            if keeping is not None:
                folder, many = keeping.job.room("reports"), 1
                name = safe = f"{keeping.job.name} {day}"
                while any((folder / f"{name}.{kind}").exists() for kind in made):
                    many += 1
                    name = f"{safe} {many}"
                for kind, content in made.items():
                    (folder / f"{name}.{kind}").write_bytes(content)
                (keeping.job.folder / SAID).write_text(json.dumps(said), encoding="utf-8")
            links = (
                f"<a download='{html.escape(name)}.{kind}' href='data:{KINDS[kind]};base64,"
                f"{base64.b64encode(content).decode('ascii')}'>Take {html.escape(name)}.{kind}</a>"
                for kind, content in made.items()
            )
            hint = "" if all(said.values()) else ". Names beside it go on the first page next time."
            self.link.value = f"<p role='status'>{', '.join(links)}{hint}</p>"

        self._say("printing: some seconds \N{HORIZONTAL ELLIPSIS}")
        self.work.start(work, done, self._say)


def _said(place: Path | None) -> Mapping[str, str]:
    try:
        found = json.loads(place.read_text(encoding="utf-8")) if place else {}
    except (OSError, ValueError):
        return {}
    return {k: v for k, v in found.items() if isinstance(v, str)} if isinstance(found, dict) else {}
