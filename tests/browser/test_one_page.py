"""The one page in a real browser, served as run.py serves it.

Truth: what the browser asked of any host; the places of things on the screen; axe-core's rules for
WCAG 2.2 A and AA and good practice, by Deque; the job's file; a process that is killed.
"""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from browser.shared.looks import unusable, wait_until
from conftest import ROOT, free_port, jupyter_environment, stop_server, wait_for

import slingwright as sw
from slingwright.pages.one.page import TABS

pytestmark = pytest.mark.browser

IN_SIGHT = """(selector) => [...document.querySelectorAll(selector)].every((node) => {
  const box = node.getBoundingClientRect();
  if (!node.getClientRects().length) return node.tagName === "BUTTON"; // one that waits its turn
  return box.width && box.top >= 0 && box.left >= 0 && box.bottom <= innerHeight + 1
    && box.right <= innerWidth + 1;
})"""
WIDER = """() => [...document.querySelectorAll(".sw-one, .sw-one > *, .sw-one-room:not([hidden])")]
  .filter((node) => node.scrollWidth > node.clientWidth + 2)
  .map((node) => `${node.className}: ${node.scrollWidth} > ${node.clientWidth}`)"""
RANGE = ".sw-one-main [data-key=range] .sw-number"
SIZES = {
    "notebook": (1280, 800, False),
    "desk": (1920, 1080, False),
    "projector": (1024, 768, True),
    "tablet": (820, 1180, False),
}


@pytest.fixture(scope="module")
def voila(run_script, tmp_path_factory):
    """Give the address of the one page, the process that serves it, and its folder of jobs."""
    home = tmp_path_factory.mktemp("voila")
    calls = []
    patch = pytest.MonkeyPatch()
    patch.setattr(run_script, "call", lambda *words: calls.append(words))
    patch.setattr(os, "environ", {})
    run_script.start_page(home, [])
    served = os.environ["JUPYTER_PATH"]
    patch.undo()
    port = free_port()
    words = [str(word) for word in calls[0][1:]]
    command = [sys.executable, "-m", *words, "--no-browser", f"--port={port}"]
    paths = {**jupyter_environment(home, None), "JUPYTER_PATH": served}
    with (home / "log.txt").open("wb") as log:
        process = subprocess.Popen(
            command, stdout=log, stderr=log, env=paths, cwd=ROOT, start_new_session=True
        )
    try:
        wait_for(f"http://127.0.0.1:{port}/voila/static/voila.js", process, home / "log.txt", 60)
        yield f"http://127.0.0.1:{port}", process, paths["SLINGWRIGHT_LOGS"]
    finally:
        stop_server(process)


@pytest.fixture
def open_page(browser, voila):
    """Give what opens the page: looks and size as asked, other hosts cut off and told of."""
    contexts = []

    def opened(width=1280, height=800, *, dark=False, large=False):
        context = browser.new_context(viewport={"width": width, "height": height})
        contexts.append(context)
        looks = {"slingwright-dark": str(dark).lower(), "slingwright-large": str(large).lower()}
        context.add_init_script(
            f"for (const [k, v] of Object.entries({json.dumps(looks)})) localStorage.setItem(k, v)"
        )
        page = context.new_page()
        page.said, page.elsewhere = [], []

        def ask(route) -> None:
            if route.request.url.startswith(voila[0]):
                route.continue_()
            else:
                page.elsewhere.append(route.request.url)
                route.abort()

        context.route("http*://**", ask)
        page.on("console", lambda one: page.said.append(one.text) if one.type == "error" else None)
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.goto(voila[0])
        page.wait_for_selector("canvas[data-drawn]", timeout=120_000)
        return page

    yield opened
    for context in contexts:
        context.close()


def choose(page, title: str) -> None:
    """Open a tab and wait for what is in it."""
    page.click(f".sw-tab:text-is('{title}')")
    page.wait_for_function(
        "() => !document.querySelector('.sw-one-room:not([hidden])').innerText.includes('Opening')"
        " && !document.querySelector('[aria-busy=true]')",
        timeout=60_000,
    )
    page.wait_for_timeout(500)


def test_every_tab_can_be_used_by_everyone(open_page) -> None:
    """Truth: axe-core, dark and light, with nothing serious or moderate found; no other host; no
    error."""
    page = open_page(dark=True)
    is_dark = "document.documentElement.classList.contains('sw-dark')"
    for title in TABS:
        choose(page, title)
        for dark in (True, False):
            assert page.evaluate(is_dark) == dark
            assert unusable(page) == [], (title, dark)
            page.click("button:text-is('Dark')")
            page.wait_for_timeout(200)
    assert page.elsewhere == [] and page.said == []


