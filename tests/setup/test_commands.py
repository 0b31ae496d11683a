"""The two commands: `python3 workbook` and `python3 tests`."""

import ast
import os
import runpy
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from dragwork.setup import lab, open_workbook, run_tests
from dragwork.setup.environment import SetupProblem

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", ["workbook", "tests"])
def test_an_old_python_is_told_so(name, monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 9, 18))
    with pytest.raises(SystemExit, match="needs? Python 3.10 or newer; this is Python 3.9"):
        runpy.run_path(str(ROOT / name / "__main__.py"), run_name="__main__")


@pytest.mark.parametrize("name", ["workbook", "tests"])
def test_the_first_lines_can_be_read_by_an_old_python(name):
    """Before anything newer is imported: no f-string, no annotation, nothing after Python 2.7."""
    source = (ROOT / name / "__main__.py").read_text(encoding="ascii")
    tree = ast.parse(source, feature_version=(3, 4))
    newer = (ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.Starred, ast.Await, ast.Match)
    assert not [node for node in ast.walk(tree) if isinstance(node, newer)]


@pytest.fixture
def copy(tmp_path):
    """A learner's copy with two notebooks."""
    (tmp_path / "workbook").mkdir()
    for name in ("00_start_here", "08_watts_at_my_speed"):
        (tmp_path / "workbook" / f"{name}.ipynb").touch()
    return tmp_path


@pytest.mark.parametrize("wanted", ["08", "08_watts", "08_watts_at_my_speed.ipynb"])
def test_a_notebook_is_found_by_the_start_of_its_name(copy, wanted):
    page = open_workbook.find_page(copy, wanted)
    assert page == "/lab/tree/workbook/08_watts_at_my_speed.ipynb"


def test_a_notebook_that_is_not_there_is_said_with_those_that_are(copy):
    with pytest.raises(SetupProblem, match="'13'(.|\n)*08_watts_at_my_speed"):
        open_workbook.find_page(copy, "13")


def test_without_a_first_notebook_the_folder_opens(tmp_path):
    assert open_workbook.find_page(tmp_path, open_workbook.FIRST_NOTEBOOK) == "/lab"


def test_the_server_is_for_this_computer_only_and_its_token_is_on_no_command_line(copy):
    command = lab.command(Path("python"), 8888, False) + lab.settings(copy, "/lab", copy / "extensions")
    assert "--ServerApp.ip=127.0.0.1" in command
    assert f"--ServerApp.root_dir={copy}" in command
    assert not [part for part in command if "token" in part or "password" in part]


STUBBORN = """
import json, os, pathlib, signal, time
signal.signal(signal.SIGTERM, signal.SIG_IGN)
runtime = pathlib.Path(os.environ["JUPYTER_RUNTIME_DIR"])
runtime.mkdir()
(runtime / "jpserver-1.json").write_text(json.dumps({"url": "http://127.0.0.1:1/"}))
time.sleep(60)
"""


def test_a_server_that_does_not_end_when_asked_is_ended(copy, monkeypatch):
    monkeypatch.setattr(lab, "command", lambda *_: [sys.executable, "-c", STUBBORN])
    monkeypatch.setattr(lab, "GRACE", 0.2)
    with lab.running(Path(sys.executable), copy) as server:
        assert server.link == f"http://127.0.0.1:1/lab?token={server.token}"
        assert server.process.poll() is None
    assert server.process.poll() is not None


def test_a_server_that_does_not_start_is_said(copy, monkeypatch):
    monkeypatch.setattr(lab, "command", lambda *_: [sys.executable, "-c", "raise SystemExit(1)"])
    with pytest.raises(SetupProblem, match="did not start"), lab.running(Path("python"), copy):
        pass


@pytest.mark.parametrize("code", [0, 1, 2])
@pytest.mark.parametrize(
    "arguments, wanted",
    [
        ([], ["--nbval", "--nbval-current-env", "tests", "workbook/a.ipynb", "exercises/a.ipynb"]),
        (["tests/physics", "-x"], ["tests/physics", "-x"]),
    ],
)
def test_pytest_runs_everything_or_what_is_asked_and_its_answer_counts(arguments, wanted, code, monkeypatch):
    ran = []
    monkeypatch.setattr(run_tests.environment, "prepare", lambda *_: Path("python"))
    monkeypatch.setattr(run_tests.working_copy, "shipped", lambda _: ["workbook/a.ipynb", "exercises/a.ipynb"])
    monkeypatch.setattr(run_tests.environment.signal, "signal", lambda *_: None)
    monkeypatch.setattr(run_tests.subprocess, "call", lambda command, **_: ran.append(command) or code)
    assert run_tests.main(arguments, str(ROOT)) == code
    ((_, _, pytest_, *given),) = ran
    assert pytest_ == "pytest" and [word for word in given if word in wanted] == wanted
    assert bool(arguments) == (given == arguments)


