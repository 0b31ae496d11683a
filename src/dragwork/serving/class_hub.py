"""What serves a class: JupyterHub with a door, a folder for each learner, and a limit on memory."""

import asyncio
import hashlib
import json
import os
import pwd
import re
import secrets
import shutil
import sys
from hmac import compare_digest
from multiprocessing import forkserver, get_context
from pathlib import Path
from urllib.parse import quote

import psutil
from jupyterhub.app import JupyterHub
from jupyterhub.auth import Authenticator
from jupyterhub.spawner import SimpleLocalProcessSpawner
from jupyterhub.utils import random_port
from tornado.web import HTTPError
from traitlets import Bool, Integer, Unicode, default
from traitlets.config import Config

from dragwork.serving import learner_server
from dragwork.setup.classroom import LEADER, SETTINGS, read_words, write_words

PAGES = Path(__file__).parent / "pages"
NICKNAME = re.compile(r"\w[\w .-]{0,29}")
SHORTEST = 6  # characters of a private word
LOADED = get_context("forkserver")
FIRST_USER = 64_100  # numbers of system users that nobody has; a learner's folder belongs to one


class Door(Authenticator):
    """A nickname, the passphrase of the class, and the private word that the first sign-in sets.

    Sign-ins are taken one at a time, and a wrong one holds the next up for a second: words cannot
    be found by trying.
    """

    folder = Unicode(config=True, help="where the class is kept")

    def __init__(self, **settings):
        super().__init__(**settings)
        self._one_at_a_time = asyncio.Lock()

    async def authenticate(self, handler, data):
        """The nickname of who may come in; else a refusal in words."""
        name = self.normalize_username(data["username"])
        async with self._one_at_a_time:
            refusal = self._refusal(name, data.get("passphrase", "").strip(), data.get("word", "").strip())
            if refusal:
                await asyncio.sleep(1)
                raise HTTPError(403, refusal)
        return name

    def _refusal(self, name, passphrase, word):
        if not NICKNAME.fullmatch(name):
            return (
                "A nickname has 1 to 30 letters, digits, spaces, points or dashes, and begins with a letter "
                "or a digit. Choose another."
            )
        words = read_words(self.folder)
        if not _same(passphrase, words["passphrase"]):
            return "This is not the passphrase of the class. Ask who leads it."
        if name == LEADER:
            return "" if _same(word, words[LEADER]) else "This is not the leader's private word."
        kept = words["learners"].get(name)
        if kept is not None:
            return "" if _same(_digest(word, kept), kept) else (
                f"'{name}' is taken, with another private word. Type that one, or choose another nickname; "
                "if it is yours and forgotten, ask who leads the class."
            )  # fmt: skip
        if len(word) < SHORTEST:
            return f"A private word has at least {SHORTEST} characters. Choose one that you use nowhere else."
        words["learners"][name] = _digest(word, secrets.token_hex(16))
        write_words(self.folder, words)
        return ""


def _same(typed, kept):
    return compare_digest(typed.encode(), kept.encode())


def _digest(word, kept):
    """A private word as it is kept: salt and scrypt digest (RFC 7914)."""
    salt = kept.partition("$")[0]
    return f"{salt}${hashlib.scrypt(word.encode(), salt=salt.encode(), n=2**14, r=8, p=1).hex()}"


class LearnerServer(SimpleLocalProcessSpawner):
    """A learner's server in a folder of their own, stopped when it takes too much memory.

    Where the class is served by the system's administrator each learner's server is a system user
    of its own, who can read no other's folder.
    """

    folder = Unicode(config=True, help="where the class is kept")
    memory = Integer(1000, config=True, help="more memory stops a server [MB]")
    apart = Bool(False, config=True, help="whether each learner is a system user of their own")
    _stopped = {}  # nicknames: why their servers were stopped; the hub makes a new spawner each time

    @property
    def stopped_because(self):
        """What the learner is told who comes back to a server that was stopped; empty where there is no more to say."""
        return self._stopped.get(self.user.name, "")

    @default("home_dir")
    def _own_folder(self):
        return str(Path(self.folder, "learners", quote(self.user.name, safe="")))

    async def start(self):
        """Fork the server from a process that has loaded what a server needs: ten come at once."""
        self._stopped.pop(self.user.name, None)
        home = Path(self.home_dir)
        home.mkdir(parents=True, exist_ok=True, mode=0o700)
        user = own_user(home) if self.apart else None
        self.port = self.port or random_port()
        self._process = LOADED.Process(
            target=learner_server.become, args=(self.get_env(), str(home), user, self.get_args()), daemon=True
        )
        self._process.start()
        self.pid = self._process.pid
        return self.ip or "127.0.0.1", self.port

    async def poll_and_notify(self):
        """Look at the memory each time it is asked whether the server still runs."""
        taken = self.pid and memory_taken(self.pid) / 1e6
        if taken > self.memory:
            self._stopped[self.user.name] = (
                f"Your notebooks took {taken:,.0f} MB of memory; each learner has {self.memory:,}. They were stopped, "
                "and what you saved or typed into a form is kept. Start again, and close the lessons that you have "
                "finished (File, Close and Shut Down Notebook)."
            )
            await self.stop(now=True)
        return await super().poll_and_notify()


