"""Set-up shared by all tests: a compiled-code cache, random-test profiles, Jupyter, a browser."""

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import hypothesis
import pytest

ROOT = Path(__file__).resolve().parents[1]
CHROMIUM = "/usr/bin/chromium"
CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

hypothesis.settings.register_profile("local", deadline=None)
hypothesis.settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") == "true" else "local")

COMPILED = Path(sys.prefix) / "slingwright-tests"
"""What was compiled, under hashes of all that it depends on: for the next run too."""
DAYS = 14
"""A file is compiled again after so many."""

_own_logs: Path | None = None


def pytest_configure(config: pytest.Config) -> None:
    """Compile once: tests, notebook kernels, child processes and the next run share a cache."""
    global _own_logs
    os.environ.setdefault("JUPYTER_PLATFORM_DIRS", "1")
    os.environ.setdefault("MPLBACKEND", "agg")
    # Always a folder of its own: a test never writes into the logs of whoever runs it.
    _own_logs = Path(tempfile.mkdtemp(prefix="slingwright-logs-"))
    os.environ["SLINGWRIGHT_LOGS"] = str(_own_logs)
    if "SLINGWRIGHT_CACHE" not in os.environ:
        os.environ["SLINGWRIGHT_CACHE"] = str(COMPILED)
        for old in COMPILED.rglob("*.*"):
            with contextlib.suppress(OSError):
                if time.time() - old.stat().st_mtime > DAYS * 86_400:
                    old.unlink()
        if config.getoption("numprocesses", None):
            compile_first()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put files with long tests first: at the end of a whole run no core waits for one of them."""

    def takes_long(item: pytest.Item) -> bool:
        marks = {mark.name for mark in item.iter_markers()}
        return bool(marks & {"slow", "browser"}) or item.path.suffix == ".ipynb"

    long = {item.path for item in items if takes_long(item)}
    items.sort(key=lambda item: item.path not in long)


def compile_first() -> None:
    """Compile every kind of machine before the workers of a whole run start, two at a time."""
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests")])
    started = [
        subprocess.Popen(
            [sys.executable, str(ROOT / "tests" / "compiling.py"), kind],
            env={**os.environ, "PYTHONPATH": paths},
        )
        for kind in ("hung", "fixed")
    ]
    for one in started:
        one.wait()


def pytest_unconfigure(config: pytest.Config) -> None:
    """Leave no logs behind."""
    if _own_logs is not None:
        shutil.rmtree(_own_logs, ignore_errors=True)


def free_port() -> int:
    """Give a port on which nothing listens now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A running server: its address, and the folder whose notebooks it serves."""

    url: str
    folder: Path


def stop_server(process: subprocess.Popen[bytes]) -> None:
    """End a server and what it started: first asked, so that kernels end too, then forced."""
    if process.poll() is None:
        process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(timeout=20)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(timeout=20)


def wait_for(url: str, process: subprocess.Popen[bytes], output: Path, seconds: float) -> None:
    """Wait until `url` answers, or fail with what the server printed."""
    end = time.monotonic() + seconds
    while time.monotonic() < end and process.poll() is None:
        try:
            with urllib.request.urlopen(url, timeout=5):
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise RuntimeError(
        f"{url} did not answer within {seconds:g} s; the server printed:\n"
        + output.read_text(errors="replace")[-3000:]
    )


def jupyter_environment(home: Path, settings: Path | None) -> dict[str, str]:
    """Give an environment in which Jupyter sees none of this user's own files.

    `settings` is a Jupyter configuration folder that is read as if it were the environment's own.
    """
    environment = dict(os.environ)
    for name in ("CONFIG_DIR", "DATA_DIR", "RUNTIME_DIR"):
        environment[f"JUPYTER_{name}"] = str(home / name.lower())
    for name in ("SETTINGS_DIR", "WORKSPACES_DIR"):
        environment[f"JUPYTERLAB_{name}"] = str(home / name.lower())
    environment["JUPYTER_PREFER_ENV_PATH"] = "1"
    # Jobs and logs of its own: what is written on its pages changes nothing for other tests.
    environment["SLINGWRIGHT_LOGS"] = str(home / "logs")
    environment.pop("JUPYTER_CONFIG_PATH", None)
    if settings is not None:
        environment["JUPYTER_CONFIG_PATH"] = str(settings)
    return environment


def start_jupyter(
    folder: Path, home: Path, settings: Path | None
) -> tuple[Server, subprocess.Popen[bytes]]:
    """Start JupyterLab on a free port of this machine alone, without a token."""
    port = free_port()
    home.mkdir(parents=True, exist_ok=True)
    output = home / "server.log"
    command = [sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root"]
    command += [
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        "--IdentityProvider.token=",
        f"--ServerApp.root_dir={folder}",
    ]
    with output.open("wb") as log:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            env=jupyter_environment(home, settings),
            start_new_session=True,
        )
    server = Server(url=f"http://127.0.0.1:{port}", folder=folder)
    try:
        wait_for(server.url + "/api", process, output, 90)
    except BaseException:
        stop_server(process)
        raise
    return server, process


@pytest.fixture(scope="module")
def few_copies() -> Iterator[None]:
    """Let reports throw a hundredth of their near copies: all of them take eight seconds each.

    For modules that ask whether a report says what was worked out, not how sure a chance is.
    """
    from slingwright.pages.print.lines import likely
    from slingwright.standing.chances import COPIES, chances

    likely.cache_clear()
    with pytest.MonkeyPatch.context() as patch:
        assert chances.__kwdefaults__ is not None
        patch.setitem(chances.__kwdefaults__, "n", COPIES // 100)
        yield
    likely.cache_clear()


@pytest.fixture(scope="session")
def run_script():
    """Give the start script as a module, without running it."""
    import importlib.util

    spec = importlib.util.spec_from_file_location("run_script", ROOT / "run.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def make_jupyter(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[..., Server]]:
    """Give a function that starts JupyterLab on a folder; every server is stopped at the end."""
    running: list[subprocess.Popen[bytes]] = []

    def make(folder: Path, settings: Path | None = None) -> Server:
        server, process = start_jupyter(folder, tmp_path_factory.mktemp("jupyter"), settings)
        running.append(process)
        return server

    yield make
    for process in running:
        stop_server(process)


@pytest.fixture(scope="session")
def notebook_copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a copy of the project's pages, so that no test changes the originals."""
    copy = tmp_path_factory.mktemp("pages") / "notebooks"
    source = ROOT / "notebooks"
    if source.is_dir():
        shutil.copytree(source, copy, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    else:
        copy.mkdir()
    return copy


@pytest.fixture(scope="session")
def jupyter_server(make_jupyter, notebook_copy, run_script, tmp_path_factory) -> Server:
    """Give JupyterLab on a copy of the notebooks, set up as run.py sets it up."""
    prefix = tmp_path_factory.mktemp("environment")
    run_script.switch_off_news(prefix)
    run_script.keep_pages_clean(prefix, notebook_copy.parent)
    return make_jupyter(notebook_copy, prefix / "etc" / "jupyter")


@pytest.fixture(scope="module")
def browser():
    """Give Debian's Chromium under Playwright, or skip where it is not installed.

    It is closed after each module: while Playwright is open its event loop counts as running, and
    notebooks and clusters tested later could not start theirs.
    """
    if not Path(CHROMIUM).exists():
        pytest.skip(f"no browser: {CHROMIUM} is not installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser):
    """Give a fresh browser page, 1280 by 800, that shares nothing with other tests."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    yield context.new_page()
    context.close()
