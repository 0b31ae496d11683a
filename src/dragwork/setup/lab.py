"""Start JupyterLab on a folder, for this computer only, and know the link to it."""

import argparse
import ctypes
import json
import os
import secrets
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from dragwork.files import lock
from dragwork.setup.environment import SetupProblem

#: JupyterLab's own settings for the workbook: no question about news, no look-up of versions.
SETTINGS = Path(__file__).parent / "lab_settings"

#: The script that lets the panels be read aloud. An editable install does not put it where
#: JupyterLab looks, so each start hands it over, under its own name, as it is now.
EXTENSION = Path(__file__).parents[1] / "teaching" / "panels" / "labextension"

#: The longest message that a page may send [bytes]: a file of 30 MB, which is the most that a
#: notebook takes, and room to spare. A longer one would cut the page off from its kernel.
LONGEST_MESSAGE = 48_000_000

#: How long JupyterLab may take to start [s]. A slow disk and a first start need most of it.
PATIENCE = 120

#: How long a second start waits for the link of the first [s].
ANOTHER = 20

#: How long it may take to end [s].
GRACE = 10


@dataclass(frozen=True)
class Server:
    """A running JupyterLab."""

    process: subprocess.Popen
    url: str
    token: str
    page: str

    @property
    def link(self) -> str:
        """The complete link, with the token."""
        return f"{self.url.rstrip('/')}{self.page}?token={self.token}"


def port(text: str) -> int:
    """A port from the command line."""
    if text.isascii() and text.isdigit() and 1024 <= int(text[:6]) <= 65535:
        return int(text)
    raise argparse.ArgumentTypeError(f"a port is a whole number from 1024 to 65535, not '{text[:20]}'")


def settings(folder: Path, page: str, extensions: Path) -> list[str]:
    """How the notebooks are served, wherever a server runs.

    Parameters
    ----------
    folder
        The learner's folder.
    page
        The address that opens first.
    extensions
        A folder for our script, which is copied there.
    """
    shutil.copytree(EXTENSION, extensions / "dragwork-panels", dirs_exist_ok=True)
    return _options({
        "ServerApp.root_dir": folder,
        "ServerApp.tornado_settings": {"websocket_max_message_size": LONGEST_MESSAGE},
        # Nothing here needs a shell.
        "ServerApp.terminals_enabled": False,
        "ServerApp.default_url": page,
        # Newer kernels warn where this is possible and not done.
        "KernelManager.transport_encryption": "auto",
        "LabApp.default_url": page,
        "LabApp.app_settings_dir": SETTINGS,
        "LabApp.extra_labextensions_path": extensions,
        "Application.log_level": "ERROR",
    })  # fmt: skip


def command(python: Path, port: int, browser: bool) -> list[str]:
    """The command that starts JupyterLab for this computer only; `settings` follow."""
    return [str(python), "-m", "jupyterlab"] + _options({
        "ServerApp.ip": "127.0.0.1",
        "ServerApp.port": port,
        "ServerApp.open_browser": browser,
        # Some browsers may not read the file through which the link is passed by default.
        "ServerApp.use_redirect_file": False,
        # Ctrl-C stops it without a question.
        "ServerApp.answer_yes": True,
        # In a container one often works as root; elsewhere this changes nothing.
        "ServerApp.allow_root": True,
    })  # fmt: skip


def _options(values: dict) -> list[str]:
    return [f"--{key}={value}" for key, value in values.items()]


@contextmanager
def running(
    python: Path, folder: Path, page: str = "/lab", port: int = 8888, browser: bool = False
) -> Iterator[Server]:
    """JupyterLab with a fresh token, stopped at the end of the block.

    The token goes through the environment, where other users of the computer cannot read it, and
    the server's notes about itself into a folder of their own, where its port is found.
    """
    with tempfile.TemporaryDirectory(prefix="dragwork-", ignore_cleanup_errors=True) as scratch:
        runtime, extensions = Path(scratch, "runtime"), Path(scratch, "labextensions")
        token = secrets.token_hex(24)
        process = subprocess.Popen(
            command(python, port, browser) + settings(folder, page, extensions), cwd=folder,
            env={**os.environ, "JUPYTER_TOKEN": token, "JUPYTER_RUNTIME_DIR": str(runtime)},
            preexec_fn=_with_us if sys.platform == "linux" else None,
        )  # fmt: skip
        try:
            yield Server(process, _url(process, runtime), token, page)
        finally:
            stop(process, GRACE)


def _with_us() -> None:
    """On Linux: have the system end JupyterLab, which ends its kernels, when this process is killed."""
    ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGTERM)


_PR_SET_PDEATHSIG = 1  # prctl(2)


@contextmanager
def alone(folder: Path) -> Iterator[Callable[[str], None] | str]:
    """Hold a folder's note on what runs there, until the end of the block or of the process.

    Yields what writes the link into the note; or, where another process holds it, the link in it.
    """
    note = Path(folder) / ".running"
    note.parent.mkdir(parents=True, exist_ok=True)
    with os.fdopen(os.open(note, os.O_RDWR | os.O_CREAT, 0o600), "r+b", buffering=0) as file:
        try:
            lock(file, wait=False)
        except OSError:
            yield _link_in(note)
            return

        def write(link: str) -> None:
            file.seek(0)
            file.truncate()
            file.write(link.encode())

        write("")
        try:
            yield write
        finally:
            write("")


def _link_in(note: Path) -> str:
    """The link in another's note; it is empty while that one starts."""
    end = time.monotonic() + ANOTHER
    while time.monotonic() < end:
        if link := note.read_text(encoding="utf-8").strip("\0"):
            return link
        time.sleep(0.2)
    raise SetupProblem("The workbook is being started in another window. Look there, or close it.")


def _url(process: subprocess.Popen, runtime: Path) -> str:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and process.poll() is None:
        for note in runtime.glob("jpserver-*.json"):
            with suppress(ValueError, KeyError):  # not yet wholly written
                return json.loads(note.read_text(encoding="utf-8"))["url"]
        time.sleep(0.1)
    raise SetupProblem("JupyterLab did not start. Its own messages stand above.")


def stop(process: subprocess.Popen, grace: float) -> None:
    """End a process. JupyterLab, asked while a kernel starts, may hang for ever: it is not asked twice."""
    process.terminate()
    try:
        process.wait(timeout=grace)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def wait(process: subprocess.Popen) -> int:
    """Wait for JupyterLab to end. Ctrl-C reaches it too, and it is given time to end itself."""
    try:
        return process.wait()
    except KeyboardInterrupt:
        with suppress(subprocess.TimeoutExpired):
            process.wait(timeout=GRACE)
        return 0
