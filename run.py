#!/usr/bin/env python3
"""Set slingwright up and start it.

    python3 run.py [--no-browser] [--port N] [...]   open the notebooks in JupyterLab
    python3 run.py page [...]                        serve everything as one page without code
    python3 run.py field [--lan] [...]               serve the field page to phones
    python3 run.py test [pytest arguments]           lint, types, tests and notebooks
    python3 run.py bench [name ...]                  run the benchmarks by hand

Needs nothing but Python. The first call makes a virtual environment in .venv (or in the folder
that the variable SLINGWRIGHT_VENV names) and installs into it; later calls install again only
when pyproject.toml has changed. Further arguments go to JupyterLab, Voila or pytest.

With --job FOLDER the pages work on that job, which is made where it is not there; a plain name lies
in the folder of jobs. Without it they open the last job, or the demo.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
OLDEST = (3, 11)
NEWEST = (3, 13)
STAMP = "slingwright-installed.json"
PREPARED = "slingwright-prepared"
COMPILED_FROM = ("derivation", "motion/joined", "motion/source", "machine/table")
# Options of pytest whose next word is a value, not a path.
MOST_AT_ONCE = 4  # a browser and a kernel or two run beside each
WITH_VALUE = {"-k", "-m", "-o", "-p", "-W", "-n"}
# JupyterLab asks at its first start whether to fetch news; the question covers part of the page.
# Widgets that a notebook keeps are found dead the next day: "model not found".
QUIET_JUPYTER = {
    "@jupyterlab/apputils-extension:notification": {
        "fetchNews": "false",
        "checkForUpdates": False,
    },
    "@jupyter-widgets/jupyterlab-manager:plugin": {"saveState": False},
}
# A kernel whose page is gone without a word, with its computer or its network, ends after this.
LONELY = [
    "--MappingKernelManager.cull_idle_timeout=900",
    "--MappingKernelManager.cull_interval=60",
]
# What the server of this environment does as it saves one of the project's own pages: outputs,
# counts and widget state stay out of the file, so that it is as it came. Other notebooks are left.
CLEAN_PAGES = '''"""Written by run.py: the project's own pages are saved without outputs."""

import os

PAGES = {pages!r}


def without_outputs(model, path, contents_manager, **more):
    """Take outputs, counts and widget state out of a page of the project before it is saved."""
    place = os.path.realpath(os.path.join(contents_manager.root_dir, path.strip("/")))
    if model["type"] != "notebook" or not place.startswith(PAGES + os.sep):
        return
    content = model["content"]
    content.get("metadata", {{}}).pop("widgets", None)
    for cell in content.get("cells", []):
        if cell["cell_type"] == "code":
            cell["outputs"], cell["execution_count"] = [], None


