"""The start script: old Pythons, half-made environments, what it installs, and the news box."""

import ast
import json
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from traitlets.config.loader import PyFileConfigLoader

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture
def calls(run_script, monkeypatch) -> list[list[str]]:
    """Record the commands that the script would run; all of them succeed."""
    recorded: list[list[str]] = []

    def record(command, **options) -> int:
        recorded.append([str(word) for word in command])
        return 0

    monkeypatch.setattr(run_script.subprocess, "call", record)
    return recorded


@pytest.mark.parametrize("version", [(3, 11), (3, 12), (3, 13)])
def test_right_python_is_taken(run_script, version) -> None:
    """Truth: the range stated in the README."""
    assert run_script.check_python(version) is None


@pytest.mark.parametrize("version", [(3, 8), (3, 10), (3, 14), (4, 0)])
def test_wrong_python_is_named_with_a_next_step(run_script, version) -> None:
    """Truth: the range stated in the README."""
    with pytest.raises(run_script.SetUpError) as caught:
        run_script.check_python(version, find=lambda name: None)
    words = str(caught.value)
    assert f"needs Python 3.11 to 3.13, this is {version[0]}.{version[1]}." in words
    assert "Next step: install Python 3.13" in words


def test_a_python_that_is_here_is_offered_only_if_it_runs(run_script, monkeypatch) -> None:
    """Truth: a name on the path may be an empty shim; only one that answers is a next step."""
    monkeypatch.setattr(run_script, "answers", lambda command: command[0] == "python3.11")
    with pytest.raises(run_script.SetUpError, match=r"Next step: .*: python3\.11 run\.py"):
        run_script.check_python((3, 9), find=lambda name: "/somewhere/" + name)


def test_script_parses_on_old_pythons() -> None:
    """Truth: the grammar of Python 3.7, through ast's feature_version."""
    tree = ast.parse((ROOT / "run.py").read_text(encoding="utf-8"), feature_version=(3, 7))
    standard = {
        name.name.split(".")[0]
        for node in ast.walk(tree)
        if isinstance(node, ast.Import)
        for name in node.names
    }
    assert standard and standard <= set(sys.stdlib_module_names)


def test_whole_script_on_a_python_of_the_wrong_age() -> None:
    """Truth: the script run as a program by a Python that gives its version as 3.8."""
    code = (
        "import runpy, sys; sys.version_info = (3, 8, 18); sys.argv = ['run.py', 'test'];"
        "runpy.run_path(sys.argv[0], run_name='__main__')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 1
    assert "slingwright needs Python 3.11 to 3.13, this is 3.8." in done.stdout
    assert done.stderr == ""


def test_folder_can_be_named(run_script, tmp_path) -> None:
    """Truth: README: SLINGWRIGHT_VENV names the folder, .venv otherwise."""
    assert run_script.venv_folder({"SLINGWRIGHT_VENV": str(tmp_path)}) == tmp_path
    assert run_script.venv_folder({}) == ROOT / ".venv"


def test_foreign_folder_is_left_alone(run_script, tmp_path) -> None:
    """Truth: nothing of the user's is ever deleted."""
    (tmp_path / "letter.txt").write_text("dear")
    with pytest.raises(run_script.SetUpError, match="not a virtual environment"):
        run_script.make_venv(tmp_path, uv=None)
    assert (tmp_path / "letter.txt").read_text() == "dear"


def test_half_made_environment_is_made_again(run_script, tmp_path, capsys) -> None:
    """Truth: a real environment without pip, as a Debian without python3-venv leaves it."""
    folder = tmp_path / "venv"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(folder)], check=True)
    assert not run_script.venv_is_whole(folder, uv=None)
    run_script.make_venv(folder, uv=None)
    assert run_script.venv_is_whole(folder, uv=None)
    assert "half-made" in capsys.readouterr().out
    run_script.make_venv(folder, uv=None)
    assert capsys.readouterr().out == "", "a whole one is not made again"


