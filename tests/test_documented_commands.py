"""Every command that README, DEVELOPERS.md and exercises/README.md name is run, in a short form where it is long.

They run in a copy of the project, as a reader would type them; what makes files again must make the same.
Where two commands run the same, as on another system, it is run once. The command that runs this very test is left out. `python3 workbook` runs without its set-up.
"""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

ROOT = Path(__file__).parents[1]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "exercises/README.md")
KEPT = ("src", "tests", "workbook", "exercises", "README.md", "DEVELOPERS.md", "pyproject.toml")
OURSELVES = {"python3 tests", "py tests"}
TOUR = (pytest.mark.tour,)
# A command as it is documented -> the arguments of Python in its short form, or the kind of run.
SHORT = {
    "python3 tests tests/physics -k speed": "collect",
    "python3 tests -m tour": "collect",
    "python3 tests tests/measurement tests/scenario -m tour": "collect",
    "python3 tests tests/teaching/test_panel.py -m tour": "collect",
    "python3 tests tests/physics --hypothesis-profile fresh": "collect",
    "python3 tests tests/teaching/test_pocket_book.py -m tour": "collect",
    # tests/books.py
    ".venv/bin/python -m dragwork.teaching.evening": "screen",
    ".venv/bin/python -m dragwork.teaching.class_papers evening": "screen",
    ".venv/bin/python -m dragwork.teaching.pocket_book": "screen",
    ".venv/bin/python -m dragwork.teaching.pocket_book workbook/00_start_here.ipynb --out pocket_00.html": "screen",
    "python3 workbook": "launch",
    "py workbook": "launch",
    "python3 workbook 08": "launch",
    "python3 workbook --class": "class",  # tests/setup/test_class.py
    "python3 workbook --class --forget NICKNAME": "class",
    ".venv/bin/python tests/benchmarks/class_load.py 30 60": ["tests/benchmarks/class_load.py", "1", "4"],
    ".venv/bin/python -m dragwork.teaching.book save": [
        "-m", "dragwork.teaching.book", "save", "workbook/00_start_here.ipynb"
    ],
    ".venv/bin/python tests/benchmarks/panel_speed.py": [
        "-c", "import sys; sys.path.insert(0, 'tests/benchmarks'); import panel_speed as p; p.MOVES = 2; p.main(['watts_curve'])"
    ],
}  # fmt: skip
LONG = {
    "python3 tests -m tour", ".venv/bin/python tests/benchmarks/physics_speed.py", ".venv/bin/python tests/mutations.py",
    ".venv/bin/python tests/measurement/saltpan_days.py",
    ".venv/bin/python tests/benchmarks/class_load.py 30 60",  # test_class.py measures a class that is open
    "python3 workbook 08",  # tests/setup/test_wheel.py opens that lesson by the wheel's command
}  # fmt: skip


def _spelled_out():
    """The table of DEVELOPERS.md names three papers at once: `key\\|worksheet\\|capstone`."""
    for line in commands_as_written():
        head, mark, rest = line.partition("key\\|")
        yield from [head + paper for paper in f"key\\|{rest}".split("\\|")] if mark else [line]


def commands_as_written():
    for name in DOCUMENTS:
        text = (ROOT / name).read_text(encoding="utf-8")
        blocks = re.compile(r"^```\w*\n(.*?)^```", re.MULTILINE | re.DOTALL)
        lines = [line for block in blocks.findall(text) for line in block.splitlines()]
        for line in lines + re.findall(r"`([^`\n]+)`", blocks.sub("", text)):
            if re.match(r"(python3?|py|\.venv\S*python) ", line):
                yield line


COMMANDS = sorted(set(_spelled_out()) - OURSELVES)


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    """A copy of the project."""
    project = tmp_path_factory.mktemp("project")
    for name in KEPT:
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, project / name)
    (project / "names.txt").write_text("Ada\nBram\n", encoding="utf-8")
    return project


def arguments_of(command):
    """What follows the name of Python."""
    short = SHORT.get(command)
    if isinstance(short, list):
        return short
    words = command.split()[1:]
    if words[-1:] in (["key"], ["worksheet"]):
        words += {"key": ["Ada", "--questions", "M01"], "worksheet": ["M01"]}[words[-1]]
    return words


def of_kind(kind):
    """The commands of a kind, long ones marked, one of those that run the same."""
    found = {tuple(arguments_of(command)): command for command in COMMANDS if SHORT.get(command) == kind}
    return [pytest.param(command, marks=TOUR if command in LONG else ()) for command in found.values()]