c.FileContentsManager.pre_save_hook = without_outputs
'''


class SetUpError(Exception):
    """Something that keeps slingwright from starting, with what to do next."""


def say(text):
    """Print one line at once, so that it stands before what a child process prints."""
    print(text, flush=True)


def check_python(version, find=shutil.which):
    """Raise SetUpError unless `version` (major, minor) is one that slingwright runs on."""
    if OLDEST <= tuple(version) <= NEWEST:
        return
    for minor in range(NEWEST[1], OLDEST[1] - 1, -1):
        name = "python3.{}".format(minor)
        if find(name) and answers([name, "-c", ""]):
            step = "call it with one that is here: {} run.py".format(name)
            break
    else:
        step = "install Python 3.13 (python.org, your package manager, or: uv python install 3.13)"
    raise SetUpError(
        "slingwright needs Python {}.{} to {}.{}, this is {}.{}.\nNext step: {}".format(
            *(OLDEST + NEWEST + tuple(version) + (step,))
        )
    )


def answers(command):
    """Tell whether `command` can be started and ends without an error."""
    try:
        done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    except OSError:
        return False
    return done.returncode == 0


def venv_folder(environ=os.environ):
    """Give the folder of the virtual environment."""
    named = environ.get("SLINGWRIGHT_VENV")
    return Path(named).expanduser().resolve() if named else ROOT / ".venv"


def venv_program(folder, name="python"):
    """Give the path of a program inside the virtual environment."""
    if os.name == "nt":
        return folder / "Scripts" / (name + ".exe")
    return folder / "bin" / name


def venv_is_whole(folder, uv):
    """Tell whether the environment has a Python of the right version and a way to install."""
    probe = "import sys; sys.exit(not {} <= sys.version_info[:2] <= {})".format(OLDEST, NEWEST)
    python = str(venv_program(folder))
    return answers([python, "-c", probe]) and (bool(uv) or answers([python, "-c", "import pip"]))


def make_venv(folder, uv):
    """Make the virtual environment, or leave it alone where it is whole.

    A half-made one is removed and made again; a folder that is something else is never touched.
    """
    if venv_is_whole(folder, uv):
        return
    if folder.exists():
        if not (folder / "pyvenv.cfg").is_file() and any(folder.iterdir()):
            raise SetUpError(
                "{} is in the way: it is not a virtual environment.\nNext step: move it, or name "
                "another folder with SLINGWRIGHT_VENV".format(folder)
            )
        say("removing a half-made or outdated virtual environment: {}".format(folder))
        shutil.rmtree(str(folder))
    say("making a virtual environment: {}".format(folder))
    maker = [uv, "venv", "--quiet", "--python"] if uv else None
    command = maker + [sys.executable, str(folder)] if maker else venv_command(folder)
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    if done.returncode == 0 and venv_is_whole(folder, uv):
        return
    if folder.exists():
        shutil.rmtree(str(folder))
    words = done.stdout.decode(errors="replace").strip()
    package = "python{}.{}-venv".format(*sys.version_info[:2])
    raise SetUpError(
        "{}\nNo virtual environment could be made in {}; what was begun is removed again.\nNext "
        "step: on Debian or Ubuntu: sudo apt install {}; elsewhere install a full Python, or uv; "
        "then call run.py again".format(words, folder, package)
    )


def venv_command(folder):
    """Give the command that makes an environment without uv."""
    return [sys.executable, "-m", "venv", str(folder)]


def fingerprint():
    """Give the hash of what decides about an installation: the set-up file and where it lies."""
    text = (ROOT / "pyproject.toml").read_bytes() + str(ROOT).encode()
    return hashlib.sha256(text).hexdigest()


def read_stamp(folder):
    """Give the extras installed so far, or None where the installation is missing or stale."""
    try:
        stamp = json.loads((folder / STAMP).read_text(encoding="utf-8"))
        return set(stamp["extras"]) if stamp["fingerprint"] == fingerprint() else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def install(folder, uv, extras=()):
    """Install slingwright, editable, with the named extras, unless that is done already."""
    have = read_stamp(folder)
    if have is not None and have >= set(extras):
        return
    wanted = sorted((have or set()) | set(extras))
    target = str(ROOT) + ("[{}]".format(",".join(wanted)) if wanted else "")
    say("installing {} (the first time takes some minutes)".format(target))
    python = str(venv_program(folder))
    if uv:
        command = [uv, "pip", "install", "--python", python, "--editable", target]
    else:
        command = [python, "-m", "pip", "install", "--disable-pip-version-check"]
        command += ["--editable", target]
    if subprocess.call(command) != 0:
        raise SetUpError(
            "The packages could not be installed.\nNext step: read the lines above; most often "
            "there is no network, or no package of that kind for this machine; then call again"
        )
    stamp = {"fingerprint": fingerprint(), "extras": wanted}
    (folder / STAMP).write_text(json.dumps(stamp) + "\n", encoding="utf-8")


def prepare(folder):
    """Compile the usual kinds of machine, once for an installation; a page would wait for it.

    And again where a new version of the kit derives or steps them otherwise.
    """
    mark, now = folder / PREPARED, hashlib.sha256(fingerprint().encode())
    for room in COMPILED_FROM:
        for file in sorted((ROOT / "src" / "slingwright" / room).glob("*.py")):
            now.update(file.read_bytes())
    now = now.hexdigest()
    if mark.is_file() and mark.read_text(encoding="utf-8") == now:
        return
    say("compiling the usual kinds of machine, once on this computer; Ctrl-C leaves it for later")
    if call(folder, "slingwright.commands.prepare") == 0:
        mark.write_text(now, encoding="utf-8")


def switch_off_news(folder):
    """Write the JupyterLab settings of this environment alone; the user's own are left alone."""
    place = folder / "etc" / "jupyter" / "labconfig" / "default_setting_overrides.json"
    text = json.dumps(QUIET_JUPYTER, indent=2) + "\n"
    if not place.is_file() or place.read_text(encoding="utf-8") != text:
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")
    return place


def keep_pages_clean(folder, root=ROOT):
    """Write the server's settings of this environment, so that pages are saved as they came."""
    place = folder / "etc" / "jupyter" / "jupyter_server_config.py"
    text = CLEAN_PAGES.format(pages=str((root / "notebooks").resolve()))
    if not place.is_file() or place.read_text(encoding="utf-8") != text:
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")
    return place


def inside(folder):
    """Give the environment variables for programs of the virtual environment."""
    environ = dict(os.environ)
    environ["VIRTUAL_ENV"] = str(folder)
    environ["PATH"] = str(venv_program(folder).parent) + os.pathsep + environ.get("PATH", "")
    environ["JUPYTER_PREFER_ENV_PATH"] = "1"
    environ["JUPYTER_PLATFORM_DIRS"] = "1"
    environ.pop("PYTHONHOME", None)
    return environ


def call(folder, module, *arguments):
    """Run a module with the environment's Python; give its exit code."""
    command = [str(venv_program(folder)), "-m", module] + [str(word) for word in arguments]
    try:
        return subprocess.call(command, cwd=str(ROOT), env=inside(folder))
    except KeyboardInterrupt:
        return 130


def page_path(name):
    """Give the path of a notebook, relative to the project, or say that it is not there."""
    path = Path("notebooks") / name
    if not (ROOT / path).is_file():
        raise SetUpError(
            "{} is missing from {}.\nNext step: get a whole copy of the project".format(path, ROOT)
        )
    return str(path)


def as_root():
    """Give the argument that JupyterLab wants where everything runs as root, as in containers."""
    return ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []


def start_lab(folder, arguments):
    """Open the start page in JupyterLab."""
    first = "/lab/tree/" + page_path("00_start.ipynb").replace(os.sep, "/")
    options = ["--ServerApp.root_dir={}".format(ROOT), "--LabApp.default_url={}".format(first)]
    return call(folder, "jupyterlab", *(options + as_root() + arguments))


def start_page(folder, arguments):
    """Serve everything as one page without code; nothing on it comes from another host."""
    room = ROOT / "src" / "slingwright" / "pages" / "one"
    paths = [str(room / "jupyter"), os.environ.get("JUPYTER_PATH")]
    os.environ["JUPYTER_PATH"] = os.pathsep.join(path for path in paths if path)
    return call(folder, "voila", room / "page.ipynb", "--template=slingwright", *LONELY, *arguments)


def start_field(folder, arguments):
    """Serve the field page; a log that is named lies where the caller stands."""
    logs = [str(Path(one).resolve()) if Path(one).is_file() else one for one in arguments]
    return call(folder, "slingwright", "field", *logs)


def test_selection(arguments):
    """Give the pytest arguments: all tests and notebooks, unless the user names paths.

    All of them run beside one another, a file at a time on each core.
    """
    named = False
    for before, word in zip([""] + arguments, arguments):  # noqa: B905 - strict came with 3.10
        path = ROOT / word.split("::")[0]
        named = named or (word[0:1] != "-" and before not in WITH_VALUE and path.exists())
    many = str(min(os.cpu_count() or 1, MOST_AT_ONCE))
    spread = ["-n", many, "--dist", "loadfile", "--no-loadscope-reorder"]
    chosen = [] if named else [*spread, "tests", "src"]
    if not named and any((ROOT / "notebooks").rglob("*.ipynb")):
        chosen.append("notebooks")
    return chosen + ["--nbval-lax", "--nbval-current-env"] + arguments


def run_tests(folder, arguments):
    """Lint, check types, then run the tests; the last line is pytest's own unless lint failed."""
    steps = [
        ("ruff", "check", "."),
        ("ruff", "format", "--check", "."),
        ("mypy",),
    ]
    failed = []
    for step in steps:
        say("== " + " ".join(step))
        if call(folder, *step) != 0:
            failed.append(" ".join(step))
    say("== pytest")
    code = call(folder, "pytest", *test_selection(arguments))
    if failed:
        say("not clean, see above: " + "; ".join(failed))
    return code or (1 if failed else 0)


def run_benchmarks(folder, names):
    """Run the benchmark scripts, all or those named."""
    scripts = sorted((ROOT / "tests" / "benchmarks").glob("*.py"))
    known = {path.stem: path for path in scripts}
    for name in names:
        if name not in known:
            raise SetUpError(
                "There is no benchmark '{}'.\nNext step: take one of: {}".format(
                    name, ", ".join(sorted(known)) or "(none yet)"
                )
            )
    codes = []
    for name in names or sorted(known):
        say("== " + name)
        command = [str(venv_program(folder)), str(known[name])]
        codes.append(subprocess.call(command, cwd=str(ROOT), env=inside(folder)))
    return max(codes, default=0)


def take_job(arguments, environ=os.environ):
    """Take `--job FOLDER` out of the arguments, name it to what is started, and give the rest."""
    left = list(arguments)
    for place, word in enumerate(left):
        if word == "--job" or word.startswith("--job="):
            named = word[6:] if word != "--job" else "".join(left[place + 1 : place + 2])
            if not named:
                raise SetUpError("--job names no folder.\nNext step: write --job FOLDER")
            folder = Path(named).expanduser()
            plain = named == folder.name and not folder.is_dir()
            environ["SLINGWRIGHT_JOB"] = named if plain else str(folder.resolve())
            del left[place : place + (2 if word == "--job" else 1)]
            break
    return left


JOBS = {
    "page": (start_page, ["voila"]),
    "field": (start_field, []),
    "test": (run_tests, ["test"]),
    "bench": (run_benchmarks, ["test"]),
}


def main(arguments):
    """Do what the command line asks; give the exit code."""
    if arguments[:1] in (["-h"], ["--help"]):
        say((__doc__ or "").strip())
        return 0
    known = bool(arguments) and arguments[0] in JOBS
    if arguments and not known and not arguments[0].startswith("-"):
        say("There is no job '{}'.\n\n{}".format(arguments[0], (__doc__ or "").strip()))
        return 2
    job, extras = JOBS[arguments[0]] if known else (start_lab, [])
    try:
        if job not in (run_tests, run_benchmarks):
            arguments = take_job(arguments)
        check_python(sys.version_info[:2])
        uv = shutil.which("uv")
        folder = venv_folder()
        make_venv(folder, uv)
        install(folder, uv, extras)
        switch_off_news(folder)
        keep_pages_clean(folder)
        if job not in (run_tests, run_benchmarks):
            prepare(folder)
        return job(folder, arguments[1:] if known else arguments)
    except SetUpError as trouble:
        say("\n" + str(trouble))
        return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
