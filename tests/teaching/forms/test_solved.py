"""Every notebook solved, and every slip typed into it, through the forms that it shows."""

import asked
import pytest

from dragwork.teaching.profile import Profile
from dragwork.teaching.questions.question import CLOCK
from dragwork.teaching.questions.rules import RULES

each_page = pytest.mark.parametrize("page", asked.PAGES, ids=lambda path: f"{path.parent.name}-{path.stem[:2]}")


def as_typed(question, value):
    """An answer as a learner types it, with its unit."""
    return value if question.unit == CLOCK else f"{value!r} {question.unit}".removesuffix(" 1")


@each_page
def test_solved(page):
    Profile().keep_me(name="Ada")
    for q in list(asked.boxes(page)):
        feedback = q.check(as_typed(q.question, q.question.answer))
        assert feedback.state == "right", (q.place, q.id, feedback.text)
        assert q.question.kind.why in q.says
    for name, arguments in asked.calls(page):
        if name == "one_rule":
            form = asked.make(name, arguments)
            said = form.check(*(gap.right for gap in form.rule.gaps))
            assert said.endswith(form.rule.because)
        if name == "choose":
            form = asked.make(name, arguments)
            right = [option for option, reply in form.replies.items() if reply.startswith("Yes")]
            assert len(right) == 1, (form.key, right)
            assert form.lock(right[0]).startswith(f"You chose: {right[0].rstrip('.')}. Yes")
    states = {entry["state"] for entry in Profile().entries("attempt")}
    assert states <= {"right"}


@each_page
def test_slips(page):
    for q in list(asked.boxes(page)):
        for id, value in q.question.slips.items():
            feedback = q.check(as_typed(q.question, value))
            said = q.question.kind.slips[id](q.question.given)
            assert feedback.state == "slip" and said in q.says, (q.place, id, feedback.text)
            assert (q.slip == id) or q.question.slips[q.slip] == value
    for name, arguments in asked.calls(page):
        if name == "one_rule":
            form = asked.make(name, arguments)
            for place, gap in enumerate(form.rule.gaps):
                for option in gap.options[1:]:
                    form.chosen = [""] * len(form.rule.gaps)
                    form.choose(place, option)
                    assert gap.hint in form.check()


@each_page
def test_no_solution_stands_in_the_file(page):
    """Right numbers are computed when asked for. The prose may teach what a solution says too."""
    text, code = page.read_text(encoding="utf-8"), asked.code(page)
    for q in asked.boxes(page):
        result = q.question.worked(prompt=False).removeprefix(q.question.steps).strip()
        assert result.startswith("Answer: ")
        assert f"{q.question.steps} {result}" not in text, (q.place, q.id)
        for solution in (q.question.kind.why, result):
            assert solution not in code, (q.place, q.id)
    for name, arguments in asked.calls(page):
        if name == "one_rule":
            rule = RULES[arguments[0]]
            filled = rule.text.format(*(gap.right for gap in rule.gaps))
            bold = rule.text.format(*(f"**{gap.right}**" for gap in rule.gaps))
            for solution in (rule.because, filled, bold, *(gap.hint for gap in rule.gaps)):
                assert solution not in text, arguments[0]


@each_page
def test_a_form_is_the_last_line_of_its_cell(page):
    """Only so it shows itself; and its words stand in the stored output."""
    for cell in asked.read(page).cells:
        if cell.cell_type != "code":
            continue
        made = [name for name in asked.FORMS if f"{name}(" in cell.source]
        if made and "import" not in cell.source:
            shown = [o for o in cell.outputs if "text/markdown" in o.get("data", {})]
            assert shown, cell.source