def test_dials_and_answers_stay_in_sight(open_page) -> None:
    """Truth: places on the screen, before and after a tab is scrolled to its end."""
    page = open_page(large=True)
    for title in ("Bench", "Will it hold", "Log"):
        choose(page, title)
        for size, (width, height, large) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            if large != page.evaluate("!!document.querySelector('.sw-one.sw-large')"):
                page.click("button:text-is('Large type')")
            page.wait_for_timeout(400)
            at = (title, size)
            page.evaluate("document.querySelector('.sw-one-room:not([hidden])').scrollTo(0, 1e6)")
            assert page.evaluate("document.documentElement.scrollHeight") <= height + 1, at
            seen = ".sw-one-main .sw-reading, .sw-tab, .sw-one-tools button"
            assert page.evaluate(IN_SIGHT, seen), at
            assert page.evaluate(IN_SIGHT, ".sw-front .sw-dial:nth-child(-n+4)"), at
            assert page.evaluate(WIDER) == [], at
            high = page.evaluate("document.querySelector('.sw-one-rooms').clientHeight")
            assert high > 0.3 * height / (1.3 if large else 1.0), at


def test_two_browsers_are_on_one_job(open_page, voila, monkeypatch) -> None:
    """Truth: the job's file; what one sets the other shows, within seconds on a busy machine."""
    one, other = open_page(), open_page()
    before = other.inner_text(RANGE)
    slider = ".sw-front input[type=range][data-path='counterweight.mass']"
    one.focus(slider)
    one.keyboard.press("ArrowRight")
    wait_until(one, lambda: one.inner_text(RANGE) != before)
    wait_until(other, lambda: other.inner_text(RANGE) == one.inner_text(RANGE))
    assert "another page" in other.inner_text(".sw-one-main .sw-status")
    monkeypatch.setenv("SLINGWRIGHT_LOGS", voila[2])
    job = sw.open_job()
    mass = ".sw-front input[type=text][data-path='counterweight.mass']"
    kept = job.machine()["counterweight.mass"]
    wait_until(other, lambda: float(other.input_value(mass)) == pytest.approx(kept))
    assert float(one.input_value(mass)) == pytest.approx(kept)
    typed = ".sw-front input[type=text][data-path='sling.length']"
    one.fill(typed, "1,015")
    one.keyboard.press("Enter")
    note = ".sw-front .sw-dial[data-path='sling.length'] .sw-note"
    wait_until(one, lambda: "1,015" in one.inner_text(note))
    assert one.input_value(typed) == "1,015"
    one.fill(".sw-search", "sling length")
    assert one.is_visible(".sw-front .sw-dial[data-path='sling.length']")
    assert one.is_hidden(".sw-front .sw-dial[data-path='winch.drum']")


def test_a_page_whose_kernel_is_gone_says_so_untouched(open_page, voila) -> None:
    """Truth: the kernel's process is killed; the banner comes and every answer is grey."""
    page = open_page()
    before = {int(one.parent.name) for one in kernels(voila[1].pid)}
    for process in before:
        os.kill(process, signal.SIGKILL)
    told = "() => document.querySelector('.sw-guard-banner').textContent.includes('load this page')"
    page.wait_for_function(told, timeout=15_000)
    busy = "() => [...document.querySelectorAll('.sw-answer')].map((n) => n.ariaBusy)"
    assert set(page.evaluate(busy)) == {"true"}


def test_a_page_that_is_left_takes_its_kernel_along(open_page, voila) -> None:
    """Truth: the system's own list of processes, before and after a page is loaded again."""
    page = open_page()

    def running() -> set[str]:
        return {one.parent.name for one in kernels(voila[1].pid)}

    before = running()
    page.reload()
    page.wait_for_selector("canvas[data-drawn]", timeout=120_000)
    wait_until(page, lambda: len(running()) <= len(before))
    assert running() != before, "the page has a kernel of its own"
    assert page.said == []


def kernels(parent: int) -> list[Path]:
    """Give the kernels that a process started."""
    found = []
    for place in Path("/proc").glob("[0-9]*/status"):
        try:
            status, line = place.read_text(), (place.parent / "cmdline").read_bytes()
        except OSError:
            continue
        if f"PPid:\t{parent}\n" in status and b"ipykernel" in line:
            found.append(place)
    return found
