"""A lesson is read in the time it names: counted in its notebook as it is stored."""

import ast
import re
from pathlib import Path

import nbformat
import pytest

WORKBOOK = Path(__file__).parents[2] / "workbook"
LESSONS = sorted(WORKBOOK.glob("[01][0-9]_*.ipynb"))
A_MINUTE = 200  # words read
A_PANEL = 2  # minutes
MAIN_LINE = 900  # words, about
APPENDIX = "## Appendix"
QUESTIONS = {"choose", "guess", "one_rule", "box"}
SETS = {"warm_up", "practice"}
FORM_STEP = re.compile(r"^\d+\. \*\*", re.MULTILINE)


def words(markdown):
    """Words of prose: no marks, no formulas, no addresses, no tags."""
    plain = re.sub(r"\$\$.*?\$\$|<[^>]*>|\]\([^)]*\)|^[|:\- ]+$", " ", markdown, flags=re.DOTALL | re.MULTILINE)
    return sum(any(letter.isalnum() for letter in word) for word in plain.split())


def unfolded(markdown):
    """The text that shows while all folds are shut."""
    return re.sub(r"<details>.*?</details>", "", markdown, flags=re.DOTALL)


def questions(source):
    """How many questions the forms of a cell ask."""
    asked = 0
    for node in ast.walk(ast.parse(source)):
        name = isinstance(node, ast.Call) and getattr(node.func, "id", None)
        if name in QUESTIONS:
            asked += 1
        elif name == "faded":
            asked += 3
        elif name in SETS:
            asked += len(node.args)
    return asked


def shown(cell):
    """The Markdown that a code cell shows, and whether it shows a picture."""
    data = [output.data for output in cell.outputs if "data" in output]
    return "\n\n".join(d.get("text/markdown", "") for d in data), any("image/png" in d for d in data)


def minutes(path):
    """(words of the main line, minutes of the main line, minutes of everything unfolded)."""
    main, main_words = True, 0
    time = {True: 0.0, False: 0.0}
    for cell in nbformat.read(path, as_version=4).cells:
        if cell.cell_type == "markdown":
            main = main and not cell.source.startswith(APPENDIX)
            said = cell.source
        else:
            said, panel = shown(cell)
            asked = questions(cell.source) or len(FORM_STEP.findall(said))
            time[main] += asked + A_PANEL * panel
            if asked or panel:
                continue
        visible = words(unfolded(said))
        main_words += main * visible
        time[main] += visible / A_MINUTE
        time[False] += (words(said) - visible) / A_MINUTE
    return main_words, time[True], time[True] + time[False]


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_the_two_times_in_the_head_are_those_that_are_counted(path):
    head = nbformat.read(path, as_version=4).cells[0].source
    line, whole = map(int, re.search(r"\*Time\* (\d+) minutes; (\d+) with every fold", head).groups())
    _, main, everything = minutes(path)
    assert line == pytest.approx(main, abs=3) and whole == pytest.approx(everything, abs=3), (main, everything)
    assert line % 5 == 0 and whole % 5 == 0


def test_words_and_questions_are_counted_as_a_reader_would():
    assert words("# Air\n\nIt takes **20 W**, see [05](05_x.ipynb).\n\n| a | b |\n| --- | --- |\n| 1 | 2 |") == 10
    assert words(unfolded("Guess.\n\n<details><summary>Answer</summary>\n\nForty.\n\n</details>")) == 1
    assert questions('warm_up("M01", "M02")\nchoose("a", "b", ("c",))\nfaded("M03")') == 6
