"""The private environment: made once, begun afresh after an interruption, plain about problems."""

import base64
import hashlib
import json
import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from dragwork.setup import environment
from dragwork.setup.environment import SetupProblem


def quiet(*_, **__):
    """Nobody listens."""


@pytest.fixture
def root(tmp_path):
    """A project's folder with a space in its name."""
    root = tmp_path / "a project"
    root.mkdir()
    (root / "pyproject.toml").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    return root


@pytest.fixture
def installs(root, monkeypatch):
    """Set-up without its slow parts: an environment is an empty file for its Python.

    Yields the list of installs; `installs.fails` is raised by the next ones.
    """

    class Installs(list):
        fails = None

    done = Installs()

    def make(root):
        environment.python(root).parent.mkdir(parents=True)
        environment.python(root).touch()

    def install(root, extras, say):
        done.append(list(extras))
        if done.fails is not None:
            (environment.folder(root) / "half").touch()
            raise done.fails

    monkeypatch.setattr(environment, "_make_venv", make)
    monkeypatch.setattr(environment, "_install", install)
    monkeypatch.setattr(environment, "damage", lambda _: "")
    return done


def test_a_second_start_installs_nothing(root, installs):
    first = environment.prepare(root, say=quiet)
    assert environment.prepare(root, say=quiet) == first == environment.python(root)
    assert installs == [[]]


def test_the_tests_add_to_what_is_there_and_the_workbook_needs_no_more(root, installs):
    environment.prepare(root, say=quiet)
    (environment.folder(root) / "kept").touch()
    environment.prepare(root, "test", say=quiet)
    environment.prepare(root, say=quiet)
    assert installs == [[], ["test"]]
    assert (environment.folder(root) / "kept").exists()


@pytest.mark.parametrize("failure", [KeyboardInterrupt(), SystemExit(143), SetupProblem("no net")])
def test_after_an_interruption_the_next_start_begins_afresh(root, installs, failure):
    installs.fails = failure
    with pytest.raises(type(failure)):
        environment.prepare(root, say=quiet)
    assert environment.stamped_extras(root) is None
    installs.fails = None
    environment.prepare(root, say=quiet)
    assert not (environment.folder(root) / "half").exists()
    assert environment.stamped_extras(root) == set()


def test_an_interruption_while_adding_also_leaves_no_stamp(root, installs):
    environment.prepare(root, say=quiet)
    installs.fails = KeyboardInterrupt()
    with pytest.raises(KeyboardInterrupt):
        environment.prepare(root, "test", say=quiet)
    assert environment.stamped_extras(root) is None


def _new_dependencies(root, monkeypatch):
    (root / "pyproject.toml").write_text("[project]\nname = 'y'\n", encoding="utf-8")
    return root


def _another_python(root, monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 99, 0))
    return root


def _python_gone(root, monkeypatch):
    environment.python(root).unlink()
    return root


def _moved(root, monkeypatch):
    return root.rename(root.with_name("moved"))


def _stamp_torn(root, monkeypatch):
    (environment.folder(root) / environment.STAMP).write_text('{"finger', encoding="utf-8")
    return root


@pytest.mark.parametrize(
    "change", [_new_dependencies, _another_python, _python_gone, _moved, _stamp_torn]
)
def test_an_environment_that_no_longer_fits_is_made_anew(root, installs, monkeypatch, change):
    environment.prepare(root, say=quiet)
    root = change(root, monkeypatch)
    environment.prepare(root, say=quiet)
    assert len(installs) == 2


# -- what is damaged is made again ------------------------------------------------------------------


@pytest.fixture(scope="module")
def finished(tmp_path_factory):
    """A real environment with one small package, its list of files as pip writes it, and the stamp."""
    root = tmp_path_factory.mktemp("finished")
    (root / "pyproject.toml").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", environment.folder(root)], check=True)
    site = Path(sysconfig.get_path("purelib", "venv", {"base": str(environment.folder(root))}))
    files = {"dragwork/__init__.py": b"", "wheels/__init__.py": b"spokes = 20\n", "wheels/rim.so": b"\x7fELF" * 9}
    lines = []
    for name, content in files.items():
        (site / name).parent.mkdir(exist_ok=True)
        (site / name).write_bytes(content)
        digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
        lines.append(f"{name},sha256={digest},{len(content)}")
    (site / "wheels-1.0.dist-info").mkdir()
    (site / "wheels-1.0.dist-info" / "RECORD").write_text("\n".join([*lines, "x.pyc,,"]), "utf-8")
    stamp = {"fingerprint": environment.fingerprint(root), "extras": [], "packages": sorted(environment._packages(root))}
    (environment.folder(root) / environment.STAMP).write_text(json.dumps(stamp), encoding="utf-8")
    return root, site