def memory_taken(pid):
    """Memory of a process and of all that it started [bytes]: their share of what is used together, where known."""
    total = 0
    try:
        process = psutil.Process(pid)
        for each in (process, *process.children(recursive=True)):
            about = each.memory_full_info()
            total += getattr(about, "pss", about.uss)
    except psutil.Error:
        pass  # it has just ended, or is not ours to look at
    return total


def apart(folder):
    """Whether each learner can be a system user of their own: an administrator's class, in a readable place."""
    places = {Path(sys.prefix), Path(sys.base_prefix), Path(__file__), Path(folder)}
    around = {parent for place in places for parent in (place, *place.resolve().parents)}
    return os.geteuid() == 0 and all(parent.stat().st_mode & 0o001 for parent in around if parent.is_dir())


def own_user(home):
    """The number of the system user to whom a learner's folder belongs."""
    if home.stat().st_uid == 0:
        user = max(FIRST_USER - 1, *(each.stat().st_uid for each in home.parent.iterdir())) + 1
        while _has_name(user):
            user += 1
        for path in (home, *home.rglob("*")):
            shutil.chown(path, user, user)
    return home.stat().st_uid


def _has_name(user):
    try:
        pwd.getpwuid(user)
    except KeyError:
        return False
    return True


def settings(said):
    """The settings of the hub, from what the command says."""
    c, folder, python = Config(), Path(said["folder"]), sys.executable
    c.JupyterHub.bind_url = f"http{'s' if said['certificate'] else ''}://{said['address']}:{said['port']}"
    c.JupyterHub.ssl_cert, c.JupyterHub.ssl_key = said["certificate"] or "", said["key"] or ""
    c.JupyterHub.db_url = f"sqlite:///{folder / 'hub.sqlite'}"
    c.JupyterHub.cookie_secret_file = str(folder / "cookie_secret")
    c.ConfigurableHTTPProxy.command = [python, "-c", "from configurable_http_proxy.cli import main; main()"]
    c.ConfigurableHTTPProxy.log_level = "error"
    c.ConfigurableHTTPProxy.api_url = f"http://127.0.0.1:{random_port()}"
    c.JupyterHub.hub_port = random_port()
    c.ConfigurableHTTPProxy.pid_file = str(folder / "proxy.pid")
    c.JupyterHub.authenticator_class, c.JupyterHub.spawner_class = Door, LearnerServer
    c.JupyterHub.template_paths = [str(PAGES)]
    c.JupyterHub.template_vars = {"apart": apart(folder), "shortest": SHORTEST}
    c.LearnerServer.apart = c.JupyterHub.template_vars["apart"]
    c.JupyterHub.load_roles = [{
        "name": LEADER, "users": [LEADER],
        "scopes": ["admin-ui", "list:users", "read:users", "admin:servers"],
    }]  # fmt: skip
    c.Hub.welcome = said["welcome"]
    c.JupyterHub.log_level = "ERROR"
    c.Authenticator.allow_all = True
    c.Door.folder = c.LearnerServer.folder = str(folder)
    c.LearnerServer.memory = said["memory"]
    c.Spawner.args = [
        f"--MappingKernelManager.cull_idle_timeout={30 * said['idle']}",
        f"--MappingKernelManager.cull_interval={max(5, said['idle'])}",
        "--MappingKernelManager.cull_connected=True",
        f"--ServerApp.shutdown_no_activity_timeout={60 * said['idle']}",
        "--ServerApp.allow_root=True",
    ]
    # One thread of algebra in each kernel: more gain nothing here, and each keeps memory of its own.
    c.Spawner.environment = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "2"}
    c.Spawner.env_keep = ["PATH", "LANG", "LC_ALL", "TZ"]
    c.Spawner.poll_interval = 10
    c.Spawner.start_timeout = c.Spawner.http_timeout = 120
    return c


class Hub(JupyterHub):
    """Says when the class is open."""

    welcome = Unicode(config=True)

    async def start(self):
        """Start everything, then say so."""
        await super().start()
        sys.stdout.write(f"{self.welcome}\n")
        sys.stdout.flush()


def main():
    """Serve the class that the environment variable describes."""
    said = json.loads(os.environ[SETTINGS])
    Path(said["folder"], "learners").mkdir(exist_ok=True, mode=0o711)
    LOADED.set_forkserver_preload([
        "dragwork.serving.learner_server", "jupyterhub.singleuser.extension", "jupyterlab.labapp", "dragwork.serving.loaded",
    ])  # fmt: skip
    forkserver.ensure_running()
    Hub.instance(config=settings(said))
    Hub.launch_instance([])