def test_missing_venv_package_is_named_and_cleared_away(run_script, tmp_path, monkeypatch) -> None:
    """Truth: Debian's venv makes the folder, then says that ensurepip is not available; exit 1."""
    folder = tmp_path / "venv"
    code = (
        "import pathlib, sys; p = pathlib.Path(sys.argv[1]); (p / 'bin').mkdir(parents=True);"
        "(p / 'pyvenv.cfg').touch(); print('ensurepip is not available'); sys.exit(1)"
    )
    monkeypatch.setattr(
        run_script, "venv_command", lambda folder: [sys.executable, "-c", code, str(folder)]
    )
    with pytest.raises(run_script.SetUpError) as caught:
        run_script.make_venv(folder, uv=None)
    package = f"python{sys.version_info.major}.{sys.version_info.minor}-venv"
    assert f"sudo apt install {package}" in str(caught.value)
    assert "ensurepip is not available" in str(caught.value)
    assert not folder.exists()


def test_installs_once_and_again_after_a_change(run_script, calls, tmp_path, monkeypatch) -> None:
    """Truth: README: later calls install again only when pyproject.toml has changed."""
    run_script.install(tmp_path, None)
    run_script.install(tmp_path, None)
    assert len(calls) == 1 and calls[0][-1] == str(ROOT)
    run_script.install(tmp_path, None, ["test"])
    run_script.install(tmp_path, None, ["test"])
    run_script.install(tmp_path, None)
    assert len(calls) == 2 and calls[1][-1] == f"{ROOT}[test]"
    run_script.install(tmp_path, None, ["voila"])
    assert len(calls) == 3 and calls[2][-1] == f"{ROOT}[test,voila]"
    monkeypatch.setattr(run_script, "fingerprint", lambda: "another set-up file")
    run_script.install(tmp_path, None)
    assert len(calls) == 4


@pytest.mark.parametrize("text", ["", "{", "[]", '{"extras": 3}', "null"])
def test_damaged_stamp_means_install(run_script, calls, tmp_path, text) -> None:
    """Truth: what cannot be read says nothing about what is installed."""
    (tmp_path / run_script.STAMP).write_text(text)
    run_script.install(tmp_path, None)
    assert len(calls) == 1


def test_failed_install_leaves_no_stamp(run_script, tmp_path, monkeypatch) -> None:
    """Truth: the next call has to try again."""
    monkeypatch.setattr(run_script.subprocess, "call", lambda command, **options: 1)
    with pytest.raises(run_script.SetUpError, match="could not be installed"):
        run_script.install(tmp_path, None)
    assert run_script.read_stamp(tmp_path) is None


def test_uv_is_used_where_it_is(run_script, calls, tmp_path) -> None:
    """Truth: uv's own command line: uv pip install --python PATH --editable TARGET."""
    run_script.install(tmp_path, "/opt/uv")
    assert calls[0][:3] == ["/opt/uv", "pip", "install"]
    assert calls[0][calls[0].index("--python") + 1] == str(run_script.venv_program(tmp_path))


def test_selection_of_tests(run_script) -> None:
    """Truth: README: everything by default, pytest's arguments pass through."""
    for arguments in (["-x"], ["-k", "data"]):
        chosen = run_script.test_selection(arguments)
        after = chosen[chosen.index("loadfile") + 1 :]
        assert after[:3] == ["--no-loadscope-reorder", "tests", "src"]
        assert chosen[0] == "-n" and 1 <= int(chosen[1]) <= 4
    one = run_script.test_selection(["tests/test_run.py::test_uv_is_used_where_it_is"])
    assert one == [
        "--nbval-lax",
        "--nbval-current-env",
        "tests/test_run.py::test_uv_is_used_where_it_is",
    ]