BREAKS = {
    "a module is gone": lambda root, site: (site / "wheels" / "__init__.py").unlink(),
    "a module is empty": lambda root, site: (site / "wheels" / "__init__.py").write_bytes(b""),
    "a module has other words": lambda root, site: (site / "wheels" / "__init__.py").write_bytes(b"spokes = 21\n"),
    "a binary is cut short": lambda root, site: (site / "wheels" / "rim.so").write_bytes(b"\x7fELF"),
    "a package is gone, its list stays": lambda root, site: shutil.rmtree(site / "wheels"),
    "a package is gone with its list": lambda root, site: [
        shutil.rmtree(site / name) for name in ("wheels", "wheels-1.0.dist-info")
    ],
    "the list is no text": lambda root, site: (site / "wheels-1.0.dist-info" / "RECORD").write_bytes(b"\xff\x00"),
    "our own package is gone": lambda root, site: shutil.rmtree(site / "dragwork"),
    "the settings are gone": lambda root, site: (environment.folder(root) / "pyvenv.cfg").unlink(),
    "its Python is no program": lambda root, site: [
        environment.python(root).unlink(), environment.python(root).write_bytes(b"no")
    ],
    "all packages are gone": lambda root, site: shutil.rmtree(site),
}  # fmt: skip


@pytest.mark.skipif(os.name == "nt", reason="links to the program itself")
@pytest.mark.parametrize("break_it", BREAKS.values(), ids=BREAKS)
def test_what_is_damaged_is_seen_and_made_again(finished, monkeypatch, break_it):
    root, site = finished
    assert environment.damage(root) == ""
    kept = root.with_name("kept")
    shutil.copytree(environment.folder(root), kept, symlinks=True)
    done, said = [], []
    monkeypatch.setattr(environment, "_make_venv", lambda _: shutil.copytree(kept, environment.folder(root), symlinks=True))
    monkeypatch.setattr(environment, "_install", lambda root, extras, say: done.append(extras))
    monkeypatch.setattr(environment, "_check_space", lambda _: None)
    break_it(root, site)
    try:
        assert environment.damage(root)
        environment.prepare(root, say=lambda *line, **_: said.append(*line))
        assert done == [[]] and "is damaged (" in said[0] and "made again" in said[0]
        assert environment.damage(root) == "" and environment.prepare(root, say=quiet)
        assert done == [[]], "made once"
    finally:
        shutil.rmtree(environment.folder(root), ignore_errors=True)
        kept.rename(environment.folder(root))


def test_a_full_disk_is_said_before_anything_is_made(root, monkeypatch):
    monkeypatch.setattr(environment.shutil, "disk_usage", lambda _: type("Disk", (), {"free": 2e8}))
    with pytest.raises(SetupProblem, match="0.2 GB free.* needs"):
        environment.prepare(root, say=quiet)
    assert not environment.folder(root).exists()


def test_without_venv_the_missing_package_is_named_and_nothing_is_left(root, monkeypatch):
    """As where a system splits Python: `-m venv` makes half an environment and fails."""

    def half(*command):
        environment.folder(root).mkdir(exist_ok=True)
        return 1, "No module named ensurepip"

    monkeypatch.setattr(environment, "_quiet", half)
    with pytest.raises(SetupProblem, match=r"sudo apt install python3\.\d+-venv"):
        environment.prepare(root, say=quiet)
    assert not environment.folder(root).exists()


# What pip and the system print: the first three were printed by pip 23.0 on a machine without
# network, the rest are the texts of the operating systems' errors.
MESSAGES = {
    "NewConnectionError('...: Failed to establish a new connection: [Errno 111] ...')": "network",
    "Temporary failure in name resolution": "network",
    "ProxyError('Cannot connect to proxy.', ...)": "network",
    "OSError: [Errno 28] No space left on device": "disk is full",
    "[Errno 122] Disk quota exceeded": "disk is full",
    "[Errno 13] Permission denied: '/srv/a'": "cannot be written",
    "[WinError 5] Access is denied": "cannot be written",
}


@pytest.mark.parametrize("message", MESSAGES)
def test_a_known_problem_is_said_plainly(message):
    said = environment.explain("Collecting numpy\nERROR: " + message)
    assert MESSAGES[message] in said and "Collecting" not in said


def test_an_unknown_problem_shows_what_the_installer_said():
    assert "ERROR: a new thing" in environment.explain("line\n" * 50 + "ERROR: a new thing\n")


def test_a_real_start_without_network_ends_soon_with_a_sentence(root):
    """The one slow test here: a true environment, and an index that refuses connections."""
    source = Path(environment.__file__).parents[2]
    code = (
        "import sys; from dragwork.setup import environment\n"
        "try: environment.prepare(sys.argv[1])\n"
        "except environment.SetupProblem as problem: sys.exit(str(problem))"
    )
    ours = {name: value for name, value in os.environ.items() if not name.startswith("PIP_")}
    settings = {
        **ours,
        "PYTHONPATH": str(source),
        "PIP_INDEX_URL": "http://127.0.0.1:9/",
        "PIP_CONFIG_FILE": os.devnull,
    }
    (root / "pyproject.toml").write_text(
        "[build-system]\nrequires = ['setuptools']\n[project]\nname = 'x'\nversion = '1'\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(root)],
        env=settings,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    assert "The package index could not be reached." in done.stderr
    assert "Traceback" not in done.stderr
    assert environment.stamped_extras(root) is None
