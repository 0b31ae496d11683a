"""Each lesson names the time that it takes: its main line, and everything unfolded.

200 words a minute for what is read, two minutes a panel or form, one a question. A details element and
a section whose heading JupyterLab shows folded count only where everything is unfolded.
"""

import ast
import re
from pathlib import Path

import nbformat
import pytest
from loops import over

WORKBOOK = Path(__file__).parents[2] / "workbook"
LESSONS = sorted(WORKBOOK.glob("[01][0-9]_*.ipynb"))
EXERCISES = sorted(WORKBOOK.with_name("exercises").glob("[01][0-9]_*.ipynb"))

WORDS_A_MINUTE, A_PANEL, A_QUESTION = 200, 2, 1
MOST_WORDS = 1000  # of the main line: about 900, as the house asks
QUESTIONS = {"choose": 1, "guess": 1, "box": 1, "one_rule": 1, "faded": 3}
FORM = re.compile(r"^(\w+Flow|AboutMe|CourseEditor|course_editor|my_own_road)$")


def parts(path):
    """(text, minutes beyond reading, folded) of each cell, as JupyterLab opens the page."""
    level = 0  # of the heading that folds the cells below it; 0 where none does
    for cell in nbformat.read(path, as_version=4).cells:
        if cell.cell_type == "markdown":
            heading = re.match(r"(#+) ", cell.source)
            if heading and level and len(heading[1]) <= level:
                level = 0
            yield cell.source, 0, bool(level)
            if cell.metadata.get("jp-MarkdownHeadingCollapsed"):
                level = len(heading[1])
        else:
            minutes = asked(cell)
            yield ("" if minutes else said(cell)), minutes, bool(level)


def asked(cell):
    """Minutes for the questions, panels and forms that a code cell shows."""
    code = ast.parse(cell.source)
    shown = getattr(code.body[-1], "value", None)
    calls = [n for n in ast.walk(code) if isinstance(n, ast.Call)]
    minutes = A_PANEL * any("image/png" in o.get("data", {}) for o in cell.outputs)
    for call in calls:
        name = getattr(call.func, "id", "")
        if name in ("practice", "warm_up"):
            minutes += A_QUESTION * len(call.args)
        minutes += A_QUESTION * QUESTIONS.get(name, 0)
        minutes += A_PANEL * bool(FORM.match(name) and (call is shown or isinstance(shown, ast.Name)))
    return minutes


def said(cell):
    return "\n".join(o.get("data", {}).get("text/markdown", "") for o in cell.outputs)


def words(text):
    text = re.sub(r"\$\$.*?\$\$|</?\w[^>]*>|\]\([^)]*\)", " ", text, flags=re.DOTALL)
    return len(re.findall(r"[^\W_][^\s|]*", text))


def main_line(path):
    """Words of the main line, and the minutes it takes with its panels and questions."""
    shown = [(re.sub(r"<details>.*?</details>", " ", text, flags=re.DOTALL), minutes)
             for text, minutes, folded in parts(path) if not folded]  # fmt: skip
    read = sum(words(text) for text, _ in shown)
    return read, read / WORDS_A_MINUTE + sum(minutes for _, minutes in shown)


def everything(path):
    return sum(words(text) / WORDS_A_MINUTE + minutes for text, minutes, _ in parts(path))


def stated(path):
    """The two times of a lesson's head."""
    head = nbformat.read(path, as_version=4).cells[0].source
    return tuple(map(int, re.search(r"\*Time\* (\d+) minutes; (\d+) with everything unfolded", head).groups()))


each = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)


@each
def test_the_main_line_is_short(path):
    if not path.stem.startswith("00"):  # which has the map and the glossary
        assert main_line(path)[0] <= MOST_WORDS


@each
def test_a_lesson_states_the_time_it_takes(path):
    """Both in steps of five minutes, and right to five."""
    found = main_line(path)[1], everything(path)
    for typed, computed in zip(stated(path), found):
        assert typed % 5 == 0 and abs(typed - computed) <= 5, f"{typed}, but {computed:.0f} minutes"


@over([*LESSONS, *EXERCISES])
def test_three_questions_warm_up_and_no_code_is_in_sight(path):
    cells = [c for c in nbformat.read(path, as_version=4).cells if c.cell_type == "code"]
    for cell in cells:
        assert cell.metadata.get("jupyter", {}).get("source_hidden") is True, cell.source
        assert cell.source.startswith("# "), cell.source
        for call in ast.walk(ast.parse(cell.source)):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "warm_up":
                assert len(call.args) == 3


def test_the_words_of_a_page_by_hand(tmp_path):
    """Twelve words in sight, five folded, one question, one panel: counted by hand."""
    v4 = nbformat.v4
    folded = v4.new_markdown_cell("## Appendix", metadata={"jp-MarkdownHeadingCollapsed": True})
    picture = v4.new_output("display_data", {"image/png": "x", "text/markdown": "not read"})
    page = v4.new_notebook(cells=[
        v4.new_markdown_cell("# Air\n\nIt pushes [you](a.ipynb). $$x = 2$$\n\n| 3 W | now |"),
        v4.new_markdown_cell("<details><summary>Why</summary>Because it moves</details>"),
        v4.new_code_cell("# A guess\nguess(None, 'much', 'How much?', 'W', answer=1)"),
        v4.new_code_cell("# A panel\nwatts()", outputs=[picture]),
        folded,
        v4.new_markdown_cell("Small print"),
        v4.new_markdown_cell("## To remember\n\nAir pushes"),
    ])  # fmt: skip
    nbformat.write(page, tmp_path / "page.ipynb")
    read, minutes = main_line(tmp_path / "page.ipynb")
    assert read == 12
    assert minutes == pytest.approx(12 / 200 + 3)
    assert everything(tmp_path / "page.ipynb") == pytest.approx(18 / 200 + 3)
