"""The private Python environment `.venv` in the project's folder.

It is made once, with a stamp that says what it was made from and which packages it holds. While the
stamp fits and the packages are whole, a start needs a second and no network. A set-up that was
interrupted leaves no stamp; then, and where something is missing or damaged, it is made afresh.
Standard library only.
"""

import base64
import csv
import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

#: Free disk space asked for before a set-up [bytes]. The environment with the test tools takes
#: about 1 GB, and pip needs room for its downloads beside it.
SPACE_NEEDED = 1_500_000_000

STAMP = "dragwork-stamp.json"


class SetupProblem(Exception):
    """Something is missing; the message says what, and what would help, in plain words."""


def run(work: Callable[[], int], farewell: str) -> int:
    """The exit code of a command's work; what stops it is told in words."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    os.environ.setdefault("PYTHONUTF8", "1")  # names of folders are UTF-8 whatever the locale says
    try:
        return work()
    except (SetupProblem, OSError) as problem:
        print(explain(str(problem)) if isinstance(problem, OSError) else problem, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print(f"\n{farewell}", file=sys.stderr)
        return 130


def folder(root: Path) -> Path:
    """The environment's folder."""
    return Path(root) / ".venv"


def python(root: Path) -> Path:
    """The environment's own Python."""
    return folder(root) / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def fingerprint(root: Path) -> str:
    """What the environment depends on: pyproject.toml, this Python, and the folder's place.

    The place counts because an editable install remembers it: a folder that was moved or copied
    needs a new environment. A bug-fix release of the same Python does not.
    """
    made_from, place = Path(root, "pyproject.toml").read_bytes(), str(Path(root).resolve())
    parts = made_from, b"%d.%d" % sys.version_info[:2], place.encode()
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def stamped_extras(root: Path) -> set[str] | None:
    """The extras that a finished set-up installed, or None where there is none that fits."""
    try:
        stamp = json.loads((folder(root) / STAMP).read_text(encoding="utf-8"))
        fits = stamp["fingerprint"] == fingerprint(root) and python(root).exists()
        return set(stamp["extras"]) if fits else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def damage(root: Path) -> str:
    """What is missing or broken in a finished environment; empty where all is as it was installed.

    Its Python must run and find the package; each package that was installed must still be there,
    with all files of its own list (RECORD) in their size, and those written since with their content.
    """
    try:
        command = [str(python(root)), "-I", "-c", "import dragwork"]
        if subprocess.run(command, check=False, capture_output=True, timeout=60).returncode:
            return "its Python does not start"
        stamp = folder(root) / STAMP
        since, packages = stamp.stat().st_mtime, json.loads(stamp.read_text("utf-8"))["packages"]
        lists = _packages(root)
        return next((p for p in packages if p not in lists or _is_torn(lists[p], since)), "")
    except (OSError, ValueError, LookupError, TypeError, subprocess.SubprocessError):
        return "it cannot be read"


def _packages(root: Path) -> dict[str, Path]:
    """The packages that are installed, each with its list of files."""
    where = "Lib" if os.name == "nt" else "lib/python*"
    lists = folder(root).glob(f"{where}/site-packages/*.dist-info/RECORD")
    return {path.parent.name.split("-")[0].lower(): path for path in lists}


def _is_torn(listed: Path, since: float) -> bool:
    """Whether a file of a package's list is gone, or is not what was installed."""
    with listed.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.reader(file) if row[1]]  # those with a digest
    place = listed.parents[1]
    return not all(_is_whole(place / name, digest, int(size), since) for name, digest, size in rows)


def _is_whole(path: Path, digest: str, size: int, since: float) -> bool:
    try:
        about = path.stat()
        if about.st_mtime <= since:
            return about.st_size == size
        kind, _, expected = digest.partition("=")
        found = hashlib.new(kind, path.read_bytes()).digest()
        return base64.urlsafe_b64encode(found).rstrip(b"=").decode() == expected
    except OSError:
        return False