@pytest.mark.parametrize(
    ("failing", "code"), [("none", 0), ("ruff", 1), ("mypy", 1), ("pytest", 1)]
)
def test_any_failing_step_fails_the_command(run_script, monkeypatch, failing, code) -> None:
    """Truth: lint and types are part of the test command; all steps run whatever fails."""
    ran = []

    def call(folder, module, *arguments) -> int:
        ran.append(module)
        return 1 if module == failing else 0

    monkeypatch.setattr(run_script, "call", call)
    assert run_script.run_tests(Path("venv"), []) == code
    assert ran == ["ruff", "ruff", "mypy", "pytest"]


def test_kinds_are_compiled_once_for_an_installation(run_script, tmp_path, monkeypatch) -> None:
    """Truth: the module that is called, and when; one that was broken off is begun again, and
    one whose sources changed."""
    codes, called = [130, 0], []

    def call(folder, module, *arguments) -> int:
        called.append(module)
        return codes[len(called) - 1]

    monkeypatch.setattr(run_script, "call", call)
    monkeypatch.setattr(run_script, "ROOT", tmp_path)
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    stages = tmp_path / "src" / "slingwright" / "motion" / "joined" / "stages.py"
    stages.parent.mkdir(parents=True)
    stages.write_text("a way to step\n")
    for times in (1, 2, 2):
        run_script.prepare(tmp_path)
        assert called == ["slingwright.commands.prepare"] * times
    for file in (stages, tmp_path / "pyproject.toml"):
        file.write_text("another\n")
        codes.append(0)
        run_script.prepare(tmp_path)
        run_script.prepare(tmp_path)
    assert len(called) == 4


def test_arguments_reach_jupyterlab(run_script, calls, tmp_path, monkeypatch) -> None:
    """Truth: JupyterLab's own options --no-browser and --port."""
    monkeypatch.setattr(run_script, "page_path", lambda name: f"notebooks/{name}")
    run_script.start_lab(tmp_path, ["--no-browser", "--port", "9000"])
    assert calls[0][1:3] == ["-m", "jupyterlab"]
    assert f"--ServerApp.root_dir={ROOT}" in calls[0]
    assert "--LabApp.default_url=/lab/tree/notebooks/00_start.ipynb" in calls[0]
    assert calls[0][-3:] == ["--no-browser", "--port", "9000"]


def test_missing_page_is_named(run_script) -> None:
    """Truth: an error names the thing and the next step."""
    with pytest.raises(run_script.SetUpError, match=r"99_none\.ipynb is missing from"):
        run_script.page_path("99_none.ipynb")


def test_unknown_job_and_help(run_script, capsys) -> None:
    """Truth: exit 2 for a wrong command line, 0 for help, as command lines do (common practice)."""
    assert run_script.main(["tset"]) == 2
    assert "no job 'tset'" in capsys.readouterr().out
    assert run_script.main(["--help"]) == 0
    assert "python3 run.py test" in capsys.readouterr().out


def test_a_job_is_named_to_what_is_started(run_script, tmp_path, monkeypatch) -> None:
    """Truth: the variable that open_job reads; a plain name stays one, a folder becomes whole."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "here").mkdir()
    named = {}
    for words, job in (
        (["--no-browser", "--job", "fair", "--port=9"], "fair"),
        (["--job=./fair"], str(tmp_path / "fair")),
        (["--job", "here"], str(tmp_path / "here")),
    ):
        left = run_script.take_job(words, named)
        assert named["SLINGWRIGHT_JOB"] == job
        assert left == [one for one in words if one in ("--no-browser", "--port=9")]
    assert run_script.take_job(["--port", "9"], named) == ["--port", "9"]
    with pytest.raises(run_script.SetUpError, match="write --job FOLDER"):
        run_script.take_job(["--job"], named)


def test_a_named_log_lies_where_the_caller_stands(run_script, tmp_path, monkeypatch) -> None:
    """Truth: the words that the command gets, though it runs in the project's folder."""
    (tmp_path / "fair.log").write_bytes(b"")
    monkeypatch.chdir(tmp_path)
    given = []
    monkeypatch.setattr(run_script, "call", lambda *words: given.append(words) or 0)
    assert run_script.JOBS["field"][0](tmp_path, ["fair.log", "--lan", "--port", "9"]) == 0
    log = str(tmp_path / "fair.log")
    assert given == [(tmp_path, "slingwright", "field", log, "--lan", "--port", "9")]


