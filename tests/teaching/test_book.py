"""Storing notebooks, and the rules that stored notebooks keep."""

import nbformat
import pytest
from nbformat import v4
from notebook_rules import rules

from dragwork.teaching import book

PICTURE = {"image/png": "iVBORw0KGgo=", "text/plain": "A sentence."}
VIEW = {"application/vnd.jupyter.widget-view+json": {"model_id": "a"}}


def sound():
    """A small notebook that keeps every rule; the tests spoil copies of it."""
    cells = [
        v4.new_markdown_cell("# Air\n\n## Its weight\n\n```\n# not a heading\n```\n\n### Here"),
        v4.new_code_cell(
            "# What this page uses\nfrom math import sqrt",
            execution_count=1,
            metadata={"jupyter": {"source_hidden": True}},
        ),
        v4.new_code_cell(
            "sqrt(4)",
            execution_count=2,
            outputs=[
                v4.new_output("display_data", PICTURE, metadata={"image/png": {"alt": "A line."}}),
                v4.new_output("stream", name="stdout", text="36 km/h, https://doi.org/10.1/a/b"),
            ],
        ),
    ]
    return v4.new_notebook(
        cells=cells,
        metadata={"kernelspec": dict(book.KERNEL), "language_info": {"name": "python"}},
    )


@pytest.fixture
def broken(tmp_path):
    """Store a notebook and ask for the rules it breaks."""

    def ask(notebook):
        nbformat.write(notebook, tmp_path / "page.ipynb")
        return rules(tmp_path / "page.ipynb")

    return ask


def test_a_sound_notebook_breaks_no_rule(broken):
    assert broken(sound()) == []


def _output(kind, *args, **kwargs):
    return lambda page: page.cells[2].outputs.append(v4.new_output(kind, *args, **kwargs))


def _text(text):
    return _output("display_data", {"text/plain": text})


def _code(source):
    return lambda page: page.cells[2].update(source=source)


def _prose(source):
    return lambda page: page.cells[0].update(source=source)


def _kernel(**changes):
    return lambda page: page.metadata.kernelspec.update(changes)


def _count(count):
    return lambda page: page.cells[2].update(execution_count=count)


ERROR = {"ename": "ValueError", "evalue": "no", "traceback": []}