PLAIN = [param for kind in (None, *filter(lambda s: isinstance(s, list), SHORT.values())) for param in of_kind(kind)]
PLAIN = list({tuple(arguments_of(param.values[0])): param for param in PLAIN}.values())


def run(words, project, **more):
    """Run Python with these words in the copy; what it printed."""
    settings = {**os.environ, "PYTHONPATH": str(project / "src")}
    done = subprocess.run(
        [sys.executable, *words], cwd=project, env=settings, capture_output=True, text=True, check=False, **more
    )
    assert done.returncode == 0, done.stderr[-2000:] + done.stdout[-2000:]
    assert "Traceback" not in done.stderr
    return done.stdout


# Each as Python would run it, but one after the other in one process, which takes the imports once.
IN_A_ROW = r"""
import contextlib, io, json, os, runpy, sys, traceback
ended, path = {}, list(sys.path)
for words in json.load(sys.stdin):
    said = io.StringIO()
    how, sys.argv = (runpy.run_module, words[1:]) if words[0] == "-m" else (runpy.run_path, words)
    sys.path[:] = [os.path.dirname(words[0]), *path] if words[0].endswith(".py") else path
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            exec(words[1], {}) if words[0] == "-c" else how(sys.argv[0], run_name="__main__")
            code = 0
        except SystemExit as end:
            code = end.code or 0
        except BaseException:
            traceback.print_exc()
            code = 1
    ended[json.dumps(words)] = [code, said.getvalue()]
print(json.dumps(ended))
"""


@pytest.fixture(scope="module")
def ended(project, request):
    """The commands that are asked for: their words to the exit code and what each printed."""
    asked = [item.callspec.params["command"] for item in request.session.items if "ended" in getattr(item, "fixturenames", ())]
    words = [arguments_of(command) for command in asked]
    return json.loads(run(["-W", "ignore::RuntimeWarning", "-c", IN_A_ROW], project, input=json.dumps(words)))


@pytest.mark.parametrize("command", PLAIN)
def test_a_documented_command_runs(command, project, ended):
    code, said = ended[json.dumps(arguments_of(command))]
    assert code == 0 and "Traceback" not in said, said[-2000:]
    assert changed(project) == []


@pytest.mark.tour
def test_parts_of_the_tests_can_be_named_as_documented(project):
    """Collected one after the other in one process, which takes the imports once."""
    named = [command.split()[2:] for command in COMMANDS if SHORT.get(command) == "collect" and command not in LONG]
    code = (
        "import sys, pytest\n"
        f"codes = [pytest.main(['--collect-only', '-q', '-W', 'ignore::pytest.PytestWarning', *words]) for words in {named!r}]\n"
        "sys.exit(max(map(int, codes)))"
    )
    assert len(named) > 3
    run(["-c", code], project)


@pytest.mark.parametrize("command", of_kind("launch"))
def test_the_workbook_opens_by_the_documented_command(command, project):
    launch(arguments_of(command)[1:], project, {**os.environ, "PYTHONPATH": str(project / "src")})


def changed(project):
    """What a command made otherwise than it is stored."""
    kept = [*(ROOT / "src" / "dragwork" / "scenario" / "data").iterdir(), ROOT / "tests" / "published" / "TABLE.md",
            ROOT / "workbook" / "00_start_here.ipynb"]  # fmt: skip
    return [path.name for path in kept if path.read_bytes() != (project / path.relative_to(ROOT)).read_bytes()]


def launch(words, project, settings):
    """Start the workbook without its set-up, fetch the page that it names, and stop it."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom dragwork.setup import environment, open_workbook\n"
        "environment.prepare = lambda *_: Path(sys.executable)\n"
        f"sys.exit(open_workbook.main(sys.argv[1:], {str(project)!r}))"
    )
    command = [sys.executable, "-c", code, *words, "--no-browser", "--port", "18888"]
    with subprocess.Popen(command, cwd=project, env=settings, stdout=subprocess.PIPE, text=True) as process:
        try:
            link = next(line.strip() for line in process.stdout if "http" in line)
            assert b"JupyterLab" in fetched(link)
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=30)


def fetched(link):
    """The page; the link is printed a moment before the server listens."""
    for _ in range(50):
        try:
            with urlopen(link, timeout=30) as page:
                return page.read()
        except URLError:
            time.sleep(0.2)
    return b""


def test_no_short_form_is_left_over():
    assert set(SHORT) | LONG <= set(COMMANDS)
    assert len(COMMANDS) > 20


def test_files_that_a_documented_command_names_are_there():
    named = {word for command in COMMANDS for word in command.split() if re.match(r"(tests|workbook|exercises)/", word)}
    assert len(named) > 5
    assert [word for word in named if not (ROOT / word).exists()] == []
