"""A class that is open, and learners in it as browsers would be, without a browser."""

import json
import re
import socket
import struct
import subprocess
import sys
import time
import uuid
from contextlib import contextmanager, suppress
from pathlib import Path

import nbformat
import requests
import websocket

PASSPHRASE = "a class for a test"
WORD = "a private word"
PATIENCE = 120  # seconds
ROOT = Path(__file__).parents[1]
BEGIN = f"""
import signal, sys
from pathlib import Path
signal.signal(signal.SIGINT, signal.SIG_IGN)  # as in the background of a shell
from dragwork.setup import environment, open_workbook
environment.prepare = lambda *_: Path(sys.executable)
sys.exit(open_workbook.main(sys.argv[1:], {str(ROOT)!r}))
"""
SHOW_ALL = """
from dragwork.teaching.panels.panel import Panel
for each in list(globals().values()):
    if isinstance(each, Panel):
        each.reveal()
"""


@contextmanager
def open_class(folder, *options):
    """A class that is kept in a folder: its address and what the command has printed."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    given = ["--class", "--folder", str(folder), "--port", str(port), "--passphrase", PASSPHRASE, *options]
    with subprocess.Popen([sys.executable, "-c", BEGIN, *given], stdout=subprocess.PIPE, text=True) as process:
        try:
            said = []
            for line in process.stdout:
                said.append(line)
                if "Leave this window open" in line:
                    break
            yield f"http://127.0.0.1:{port}", "".join(said)
        finally:
            process.terminate()
            process.wait(PATIENCE)


class Learner:
    """Somebody in the class: signs in, starts a server, runs a lesson, moves a slider."""

    def __init__(self, address, name):
        self.address, self.name, self.web = address, name, requests.Session()

    def sign_in(self, passphrase=PASSPHRASE, word=WORD):
        """Go through the door; what it says, or nothing where it lets in."""
        page = self.web.get(f"{self.address}/hub/login").text
        token = re.search(r'name="_xsrf" value="([^"]+)"', page).group(1)
        form = {"username": self.name, "password": "", "passphrase": passphrase, "word": word, "_xsrf": token}
        got = self.web.post(f"{self.address}/hub/login", data=form, allow_redirects=False)
        refused = re.search(r'<p class="login_error" role="alert">(.*?)</p>', got.content.decode())
        return refused.group(1) if refused else ""

    def wait_for_the_door(self):
        """Until the page to sign in is there."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            with suppress(requests.ConnectionError):
                if self.web.get(f"{self.address}/hub/login").status_code == 200:
                    return
            time.sleep(0.5)

    def start(self):
        """Start the server, as the page after the door does; return how long it took [s]."""
        begun = time.monotonic()
        self.web.get(f"{self.address}/hub/spawn")
        while time.monotonic() < begun + PATIENCE:
            got = self.web.get(f"{self.address}/hub/user-redirect/lab")
            if got.status_code == 200 and got.url.startswith(f"{self.address}/user/"):
                self.base = got.url.partition("lab")[0]
                return time.monotonic() - begun
            time.sleep(0.2)
        raise TimeoutError(f"{got.url} {got.status_code}")

    def ask(self, path, method="GET", **more):
        """The learner's own server, or another's."""
        token = next((each.value for each in self.web.cookies if each.name == "_xsrf" and "/user/" in each.path), "")
        return self.web.request(method, self.base + path, headers={"X-XSRFToken": token}, **more)

    def run(self, lesson):
        """Run all code of a notebook in a kernel; keep the panel's widgets."""
        cells = nbformat.read(lesson, 4).cells
        self.open_kernel()
        self.run_code(*(cell.source for cell in cells if cell.cell_type == "code"), SHOW_ALL)

    def open_kernel(self):
        """A kernel of the learner's, and the wire to it."""
        about = {"name": "python3", "path": "workbook/08_watts_at_my_speed.ipynb"}
        kernel = self.ask("api/kernels", "POST", json=about).json()["id"]
        cookies = "; ".join(f"{each.name}={each.value}" for each in self.web.cookies)
        address = f"{self.base}api/kernels/{kernel}/channels".replace("http", "ws", 1)
        self.wire = websocket.create_connection(address, cookie=cookies, timeout=PATIENCE)
        self.widgets = {}

    def run_code(self, *codes):
        """Run code in the kernel, one after the other."""
        for code in codes:
            asked = self._send("execute_request", {"code": code, "silent": False, "allow_stdin": False})
            self._until(lambda got: got["msg_type"] == "execute_reply" and got["parent_header"]["msg_id"] == asked)

    def leave(self):
        """Close the page; the server goes on."""
        self.wire.close()
        self.web.close()

    def move(self, slider, value):
        """Move a slider; return when its panel's picture comes [s]."""
        begun = time.monotonic()
        self._send("comm_msg", {"comm_id": slider, "data": {"method": "update", "state": {"value": value}, "buffer_paths": []}})
        self._until(lambda got: got["msg_type"] == "comm_msg" and ["value"] in got["content"]["data"].get("buffer_paths", []))
        return time.monotonic() - begun

    def rest(self, seconds):
        """Read what comes for so long: a picture is drawn once more, finer, when a slider rests."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            self.wire.settimeout(left)
            try:
                self.wire.recv()
            except websocket.WebSocketTimeoutException:
                break
        self.wire.settimeout(PATIENCE)

    def sliders(self):
        """Names of the sliders to their lowest and highest values, and the value now."""
        kept = {key: state for key, state in self.widgets.items() if state.get("_model_name") == "IntSliderModel"}
        return {key: (state.get("min", 0), state.get("max", 100), state.get("value", 0)) for key, state in kept.items()}

    def _send(self, kind, content):
        header = {"msg_id": uuid.uuid4().hex, "msg_type": kind, "session": self.name, "username": self.name, "version": "5.3"}
        self.wire.send(json.dumps({
            "header": header, "parent_header": {}, "metadata": {}, "content": content, "channel": "shell", "buffers": [],
        }))  # fmt: skip
        return header["msg_id"]

    def _until(self, wanted):
        while True:
            got = _read(self.wire.recv())
            if got["msg_type"] == "comm_open":
                self.widgets[got["content"]["comm_id"]] = got["content"]["data"].get("state", {})
            if wanted(got):
                return got


def _read(message):
    """A message of a kernel; binary ones begin with the number of their parts and where each begins."""
    if isinstance(message, bytes):
        first, *others = struct.unpack_from(f"!{struct.unpack_from('!I', message)[0]}I", message, 4)
        message = message[first : others[0] if others else None].decode()
    return json.loads(message)
