"""The button that prints the report of the machine at hand."""

from __future__ import annotations

import base64
import html
from collections.abc import Callable
from datetime import date

import ipywidgets

from slingwright.pages.parts.long_work import LongWork
from slingwright.pages.parts.parts import Part, button
from slingwright.pages.print.report import report_pdf


class ReportButton(Part):
    """Prints the report as a PDF to take along; it is kept in the job, where there is one."""

    def _make(self) -> ipywidgets.Box:
        self.work = LongWork(self.bench.attempt, self._say)
        self.link = ipywidgets.HTML()
        self.controls = {
            "report": button(
                "Report", "Print the report of this machine", self.start, self.bench, icon="print"
            )
        }
        box = ipywidgets.Box([self.controls["report"], self.link])
        box.add_class("sw-strip")
        return box

    def _say(self, words: str) -> None:
        self.link.value = f"<p role='status'>{html.escape(words)}</p>"

    def start(self) -> None:
        """Print the report; the page goes on answering meanwhile."""
        bench, day = self.bench, date.today().isoformat()
        machine, system, keeping = bench.machine, bench.system, bench.keeping
        log = None if keeping is None or not keeping.job.begun else keeping.job

        def work(report: Callable[..., None]) -> bytes:
            if log is None:
                return report_pdf(machine, day=day, system=system)
            with log.log() as opened:
                return report_pdf(machine, day=day, system=system, log=opened)

        def done(pdf: bytes) -> None:
            name = f"{machine.name or 'machine'} {day}.pdf"
            if keeping is not None:
                folder, many = keeping.job.room("reports"), 1
                safe = f"{keeping.job.name} {day}"
                name = f"{safe}.pdf"
                while (folder / name).exists():
                    many += 1
                    name = f"{safe} {many}.pdf"
                (folder / name).write_bytes(pdf)
            data = base64.b64encode(pdf).decode("ascii")
            self.link.value = (
                f"<p role='status'><a download='{html.escape(name)}' "
                f"href='data:application/pdf;base64,{data}'>Take {html.escape(name)}</a></p>"
            )

        self._say("printing: some seconds \N{HORIZONTAL ELLIPSIS}")
        self.work.start(work, done, self._say)

    def close(self) -> None:
        """Stop printing, and take the button off the page."""
        self.work.close()
        super().close()