def prepare(root: Path, extra: str = "", say=print) -> Path:
    """Make the environment where it is missing or out of date; return its Python.

    Parameters
    ----------
    root
        The project's folder.
    extra
        The optional dependencies wanted besides ("test"), or "" for none.
    say
        Called with each line for the learner.

    Raises
    ------
    SetupProblem
        With a sentence that says what is missing.
    """
    root = Path(root)
    extras = stamped_extras(root)
    wanted = {extra} - {""}
    broken = damage(root) if extras is not None else ""
    if broken:
        say(f"The set-up in {folder(root).name} is damaged ({broken}), so it is made again.")
        wanted, extras = wanted | extras, None
    if extras is not None and wanted <= extras:
        return python(root)
    if extras is None:
        say("Setting up: needs the network, takes a minute or two. This happens only once.")
        _check_space(root)
        _remove(folder(root))
        _make_venv(root)
    else:
        say(f"Adding what the {extra} command needs: this happens only once.")
        (folder(root) / STAMP).unlink()
    extras = sorted(wanted | (extras or set()))
    _install(root, extras, say)
    stamp = {"fingerprint": fingerprint(root), "extras": extras, "packages": sorted(_packages(root))}
    (folder(root) / STAMP).write_text(json.dumps(stamp), encoding="utf-8")
    return python(root)


def _check_space(root: Path) -> None:
    free = shutil.disk_usage(root).free
    if free < SPACE_NEEDED:
        raise SetupProblem(
            f"The disk has {free / 1e9:.1f} GB free; the set-up needs {SPACE_NEEDED / 1e9:.1f} GB."
            "\nMake room and start again."
        )


def _remove(path: Path) -> None:
    if path.is_symlink():
        path.unlink()
    elif path.exists():
        shutil.rmtree(path)


def _make_venv(root: Path) -> None:
    """A virtual environment with pip in it.

    Some Linux systems split Python: the part that puts pip into a new environment is a package
    of its own. Then the environment is made without pip, and the system's pip puts one inside.
    The system's own packages are never touched.
    """
    target = str(folder(root))
    code, output = _quiet("venv", target)
    if code:
        code, output = _quiet("venv", "--clear", "--without-pip", target)
        if not code:
            code, output = _quiet("pip", "--python", str(python(root)), "install", "pip")
    if code:
        _remove(folder(root))
        version = ".".join(map(str, sys.version_info[:2]))
        raise SetupProblem(
            _known_problem(output)
            or "This Python cannot make virtual environments (its parts venv and ensurepip are missing).\n"
            f"On Debian or Ubuntu: sudo apt install python{version}-venv\n"
            "Elsewhere: install Python from python.org. Then start again."
        )


def _install(root: Path, extras: list[str], say) -> None:
    """Install the package from its folder, editable, and show one dot for each package."""
    what = f"{root}[{','.join(extras)}]" if extras else str(root)
    command = [str(python(root)), "-m", "pip", "install", "--progress-bar", "off", "-e", what]
    lines = []
    with subprocess.Popen(command, cwd=root, **_captured()) as process:
        try:
            for line in process.stdout:
                lines.append(line)
                if line.startswith("Collecting "):
                    say(".", end="", flush=True)
        except BaseException:
            # Ctrl-C reached pip as well: it gets a moment to take its half-done work away.
            with suppress(subprocess.TimeoutExpired):
                process.wait(timeout=5)
            process.terminate()
            raise
        finally:
            say("", flush=True)
    if process.returncode != 0:
        raise SetupProblem(explain("".join(lines)))


def _captured() -> dict:
    """How the installer is started: asks nothing, gives up soon, its output is ours to read.

    Its settings go through the environment because pip starts itself again for the build; what the
    owner of the machine has set stands.
    """
    ours = {"RETRIES": "1", "DEFAULT_TIMEOUT": "20", "DISABLE_PIP_VERSION_CHECK": "1", "NO_INPUT": "1"}
    return {
        "env": {f"PIP_{name}": value for name, value in ours.items()} | os.environ,
        "stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.STDOUT,
        "text": True, "encoding": "utf-8", "errors": "replace",
    }


def _quiet(*command: str) -> tuple[int, str]:
    """A module of this Python run as a command: its exit code, and what it printed."""
    done = subprocess.run([sys.executable, "-m", *command], check=False, **_captured())
    return done.returncode, done.stdout


def _known_problem(output: str) -> str | None:
    """What helps where a tool printed a known sign of trouble: `problems.json` has them."""
    known = json.loads(Path(__file__).with_name("problems.json").read_text("utf-8"))
    return next((each["what helps"] for each in known if re.search("|".join(each["signs"]), output)), None)


def explain(output: str) -> str:
    """A plain sentence for what stopped the set-up, from what the tool printed."""
    tail = "\n".join("    " + line for line in output.strip().splitlines()[-12:])
    stopped = "The set-up stopped. The last lines of the installer"
    return _known_problem(output) or f"{stopped}:\n{tail}\nStart again to retry."