# -- a second start, a port, a launcher that is killed ------------------------------------------------


@pytest.mark.parametrize("port", ["0", "80", "65536", "-1", "x", "9" * 5000, "٣٣٣٣"])
def test_a_port_out_of_range_is_refused(port, capsys):
    with pytest.raises(SystemExit):
        open_workbook.main(["--port", port], str(ROOT))
    assert "a port is a whole number from 1024 to 65535" in capsys.readouterr().err


def test_a_second_start_opens_what_is_running(copy, monkeypatch, capsys):
    opened = []
    monkeypatch.setattr(open_workbook.webbrowser, "open", opened.append)
    monkeypatch.setattr(open_workbook.environment, "prepare", lambda *_: pytest.fail("set up again"))
    root, mine = copy, copy / ".my-workbook"
    (copy / "workbook").rename((mine.mkdir() or mine) / "workbook")
    with lab.alone(mine) as note:
        note("http://127.0.0.1:1/lab/tree/workbook/00_start_here.ipynb?token=abc")
        assert open_workbook.main(["08"], str(root)) == 0
    link = "http://127.0.0.1:1/lab/tree/workbook/08_watts_at_my_speed.ipynb?token=abc"
    assert opened == [link] and f"already running at\n\n    {link}" in capsys.readouterr().out
    with lab.alone(mine) as note:
        assert callable(note), "the first one has ended"


def test_two_starts_at_once_are_said(copy, monkeypatch):
    monkeypatch.setattr(lab, "ANOTHER", 0.3)
    with lab.alone(copy), pytest.raises(SetupProblem, match="in another window"), lab.alone(copy):
        pass


@pytest.mark.skipif(sys.platform != "linux", reason="the system ends it there")
def test_a_launcher_that_is_killed_leaves_no_server(copy):
    """The server of this test goes on for a minute if nobody ends it."""
    server = STUBBORN.replace("signal.signal(signal.SIGTERM, signal.SIG_IGN)", "print(os.getpid(), flush=True)")
    launcher = (
        "import sys\nfrom pathlib import Path\nfrom dragwork.setup import lab\n"
        f"lab.command = lambda *_: [sys.executable, '-c', {server!r}]\n"
        f"with lab.running(Path(sys.executable), Path({str(copy)!r})) as server: server.process.wait()"
    )
    with subprocess.Popen([sys.executable, "-c", launcher], stdout=subprocess.PIPE, text=True) as process:
        number = int(process.stdout.readline())
        process.kill()
    for _ in range(50):
        if not Path(f"/proc/{number}").exists() or " Z " in Path(f"/proc/{number}/stat").read_text():
            return
        time.sleep(0.1)
    pytest.fail("the server goes on alone")


def test_nothing_needs_a_shell(copy):
    assert "--ServerApp.terminals_enabled=False" in lab.settings(copy, "/lab", copy / "extensions")


def test_a_locale_without_letters_beyond_ascii_and_a_folder_with_some(tmp_path):
    """What the launcher does before and after the set-up, in a Python that knows ASCII alone."""
    root = tmp_path / "Übungen für alle"
    shutil.copytree(ROOT / "workbook", root / "workbook")
    (root / "exercises").mkdir()
    shutil.copytree(ROOT / "src" / "dragwork", root / "src" / "dragwork", ignore=shutil.ignore_patterns("data"))
    code = (
        "import sys; sys.path.insert(0, 'src')\nfrom pathlib import Path\n"
        "from dragwork.setup import environment, open_workbook\n"
        "environment.prepare = lambda *_: Path(sys.executable)\n"
        "open_workbook.run_lab = lambda python, copy, page, *_: print(copy.resolve(), page) or 0\n"
        "sys.exit(open_workbook.main(['00'], '.'))"
    )
    for utf8 in ("0", "1"):
        plain = {**os.environ, "LC_ALL": "C", "PYTHONUTF8": utf8, "PYTHONCOERCECLOCALE": "0"}
        done = subprocess.run([sys.executable, "-c", code], cwd=root, env=plain, capture_output=True, check=False)
        assert done.returncode == 0, done.stderr.decode("utf-8", "replace")
        assert b"/lab/tree/workbook/00_start_here.ipynb" in done.stdout
    assert (root / ".my-workbook" / "workbook" / "00_start_here.ipynb").exists()
