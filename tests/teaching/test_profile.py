"""The learner's own file: kept, merged, set aside, shown, deleted; and never touched by a test run."""

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from dragwork.scenario.riders import TOBIN
from dragwork.setup import open_workbook, run_tests
from dragwork.teaching import profile as module
from dragwork.teaching.forms import AboutMe, my_rider
from dragwork.teaching.my_copy import my_copy
from dragwork.teaching.profile import FORMAT, NOWHERE, PLACE, VERSION, Profile, own_path

ROOT = Path(__file__).parents[2]


@pytest.fixture
def path(tmp_path, monkeypatch):
    """The learner's file, which is not there yet."""
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))
    return tmp_path / "learner.json"


def read(path):
    return json.loads(path.read_text(encoding="utf-8"))


# -- where ------------------------------------------------------------------------------------------


def test_the_place_is_named_or_it_is_the_working_folder(tmp_path, monkeypatch):
    monkeypatch.setenv(PLACE, str(tmp_path / "here.json"))
    assert own_path() == tmp_path / "here.json"
    monkeypatch.delenv(PLACE)
    assert own_path() == Path("learner.json")


def test_a_test_run_has_a_file_of_its_own_that_ends_with_it():
    code = (
        "from dragwork.teaching.profile import Profile\n"
        "me = Profile(); me.keep_me(name='Ada')\n"
        "print(Profile().name, me.path)"
    )
    done = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, PLACE: NOWHERE},
            capture_output=True, text=True, check=True,
        ).stdout.split()
        for _ in range(2)
    ]  # fmt: skip
    assert [name for name, _ in done] == ["Ada", "Ada"]
    assert done[0][1] != done[1][1]
    assert not any(Path(path).parent.exists() for _, path in done)


def test_tests_and_stored_notebooks_run_without_a_learner(monkeypatch):
    assert os.environ[PLACE] == NOWHERE
    assert run_tests.clean()[PLACE] == NOWHERE


def test_git_leaves_the_file_alone():
    names = ["workbook/learner.json", "learner.json.lock", "exercises/learner (damaged 2).json"]
    try:
        ignored = subprocess.run(
            ["git", "check-ignore", *names], cwd=ROOT, capture_output=True, text=True
        ).stdout
    except FileNotFoundError:
        pytest.skip("there is no git here")
    if not (ROOT / ".git").exists():
        pytest.skip("this is no git checkout")
    assert [name.strip('"') for name in ignored.splitlines()] == names


# -- what is kept -----------------------------------------------------------------------------------


def test_looking_makes_no_file(path):
    me = Profile()
    assert (me.name, me.rider, me.entries(), me.typed("x"), me.remark) == (None, None, [], "", "")
    assert list(path.parent.iterdir()) == []


def test_what_is_kept_is_there_for_the_next_notebook(path):
    me = Profile()
    me.keep_me(name="Ada")
    me.keep_me(rider={"power": 180})
    me.keep("attempt", question="M10", typed="12,5 W")
    me.keep("choice", key="two-ways", chosen="5 %")
    me.keep_typed("practice: M01", "1")
    me.keep_typed("practice: M01", "12")
    me.keep_typed("practice: M02", "7")
    me.keep_typed("practice: M02", "")
    other = Profile()
    assert (other.name, other.rider) == ("Ada", {"power": 180})
    assert [entry["typed"] for entry in other.entries("attempt")] == ["12,5 W"]
    assert other.entries(key="two-ways")[0]["chosen"] == "5 %"
    assert (other.typed("practice: M01"), other.typed("practice: M02")) == ("12", "")
    kept = read(path)
    assert (kept["format"], kept["version"]) == (FORMAT, VERSION)
    assert all(entry["when"].endswith("+00:00") for entry in kept["entries"])


def test_a_name_in_any_script_is_kept(path):
    Profile().keep_me(name="Åsa 愛 🚲")
    assert Profile().name == "Åsa 愛 🚲"


def test_an_interrupted_write_leaves_the_old_file(path, monkeypatch):
    me = Profile()
    me.keep_me(name="Ada")
    before = path.read_bytes()

    def interrupted(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(module.os, "fsync", interrupted)
        me.keep_me(name="Bo")
    assert path.read_bytes() == before
    assert "No space left on device" in me.remark and "not kept" in me.remark
    me.keep_me(name="Bo")
    assert Profile().name == "Bo"


WRITER = """
import sys
from dragwork.teaching.profile import Profile
me = Profile()
for number in range(40):
    me.keep("attempt", writer=sys.argv[1], number=number)
me.keep_me(**{"name" + sys.argv[1]: sys.argv[1]})
assert not me.remark, me.remark
"""


def test_notebooks_open_at_once_lose_nothing(path):
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(number)], env=dict(os.environ))
        for number in range(4)
    ]
    assert [writer.wait(60) for writer in writers] == [0, 0, 0, 0]
    for number in "0123":
        kept = Profile().entries(writer=number)
        assert [entry["number"] for entry in kept] == list(range(40))
        assert Profile().content["me"]["name" + number] == number
    assert list(path.parent.glob("*.part")) == []