FAULTS = {
    "widget view": (_output("display_data", VIEW), "Cell 3 stores a widget view"),
    "widget as text": (_text("VBox(children=(HTML()))"), "Cell 3 stores a widget as text"),
    "never run": (_count(None), "The execution counts are [1, None]"),
    "run twice": (_count(5), "The execution counts are [1, 5]"),
    "home folder": (_text("read /home/june/sheet.csv"), "Cell 3 stores a path of the machine"),
    "folder in a quote": (_text("'/opt/club'"), "Cell 3 stores a path of the machine"),
    "Windows folder": (_text(r"C:\Users\june\sheet.csv"), "Cell 3 stores a path of the machine"),
    "path in a stream": (
        _output("stream", name="stdout", text="/tmp/a/b"),
        "Cell 3 stores a path of the machine",
    ),
    "error": (_output("error", **ERROR), "Cell 3 stores an error: ValueError: no"),
    "stderr": (_output("stream", name="stderr", text="!"), "Cell 3 stores something written to"),
    "too large": (_text("a" * 1_000_001), "The file has 1.0 MB"),
    "another kernel": (_kernel(name="venv"), "The kernelspec is 'venv'"),
    "kernel under another name": (_kernel(display_name="Python 3"), "The kernelspec is 'python3'"),
    "widget state": (
        lambda page: page.metadata.update(widgets={"a": {}}),
        "The metadata hold the state of widgets",
    ),
    "magic": (_code("%matplotlib inline"), "Cell 3 is not plain Python"),
    "shell line": (_code("!ls"), "Cell 3 is not plain Python"),
    "magic by its call": (_code("get_ipython().run_line_magic('pwd', '')"), "Cell 3 calls the"),
    "path set": (_code("sys.path.insert(0, '..')"), "Cell 3 uses sys"),
    "path set by another name": (
        lambda page: page.cells[1].update(source="# Here\nfrom sys import path as here"),
        "Cell 2 uses sys",
    ),
    "filter": (_code("warnings.simplefilter('ignore')"), "Cell 3 touches warnings"),
    "filter by another name": (_code("np.filterwarnings('ignore')"), "Cell 3 touches warnings"),
    "16 lines": (_code("\n\n".join(["sqrt(4)"] * 16)), "Cell 3 has 16 lines"),
    "formula": (_code("def f(v):\n    return v**3"), "Cell 3 defines something"),
    "formula as lambda": (_code("f = lambda v: v**3"), "Cell 3 defines something"),
    "two top headings": (_prose("# Air\n\n# Water"), "There are 2 headings of the first level"),
    "no top heading": (_prose("Air"), "There are 0 headings of the first level"),
    "skipped level": (_prose("# Air\n\n### Weight"), "The heading 'Weight' has level 3"),
    "second import cell": (_code("import math"), "2 cells import something"),
    "picture without words": (
        _output("display_data", PICTURE, metadata={"image/png": {"alt": " "}}),
        "Cell 3 shows a picture (image/png) without",
    ),
    "folded without title": (
        lambda page: page.cells[1].update(source="from math import sqrt"),
        "Cell 2 is folded",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_each_rule_sees_its_fault_and_nothing_else(broken, fault):
    spoil, sentence = FAULTS[fault]
    page = sound()
    spoil(page)
    found = broken(page)
    assert len(found) == 1 and found[0].startswith(sentence), found


def test_fifteen_lines_and_blanks_are_allowed(broken):
    page = sound()
    page.cells[2].source = "\n\n".join(["sqrt(4)"] * 15)
    assert broken(page) == []


def test_an_embedded_picture_is_no_path(broken):
    page = sound()
    _output("display_data", {"text/html": "<img src='data:image/png;base64,/a/b/c+d=='>"})(page)
    assert broken(page) == []


LESSON = """\
from ipywidgets import FloatSlider
from IPython.display import display
slider = FloatSlider()
picture = {**slider._repr_mimebundle_(), "image/png": "iVBORw0KGgo=", "text/plain": "A sentence."}
display(picture, metadata={"image/png": {"alt": "A line."}}, raw=True)"""


@pytest.fixture
def lesson(tmp_path):
    """A notebook as an author leaves it: run in another order, live, with traces of the editor."""
    cells = [
        v4.new_markdown_cell("# Air"),
        v4.new_code_cell(LESSON, execution_count=7, metadata={"scrolled": True}),
        v4.new_code_cell("print(open('given.txt').read())\nprint('two')", metadata={"tags": ["a"]}),
    ]
    old = {"name": "old", "display_name": "Old"}
    page = v4.new_notebook(cells=cells, metadata={"widgets": {}, "kernelspec": old})
    (tmp_path / "given.txt").write_text("one", encoding="utf-8")
    nbformat.write(page, tmp_path / "page.ipynb")
    return tmp_path / "page.ipynb"


def test_save_makes_a_book_of_it(lesson):
    ids = [cell.id for cell in nbformat.read(lesson, as_version=4).cells]
    book.save(lesson)
    page = nbformat.read(lesson, as_version=4)
    assert rules(lesson) == []
    assert [cell.id for cell in page.cells] == ids
    assert page.metadata == {"kernelspec": book.KERNEL, "language_info": {"name": "python"}}
    assert page.cells[1].outputs[0].data == PICTURE
    assert page.cells[1].metadata == {}
    assert page.cells[2].metadata == {"tags": ["a"]}
    assert [output.text for output in page.cells[2].outputs] == ["one\ntwo\n"]


def test_a_second_save_gives_the_same_bytes(lesson):
    book.save(lesson)
    first = lesson.read_bytes()
    book.save(lesson)
    assert lesson.read_bytes() == first


def test_a_notebook_that_raises_stays_as_it_was(lesson, capsys):
    page = nbformat.read(lesson, as_version=4)
    page.cells[2].source = "1 / 0"
    nbformat.write(page, lesson)
    before = lesson.read_bytes()
    assert book.main(["save", str(lesson)]) == 1
    assert lesson.read_bytes() == before
    said = capsys.readouterr().out
    assert "Not saved." in said and "ZeroDivisionError" in said
