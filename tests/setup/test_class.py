"""A class on one computer: the door, a folder for each, the leader's list, limits, a restart; and another hub."""

import json
import os
import re
import stat
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path
from types import SimpleNamespace

import pytest
import requests

pwd = pytest.importorskip("pwd")  # Linux and macOS, where a class is served

from dragwork.setup import classroom  # noqa: E402
from dragwork.setup.environment import SetupProblem  # noqa: E402
from dragwork.setup.open_workbook import main  # noqa: E402
from dragwork.teaching.profile import Profile  # noqa: E402

sys.path.append(str(Path(__file__).parents[1]))
sys.path.append(str(Path(__file__).parents[1] / "benchmarks"))
from a_class import PATIENCE, WORD, Learner, open_class  # noqa: E402

ROOT = Path(__file__).parents[2]


@pytest.fixture
def class_hub():
    """What serves a class, which is slow to load."""
    from dragwork.serving import class_hub as module

    return module


# -- what the command says before anything is served ----------------------------------------------------


def refused(capsys, tmp_path, *arguments):
    assert main(["--class", "--folder", str(tmp_path), *arguments], str(ROOT)) == 1
    return capsys.readouterr().err


def test_a_certificate_needs_its_key(capsys, tmp_path):
    assert "give both --certificate and --key" in refused(capsys, tmp_path, "--key", "key.pem")


def test_a_short_passphrase_is_refused(capsys, tmp_path):
    assert "at least 8 characters" in refused(capsys, tmp_path, "--passphrase", "short")


def test_a_nickname_that_nobody_has_is_said(capsys, tmp_path):
    assert "Nobody in this class has the nickname 'Ada'" in refused(capsys, tmp_path, "--forget", "Ada")


def test_windows_gets_a_sentence(monkeypatch, tmp_path):
    monkeypatch.setattr(classroom, "os", SimpleNamespace(name="nt"))
    with pytest.raises(SetupProblem, match="not from Windows"):
        classroom.main([], "py workbook", tmp_path, pytest.fail)


@pytest.mark.parametrize(
    "arguments, warned",
    [([], False), (["--address", "0.0.0.0"], True), (["--address", "192.0.2.1", "--certificate", "c", "--key", "k"], False)],
)
def test_beyond_this_computer_it_asks_for_a_certificate_or_says_what_can_be_read(arguments, warned, tmp_path):
    options = classroom._options("python3 workbook", tmp_path).parse_args(arguments)
    assert options.address == "127.0.0.1" or arguments
    said = classroom._welcome(options, tmp_path, {"passphrase": "p", "leader": "l"}, "link")
    assert ("can read the passphrase" in said) is warned


def test_words_are_kept_for_the_owner_alone_and_private_ones_not_at_all(tmp_path):
    words = classroom.read_words(tmp_path)
    assert words["passphrase"] != words["leader"] != classroom.read_words(tmp_path)["leader"]
    classroom.write_words(tmp_path, words)
    assert stat.S_IMODE((tmp_path / "words.json").stat().st_mode) == 0o600
    assert classroom.read_words(tmp_path) == words


def test_a_learner_is_forgotten_and_the_others_are_not(tmp_path):
    words = {**classroom.read_words(tmp_path), "learners": {"ada": "a digest", "zoë k.": "another"}}
    classroom.write_words(tmp_path, words)
    assert main(["--class", "--folder", str(tmp_path), "--forget", "Zoë K."], str(ROOT)) == 0
    assert classroom.read_words(tmp_path) == {**words, "learners": {"ada": "a digest"}}


# -- a class that is open -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("class")


@pytest.fixture(scope="module")
def opened(folder):
    """The address of a class, and what closes it before its time."""
    with ExitStack() as stack:
        address, said = stack.enter_context(open_class(folder))
        assert f"The class is open at\n\n    {address}" in said
        yield address, stack.close


@pytest.fixture(scope="module")
def address(opened):
    return opened[0]


@pytest.fixture(scope="module")
def zoe(address):
    learner = Learner(address, "Zoë K.")
    assert learner.sign_in() == ""
    learner.start()
    return learner


