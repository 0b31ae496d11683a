"""Hostile names through every public output, in a real browser: words, and nothing but words.

No script runs, nothing is asked of another server, no dollar begins a formula, and each name is shown as it
was typed.
"""

import json
import re
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from urllib.request import Request, urlopen

import harness
import hostile
import nbformat
import pytest
from playwright.sync_api import expect

from dragwork.teaching import class_papers
from dragwork.teaching.handout import handout
from dragwork.teaching.printing import print_page

TYPED = Path(hostile.__file__).parent

CELLS = (
    "import sys\nsys.path.insert(0, {here!r})\nimport hostile\nhome = {home!r}\n"
    "import io, pandas as pd\n"
    "from dragwork.measurement.tunnel import read_sheet\nfrom dragwork.teaching.panels import *\n"
    "from dragwork.teaching.sheet_pictures import dots_by_yaw\nfrom dragwork.teaching.telling import say, table\n"
    "from dragwork.teaching.forms import AboutMe, ClaimFlow\nfrom dragwork.teaching.forms.flow import File\n"
    "from dragwork.teaching.forms.report_flow import ReportFlow\n"
    "names = hostile.named(home)\nroad = hostile.ROAD.replace('{{home}}', home)\n"
    "sheet = read_sheet(io.BytesIO(hostile.sheet(home)))\nassert sheet.set_ups == tuple(names), sheet.set_ups",
    "yaw_curves(sheet)",
    "tunnel_savings(sheet)",
    "forgotten_tare(sheet)",
    "dots_by_yaw(sheet)",
    "say('**Said:** {{name}}', name=names[0])",
    "say(names[1])",
    "table([{{names[0]: names[1], 'b': names[2]}}], names[2], fold='')",
    "pd.DataFrame({{name: [name] for name in names}})",
    "flow = ReportFlow()\n"
    "flow.answer(sheet='own', upload=File(hostile.FILE.replace('{{home}}', home), hostile.sheet(home)),\n"
    "    before=names[0], after=names[1], rider='Tobin', road='legs', road_name=road, legs='20 km', air='usual',\n"
    "    room='people', people=hostile.RIDER + ' 180 W 75 kg')\nflow",
    "flow.result",
    "claim = ClaimFlow()\n"
    "claim.answer_all(heard='4 % less power at 45', compared_with=names[1], measured='measured',\n"
    "    who=hostile.WHO, runs='3', spread='1', rider='Rosalind', road='Three Kilns 60', worthwhile='20')\nclaim",
    "claim.result",
    "me = AboutMe()\nme.answer(nickname=hostile.NICKNAME)\nme",
    "flow.save('.')",
)