def test_unknown_benchmark_is_named(run_script, tmp_path) -> None:
    """Truth: an error names the thing and the next step."""
    with pytest.raises(run_script.SetUpError, match="no benchmark 'nothing'"):
        run_script.run_benchmarks(tmp_path, ["nothing"])


def test_check_script_is_sound() -> None:
    """Truth: bash's own parser; the check script calls the README's test command, last."""
    script = ROOT / ".ci" / "run"
    done = subprocess.run(["bash", "-n", str(script)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    lines = script.read_text(encoding="utf-8").rstrip().splitlines()
    assert "set -euo pipefail" in lines
    assert lines[-1] == "python3 run.py test"
    assert os.access(script, os.X_OK)


def test_news_setting_is_written_once(run_script, tmp_path) -> None:
    """Truth: JupyterLab's settings folder of an environment: etc/jupyter/labconfig."""
    place = run_script.switch_off_news(tmp_path)
    assert place == tmp_path / "etc/jupyter/labconfig/default_setting_overrides.json"
    assert json.loads(place.read_text()) == run_script.QUIET_JUPYTER
    before = place.stat().st_mtime_ns
    run_script.switch_off_news(tmp_path)
    assert place.stat().st_mtime_ns == before


def test_only_the_projects_own_pages_are_saved_clean(run_script, tmp_path) -> None:
    """Truth: nbformat 4: outputs and counts of code cells, widget state in the metadata."""
    root = tmp_path / "project"
    (root / "notebooks").mkdir(parents=True)
    place = run_script.keep_pages_clean(tmp_path / "environment", root)
    said = PyFileConfigLoader(place.name, path=str(place.parent)).load_config()
    for path, clean in (("notebooks/01.ipynb", True), ("mine/01.ipynb", False), ("n.ipynb", False)):
        model = {
            "type": "notebook",
            "content": {
                "metadata": {"widgets": {"state": {}}, "kernelspec": {}},
                "cells": [
                    {"cell_type": "code", "outputs": ["x"], "execution_count": 3, "source": "1"},
                    {"cell_type": "markdown", "source": "words"},
                ],
            },
        }
        manager = SimpleNamespace(root_dir=str(root))
        said.FileContentsManager.pre_save_hook(model=model, path=path, contents_manager=manager)
        cell = model["content"]["cells"][0]
        assert (cell["outputs"] == [] and cell["execution_count"] is None) == clean
        assert ("widgets" not in model["content"]["metadata"]) == clean


def news_box_after(page, url: str, seconds: float) -> bool:
    """Open JupyterLab and tell whether its question about news comes within `seconds`."""
    page.goto(url + "/lab")
    page.wait_for_selector("#jp-main-dock-panel", timeout=60_000)
    box = page.get_by_text("Jupyter news")
    try:
        box.first.wait_for(state="visible", timeout=seconds * 1000)
    except Exception as error:
        assert type(error).__name__ == "TimeoutError"
        return False
    return True


@pytest.mark.slow
@pytest.mark.browser
def test_no_news_box_covers_the_page(
    page, run_script, jupyter_server, make_jupyter, tmp_path, monkeypatch
) -> None:
    """Truth: JupyterLab in a real browser; with its own default setting the box does come."""
    with monkeypatch.context() as patch:
        default = {"@jupyterlab/apputils-extension:notification": {"fetchNews": "none"}}
        patch.setattr(run_script, "QUIET_JUPYTER", default)
        settings = run_script.switch_off_news(tmp_path / "asking").parents[1]
    assert news_box_after(page, make_jupyter(tmp_path, settings).url, 30)
    assert not news_box_after(page, jupyter_server.url, 5)
