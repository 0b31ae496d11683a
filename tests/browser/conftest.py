"""One JupyterLab and one browser for all browser tests; each notebook is opened as a fresh copy."""

import json
import os
import sys
import tempfile
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import harness
import pytest
from playwright.sync_api import sync_playwright

from dragwork.setup import lab, open_workbook, working_copy

HERE = Path(__file__).parent
PYTHON = Path(sys.executable)


NO_BROWSER = "this computer has no Chromium and no Chrome"


def pytest_itemcollected(item):
    item.add_marker("browser")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config, items):
    """Without a browser one test stays, which is skipped and says so for all: one line, not many."""
    if harness.find_browser() or os.environ.get("DRAGWORK_BROWSER") == "required":
        return
    others = [item for item in items if item.path.is_relative_to(HERE)][1:]
    config.hook.pytest_deselected(items=others)
    items[:] = [item for item in items if item not in others]


@pytest.fixture(scope="session")
def browser():
    program = harness.find_browser()
    if program is None:
        if os.environ.get("DRAGWORK_BROWSER") == "required":
            pytest.fail(f"DRAGWORK_BROWSER is 'required', but {NO_BROWSER}", pytrace=False)
        pytest.skip(f"browser tests were left out: {NO_BROWSER}")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=harness.FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def shelf(tmp_path_factory):
    """The folder that JupyterLab shows."""
    return tmp_path_factory.mktemp("shelf")


@pytest.fixture(scope="session")
def server(browser, shelf, tmp_path_factory):
    """JupyterLab, apart from all settings of the person who runs the tests."""
    own = tmp_path_factory.mktemp("settings")
    (own / "config").mkdir()
    config = {"LabApp": {"expose_app_in_browser": True}}
    (own / "config" / "jupyter_lab_config.json").write_text(json.dumps(config), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("JUPYTER_CONFIG_DIR", str(own / "config"))
        patch.setenv("JUPYTER_DATA_DIR", str(own / "data"))
        patch.setenv("IPYTHONDIR", str(own / "ipython"))
        notebooks, _ = working_copy.prepare(harness.ROOT, own / "copy")
        open_workbook.trust(PYTHON, notebooks)  # by content, so it holds for every copy
        with lab.running(PYTHON, shelf, port=0) as server:
            yield server


@pytest.fixture(scope="session")
def lab_page(browser, server):
    """The page of JupyterLab, in which one notebook after the other is opened."""
    with browser.new_page(viewport=harness.SIZE) as page:
        yield page


def _copy(shelf):
    """A fresh copy of all notebooks on the shelf, as the first command makes it."""
    folder = Path(tempfile.mkdtemp(prefix="copy-", dir=shelf))
    working_copy.prepare(harness.ROOT, folder)
    return folder


@contextmanager
def _opening(page, server, folder):
    """Open a notebook of a folder on the shelf, by its name there; the last one is closed."""
    opened = []

    def close():
        while opened:
            opened.pop().close()

    def open_(name):
        close()
        page.set_viewport_size(harness.SIZE)
        opened.append(harness.Notebook(page, server, f"/lab/tree/{folder.name}/{name}"))
        return opened[-1]

    yield open_
    close()


@pytest.fixture(scope="module")
def written(lab_page, server, shelf):
    """Open a notebook of these cells, once for the tests of a file, which leave no complaint."""

    @contextmanager
    def open_(name, cells, size=harness.SIZE):
        (shelf / name).mkdir()
        harness.write_notebook(shelf / name / "lesson.ipynb", cells)
        lab_page.set_viewport_size(size)
        notebook = harness.Notebook(lab_page, server, f"/lab/tree/{name}/lesson.ipynb")
        yield notebook
        notebook.close()
        assert notebook.complaints == []

    return open_


@pytest.fixture
def copy(shelf):
    """A fresh copy for one test."""
    return _copy(shelf)


@pytest.fixture
def open_notebook(lab_page, server, copy):
    """Open a notebook of the fresh copy, for one test."""
    with _opening(lab_page, server, copy) as open_:
        yield open_


@pytest.fixture(scope="module")
def kept_copy(shelf):
    """A fresh copy for the tests of a file."""
    return _copy(shelf)


@pytest.fixture(scope="module")
def run_once(lab_page, server, kept_copy):
    """Open the one notebook of a file and run it, once for its tests, which find it as the last one left it."""
    with _opening(lab_page, server, kept_copy) as open_:

        @cache
        def run(name):
            notebook = open_(name)
            notebook.run()
            return notebook

        yield run
