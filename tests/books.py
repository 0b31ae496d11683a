"""Books and papers that several files of tests read: each is made once a run, by its documented command."""

import runpy
import sys
import warnings
from pathlib import Path

import pytest

from dragwork.files import lock

ROOT = Path(__file__).parents[1]
DATE = "a date & <b>more</b>"


@pytest.fixture(scope="session")
def made(tmp_path_factory, pytestconfig):
    """Make the file that a command writes, as `python -m` would run it; of two workers one makes it."""
    folder = tmp_path_factory.getbasetemp()
    folder = folder.parent if hasattr(pytestconfig, "workerinput") else folder  # that of the run, not of the worker

    def make(name, module, *words):
        file = folder / name
        with open(folder / f"{name}.lock", "wb") as held:
            lock(held)
            if not file.exists():
                _run(module, *words, "--out", str(file))
        return file

    return make


def _run(module, *words):
    with pytest.MonkeyPatch.context() as patch, warnings.catch_warnings():
        patch.chdir(ROOT)
        patch.setattr(sys, "argv", [module, *words])
        warnings.simplefilter("ignore", RuntimeWarning)  # it has been imported before
        with pytest.raises(SystemExit) as end:
            runpy.run_module(module, run_name="__main__")
    assert not end.value.code, end.value.code


@pytest.fixture(scope="session")
def evening_file(made):
    """The evening, dated."""
    return made("evening.html", "dragwork.teaching.evening", "--date", DATE)


@pytest.fixture(scope="session")
def papers_file(made):
    """Its cards and sheets."""
    return made("papers.html", "dragwork.teaching.class_papers", "evening")


@pytest.fixture(scope="session")
def first_chapter(made):
    """The pocket book of the first notebook."""
    return made("pocket_00.html", "dragwork.teaching.pocket_book", "workbook/00_start_here.ipynb")
