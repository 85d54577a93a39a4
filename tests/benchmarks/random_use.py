"""Random use of the one page by two browsers: keys, nonsense, lost connections, dead kernels.

Truth: the job's own file and log. Whenever the page has come to rest, both browsers must show the
range that the machine in the job's file throws; at the end every shot that the page took must be in
the log once. Any console error, traceback or page that never comes to rest is a failure; errors of
the network are allowed while the script itself has cut it.

    python tests/benchmarks/random_use.py [minutes] [seed]
"""

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

from browser.test_one_page import kernels  # noqa: E402
from conftest import CHROMIUM, CHROMIUM_FLAGS, free_port, stop_server, wait_for  # noqa: E402
from playwright.sync_api import Error, sync_playwright  # noqa: E402

import slingwright as sw  # noqa: E402

RESULTS = Path(__file__).parent / "results" / "random_use.json"
NONSENSE = (
    *("banana", "1,015", "", "-5", "1e99", "12 kg", "nan", "14 ft", "9 9", "0", "3 m", "1;2"),
    *("<script>throw 1</script>", "\u0665\u0666", "5 lb", "=1+1", "x" * 4000),
)
BUTTONS = ("Undo", "Redo", "Keep", "Back to kept", "Drop", "metric", "US")
RANGE = ".sw-one-main [data-key=range] .sw-number"
RESTS = "() => document.querySelector('.sw-one-main .sw-answer, .sw-answer')?.ariaBusy !== 'true'"
NETWORK = ("ERR_INTERNET", "WebSocket", "Failed to fetch", "NetworkError", "Connection", "ERR_CONN")


class Use:
    """Two browsers on one job, and everything that went wrong."""

    def __init__(self, browser, url: str, server: int, job: Path, seed: int) -> None:
        self.browser, self.url, self.server, self.job = browser, url, server, job
        self.random, self.wrong, self.acts = random.Random(seed), [], Counter()
        self.cut, self.shots, self.rests = False, 0, 0
        self.pages = [self.open(), self.open()]

    def open(self):
        page = self.browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.on("console", self.listen)
        page.on("pageerror", lambda error: self.heard(str(error)))
        page.goto(self.url)
        self.ready(page)
        return page

    def ready(self, page) -> None:
        page.wait_for_selector(".sw-front input[type=range]", timeout=120_000)
        page.wait_for_selector(RANGE, timeout=60_000)

    def listen(self, one) -> None:
        if one.type == "error":
            self.heard(f"{one.text} {one.location.get('url', '')}")

    def heard(self, words: str) -> None:
        if not (self.cut and any(one in words for one in NETWORK)):
            self.wrong.append(f"console: {words[:300]}")

    def act(self) -> None:
        page = self.random.choice(self.pages)
        name = self.random.choices(
            ("key", "drag", "type", "tab", "button", "film", "shot", "offline", "kill"),
            (30, 12, 18, 12, 12, 8, 5, 2, 0.7),
        )[0]
        self.acts[name] += 1
        try:
            getattr(self, name)(page)
        except Error as error:  # what was picked was drawn anew before it was touched
            if "not attached" not in str(error):
                raise

    def pick(self, page, selector: str):
        """Give one of the things in sight that a selector finds, or nothing."""
        found = [one for one in page.query_selector_all(selector) if one.is_visible()]
        return self.random.choice(found) if found else None

    def key(self, page) -> None:
        slider = self.pick(page, ".sw-front input[type=range]")
        if slider is None:
            return
        slider.focus()
        keys = ("ArrowLeft", "ArrowRight", "PageUp", "PageDown", "ArrowLeft", "ArrowRight", "Home")
        for _ in range(self.random.randint(1, 6)):
            page.keyboard.press(self.random.choice(keys))
            page.wait_for_timeout(self.random.choice((0, 20, 120)))

    def drag(self, page) -> None:
        slider = self.pick(page, ".sw-front input[type=range]")
        box = slider and slider.bounding_box()
        if not box:
            return
        y = box["y"] + box["height"] / 2
        page.mouse.move(box["x"] + 0.4 * box["width"], y)
        page.mouse.down()
        for _ in range(self.random.randint(2, 8)):
            page.mouse.move(box["x"] + self.random.uniform(0.2, 0.7) * box["width"], y)
            page.wait_for_timeout(15)
        page.mouse.up()

    def type(self, page) -> None:
        field = self.pick(page, ".sw-front input.sw-typed")
        if field is None:
            return
        words = self.random.choice(NONSENSE)
        field.fill(words)
        page.keyboard.press("Enter")
        page.wait_for_timeout(400)
        refused = field.get_attribute("aria-invalid") == "true"
        if refused and field.input_value() != words:
            self.wrong.append(f"typed {words[:40]!r} was refused and lost: {field.input_value()!r}")

    def tab(self, page) -> None:
        self.pick(page, ".sw-tab").click()
        page.wait_for_timeout(self.random.choice((50, 800)))

    def button(self, page) -> None:
        words = self.random.choice(BUTTONS)
        found = page.query_selector(f".sw-one-tools button:has-text('{words}')")
        if found and found.is_visible() and found.is_enabled():
            found.click()

    def film(self, page) -> None:
        page.click(".sw-tab:text-is('Bench')")
        play = self.pick(page, ".sw-filmbar button")
        if play is not None:
            play.click()

    def shot(self, page) -> None:
        """Write a shot; it counts once the page has emptied the form."""
        page.click(".sw-tab:text-is('Field day')")
        field = page.wait_for_selector("input[placeholder='such as 101.5']", timeout=60_000)
        field.fill(f"{self.random.uniform(90.0, 130.0):.1f}")
        page.click("button:has-text('Write shot')")
        taken = "() => document.querySelector(\"input[placeholder='such as 101.5']\").value === ''"
        page.wait_for_function(taken, timeout=60_000)
        self.shots += 1

    def offline(self, page) -> None:
        self.cut = True
        page.context.set_offline(True)
        self.key(page)
        page.wait_for_timeout(2500)
        page.context.set_offline(False)
        self.reload(page)

    def kill(self, page) -> None:
        """Kill both kernels: both pages say so without being touched, and are loaded again."""
        self.cut = True
        for process in {int(one.parent.name) for one in kernels(self.server)}:
            os.kill(process, signal.SIGKILL)
        for one in self.pages:
            told = "() => document.querySelector('.sw-guard-banner').textContent !== ''"
            one.wait_for_function(told, timeout=20_000)
        for one in self.pages:
            self.reload(one)

    def reload(self, page) -> None:
        page.reload()
        self.ready(page)
        page.wait_for_timeout(2000)
        self.cut = False

    def settle(self, page) -> None:
        """Where both have changed the machine, choose one."""
        for words in self.random.sample(("Take theirs", "Write mine"), 2):
            choice = page.query_selector(f".sw-one-tools button:has-text('{words}')")
            if choice and choice.is_visible():
                self.acts[words] += 1
                choice.click()
                page.wait_for_timeout(1200)
                return

    def rest(self) -> None:
        """Let both pages come to rest, and hold what they show against the job's file."""
        self.rests += 1
        for page in self.pages:
            page.click(".sw-one-tools button:has-text('metric')")
        end = time.monotonic() + 60.0
        while True:
            self.pages[0].wait_for_timeout(1500)
            for page in self.pages:
                self.settle(page)
            thrown = sw.throw(sw.open_job(self.job).machine())
            shown = [page.inner_text(RANGE) for page in self.pages]
            still = all(page.evaluate(RESTS) for page in self.pages)
            if still and all(told_as(one, thrown) for one in shown):
                break
            if time.monotonic() > end:
                status = [page.inner_text(".sw-one-main .sw-status") for page in self.pages]
                self.wrong.append(f"shown {shown}, at rest {still}, {status}: {thrown.sentence}")
                break
        for page in self.pages:
            if "Traceback" in page.inner_text("body"):
                self.wrong.append("a traceback stands on the page")


