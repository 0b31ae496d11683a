"""The pages and the questions in plain British English: the habits that were dropped stay dropped."""

import ast
from pathlib import Path

import nbformat
import pytest
from habits import broken
from loops import over

from dragwork.teaching import derivations
from dragwork.teaching.questions import KINDS, ask
from dragwork.teaching.questions.rules import RULES

ROOT = Path(__file__).parents[2]
PAGES = sorted((ROOT / "workbook").glob("[01][0-9]_*.ipynb"))
EXERCISES = sorted((ROOT / "exercises").glob("*.ipynb"))


def written(cell):
    """What a reader may see of a cell: its prose, or its heading and the sentences in its code."""
    if cell.cell_type == "markdown":
        return cell.source
    strings = [node.value for node in ast.walk(ast.parse(cell.source))
               if isinstance(node, ast.Constant) and isinstance(node.value, str)]  # fmt: skip
    return "\n".join([cell.source.splitlines()[0], *(text for text in strings if " " in text)])


@over(PAGES)
def test_a_page_has_none_of_the_habits(path):
    cells = nbformat.read(path, as_version=4).cells
    assert [found for cell in cells for found in broken(written(cell))] == []


@over(KINDS)
def test_a_question_has_none_of_the_habits(id):
    question = ask(id)
    hints = [question.hint() for _ in range(3)]
    assert broken("\n".join(map(str, [question.prompt, *hints]))) == []


@over(KINDS)
def test_feedback_has_none_of_the_habits(id):
    question = ask(id)
    kind = question.kind
    says = [says(question.given) for says in kind.slips.values()]
    assert broken("\n".join([kind.idea, kind.relation, kind.why, question.steps, *says])) == []


@over(derivations.DERIVATIONS)
def test_a_derivation_has_none_of_the_habits(name):
    assert broken("\n".join(step.words for step in derivations.steps_of(name))) == []


@over(RULES)
def test_a_rule_with_gaps_has_none_of_the_habits(number):
    rule = RULES[number]
    gaps = [text for gap in rule.gaps for text in (gap.hint, *gap.options)]
    assert broken("\n".join([rule.text, rule.because, *gaps])) == []


@over(EXERCISES)
def test_the_exercises_have_none_of_the_habits(path):
    cells = nbformat.read(path, as_version=4).cells
    prose = "\n".join(cell.source for cell in cells if cell.cell_type == "markdown")
    assert broken(prose) == []


@pytest.mark.parametrize(
    "sentence",
    [
        "These runs cannot tell.",
        "The verdict stands below.",
        "Four such sessions tell a true difference of 0.0053 m² apart.",
        "What comes out?",
        "Carry the drag area, not the watts.",
        "These are the watts of the quotation, as they stand.",
        "At which gradient is air half the work?",
        "The interval holds zero.",
        "A road lies at 800 m.",
        "Whoever answers nothing rides with Tobin.",
    ],
)
def test_the_habits_are_recognised(sentence):
    """Sentences of the first edition, as its second reader quoted them."""
    assert broken(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "Four sessions out of five would detect a true difference of 0.0053 m².",
        "These runs can't say.",
        "Water vapour is 38 % lighter than the dry air it replaces.",
        "The interval includes zero, so these runs name no winner.",
        "Without wind the tyres take as much as the air.",
    ],
)
def test_plain_sentences_pass(sentence):
    assert broken(sentence) == []