def test_a_writer_that_was_killed_stops_nobody(path):
    code = (
        "import os\nfrom dragwork.teaching.profile import _alone, own_path\n"
        "with _alone(own_path()): os._exit(9)"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 9
    me = Profile()
    me.keep_me(name="Ada")
    assert (me.name, me.remark) == ("Ada", "")


# -- what goes wrong --------------------------------------------------------------------------------

DAMAGED = [
    b"", b"{", b"[]", b"\xff\xfe\x00", b'{"format": "another"}',
    b'{"format": "dragwork learner\'s file", "version": "1"}',
    b'{"format": "dragwork learner\'s file", "version": 1, "me": {}, "typed": {}}',
    b'{"format": "dragwork learner\'s file", "version": 1, "me": [], "typed": {}, "entries": []}',
    b'{"format": "dragwork learner\'s file", "version": 1, "me": {}, "typed": {}, "entries": [1]}',
    b"[" * 100_000,
]  # fmt: skip


@pytest.mark.parametrize("content", DAMAGED, ids=[repr(c[:60]) for c in DAMAGED])
def test_a_damaged_file_is_set_aside_as_it_is(path, content):
    path.write_bytes(content)
    me = Profile()
    me.keep_me(name="Ada")
    aside = path.with_name("learner (damaged).json")
    assert aside.read_bytes() == content
    assert "could not be read" in me.remark and "learner (damaged).json" in me.remark
    assert Profile().name == "Ada"


def test_a_second_damaged_file_does_not_replace_the_first(path):
    for content in (b"first", b"second"):
        path.write_bytes(content)
        assert Profile().name is None
    assert path.with_name("learner (damaged).json").read_bytes() == b"first"
    assert path.with_name("learner (damaged 2).json").read_bytes() == b"second"


def test_a_file_of_a_newer_workbook_is_left_as_it_is(path):
    newer = json.dumps({"format": FORMAT, "version": VERSION + 1, "all": "different"})
    path.write_text(newer)
    me = Profile()
    me.keep_me(name="Ada")
    assert path.read_text() == newer
    assert "newer workbook" in me.remark


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="needs a plain user")
def test_a_folder_that_cannot_be_written(path):
    path.parent.chmod(stat.S_IREAD | stat.S_IEXEC)
    me = Profile()
    me.keep_me(name="Ada")
    path.parent.chmod(stat.S_IRWXU)
    assert "not kept" in me.remark


def test_a_folder_that_is_a_file_is_said(tmp_path):
    (tmp_path / "in the way").touch()
    me = Profile(tmp_path / "in the way" / "learner.json")
    me.keep_me(name="Ada")
    assert "cannot be used here" in me.remark


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no such files")
def test_what_is_no_file_is_never_replaced(tmp_path):
    """Named by mistake, /dev/null would be made a plain file, for all programs of the computer."""
    os.mkfifo(tmp_path / "pipe")
    me = Profile(tmp_path / "pipe")
    me.keep_me(name="Ada")
    assert "is no file" in me.remark and me.name is None
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)


# -- the rider --------------------------------------------------------------------------------------

RIDER = {
    "all_up_mass": 78.0, "power": 180.0, "rolling_coefficient": 0.005, "drag_area": 0.301,
    "drag_area_from": "field day",
}  # fmt: skip


def test_without_a_file_tobin_rides(path):
    assert my_rider() is TOBIN


def test_the_own_rider_rides(path):
    Profile().keep_me(name="Ada", rider=RIDER)
    me = my_rider()
    assert (me.name, me.power, me.about) == ("Ada", 180.0, "field day")
    assert (me.rider.all_up_mass, me.rider.drag_area) == (78.0, 0.301)
    assert me.rider.rolling_coefficient == 0.005


def test_without_a_drag_area_tobins_is_borrowed_and_said(path):
    Profile().keep_me(rider={**RIDER, "drag_area": None})
    me = my_rider()
    assert (me.name, me.rider.drag_area) == ("my rider", TOBIN.rider.drag_area)
    assert "borrowed" in me.about