def told_as(words: str, thrown: sw.Throw) -> bool:
    """Whether a range as it is shown is that of a throw, to the digits shown."""
    if thrown.landing is None:
        return not words.endswith(" m")
    value = float(words.removesuffix(" m").replace("\u2212", "-")) if words.endswith(" m") else 0.0
    return abs(value - thrown.range) <= 6e-4 * abs(thrown.range) + 0.006


def main(minutes: float, seed: int) -> int:
    """Use the page, print what went wrong, and give 1 if anything did."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        home, port = Path(folder), free_port()
        job = home / "job"
        variables = {
            **os.environ,
            "HOME": folder,
            "SLINGWRIGHT_VENV": sys.prefix,
            "PYTHONPATH": str(ROOT / "src"),
        }
        words = ["page", "--no-browser", f"--port={port}", "--job", str(job)]
        log = home / "log.txt"
        with log.open("wb") as out:
            server = subprocess.Popen(
                [sys.executable, str(ROOT / "run.py"), *words],
                **{"stdout": out, "stderr": out, "env": variables, "start_new_session": True},
            )
        try:
            wait_for(f"http://127.0.0.1:{port}/voila/static/voila.js", server, log, 180)
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_FLAGS)
            use = Use(browser, f"http://127.0.0.1:{port}", kernels_parent(server), job, seed)
            before = taken(job)
            end = time.monotonic() + 60.0 * minutes
            while time.monotonic() < end:
                for _ in range(20):
                    use.act()
                use.rest()
            written = taken(job) - before
            if written != use.shots:
                use.wrong.append(f"{use.shots} shots taken, {written} in the log")
        finally:
            stop_server(server)
    told = {"minutes": minutes, "seed": seed, "acts": dict(use.acts), "rests": use.rests}
    told |= {"shots": use.shots, "wrong": use.wrong}
    RESULTS.write_text(json.dumps(told, indent=1) + "\n", "utf-8")
    print(json.dumps(told, indent=1))
    return int(bool(use.wrong))


def taken(job: Path) -> int:
    """How many shots the job's log holds."""
    return len(sw.open_job(job).log().entries("shot"))


def kernels_parent(server: subprocess.Popen[bytes]) -> int:
    """Give the process that starts the kernels: the only child of the one asked for, or itself."""
    children = Path(f"/proc/{server.pid}/task/{server.pid}/children").read_text().split()
    return int(children[0]) if children else server.pid


if __name__ == "__main__":
    wanted = [float(one) for one in sys.argv[1:]]
    sys.exit(main(wanted[0] if wanted else 30.0, int(wanted[1]) if len(wanted) > 1 else 1))
