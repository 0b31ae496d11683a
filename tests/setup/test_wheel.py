"""The wheel, built from these sources and installed into an empty environment, opens the workbook by itself."""

import os
import re
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path
from urllib.request import urlopen

import pytest

ROOT = Path(__file__).parents[2]
SOURCES = ("src", "workbook", "exercises", "README.md", "LICENSE", "pyproject.toml")
BUILD = "from setuptools.build_meta import build_wheel; import sys; print(build_wheel(sys.argv[1]))"


@pytest.fixture(scope="module")
def empty(tmp_path_factory):
    """The Python of an environment with the wheel in it; of other packages it borrows ours, to stay offline."""
    place = tmp_path_factory.mktemp("wheel")
    sources = place / "sources"
    sources.mkdir()
    for name in SOURCES:
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, sources / name)
    subprocess.run([sys.executable, "-c", BUILD, place], cwd=sources, check=True, capture_output=True)
    (wheel,) = place.glob("*.whl")
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", place / "env"], check=True)
    python = place / "env" / ("Scripts" if os.name == "nt" else "bin") / "python"
    install = ["-m", "pip", "--python", python, "install", "--no-index", "--no-deps", "--quiet", wheel]
    subprocess.run([sys.executable, *install], check=True)
    ours, theirs = (sysconfig.get_path("purelib", vars={"base": base}) for base in (sys.prefix, place / "env"))
    (Path(theirs) / "borrowed.pth").write_text(f"{ours}\n")
    return python


def test_the_package_is_the_wheels(empty, tmp_path):
    where = "import dragwork; print(dragwork.__file__)"
    found = subprocess.run([empty, "-c", where], cwd=tmp_path, capture_output=True, text=True, check=True).stdout
    assert Path(found).is_relative_to(empty.parents[1])


def test_its_command_opens_the_workbook(empty, tmp_path):
    """As `python3 workbook` does, on a copy in the home folder."""
    command = [empty.with_name("dragwork"), "08", "--no-browser", "--port", "8899"]
    environment = {**os.environ, "HOME": str(tmp_path), "USERPROFILE": str(tmp_path)}
    with subprocess.Popen(command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, text=True) as process:
        try:
            said = ""
            for line in process.stdout:
                said += line
                if "Leave this window open" in line:
                    break
            link = re.search(r"http\S+", said).group()
            assert "/lab/tree/workbook/08_watts_at_my_speed.ipynb?token=" in link
            assert urlopen(link, timeout=60).status == 200
        finally:
            process.terminate()
            process.wait(60)
    for folder in ("workbook", "exercises"):
        theirs = {path.name: path.read_bytes() for path in (tmp_path / "dragwork" / folder).glob("*.ipynb")}
        assert theirs == {path.name: path.read_bytes() for path in (ROOT / folder).glob("*.ipynb")}


def test_its_start_command_for_a_hub_is_there(empty):
    assert empty.with_name("dragwork-learner").exists()