@pytest.mark.parametrize("bad", [{"power": 1}, {**RIDER, "all_up_mass": -3}, "fast", [1]])
def test_a_rider_that_cannot_be_used_is_said(path, bad):
    Profile().keep_me(rider=bad)
    with pytest.raises(ValueError, match="learner.json cannot be used .* notebook 00"):
        my_rider()


# -- one command shows or deletes it ----------------------------------------------------------------


def command(tmp_path, action, capsys):
    assert open_workbook.main(["--my-file", action], str(tmp_path)) == 0
    return capsys.readouterr().out


def test_the_command_shows_and_deletes(tmp_path, capsys):
    path = tmp_path / ".my-workbook" / "learner.json"
    assert "There is no file of yours" in command(tmp_path, "show", capsys)
    path.parent.mkdir()
    path.write_text("broken")
    Profile(path).keep_me(name="Åsa")
    other = path.with_name("my notes.json")
    other.write_text("{}")
    shown = command(tmp_path, "show", capsys)
    assert str(path) in shown and '"name": "Åsa"' in shown and "learner (damaged).json" in shown
    assert path.exists()
    gone = command(tmp_path, "delete", capsys)
    assert str(path) in gone and "learner (damaged).json" in gone
    assert list(path.parent.iterdir()) == [other]
    assert "There is no file of yours" in command(tmp_path, "delete", capsys)


def test_the_launcher_names_the_place(tmp_path, monkeypatch):
    seen = {}
    monkeypatch.delenv(PLACE)
    monkeypatch.setattr(open_workbook.environment, "prepare", lambda *_: Path(sys.executable))
    monkeypatch.setattr(open_workbook, "trust", lambda *_: None)
    monkeypatch.setattr(
        open_workbook, "run_lab", lambda *_: seen.update(place=os.environ[PLACE]) or 0
    )
    assert open_workbook.main([], str(tmp_path)) == 0
    assert seen["place"] == str(tmp_path / ".my-workbook" / "learner.json")
    monkeypatch.delenv(PLACE)


# -- files as they come -----------------------------------------------------------------------------


def test_a_byte_order_mark_is_no_damage(path):
    Profile().keep_me(name="Ada")
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert Profile().name == "Ada" and Profile().remark == ""


@pytest.mark.skipif(os.name == "nt", reason="links need a privilege there")
def test_a_link_stays_a_link(path, tmp_path):
    real = tmp_path / "cloud" / "mine.json"
    real.parent.mkdir()
    path.symlink_to(real)
    Profile().keep_me(name="Ada")
    Profile().keep_me(rider=RIDER)
    assert path.is_symlink() and read(real)["me"]["name"] == "Ada" == Profile().name


WRONG = (
    {"me": {"name": 5}}, {"me": {"name": ["Ada"]}}, {"me": {"about": "Ada"}}, {"me": {"about": {"power": 3}}},
    {"typed": {"a": 1}}, {"typed": {"a": None}}, {"entries": ["a"]},
)  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_wrong_inner_types_are_set_aside_and_said_on_the_page(path, wrong):
    content = {"format": FORMAT, "version": VERSION, "me": {}, "typed": {}, "entries": [], **wrong}
    path.write_text(json.dumps(content), encoding="utf-8")
    assert "Set aside because it could not be read: learner (damaged).json." in my_copy(path.parent).markdown
    assert AboutMe().open.name == "name" and read(path.with_name("learner (damaged).json")) == content


@pytest.mark.parametrize("error", [PermissionError(13, "Permission denied")])
def test_a_folder_that_may_not_be_searched_is_said(path, monkeypatch, error):
    def refused(*_, **__):
        raise error

    monkeypatch.setattr(Path, "stat", refused)
    me = Profile()
    assert me.name is None and "cannot be used here (Permission denied)" in me.remark


def test_a_folder_that_cannot_be_written_can_be_read(path, monkeypatch):
    Profile().keep_me(name="Ada")

    def read_only(path):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(module, "_alone", read_only)
    me = Profile()
    assert me.name == "Ada" and me.remark == ""
    me.keep_me(name="Bo")
    assert "cannot be used here (Read-only file system). What you type is used, and not kept." in me.remark


def test_the_page_says_what_is_kept_and_what_is_new(path, tmp_path):
    assert my_copy(tmp_path).markdown == "Nothing of yours is kept yet. No notebook has a new version beside it."
    Profile().keep_me(name="*Ada*")
    Profile().keep("attempt", question="M01")
    (tmp_path / "workbook").mkdir()
    (tmp_path / "workbook" / "08_watts (new version).ipynb").touch()
    said = my_copy(tmp_path).markdown
    assert said.startswith(r"\*Ada\*, your file learner.json holds 1 entry: answers, predictions, choices.")
    assert "beside those that you changed: workbook/08_watts (new version)." in said