@pytest.mark.parametrize(
    "name, passphrase, word, said",
    [
        ("ben", "not this one", WORD, "not the passphrase"),
        ("ben", None, "short", "at least 6 characters"),
        ("ben", None, " " * 8, "at least 6 characters"),
        ("..", None, WORD, "Choose another"),
        ("ben/../zoë", None, WORD, "Choose another"),
        ("leader", None, WORD, "not the leader"),
        ("zoë k.", None, "another word", "is taken, with another private word"),
    ],
)
def test_the_door_says_why(zoe, address, name, passphrase, word, said):
    somebody = Learner(address, name)
    assert said in somebody.sign_in(**{"passphrase": passphrase} if passphrase else {}, word=word)
    assert somebody.web.get(f"{address}/hub/home").url.startswith(f"{address}/hub/login")


def test_a_learner_has_a_trusted_copy_and_a_file_of_their_own(zoe, folder):
    mine = folder / "learners" / "zo%C3%AB%20k." / "dragwork"
    lesson = "workbook/08_watts_at_my_speed.ipynb"
    assert (mine / lesson).read_bytes() == (ROOT / lesson).read_bytes()
    cells = zoe.ask(f"api/contents/{lesson}").json()["content"]["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert code and all(cell["metadata"]["trusted"] for cell in code)
    zoe.open_kernel()
    zoe.run_code("open('proof', 'w').write(__import__('os').environ['DRAGWORK_LEARNER'])")
    zoe.wire.close()
    assert (mine / "workbook" / "proof").read_text() == str(mine / "learner.json")


def test_a_learner_is_known_by_the_nickname_and_may_choose_another(zoe, folder):
    mine = folder / "learners" / "zo%C3%AB%20k." / "dragwork" / "learner.json"
    me = json.loads(mine.read_text("utf-8"))["me"]
    assert (me["name"], me["about"]["nickname"]) == ("zoë k.", "zoë k.")
    Profile(mine).keep_me(name="")
    environment = {**os.environ, "DRAGWORK_LEARNER": str(mine)}
    code = "from dragwork.serving.learner_server import _introduce; _introduce('zoë k.')"
    subprocess.run([sys.executable, "-c", code], env=environment, check=True)
    assert json.loads(mine.read_text("utf-8"))["me"]["name"] == ""


def test_nobody_sees_anothers(class_hub, zoe, address, folder):
    ada = Learner(address, "ada")
    assert ada.sign_in() == ""
    ada.start()
    assert ada.ask("api/contents/workbook").status_code == 200
    assert ada.web.get(f"{zoe.base}api/contents/workbook").status_code in (403, 404)
    assert stat.S_IMODE((folder / "learners" / "ada").stat().st_mode) == 0o700
    door = requests.get(f"{address}/hub/login", timeout=PATIENCE).text
    assert ("could read each other's folders" in door) is not class_hub.apart(folder)


@pytest.mark.skipif(os.geteuid() != 0, reason="only an administrator gives folders away")
def test_each_learner_is_a_system_user_of_their_own(class_hub, tmp_path):
    homes = [tmp_path / name for name in ("ada", "ben")]
    for home in homes:
        (home / "dragwork").mkdir(parents=True)
    users = [class_hub.own_user(home) for home in homes]
    assert len({*users}) == 2 and users == [class_hub.own_user(home) for home in homes], "the same at the next start"
    for home, user in zip(homes, users):
        assert (home.stat().st_uid, (home / "dragwork").stat().st_uid) == (user, user)
        with pytest.raises(KeyError):
            pwd.getpwuid(user)


def test_users_are_apart_only_where_everybody_may_read_what_they_run(class_hub, tmp_path, monkeypatch):
    monkeypatch.setattr(class_hub.sys, "prefix", str(tmp_path))
    tmp_path.chmod(0o700)
    assert not class_hub.apart(Path("/"))


def test_the_leader_sees_who_is_there_and_can_stop_a_server_but_not_look_into_it(zoe, address, folder):
    leader = Learner(address, "leader")
    assert leader.sign_in(word=classroom.read_words(folder)["leader"]) == ""
    assert "Zoë" not in leader.web.get(f"{zoe.base}api/contents/workbook").text
    token = {"X-XSRFToken": leader.web.cookies.get("_xsrf", path="/hub/")}
    users = leader.web.get(f"{address}/hub/api/users", headers=token).json()
    assert {"zoë k.", "leader"} <= {user["name"] for user in users}
    assert leader.web.get(f"{address}/hub/admin").status_code == 200
    begun = time.monotonic()
    done = leader.web.delete(f"{address}/hub/api/users/zoë k./server", headers=token)
    assert done.status_code in (202, 204)
    assert "Your notebooks are not running" in until(lambda: zoe.web.get(zoe.base).content.decode(), "are not running")
    assert time.monotonic() - begun < 10, "s, after which JupyterHub asks harder"


def until(ask, wanted):
    end = time.monotonic() + PATIENCE
    while wanted not in (got := ask()) and time.monotonic() < end:
        time.sleep(0.5)
    return got


def test_a_class_that_is_open_is_not_opened_twice(address, folder, capsys):
    assert main(["--class", "--folder", str(folder)], str(ROOT)) == 1
    assert f"open already at\n\n    {address}" in capsys.readouterr().err


@pytest.mark.tour
def test_what_a_class_takes_can_be_measured(address, capsys):
    """The documented benchmark on the class that is open, with one learner for a moment."""
    import class_load

    class_load.measure(address, 1, 3)
    said = capsys.readouterr().out
    assert re.search(r"start of a server, .* longest \d+\.\d s\n", said)
    assert re.search(r"from a step to the picture, [1-9]\d* steps: median [1-9]\d* ms", said)


MINE = {"type": "file", "format": "text", "content": "kept"}


@pytest.mark.tour
def test_all_is_kept_over_a_restart_and_too_much_memory_stops_a_server_with_a_sentence(zoe, opened, folder):
    """The last test of the class that is open: it is closed here."""
    zoe.start()
    assert zoe.ask("api/contents/workbook/mine.txt", "PUT", json=MINE).status_code == 201
    close = opened[1]
    close()
    with open_class(folder, "--memory", "20") as (address, _):
        again = Learner(address, zoe.name)
        assert "is taken" in again.sign_in(word="another word")
        assert again.sign_in() == ""
        again.start()
        assert (folder / "learners" / "zo%C3%AB%20k." / "dragwork" / "workbook" / "mine.txt").read_text() == "kept"
        page = until(lambda: again.web.get(again.base).content.decode(), "MB of memory")
        assert "each learner has 20" in page and "Start again" in page


@pytest.mark.tour
def test_a_server_that_nobody_uses_is_stopped(tmp_path):
    """After a minute here; how long a kernel and a server then take to be looked at is JupyterHub's and Jupyter's."""
    with open_class(tmp_path, "--idle", "1") as (address, _):
        ada = Learner(address, "ada")
        assert ada.sign_in() == ""
        ada.start()
        ada.open_kernel()
        ada.wire.close()
        time.sleep(150)
        assert "nobody had used them" in ada.web.get(ada.base).content.decode()


# -- inside another hub -----------------------------------------------------------------------------------

ANOTHER = """
import sys
c = get_config()
c.JupyterHub.bind_url = "http://127.0.0.1:{port}"
c.JupyterHub.hub_port, c.ConfigurableHTTPProxy.api_url = {port} + 1, "http://127.0.0.1:{api}"
c.ConfigurableHTTPProxy.command = [sys.executable, "-c", "from configurable_http_proxy.cli import main; main()"]
c.JupyterHub.authenticator_class, c.JupyterHub.spawner_class = "dummy", "simple"
c.Authenticator.allow_all = True
c.SimpleLocalProcessSpawner.home_dir_template = "{homes}/{{username}}"
c.Spawner.cmd = [sys.executable, "-m", "dragwork.serving.learner_server"]
c.Spawner.args = ["--ServerApp.allow_root=True"]
c.Spawner.http_timeout = c.Spawner.start_timeout = 120
"""


@pytest.mark.tour
def test_the_start_command_serves_under_another_spawner(tmp_path):
    """JupyterHub's own password-less door and its simple spawner, in place of ours."""
    from jupyterhub.utils import random_port

    port = random_port()
    (tmp_path / "settings.py").write_text(ANOTHER.format(port=port, api=random_port(), homes=tmp_path / "homes"))
    with subprocess.Popen([sys.executable, "-m", "jupyterhub", "-f", "settings.py"], cwd=tmp_path) as hub:
        try:
            ada = Learner(f"http://127.0.0.1:{port}", "ada")
            ada.wait_for_the_door()
            ada.sign_in()
            ada.start()
            got = ada.ask("api/contents/workbook")
            assert got.status_code == 200, got.text
        finally:
            hub.terminate()
            hub.wait(PATIENCE)
    names = {each["name"] for each in got.json()["content"]}
    assert names == {path.name for path in (ROOT / "workbook").glob("*.ipynb")}
