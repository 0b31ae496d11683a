"""The pages and the questions in plain British English: the habits that were dropped stay dropped."""

import ast
import re
from itertools import chain
from pathlib import Path

import nbformat
import pytest
from loops import over
from matplotlib.text import Text
from panel_checks import all_panels, at_both_ends, in_every_corner, made

from dragwork.teaching import derivations
from dragwork.teaching.questions import KINDS, ask
from dragwork.teaching.questions.rules import RULES

ROOT = Path(__file__).parents[2]
PAGES = sorted((ROOT / "workbook").glob("[01][0-9]_*.ipynb"))
EXERCISES = sorted((ROOT / "exercises").glob("*.ipynb"))

# A habit, and what to write instead. Found without regard to case.
HABITS = {
    r"\b(whoever|somebody|nobody|everybody)\b": "you, a rider, the seller, riders",
    r"\banybody\b(?! can try)": "anyone, or leave it out",
    r"\b(tell|tells|telling|told)( \S+){0,7} apart\b": "detect, distinguish, see",
    r"\b(can ?not|cannot|does not|do not) tell\b": "can't say, doesn't show",
    r"\bstands? (in|for|on|below|above|beside|there|here)\b": "is, is in, means",
    r"\b(lies|lie|lay) (at|in|on|inside|outside|apart|behind|between|beside)\b": "is, is at, differ by",
    r"\bin place of\b": "instead of, rather than",
    r"\btake\w* for granted\b|\btaken as\b|\btaken for\b": "assume",
    r"\bdoubts?\b": "uncertainty",
    r"\bloss of the chain\b|\bthe chain\b": "the drivetrain, drivetrain loss",
    r"\bthe rest\b|\ba rest\b": "what is left, the others",
    r"\b(head|tail|cross|side) winds?\b": "headwind, tailwind, crosswind",
    r"\bbelongs? to qualified\b|\bqualified people\b": "see a bike fitter, ask a doctor",
    r"\bby how many percent\b": "What percentage ...?",
    r"\bpercent\b": "%, per cent",
    r"\bmend(s|ed|ing)?\b": "correct, fix",
    r"\bflatters?\b": "looks better than it is by",
    r"\b(alike|anew|once more)\b": "the same, again",
    r"\bin step with\b": "in proportion to",
    r"\bin truth\b": "in fact",
    r"\bwhat there was to see\b": "What you should have seen",
    r"\bnow with less and less help\b": "Three of a kind: less help each time",
    r"\bthose who like algebra\b|\bothers may jump\b": "fold it",
    r"\bwhat comes out\b": "What do you get?",
    r"\bpresses with\b": "the dynamic pressure is",
    r"\bthe range holds\b|\binterval holds\b|\bholds? zero\b": "includes, contains",
    r"\bthe share of the air\b|\bair's share\b": "the aerodynamic share, the air share",
    r"\b(half|part|share|%)( of| in| is)? the work\b|\ball work in the air\b": "of the power",
    r"\ba tunnel blows\b|\bthe tunnel blows\b": "A wind tunnel runs at",
    r"\b(a road|the road) lies\b|\bair of \d+ °C\b|\bair has \d+ °C\b": "is at",
    r"\bcount watts at the\b": "Give power at the",
    r"\btake normal spread\b": "Assume a normal distribution.",
    r"\btells? nothing\b|\bis silent\b|\bsilence\b": "doesn't say, leaves out",
    r"\bmay one\b|\bone can\b|\bone would\b|\bhow sure one\b": "you",
    r"\bmay (stay|be) (empty|skipped)\b|\bmay skip\b": "can",
    r"\bso many (watts|percent|separate)\b": "this many, or the number",
    r"\bfelt wind\b": "apparent wind: one term",
    r"\brolling coefficient\b": "coefficient of rolling resistance",
    r"\bthicker\b|\bhow thick\b": "denser",
    r"\bcarr(y|ies|ied) (a claim|the claim|the watts|the drag area)\b": "keep, convert, take to your speed",
    r"\bspares? (watts|force|power|rolling|\d)": "saves",
    r"\bas (it|they) stands?\b": "unchanged",
    r"\bon the mean\b": "on average",
    r"\bmay (lose|cost|be left out)\b": "can",
    r"\bwhat (lies|stands) behind\b": "which mistake it suggests",
    r"\bmean (speed|yaw) (that|which)\b": "the average speed",
    r"\b(color|center|meters|program|behavior|favor|gray|analyze)\b": "British spelling",
    r"\bthe panel, made here\b|\bderivation, done by\b|\bwhat this page uses\b": "what the learner is about to do",
}


def broken(text):
    """(what was found, what to write instead) in a text."""
    text = re.sub(r"`[^`]*`|\]\([^)]*\)|<[^>]+>", " ", text)
    return [(found[0], instead) for habit, instead in HABITS.items()
            for found in re.finditer(habit, text, re.IGNORECASE)]  # fmt: skip


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


@pytest.mark.parametrize(("name", "needed"), list(all_panels()), ids=lambda x: x if isinstance(x, str) else "")
def test_a_panel_has_none_of_the_habits(name, needed):
    """Its sentence, text alternative and every word in the picture, at the ends of all knobs; no hyphen for a minus,
    no minus zero."""
    panel = made(name, needed)
    said = [panel.picture.title, *(knob.label for knob in panel.knobs.values())]
    for _ in chain(at_both_ends(panel), in_every_corner(panel)):
        said += [panel.sentence, panel.alt, panel.note, *(text.get_text() for text in panel.figure.findobj(Text))]
    assert broken("\n".join(said)) == []
    assert not [text for text in said if re.search(r"(?<!\w)[-−+]0(\.0+)?(?![.:]?\d)|(?<!\w)-\d", text)]


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