@pytest.fixture(scope="module")
def listener():
    """A server that is asked for nothing: `.asked` lists what was wanted all the same."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            self.server.asked.append(self.path)
            self.send_error(404)

        def log_message(self, *_):
            pass

    server = HTTPServer(("127.0.0.1", 0), Handler)
    server.asked, server.home = [], f"http://127.0.0.1:{server.server_port}/"
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server
    server.shutdown()
    server.server_close()


def spoilt(page):
    """What no name should have made of a page; an answer of `evil` is a script that ran."""
    return page.evaluate(
        """() => [typeof evil !== "undefined" && "a script ran",
            ...["mjx-container", "img[src='x']", "svg[onload]", "iframe[src^='http']", "b[onclick]",
                ".jp-RenderedMarkdown script", ".jp-RenderedMarkdown :is(em, del) :is(em, del)",
                ".jp-RenderedMarkdown a[href*='a.example']", ".jp-RenderedMarkdown img",
                ".widget-html-content script", "main script"]
            .filter(each => document.querySelector(each))].filter(Boolean)"""
    )


def words_of(page):
    return " ".join(page.evaluate("document.body.textContent").split())


@pytest.fixture(scope="module")
def drawn_at_once(server):
    """JupyterLab draws all cells of a page, also those out of sight."""

    def set_to(settings):
        address = f"{server.url}lab/api/settings/@jupyterlab/notebook-extension:tracker"
        about = {"Authorization": f"token {server.token}", "Content-Type": "application/json"}
        said = json.dumps({"raw": json.dumps(settings)}).encode()
        urlopen(Request(address, said, about, method="PUT"), timeout=20).close()

    set_to({"windowingMode": "none"})
    yield
    set_to({})


@pytest.fixture(scope="module")
def lesson(browser, server, shelf, listener, drawn_at_once):
    """The notebook with every output, run and saved, on a page of its own."""
    folder = shelf / "hostile"
    folder.mkdir()
    cells = [cell.format(here=str(TYPED), home=listener.home) for cell in CELLS]
    harness.write_notebook(folder / "lesson.ipynb", cells)
    with browser.new_page(viewport=harness.SIZE) as page:
        notebook = harness.Notebook(page, server, "/lab/tree/hostile/lesson.ipynb")
        notebook.run()
        page.keyboard.press("Control+s")
        notebook.rest()
        yield notebook, folder
        notebook.close()


def test_no_name_is_more_than_words_in_a_notebook(lesson, listener):
    notebook, _ = lesson
    assert notebook.complaints == [] and listener.asked == []
    assert spoilt(notebook.page) == []
    said = words_of(notebook.page)
    for name in hostile.named(listener.home):
        assert said.count(name) >= 10, name
    for name in (hostile.WHO, hostile.NICKNAME, hostile.RIDER, hostile.ROAD, hostile.NOTE, hostile.FILE):
        assert name.replace("{home}", listener.home) in said, name


def test_nor_when_it_is_opened_again(server, lesson, listener):
    page = lesson[0].page
    page.goto("about:blank")
    again = harness.Notebook(page, server, "/lab/tree/hostile/lesson.ipynb")
    with_output = page.locator(".jp-CodeCell:has(.jp-OutputArea-output)")
    expect(with_output).to_have_count(len(CELLS) - 1, timeout=60_000)  # the first shows nothing
    again.rest()
    assert spoilt(page) == [] and again.complaints == [] and listener.asked == []


@pytest.fixture
def opened(browser, tmp_path):
    """Open an HTML text from a file, as a reader does; with what it asked for."""
    pages = []

    def open_(html):
        file = tmp_path / f"{len(pages)}.html"
        file.write_text(html, encoding="utf-8")
        page = browser.new_page(viewport=harness.SIZE)
        page.asked = []
        page.on("request", lambda request: page.asked.append(request.url))
        pages.append(page)
        page.goto(file.as_uri())
        assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []
        assert spoilt(page) == []
        return words_of(page)

    yield open_
    for page in pages:
        page.close()


def test_nor_on_the_page_that_was_saved(lesson, opened, listener):
    _, folder = lesson
    (saved,) = folder.glob("*.html")
    html = saved.read_text(encoding="utf-8")
    said = opened(html)
    for name in (*hostile.named(listener.home)[:2], hostile.RIDER, hostile.ROAD, hostile.NOTE):
        assert name.replace("{home}", listener.home) in said, name
    assert print_page(html).startswith(b"%PDF")
    assert listener.asked == []


def test_nor_in_the_handout_of_such_a_notebook(lesson, opened, listener):
    _, folder = lesson
    said = opened(handout([folder / "lesson.ipynb"], date="<script>evil=1</script> $1 $2"))
    for name in hostile.named(listener.home):
        assert said.count(name) >= 3, name


def test_nor_on_papers_for_a_class(opened):
    learner = hostile.NICKNAME
    assert learner in opened(class_papers.question_sheet(["M01", "M05"], "", [learner]))
    path = class_papers.find_notebook("08", Path(harness.ROOT))
    assert learner in opened(class_papers.worksheet(path, [learner]))


def test_a_formula_in_a_name_is_text_in_a_key(capsys):
    assert class_papers.main(["key", "=1+1", "--questions", "M01", "--csv"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 1 and all(re.match("'=1", line) for line in lines[1:])


def test_stored_outputs_of_such_a_notebook_hold_no_element(lesson):
    _, folder = lesson
    stored = nbformat.read(folder / "lesson.ipynb", 4)
    outputs = [o for cell in stored.cells for o in cell.get("outputs", ())]
    markdown = "".join(o.get("data", {}).get("text/markdown", "") for o in outputs)
    assert markdown and not re.search(r"<(?!/?(span|details|summary)\b)", markdown)
